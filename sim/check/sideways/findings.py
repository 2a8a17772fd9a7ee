"""What is found of a load that wants to move sideways: pivot, feet, sides that lean unalike, points it can roll over.

Needed over what holds it is a stop; where what holds it is not known, a caution. Nothing here says that it holds.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sim.check.course import STEPS, Course
from sim.check.figures import times_up
from sim.check.findings import Check, Finding, Level, finding
from sim.check.lifters import LifterLoad
from sim.check.sideways.at_peak import on_the_contacts, pivot_at_peak_findings
from sim.check.sideways.equilibrium import SLIGHT, Equilibrium, Push, on_its_lifters
from sim.check.sideways.feet import STEEL_ON_CONCRETE, lifter_foot_findings, strut_foot_findings
from sim.check.sideways.heads import head_findings, lifter_tie_findings
from sim.check.sideways.held import held_so_far, what_is_not_given
from sim.check.stations import StationLoad
from sim.model.devices import EXACT
from sim.model.motion import AnyFloats
from sim.model.scenario import Lifter, Point, Station
from sim.model.sentences import Part, down, up

UNALIKE = 0.02  # what one side leans more than the other, across over up: about a degree
NOT_GIVEN = "statics; what holds it is not in the file"
WAYS = {True: "ahead", False: "back"}


def sideways_findings(
    course: Course, lifters: dict[str, LifterLoad], stations: dict[str, StationLoad]
) -> Iterator[Finding]:
    """Everything that wants to move the load or a foot sideways."""
    scenario = course.scenario
    u = np.linspace(0.0, max(course.tops.values()), STEPS)
    pushes, found = on_its_lifters(scenario, course.motion, u)
    if scenario.load.motion == "hinged":
        yield from _pivot(course, found)
        yield from pivot_at_peak_findings(course)
    for lifter, pushed in zip(scenario.lifters, pushes, strict=True):
        yield from lifter_foot_findings(lifter, pushed)
        yield from lifter_tie_findings(course, lifter, lifters[lifter.name])
    yield from head_findings(course, pushes)
    if len(pushes) == 2:
        yield from _unalike(pushes, scenario.lifters, found)
    for station in scenario.stations:
        yield from strut_foot_findings(station, stations[station.name])
        yield from _strut(station, stations[station.name], scenario.load.weight)
    yield from _rolls(course)


def _pivot(course: Course, found: Equilibrium) -> Iterator[Finding]:
    """What holds it against what pushes it fore and aft, and the friction it needs."""
    load, pivot = course.scenario.load, course.scenario.pivot
    each = on_the_contacts(found)  # on the pivot: ahead is positive
    flat = float(np.hypot(np.asarray(found.pushed[0]), np.asarray(found.pushed[1])).max())
    needed = max(float(np.abs(part).max()) for part in each)
    if max(flat, needed) <= SLIGHT * load.weight:
        return
    worst = max((float(part[np.argmax(np.abs(part))]) for part in each), key=abs)
    ways = {bool(sign > 0) for part in each for sign in (part.min(), part.max()) if abs(sign) > SLIGHT * load.weight}
    said = {"push": up(flat, "force"), "each": up(needed, "force")}
    if pivot.held == "nothing":
        yield finding("stop", Check.PIVOT_HELD_BY_NOTHING, "pivot", flat, 0.0, "N", "statics; the file", **said)
    elif pivot.held in ("chocked-ahead", "chocked-behind") and (pivot.held == "chocked-behind") in ways:
        way = WAYS[pivot.held == "chocked-behind"]
        yield finding("stop", Check.PIVOT_CHOCKED_WRONG, "pivot", abs(worst), 0.0, "N", "statics", way=way, **said)
    elif pivot.holds is not None and needed > pivot.holds:
        most = down(pivot.holds, "force")
        yield finding(
            "stop", Check.PIVOT_OVER, "pivot", needed, pivot.holds, "N", "statics; the file", most=most, **said
        )
    elif pivot.holds is None or found.left is None:
        source, held = what_is_not_given(pivot), held_so_far(pivot)
        yield finding("caution", Check.PIVOT_PUSHED, "pivot", flat, None, "N", source, held=held, **said)
    if course.scenario.load.weight_known:
        yield from _grip(course, found)


def _grip(course: Course, found: Equilibrium) -> Iterator[Finding]:
    """Friction under the pivot: for all of the push, or for what goes across where chocks take the rest."""
    pivot = course.scenario.pivot
    if found.left is None or found.right is None or found.pivot is None:
        return  # contacts not known: PIVOT_PUSHED says so
    chocked = pivot.held is not None and pivot.held.startswith("chocked")
    grip = 0.0
    for name, contact in (("left", found.left), ("right", found.right)):
        onto = np.asarray(contact.onto)
        if onto.min() < 0 < float(np.asarray(found.pivot[2]).min()):
            pull = up(-float(onto.min()), "force")
            yield finding(
                "stop", Check.PIVOT_PULLS, "pivot", float(onto.min()), 0.0, "N", "statics", side=name, pull=pull
            )
            return
        flat = np.abs(np.asarray(contact.force[1])) if chocked else np.asarray(contact.across)
        grip = max(grip, float(np.divide(flat, onto, out=np.zeros_like(onto), where=onto > 0).max()))
    low, high = pivot.friction or STEEL_ON_CONCRETE
    if grip <= (low if pivot.friction else 1e-6):
        return
    level: Level = "stop" if pivot.friction and grip > high else "caution"
    has = f"{low:g} to {high:g} in the file" if pivot.friction else "not known"
    source = f"statics; {'the file' if pivot.friction else '`friction` is not in the file'}"
    yield finding(level, Check.PIVOT_PUSHED_GRIP, "pivot", grip, high, "", source, grip=times_up(grip), has=has)


def _unalike(pushes: list[Push], lifters: tuple[Lifter, ...], found: Equilibrium) -> Iterator[Finding]:
    """Sides that do not lean as each other's mirror turn the load about the vertical."""
    (x, y, z), (other_x, other_y, other_z) = (pushed.force for pushed in pushes)
    if float(np.min([z, other_z])) <= 0:
        return
    off = np.hypot(np.asarray(x / z - other_x / other_z), np.asarray(y / z + other_y / other_z))
    span = math.dist(lifters[0].head[:2], lifters[1].head[:2])
    if float(off.max()) > UNALIKE and span > EXACT:
        turning = _most(found.turning) / span
        yield finding("caution", Check.LOAD_TURNED, "load", turning, 0.0, "N", NOT_GIVEN, push=up(turning, "force"))


def _most(values: AnyFloats) -> float:
    return float(np.abs(np.asarray(values)).max())


def _strut(station: Station, load: StationLoad, weight: float) -> Iterator[Finding]:
    """A strut that catches a drop pushes the load sideways, unless its tie closes that within the load."""
    if (station.tie is not None and station.tie.to == "load") or not load.stops_first or load.static_worst <= 0:
        return
    flat = math.hypot(load.thrust_along, load.thrust_across)
    if flat <= 0.01 * weight:
        return
    if load.peak is None:
        yield finding(
            "caution", Check.STRUT_PUSHES_UNKNOWN, station.name, flat, None, "N", NOT_GIVEN, push=up(flat, "force")
        )
        return
    peak = flat * load.peak / load.static_worst
    yield finding("caution", Check.STRUT_PUSHES, station.name, peak, None, "N", NOT_GIVEN, push=up(peak, "force"))


def _rolls(course: Course) -> Iterator[Finding]:
    """A straight load on one or two points, its centre of gravity above them: it can roll about their line."""
    load, lifters, stations = course.scenario.load, course.scenario.lifters, course.scenario.stations
    above = load.cg[2] - max(x.head[2] for x in lifters)
    if load.motion != "straight" or above <= EXACT:
        return
    points = [x.head for x in lifters]
    said: dict[str, Part] = {"above": up(above, "length")}
    if not _held_all_round(points, [x.head for x in stations]):
        yield finding("stop", Check.LOAD_ROLLS, "load", above, 0.0, "m", "statics", **said)
    elif (free := _free_to_roll(course, points)) is None:
        yield finding("caution", Check.LOAD_CAN_ROLL, "load", above, 0.0, "m", "statics", **said)
    else:
        limit = course.scenario.limits.gap
        more: dict[str, Part] = {"when": free.when, "gap": up(free.gap, "length"), "most": down(limit, "length")}
        yield finding(
            "stop", Check.LOAD_ROLLS_FREE, "load", free.gap, limit, "m", "statics; as it went", **said, **more
        )


@dataclass(frozen=True, slots=True)
class FreeToRoll:
    """When nothing is near enough to keep a load from rolling, and how far off the farthest is [m]."""

    when: str
    gap: float


def _free_to_roll(course: Course, points: list[Point]) -> FreeToRoll | None:
    """The first time at rest, before a call or at the end, that no stations all round are within the gap limit.

    One that is open just then is said to be, and not held against it: somebody has its pin in hand.
    """
    lift, limit = course.measured, course.scenario.limits.gap
    stations = [(x.head, lift.places[x.name], lift.places[x.name].gap()) for x in course.scenario.stations]
    for n, time in enumerate([*lift.call_times.tolist(), lift.end]):
        at, end = np.array([time]), n == len(lift.call_times)
        if max(float(side.just_before(at)[0]) for side in lift.sides.values()) <= EXACT:
            continue  # it rests where it stood
        near, far = [], []
        for head, place, gap in stations:
            behind = float((gap.just_after(at) if end else gap.just_before(at))[0])
            if behind <= limit + EXACT or place.flag_before(place.open, at)[0]:
                near.append(head)
            else:
                far.append(behind)
        if not _held_all_round(points, near):
            return FreeToRoll("at the end" if end else f"when call {n + 1} is made", max(far))
    return None


def _held_all_round(points: list[Point], beside: list[Point]) -> bool:
    """Whether stations stand on every side of the point, or on both sides of the two points' line, seen from above."""
    x, y = points[0][:2]
    if len(points) == 2 and math.dist(points[0][:2], points[1][:2]) > EXACT:
        along = points[1][0] - x, points[1][1] - y
        span = math.hypot(*along)
        off = [((p[0] - x) * along[1] - (p[1] - y) * along[0]) / span for p in beside]
        return any(o > EXACT for o in off) and any(o < -EXACT for o in off)
    ways = sorted(math.atan2(p[1] - y, p[0] - x) for p in beside if math.dist(p[:2], (x, y)) > EXACT)
    gaps = [b - a for a, b in zip(ways, [*ways[1:], ways[0] + 2 * math.pi], strict=True)] if ways else [2 * math.pi]
    return max(gaps) < math.pi - EXACT
