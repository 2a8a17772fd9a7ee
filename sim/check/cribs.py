"""What cribbing carries across the grain, how high it gets, and what must lie ready for it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from sim.check.course import Course
from sim.check.figures import margin, of
from sim.check.findings import ASSUMED, Check, Finding, finding
from sim.model.devices import EXACT, Crib, Held
from sim.model.devices.crib import Timber
from sim.model.scenario import Lifter, Station
from sim.model.sentences import Part, down, near, up
from sim.model.units import PRESSURE, read


@cache
def table() -> Mapping[str, Any]:
    """The rule, and the stresses by species, as the data file has them."""
    with (files("sim.check") / "timber.toml").open("rb") as file:
        return tomllib.load(file)


def rule_stress() -> float:
    """What crews reckon with, whatever the timber [Pa]."""
    return read(table()["rule"]["stress"], PRESSURE)


def species_stress(species: str, wet: bool) -> float | None:
    """What a species bears across the grain [Pa], less when it is wet; None where it is not in the table."""
    known = table()["species"]
    names = {_plain(name): name for name in known["stress"]} | {_plain(a): name for a, name in known["also"].items()}
    name = names.get(_plain(species))
    if name is None:
        return None
    return read(known["stress"][name], PRESSURE) * (known["wet_factor"] if wet else 1.0)


def _plain(name: str) -> str:
    return re.sub(r"[^a-z]", "", name.lower())


def capacity(side: float, per_layer: int, stress: float) -> float:
    """What a crib carries: stress x actual side^2 x contacts, where each timber of a layer meets all of the next.

    Parameters
    ----------
    side : float
        Actual width of a timber [m].
    per_layer : int
        Timbers a layer.
    stress : float
        Across the grain [Pa].

    Returns
    -------
    float
        Capacity [N], all contacts loaded alike.
    """
    return float(stress * side**2 * per_layer**2)


@dataclass(frozen=True, slots=True, kw_only=True)
class CribLoad:
    """One crib at one place."""

    place: str
    carries: float = of("N")  # straight down, the most, if it takes the side's part
    contacts: int
    species: str
    wet: bool
    stress: float | None = of("Pa")  # the lower of the rule's and the species'
    stress_source: str
    capacity: float | None = of("N")
    capacity_by_rule: float | None = of("N")
    margin: float | None
    peak: float | None = of("N")  # straight down, at the peak of a drop; None: not known, or no drop meets it
    margin_peak: float | None
    height_start: float = of("m")
    height_end: float = of("m")
    width: float | None = of("m")  # outside of the outermost timbers: length less a tail of one side at each end
    height_over_width: float | None
    layers_start: int  # of timber, wedges apart
    layers_end: int
    pieces_start: dict[str, int]  # height of a piece [mm] -> timbers of it, so many a layer
    pieces_added: dict[str, int]  # for the rise, if it were built in one go
    timbers: int | None  # in all
    wedge: float = of("m")  # what wedges fill at the end


def crib_loads(
    course: Course, place: Lifter | Station, carries: float, peak: float | None
) -> Iterator[tuple[str, CribLoad]]:
    """Each crib at a place, by name."""
    for device in place.capture:
        if isinstance(device, Crib):
            yield f"{place.name}: {device.name}", _crib_load(course, place, device, carries, peak)


def _crib_load(course: Course, place: Lifter | Station, crib: Crib, carries: float, peak: float | None) -> CribLoad:
    timber = crib.timber
    by_species = species_stress(timber.species, timber.wet) if timber.species else None
    stress, source = rule_stress(), table()["rule"]["source"]
    if by_species is not None and by_species < stress:
        stress, source = by_species, f"{table()['species']['source']}: {timber.species}{', wet' * timber.wet}"
    carried = None if timber.side is None else capacity(timber.side, timber.per_layer, stress)
    line = course.motion.line(place.head, place.base)
    top = max(course.tops[x.name] for x in course.scenario.lifters if place.side in (x.side, "both"))
    grown = line.demand(top)
    first, then = crib.added(Held(0.0), line.start), crib.added(Held(0.0), grown)
    width = outside_width(timber)
    return CribLoad(
        place=place.name,
        carries=carries,
        contacts=timber.per_layer**2,
        species=timber.species,
        wet=timber.wet,
        stress=None if timber.side is None else stress,
        stress_source=source,
        capacity=carried,
        capacity_by_rule=None if timber.side is None else capacity(timber.side, timber.per_layer, rule_stress()),
        margin=margin(carried, carries),
        peak=peak,
        margin_peak=margin(carried, peak),
        height_start=line.start,
        height_end=line.start + grown,
        width=width,
        height_over_width=None if width is None else (line.start + grown) / width,
        layers_start=len(first),
        layers_end=len(first) + len(then),
        pieces_start=_counted(first, timber.per_layer),
        pieces_added=_counted(then, timber.per_layer),
        timbers=(len(first) + len(then)) * timber.per_layer,
        wedge=max(0.0, min(crib.wedge, grown - sum(then))),
    )


def outside_width(timber: Timber) -> float | None:
    """How wide a crib is between the outsides of its outermost timbers [m]: the tails do not count."""
    if timber.length is None or timber.side is None:
        return None
    return max(timber.side, timber.length - 2 * timber.side)


def _counted(layers: list[float], per_layer: int) -> dict[str, int]:
    """How many timbers of each height [mm]."""
    heights = sorted(set(layers), reverse=True)
    return {f"{height * 1e3:.4g}": per_layer * layers.count(height) for height in heights}


def crib_findings(course: Course, name: str, crib: CribLoad) -> Iterator[Finding]:
    """Capacity, species, height."""
    factor, by = course.scenario.limits.design_factor, course.scenario.limits.factor_said
    load = up(crib.carries, "force")
    if crib.capacity is None:
        yield finding("caution", Check.CRIB_UNSIZED, name, crib.carries, None, "N", "not given in the file", load=load)
    else:
        if not crib.carries * factor <= crib.capacity:
            said: dict[str, Part] = {"load": load, "factor": by, "capacity": down(crib.capacity, "force")}
            value, source = crib.carries * factor, crib.stress_source
            yield finding("stop", Check.CRIB_OVER, name, value, crib.capacity, "N", source, **said)
        elif crib.peak is not None and not crib.peak * factor <= crib.capacity:
            said = {"peak": up(crib.peak, "force"), "factor": by, "capacity": down(crib.capacity, "force")}
            value, source = crib.peak * factor, crib.stress_source
            yield finding("stop", Check.CRIB_OVER_AT_PEAK, name, value, crib.capacity, "N", source, **said)
        yield from _species(name, crib)
    widths = table()["rule"]["widths_high"]
    if crib.width is None:
        yield finding("caution", Check.CRIB_WIDTH_UNKNOWN, name, source="not given in the file")
    elif not crib.height_end <= widths * crib.width + EXACT:
        most = widths * crib.width
        said = {"high": up(crib.height_end, "length"), "widths": str(widths), "most": down(most, "length")}
        source = table()["rule"]["height_source"]
        yield finding("stop", Check.CRIB_TALL, name, crib.height_end, most, "m", source, **said)


def _species(name: str, crib: CribLoad) -> Iterator[Finding]:
    """Where the rule of thumb promises more than the timber bears, or nothing is known of the timber."""
    stress = species_stress(crib.species, crib.wet) if crib.species else None
    if stress is None:
        source = f"{ASSUMED}; {table()['rule']['source']}"
        if crib.species:
            yield finding("caution", Check.CRIB_SPECIES_UNLISTED, name, source=source, species=crib.species)
        else:
            yield finding("caution", Check.CRIB_SPECIES_UNKNOWN, name, source=source)
    elif crib.capacity_by_rule is not None and stress < rule_stress():
        species = f"{crib.species}, wet," if crib.wet else crib.species
        said: dict[str, Part] = {
            "species": species,
            "stress": down(stress, "pressure"),
            "rule": near(rule_stress(), "pressure"),
        }
        source = table()["species"]["source"]
        yield finding("note", Check.CRIB_SPECIES_WEAK, name, stress, rule_stress(), "Pa", source, **said)
