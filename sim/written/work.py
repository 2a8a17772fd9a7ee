"""How long a lift can get, before anyone simulates it: strokes, the places they pass, pieces, clicks and holes.

Each key has its own bounds; together they still allow lifts that would take days, and all the memory there is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from sim.model.errors import Problem
from sim.model.motion import Motion, motion_of
from sim.model.scenario import Lifter, Scenario, Station

MOST_WORK = 300_000  # strokes times places, and steps of work: simulated, measured and drawn in 92 s, in 1.3 GB
LONG = 60_000  # from here on it is said before it starts: a person would think that it hangs


def work_problems(scenario: Scenario) -> Iterator[Problem]:
    """A lift that would take too long to simulate.

    Parameters
    ----------
    scenario : Scenario
        All of it valid, its geometry too.

    Yields
    ------
    Problem
        One, if there would be more than `MOST_WORK`.
    """
    passed, steps = work_of(scenario)
    if passed + steps <= MOST_WORK:
        return
    strokes = sum(most_strokes(scenario, lifter) for lifter in scenario.lifters)
    what = (
        f"the lift is too long to simulate: up to {strokes:,} strokes, "
        f"{len(scenario.places):,} places that follow them, {steps:,} steps of their work"
    )
    hint = (
        f"strokes times places, and steps, may be {MOST_WORK:,} at most: see leader.max_calls and leader.strokes, "
        "travel and travel_per_pump, spacing, click and pieces"
    )
    yield Problem("the file", what, hint)


def work_of(scenario: Scenario) -> tuple[int, int]:
    """How long a lift can get: strokes times the places that follow them, and steps of their work."""
    motion = motion_of(scenario.load)
    passed = sum(most_strokes(scenario, x) * (1 + len(places_of(scenario, x))) for x in scenario.lifters)
    return passed, sum(most_steps(scenario, place, motion) for place in scenario.places)


def places_of(scenario: Scenario, lifter: Lifter) -> list[Lifter | Station]:
    """What follows the side of a lifter."""
    return [place for place in scenario.places if place.side in (lifter.side, "both")]


def most_strokes(scenario: Scenario, lifter: Lifter) -> int:
    """So many strokes until the calls or the ram's travel are used up; a lift that is re-set may need more travel."""
    if lifter.travel_per_pump is not None:
        full = lifter.travel_per_pump
    else:
        assert lifter.pump is not None and lifter.ram_area is not None
        full = min(lifter.pump.first_stage, lifter.pump.second_stage) / lifter.ram_area
    travel = lifter.travel + (scenario.need.rise if scenario.reset else 0.0)
    leader = scenario.leader
    return min(leader.max_calls * leader.strokes, math.ceil(travel / (full * lifter.operator.fill.mean)))


def most_steps(scenario: Scenario, place: Lifter | Station, motion: Motion) -> int:
    """So many pieces, clicks, holes and links until its line has lengthened as far as the rams can make it."""
    longest = _longest(scenario, place, motion)
    return sum(math.ceil(longest / device.finest) for device in place.capture)


def _longest(scenario: Scenario, place: Lifter | Station, motion: Motion) -> float:
    """How far the line of a place lengthens at the most [m]: what the travel gives, as far as the load can turn."""
    line = motion.line(place.head, place.base)
    most = 0.0
    for lifter in scenario.lifters:
        ram = motion.line(lifter.head, lifter.base)
        u = min(float(ram.u_at(max(0.0, lifter.travel - scenario.load.take_up))), line.last_u)
        most = max(most, float(line.demand(u)))
    return most
