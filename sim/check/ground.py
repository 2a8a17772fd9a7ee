"""What the ground bears under every foot, and how near a hole it is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sim.check.course import Course
from sim.check.figures import margin, of
from sim.check.findings import COMMON, Check, Finding, finding
from sim.check.lifters import LifterLoad
from sim.check.stations import StationLoad
from sim.model.devices import EXACT, Crib
from sim.model.scenario import Ground, Lifter, Station
from sim.model.sentences import Part, down, up
from sim.model.soil import SOURCE

HARD = ("paving", "slab")
FIRM = "29 CFR 1910.244(a)(2)(i): block the base where there is no firm foundation"


@dataclass(frozen=True, slots=True, kw_only=True)
class Foot:
    """One foot, base plate or crib on the ground."""

    force: float = of("N")  # straight down, at rest, the most
    peak: float | None = of("N")  # at the peak of a drop; None: not known, or no drop
    base_area: float | None = of("m2")
    area_source: str
    pressure: float | None = of("Pa")
    bearing: float | None = of("Pa")
    margin: float | None
    pressure_peak: float | None = of("Pa")
    margin_peak: float | None
    area_needed: float | None = of("m2")


def feet(course: Course, lifters: dict[str, LifterLoad], stations: dict[str, StationLoad]) -> dict[str, Foot]:
    """Every foot on the ground, by the name of its place."""
    bearing = course.scenario.ground.bearing
    found = {}
    for lifter in course.scenario.lifters:
        found[lifter.name] = _foot(lifter, lifters[lifter.name].foot_force, lifters[lifter.name].foot_peak, bearing)
    for station in course.scenario.stations:
        found[station.name] = _foot(
            station, stations[station.name].foot_force, stations[station.name].foot_peak, bearing
        )
    return found


def _foot(place: Lifter | Station, force: float, peak: float | None, bearing: float | None) -> Foot:
    area, source = _area(place)
    pushes = force >= 0  # pulled up, a foot presses on nothing
    pressure = None if area is None or not pushes else force / area
    at_peak = None if area is None or peak is None or not pushes else peak / area
    return Foot(
        force=force,
        peak=peak,
        base_area=area,
        area_source=source,
        pressure=pressure,
        bearing=bearing,
        margin=margin(bearing, pressure),
        pressure_peak=at_peak,
        margin_peak=margin(bearing, at_peak),
        area_needed=None if bearing is None or not pushes else force / bearing,
    )


def _area(place: Lifter | Station) -> tuple[float | None, str]:
    """Of its foot as given; of a crib without one what its lowest layer covers."""
    if place.base_area is not None:
        return place.base_area, "given in the file"
    cribs = [device for device in place.capture if isinstance(device, Crib)]
    if len(cribs) == len(place.capture) == 1:
        timber = cribs[0].timber
        if timber.side is not None and timber.length is not None:
            return timber.per_layer * timber.side * timber.length, "the lowest layer of the crib"
    return None, ""


def ground_findings(course: Course, found: dict[str, Foot]) -> Iterator[Finding]:
    """Ground that bears nothing that anybody could vouch for, feet that are too small, a hole that is too near."""
    ground = course.scenario.ground
    yield from _class(ground)
    yield from _edge(ground)
    for name, foot in found.items():
        yield from _of_foot(ground, name, foot)


def _class(ground: Ground) -> Iterator[Finding]:
    if ground.bearing is not None:
        return
    if ground.soil in HARD:
        yield finding("caution", Check.GROUND_UNCLASSED, "ground", source=SOURCE, soil=ground.soil)
    elif ground.soil:
        yield finding("stop", Check.GROUND_BEARS_NOTHING, "ground", source=f"{SOURCE}: no value", soil=ground.soil)
    else:
        yield finding("caution", Check.GROUND_UNKNOWN, "ground", source="not given in the file")


def _edge(ground: Ground) -> Iterator[Finding]:
    if ground.edge is None or ground.depth is None or ground.edge >= ground.depth - EXACT:
        return
    near, deep = down(ground.edge, "length"), up(ground.depth, "length")
    yield finding("stop", Check.GROUND_EDGE, "ground", ground.edge, ground.depth, "m", COMMON, near=near, deep=deep)


def _of_foot(ground: Ground, name: str, foot: Foot) -> Iterator[Finding]:
    subject, force = f"{name} foot", up(foot.force, "force")
    area = None if foot.area_needed is None else up(foot.area_needed, "area")
    if foot.force < 0:
        return  # pulled up: its lifter or station says so
    if foot.base_area is None:
        said: dict[str, Part] = {"force": force} if area is None else {"force": force, "area": area}
        which = Check.FOOT_UNSIZED if area is None else Check.FOOT_UNSIZED_NEEDS
        yield finding("caution", which, subject, foot.force, None, "N", FIRM, **said)
    elif foot.pressure is not None and foot.bearing is not None and not foot.pressure <= foot.bearing:
        assert area is not None
        said = {"got": up(foot.pressure, "bearing"), "most": down(foot.bearing, "bearing"), "area": area}
        source = f"{ground.bearing_source}; {FIRM}"
        yield finding("stop", Check.FOOT_OVER, subject, foot.pressure, foot.bearing, "Pa", source, **said)
    elif foot.pressure_peak is not None and foot.bearing is not None and not foot.pressure_peak <= foot.bearing:
        said = {"got": up(foot.pressure_peak, "bearing"), "most": down(foot.bearing, "bearing")}
        value, source = foot.pressure_peak, f"{ground.bearing_source}; {FIRM}"
        yield finding("stop", Check.FOOT_OVER_AT_PEAK, subject, value, foot.bearing, "Pa", source, **said)
    elif foot.pressure is not None and ground.soil in HARD:
        said = {"got": up(foot.pressure, "bearing"), "soil": ground.soil}
        yield finding("caution", Check.FOOT_UNCLASSED, subject, foot.pressure, None, "Pa", SOURCE, **said)
