"""The ground: presumptive bearing, feet that are too small, holes that are too near."""

from dataclasses import replace

import pytest

from sim.check import check
from sim.model.scenario import Ground
from sim.model.soil import SOILS
from sim.model.units import PSF
from tests.builders import MM, collar, lift, lifter, station


def standing_on(ground, area=0.02, **rest):
    """A straight lift of 1 kN on one foot of this area."""
    ram = lifter(collar(), base_area=area)
    return replace(lift(20 * MM, ram, station(collar(), base_area=area, tie=None, **rest)), ground=ground)


@pytest.mark.parametrize(
    ("soil", "printed"),
    [
        ("crystalline bedrock", 12000), ("sedimentary rock", 4000), ("sandy gravel", 3000), ("gravel", 3000),
        ("sand", 2000), ("silty sand", 2000), ("clayey sand", 2000), ("silty gravel", 2000), ("clayey gravel", 2000),
        ("clay", 1500), ("silt", 1500),
    ],
)  # fmt: skip
def test_presumptive_bearing_is_that_of_the_code(soil, printed):
    """By class, in psf."""
    # IBC 2012, Table 1806.2
    assert SOILS[soil] / PSF == pytest.approx(printed)


@pytest.mark.parametrize("soil", ["mud", "organic", "fill"])
def test_ground_that_has_no_value_is_a_stop(soil):
    """Never a silent default."""
    # IBC 2012, Table 1806.2: no value
    (found,) = [f for f in check(standing_on(Ground(soil=soil))).of_level("stop") if f.subject == "ground"]
    assert soil in found.what.words("si") and "1806.2" in found.source


@pytest.mark.parametrize("soil", ["paving", "slab"])
def test_paving_and_slabs_have_no_class_so_the_pressure_is_shown(soil):
    """A caution for the ground, and the pressure under each foot."""
    cautions = check(standing_on(Ground(soil=soil))).of_level("caution")
    assert {f.subject for f in cautions} >= {"ground", "left lifter foot", "strut foot"}
    assert next(f for f in cautions if f.subject == "strut foot").value == pytest.approx(1000 / 0.02)


def test_ground_that_is_not_described_reads_not_known():
    """Neither a value nor a class: a caution, never met."""
    (found,) = [f for f in check(standing_on(Ground())).findings if f.subject == "ground"]
    assert (found.level, "not known" in found.what.words("si")) == ("caution", True)


def test_pressure_is_held_against_bearing_and_the_area_needed_is_given():
    """1 kN on 200 cm^2 is 50 kPa; on 40 kPa it needs 250 cm^2."""
    sheet = check(standing_on(Ground(bearing=40e3, bearing_source="given in the scenario")))
    foot = sheet.ground["strut"]
    assert (foot.pressure, foot.area_needed) == (pytest.approx(50e3), pytest.approx(0.025))
    assert {f.subject for f in sheet.of_level("stop") if "foot" in f.subject} == {"strut foot", "left lifter foot"}
    assert all("250.0 cm^2" in f.what.words("si") for f in sheet.of_level("stop") if "foot" in f.subject)
    held = check(standing_on(Ground(bearing=51e3, bearing_source="given in the scenario")))
    assert not [f for f in held.findings if "foot" in f.subject]


def test_a_foot_without_a_base_area_says_what_it_would_need():
    """Not known, and the least area where the bearing is known."""
    sheet = check(standing_on(Ground(bearing=40e3), area=None))
    found = [f.what.words("si") for f in sheet.of_level("caution") if f.subject.endswith("foot")]
    assert len(found) == 2 and all("not known" in what and "250.0 cm^2" in what for what in found)


@pytest.mark.parametrize(("edge", "depth", "stopped"), [(0.4, 0.5, True), (0.5, 0.5, False), (0.7, 0.5, False)])
def test_a_foot_nearer_a_hole_than_it_is_deep_is_a_stop(edge, depth, stopped):
    """Common practice: no value applies there."""
    sheet = check(standing_on(Ground(bearing=1e6, edge=edge, depth=depth)))
    found = [f for f in sheet.of_level("stop") if f.subject == "ground"]
    assert bool(found) == stopped
    assert all(f.source == "common practice" and (f.value, f.limit) == (edge, depth) for f in found)
