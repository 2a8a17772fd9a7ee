"""Several ways of one lift that differ in nothing but how long people take: one batch simulates them together.

What would help, other crews, everyone slower: each is the same lift with some times changed. Simulated one by one, a
thousand replications of each cost more in passes over short arrays than in arithmetic.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from sim.model.draw import Draw, draws_of, quantity_of
from sim.model.scenario import Scenario

Times = dict[tuple[str, str], tuple[Draw, ...]]  # (person, quantity) -> in each way


def without_times(scenario: Scenario) -> Scenario:
    """The lift with every time and rate taken as 1, those that are 0 apart: two ways that are alike come out equal."""
    lifters = tuple(
        replace(x, operator=replace(_plain(x.operator), name=""), capture=tuple(map(_plain, x.capture)))
        for x in scenario.lifters
    )
    stations = tuple(replace(x, capture=tuple(map(_plain, x.capture))) for x in scenario.stations)
    return replace(scenario, lifters=lifters, stations=stations, title="", text="", assumed=(), crew_sd=0.0)


def times_that_differ(ways: Sequence[Scenario]) -> Times:
    """The times and rates that are not the same in all these ways, which are alike."""
    found = zip(*(_times(way) for way in ways), strict=True)
    return {each[0][0]: tuple(draw for _, draw in each) for each in found if len({draw for _, draw in each}) > 1}


def _times(scenario: Scenario) -> Iterator[tuple[tuple[str, str], Draw]]:
    for lifter in scenario.lifters:
        yield from (((lifter.name, name), draw) for name, draw in draws_of(lifter.operator))
    for place in scenario.places:
        for device, catcher in zip(place.capture, place.catchers, strict=True):
            yield from (((catcher, quantity_of(key)), draw) for key, draw in draws_of(device))


def _plain(part: Any) -> Any:
    return replace(part, **{name: Draw(1.0) for name, draw in draws_of(part) if draw.mean > 0})
