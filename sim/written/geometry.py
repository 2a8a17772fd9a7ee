"""Whether the geometry of a scenario can make the lift it asks for, over the whole need."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sim.model.devices import EXACT
from sim.model.errors import Problem
from sim.model.motion import Motion, motion_of
from sim.model.scenario import Lifter, Scenario, Station
from sim.model.units import show
from sim.written.stages import heights

LEAST = 1e-3  # a line shorter than this [m] has no direction that anybody could have measured


def geometry_problems(scenario: Scenario) -> list[Problem]:
    """A height out of reach, a line that does not lengthen, a lifter that turns the load down.

    Parameters
    ----------
    scenario : Scenario
        All of it valid but for its geometry.

    Returns
    -------
    list of Problem
        Empty, if the need and every stage can be reached with every line lengthening and every lifter's arm positive.
    """
    motion = motion_of(scenario.load)
    found = list(_of_heights(scenario, motion))
    highest = max(rise for _, rise in heights(scenario))
    reach = 0.0 if found else motion.u_for_rise(scenario.need.point, highest)
    for lifter in scenario.lifters:
        place = f'lifter "{lifter.name}"'
        found += _of_line(place, lifter, motion, reach) or _of_arm(place, lifter, motion, reach)
    for station in scenario.stations:
        found += _of_line(f'station "{station.name}"', station, motion, reach)
    places: list[Lifter | Station] = [*scenario.lifters, *scenario.stations]
    for spot in places:
        found += _of_give(spot)
    found += _of_weight(scenario, motion, reach)
    return found or list(_of_start(scenario, motion))


def _of_heights(scenario: Scenario, motion: Motion) -> Iterator[Problem]:
    """The point can rise as far as it has to, and as far as each stage says."""
    beyond = [(at, rise) for at, rise in heights(scenario) if math.isnan(motion.u_for_rise(scenario.need.point, rise))]
    x, _, z = scenario.need.point
    if beyond and not x > 0:
        yield Problem("need.point[0]", "the point is not ahead of the pivot", "x runs to the lifting end")
        return
    high = scenario.load.pivot_height
    most = show(math.hypot(x, z - high) + high - z, "length", scenario.units)
    for place, rise in beyond:
        got = show(rise, "length", scenario.units)
        what = f"the point cannot rise by {got}: turning about the pivot, {most} is the most"
        yield Problem(place, what, "check the rise, the point and the height of the pivot")


def _of_line(place: str, spot: Lifter | Station, motion: Motion, reach: float) -> list[Problem]:
    """The line from base to head gets longer and longer as the load rises."""
    if not math.dist(spot.head, spot.base) >= LEAST:
        return [Problem(f"{place} > base", "is where the head is", "it stands below the head, or beside it")]
    line = motion.line(spot.head, spot.base)
    if not line.lengthens:
        what = "the line from base to head does not get longer when the load moves"
        return [Problem(f"{place} > base", what, "check the signs, and that it pushes the load up and not down")]
    if not line.last_u > reach:
        what = "the line from base to head stops getting longer before the load is as high as it has to go"
        return [Problem(f"{place} > base", what, "stand it steeper, or nearer to under its head")]
    return []


def _of_arm(place: str, lifter: Lifter, motion: Motion, reach: float) -> list[Problem]:
    """The lifter's push turns (or lifts) the load up, at the start and at the end."""
    if not min(motion.arm(lifter.head, lifter.base, 0.0), motion.arm(lifter.head, lifter.base, reach)) > 0:
        return [Problem(f"{place} > base", "the lifter would turn the load down", "its arm must stay positive")]
    if not motion.lever(lifter.head, 0.0) > 0:
        return [Problem(f"{place} > head[0]", "the lifter is not ahead of the pivot", "x runs to the lifting end")]
    return []


def _of_give(spot: Lifter | Station) -> Iterator[Problem]:
    """Something gives where a load is stopped: nothing is stopped in no way at all."""
    tie = spot.tie if isinstance(spot, Station) else None
    if spot.give == 0 and not (tie and tie.elongation):
        where = f'{"lifter" if isinstance(spot, Lifter) else "station"} "{spot.name}" > give'
        hint = 'write how far it gives under that load, such as "3 mm"; leave it out where nobody knows'
        yield Problem(where, "is nought, and no stretch of a tie is written: the peak of a drop would be endless", hint)


def _of_weight(scenario: Scenario, motion: Motion, reach: float) -> Iterator[Problem]:
    """There is a weight to raise, and the load does not topple over its pivot on the way."""
    if not motion.lever(scenario.load.cg, 0.0) > 0:
        yield Problem("load.cg[0]", "the centre of gravity is not ahead of the pivot", "there is nothing to lift")
    elif not motion.lever(scenario.load.cg, reach) > 0:
        yield Problem(
            "load.cg[0]",
            "the centre of gravity passes over the pivot",
            "it would topple before it is as high as it has to go",
        )


def _of_start(scenario: Scenario, motion: Motion) -> Iterator[Problem]:
    """A lift that begins half-way: its rams have come as far by then, unless they may have been packed up."""
    u = motion.u_for_rise(scenario.need.point, scenario.start)
    for lifter in scenario.lifters if scenario.start > 0 and scenario.reset is None else ():
        moved = scenario.load.take_up + float(motion.line(lifter.head, lifter.base).demand(u))
        if moved > lifter.travel + EXACT:
            far, travel = (show(each, "length", scenario.units) for each in (moved, lifter.travel))
            what = f'the ram of "{lifter.name}" would have moved {far} by then, and it can move {travel}'
            yield Problem("start.rise", what, "a lower rise; or [reset], which lets it stand there packed up")
