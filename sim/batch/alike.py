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

Times = dict[tuple[str, str, int], tuple[Draw, ...]]  # person, quantity, number of the device (-1: none) -> of each way


def without_times(scenario: Scenario) -> Scenario:
    """The lift with every time and rate taken as 1, those that are 0 apart: two ways that are alike come out equal."""
    lifters = tuple(
        replace(x, operator=replace(_plain(x.operator), name=""), capture=tuple(map(_plain, x.capture)))
        for x in scenario.lifters
    )
    stations = tuple(replace(x, capture=tuple(map(_plain, x.capture))) for x in scenario.stations)
    walk = {name: Draw(1.0) if draw.mean > 0 else draw for name, draw in scenario.walk.items()}
    plain = replace(scenario, lifters=lifters, stations=stations, walk=walk)
    return replace(plain, title="", text="", assumed=(), crew_sd=0.0)


def times_that_differ(ways: Sequence[Scenario]) -> Times:
    """The times and rates that are not the same in all these ways, which are alike."""
    found = zip(*(_times(way) for way in ways), strict=True)
    return {each[0][0]: tuple(draw for _, draw in each) for each in found if len({draw for _, draw in each}) > 1}


def _times(scenario: Scenario) -> Iterator[tuple[tuple[str, str, int], Draw]]:
    for lifter in scenario.lifters:
        yield from (((lifter.name, name, -1), draw) for name, draw in draws_of(lifter.operator))
    yield from (((name, "walk", -1), draw) for name, draw in scenario.walk.items())
    devices = [pair for place in scenario.places for pair in zip(place.capture, place.catchers, strict=True)]
    for n, (device, catcher) in enumerate(devices):
        yield from (((catcher, quantity_of(key), n), draw) for key, draw in draws_of(device))


def _plain(part: Any) -> Any:
    return replace(part, **{name: Draw(1.0) for name, draw in draws_of(part) if draw.mean > 0})
