"""How long a lift can get, before anyone simulates it: strokes, the places they pass, pieces, clicks and holes.

Each key has its own bounds; together they still allow lifts that would take days, and all the memory there is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from sim.model.devices import Crib, Device
from sim.model.errors import Problem
from sim.model.motion import Line, Motion, motion_of
from sim.model.scenario import Lifter, Scenario, Station
from sim.written.keys.places import MOST_CALLS
from sim.written.stages import heights

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
        "travel and travel_per_pump, spacing, click and pieces" + "; step" * bool(scenario.stages)
    )
    yield Problem("the file", what, hint)


def work_of(scenario: Scenario) -> tuple[int, int]:
    """How long a lift can get: strokes times the places that follow them, and steps of their work."""
    motion = motion_of(scenario.load)
    down = tuple(_ways_down(scenario, motion))
    passed = sum(_strokes(scenario, x, motion, down) * (1 + len(places_of(scenario, x))) for x in scenario.lifters)
    return passed, sum(_steps(scenario, place, motion, down) for place in scenario.places)


def places_of(scenario: Scenario, lifter: Lifter) -> list[Lifter | Station]:
    """What follows the side of a lifter."""
    return [place for place in scenario.places if place.side in (lifter.side, "both")]


def most_strokes(scenario: Scenario, lifter: Lifter) -> int:
    """So many strokes until the calls or the ram's travel are used up; a lift that is re-set may need more travel."""
    motion = motion_of(scenario.load)
    return _strokes(scenario, lifter, motion, tuple(_ways_down(scenario, motion)))


@dataclass(frozen=True, slots=True)
class WayDown:
    """From where to where a lowering stage brings the load, and how far one call can."""

    high: float  # u [rad or m]
    low: float
    room: float  # along the line of a place [m]

    def calls(self, line: Line) -> int:
        """So many until the line of a place is as much shorter."""
        return min(MOST_CALLS, math.ceil((line.demand(self.high) - line.demand(self.low)) / self.room))


def _ways_down(scenario: Scenario, motion: Motion) -> Iterator[WayDown]:
    at, point = scenario.start, scenario.need.point
    for stage in scenario.stages:
        if stage.do == "lower":
            high, low = (motion.u_for_rise(point, rise) for rise in (at, stage.to))
            yield WayDown(high, low, stage.led(scenario.leader).room)
        at = at if stage.do == "hold" else stage.to


def _times_up(scenario: Scenario) -> int:
    """How often it is raised from below: once, and again after each way down."""
    done = [stage.do for stage in scenario.job if stage.do != "hold"]
    return 1 + sum(before == "lower" and then == "raise" for before, then in pairwise(done))


def _strokes(scenario: Scenario, lifter: Lifter, motion: Motion, down: Sequence[WayDown]) -> int:
    if lifter.travel_per_pump is not None:
        full = lifter.travel_per_pump
    else:
        assert lifter.pump is not None and lifter.ram_area is not None
        full = min(lifter.pump.first_stage, lifter.pump.second_stage) / lifter.ram_area
    highest = max(rise for _, rise in heights(scenario))
    travel = lifter.travel + (highest if scenario.reset else 0.0)
    up = _times_up(scenario) * math.ceil(travel / (full * lifter.operator.fill.mean))
    lines = [motion.line(place.head, place.base) for place in places_of(scenario, lifter)]
    freeing = sum(1 + max((way.calls(line) for line in lines), default=0) for way in down)
    a_call = max(stage.led(scenario.leader).strokes for stage in scenario.job)
    return min(scenario.leader.max_calls * a_call, up + freeing)


def _steps(scenario: Scenario, place: Lifter | Station, motion: Motion, down: Sequence[WayDown]) -> int:
    """So many pieces, clicks, holes and links until its line is as long as the rams can make it, and short again."""
    line, longest = motion.line(place.head, place.base), _longest(scenario, place, motion)
    calls = sum(way.calls(line) for way in down)
    times = _times_up(scenario) + len(down)
    return sum(times * math.ceil(longest / device.finest) + calls * _anew(device) for device in place.capture)


def _anew(device: Device) -> int:
    """Steps of one lowering call besides those that let it down: wedges out and in, and what fits put back."""
    return 2 + math.ceil(max(device.pieces) / device.finest) if isinstance(device, Crib) else 1


def _longest(scenario: Scenario, place: Lifter | Station, motion: Motion) -> float:
    """How far the line of a place lengthens at the most [m]: what the travel gives, as far as the load can turn."""
    line = motion.line(place.head, place.base)
    most = 0.0
    for lifter in scenario.lifters:
        ram = motion.line(lifter.head, lifter.base)
        u = min(float(ram.u_at(max(0.0, lifter.travel - scenario.load.take_up))), line.last_u)
        most = max(most, float(line.demand(u)))
    return most
