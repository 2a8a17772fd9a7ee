"""Whether the stages of a lift lead on from each other: each from where the load is by then."""

from __future__ import annotations

from collections.abc import Iterator

from sim.model.devices import EXACT
from sim.model.errors import Problem
from sim.model.scenario import Scenario, Stage
from sim.model.units import show
from sim.written.keys.quantities import SMALLEST_ROOM

RAISED_FIRST = 'a [[stage]] with do = "raise" before it, or a [start] that says how high the load is'


def stage_place(number: int) -> str:
    """How people are told which stage, counted from 1."""
    return f"stage #{number}"


def heights(scenario: Scenario) -> list[tuple[str, float]]:
    """How high the needed point is to be at one time or another [m], each with the place that says so."""
    raised = [(stage_place(n), each) for n, each in enumerate(scenario.stages, 1) if each.do != "hold"]
    found = [("need.rise", scenario.need.rise), *((f"{place} > to", each.to) for place, each in raised)]
    return [*found, ("start.rise", scenario.start)]


def stage_problems(scenario: Scenario) -> list[Problem]:
    """A stage that cannot follow on the one before it, a hold that nothing holds.

    Parameters
    ----------
    scenario : Scenario
        All of it valid but for its stages.

    Returns
    -------
    list of Problem
        Empty where each stage begins where the one before it ended.
    """
    found = list(_of_start(scenario))
    at = scenario.start
    for number, stage in enumerate(scenario.stages, 1):
        started = number == 1 and scenario.start > 0 and stage.do == "raise"  # said of the start
        found += [] if started else _of_stage(stage_place(number), stage, at, scenario)
        at = at if stage.do == "hold" else stage.to
    return found


def _of_start(scenario: Scenario) -> Iterator[Problem]:
    """It lies below what the first stage raises to."""
    first, start = scenario.job[0], scenario.start
    if first.do == "raise" and start > 0 and not start < first.to - EXACT:
        shown, to = (show(each, "length", scenario.units) for each in (start, first.to))
        raises = "where the first stage raises to" if scenario.stages else "which is all that it is to be raised"
        yield Problem("start.rise", f"{shown} is not below {to}, {raises}", "nothing would be left to raise")


def _of_stage(place: str, stage: Stage, at: float, scenario: Scenario) -> Iterator[Problem]:
    """It goes on from where the load is [m]."""
    to, here = (show(each, "length", scenario.units) for each in (stage.to, at))
    if stage.do == "raise" and not stage.to > at + EXACT:
        hint = "how high the needed point is then, since the start; left out, it is need.rise"
        yield Problem(f"{place} > to", f"raises to {to}, and the load is at {here} already", hint)
    elif stage.do != "raise" and not at > EXACT:
        yield Problem(place, "the load is where it stood at first: a raise stage before it is missing", RAISED_FIRST)
    elif stage.do == "lower":
        yield from _of_lowering(place, stage, at, scenario)
    elif stage.do == "hold":
        yield from _of_hold(place, scenario)


def _of_lowering(place: str, stage: Stage, at: float, scenario: Scenario) -> Iterator[Problem]:
    """It leads down, and there is room to come down into."""
    if not stage.to < at - EXACT:
        to, here = (show(each, "length", scenario.units) for each in (stage.to, at))
        hint = "how high the needed point is then, since the start; left out, it comes down all the way"
        yield Problem(f"{place} > to", f"lowers to {to}, and the load is only at {here} by then", hint)
    if not stage.led(scenario.leader).room >= SMALLEST_ROOM:
        what = "is missing: gap_limit, which stands for it, is less than 0.1 mm"
        yield Problem("leader.step", what, 'how far a device is let down at a time, such as "1/4 in"')


def _of_hold(place: str, scenario: Scenario) -> Iterator[Problem]:
    """Something can hold each side while the rams carry nothing."""
    held = {each.side for each in scenario.places}
    for lifter in scenario.lifters:
        if not held & {lifter.side, "both"}:
            what = f"nothing can hold the {lifter.side} side: no station, and no device on its lifter"
            yield Problem(place, what, f'a [[station]] on that side, or a capture on "{lifter.name}"')
