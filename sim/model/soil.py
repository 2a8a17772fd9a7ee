"""What ground bears, by its class: presumptive values of IBC 2012, Table 1806.2."""

from __future__ import annotations

from sim.model.units import PSF

SOURCE = "IBC 2012, Table 1806.2"
SOILS: dict[str, float | None] = {  # [Pa]; None: no value may be taken for granted
    "crystalline bedrock": 12000 * PSF,
    "sedimentary rock": 4000 * PSF,
    "sandy gravel": 3000 * PSF,
    "gravel": 3000 * PSF,
    "sand": 2000 * PSF,
    "silty sand": 2000 * PSF,
    "clayey sand": 2000 * PSF,
    "silty gravel": 2000 * PSF,
    "clayey gravel": 2000 * PSF,
    "clay": 1500 * PSF,
    "silt": 1500 * PSF,
    "mud": None,
    "organic": None,
    "fill": None,
    "paving": None,
    "slab": None,
}
