"""What has to stay in balance besides the lifters: the pivot, and the centre of gravity between the lifters."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sim.check.course import STEPS, Course
from sim.check.figures import of
from sim.check.findings import COMMON, Check, Finding, Level, finding
from sim.check.lifters import largest
from sim.check.sideways.equilibrium import on_its_lifters
from sim.model.devices import EXACT
from sim.model.loads import lever_share
from sim.model.scenario import Scenario
from sim.model.sentences import Part, up
from sim.record.series import Array

BESIDE = 0.01  # off the lifters' line by more than this [m], a straight lift's load wants to roll


@dataclass(frozen=True, slots=True, kw_only=True)
class PivotLoad:
    """What the pivot bears, both sides level. It pushes the ground (or the load its chocks): ahead, left positive."""

    along: float = of("N")  # the largest of its size
    across: float = of("N")
    down_least: float = of("N")  # what stands on it, at the least
    grip_needed: float | None  # friction coefficient that would hold it without chocks, at the most


def reactions(course: Course, u: Array) -> tuple[Array, Array, Array]:
    """What holds the load besides its lifters, x, y and z, both sides at u: shape (n,) each [N]."""
    along, across, up = on_its_lifters(course.scenario, course.motion, u)[1].pushed
    return -np.asarray(along), -np.asarray(across), course.scenario.load.weight - np.asarray(up)


def pivot_load(course: Course) -> PivotLoad:
    """What the pivot of a hinged load bears, over the lift; of a straight one what is left for friction and guys."""
    u = np.linspace(0.0, max(course.tops.values()), STEPS)
    along, across, up = reactions(course, u)
    flat = np.hypot(along, across)
    hinged = course.scenario.load.motion == "hinged"
    known = course.scenario.load.weight_known and hinged and bool(np.all(up > 0))
    return PivotLoad(
        along=-largest(along),
        across=-largest(across),
        down_least=float(up.min()) if hinged and course.scenario.load.weight_known else math.nan,
        grip_needed=float(np.max(flat / up)) if known else None,
    )


def balance_findings(course: Course, pivot: PivotLoad) -> Iterator[Finding]:
    """A pivot that comes off the ground, a straight load that is pushed, and where the centre of gravity is."""
    scenario = course.scenario
    flat = math.hypot(pivot.along, pivot.across)
    if scenario.load.motion == "hinged":
        if pivot.down_least <= 0:
            yield finding("stop", Check.PIVOT_LIFTED, "pivot", pivot.down_least, 0.0, "N", "statics")
    elif flat > 1e-6 * scenario.load.weight:
        yield finding("caution", Check.LOAD_PUSHED, "load", flat, 0.0, "N", "statics", push=up(flat, "force"))
    yield from _centre_of_gravity(course)


def _centre_of_gravity(course: Course) -> Iterator[Finding]:
    """Between the lifters, and on their line."""
    load, lifters = course.scenario.load, course.scenario.lifters
    source = "statics: one side would have to pull"
    if len(lifters) == 2:
        one, other = lifters
        try:
            share = lever_share((one.head, other.head), load.cg, load.motion)
        except ZeroDivisionError:
            yield finding("caution", Check.HEADS_IN_LINE, "load")
            return
        if not 0 <= share <= 1:
            beyond = (one if share > 1 else other).name
            most = 1.0 if share > 1 else 0.0
            yield finding("stop", Check.CG_OUTSIDE, "load", share, most, "", source, lifter=beyond)
        elif abs(share - one.share) > 0.01:
            said = {"lifter": one.name, "given": f"{one.share:.0%}", "has": f"{share:.0%}"}
            yield finding("note", Check.SHARE_GIVEN, "load", one.share, share, "", "statics: the lever rule", **said)
    beside = off_line(course)
    if beside > BESIDE:
        level: Level = "stop" if load.motion == "straight" else "caution"
        source = f"statics; {COMMON}"
        yield finding(level, Check.CG_BESIDE, "load", beside, 0.0, "m", source, off=up(beside, "length"))


def side_findings(scenario: Scenario) -> Iterator[Finding]:
    """A lifter or station written on one side of the load, and its head on the other side of the centreline."""
    for place in scenario.places:
        across = place.head[1]  # left is positive
        if (place.side == "left" and across < -EXACT) or (place.side == "right" and across > EXACT):
            said: dict[str, Part] = {"side": place.side, "other": "right" if place.side == "left" else "left"}
            off = up(abs(across), "length")
            yield finding("stop", Check.WRONG_SIDE, place.name, abs(across), 0.0, "m", "the file", off=off, **said)


def off_line(course: Course) -> float:
    """How far the centre of gravity is beside the line of the lifters' heads, seen from above [m].

    On a hinged load only across, and only of a single lifter; two take their parts by the lever rule.
    """
    load, heads = course.scenario.load, [x.head for x in course.scenario.lifters]
    if load.motion == "hinged":
        return abs(load.cg[1] - heads[0][1]) if len(heads) == 1 else 0.0
    x, y = load.cg[0] - heads[0][0], load.cg[1] - heads[0][1]
    if len(heads) == 1:
        return math.hypot(x, y)
    along, across = heads[1][0] - heads[0][0], heads[1][1] - heads[0][1]
    span = math.hypot(along, across)
    return abs(x * across - y * along) / span if span > EXACT else math.hypot(x, y)
