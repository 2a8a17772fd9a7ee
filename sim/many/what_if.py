"""The same lift with something a little different: what would help, another crew, everyone slower or faster."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from math import exp
from statistics import NormalDist
from typing import Any

from sim.model.chance import lognormal, read_tile
from sim.model.devices import Device
from sim.model.draw import Draw, draws_of
from sim.model.scenario import Lifter, Operator, Scenario, Station

FIFTH = 0.8  # a time a fifth shorter, a spacing a fifth finer;
FIFTH_MORE = 1.2  # a rate a fifth faster
RATES = ("turns", "lowering")  # more of them is faster
SPACINGS = ("spacing", "first_hole", "first_link")


def improvements(scenario: Scenario) -> Iterator[tuple[str, Scenario]]:
    """Each person's time, each rate, each spacing and each of the leader's limits better by a fifth, one at a time."""
    operators = dict.fromkeys(x.operator.name for x in scenario.lifters)
    for name in operators:
        first = next(x.operator for x in scenario.lifters if x.operator.name == name)
        for quantity in _times(first):
            rate = quantity in RATES
            yield (
                f"operator {name}: {quantity} a fifth {'faster' if rate else 'shorter'}",
                _operators(
                    scenario,
                    lambda o, name=name, q=quantity, by=FIFTH_MORE if rate else FIFTH: (  # type: ignore[misc]
                        _scaled(o, q, by) if o.name == name else o
                    ),
                ),
            )
    for name, device in {d.name: d for w in scenario.places for d in w.capture}.items():
        for quantity in _times(device):
            rate = quantity in RATES
            word = "faster" if rate else "shorter"
            yield (
                f"{name}: {quantity} a fifth {word}",
                _devices(
                    scenario,
                    lambda d, _, name=name, q=quantity, by=FIFTH_MORE if rate else FIFTH: (  # type: ignore[misc]
                        _scaled(d, q, by) if d.name == name else d
                    ),
                ),
            )
        if hasattr(device, "spacing"):
            yield (
                f"{name}: spacing a fifth finer",
                _devices(
                    scenario,
                    lambda d, _, name=name: _finer(d) if d.name == name else d,  # type: ignore[misc]
                ),
            )
    for key in ("gap_limit", "pace", "look"):
        value = getattr(scenario.leader, key)
        if value > 0:
            word = "a fifth smaller" if key == "gap_limit" else "a fifth shorter"
            leader = replace(scenario.leader, **{key: value * FIFTH})
            yield f"leader: {key.replace('_', ' ')} {word}", replace(scenario, leader=leader)


def another_crew(scenario: Scenario, crew_sd: float, seed: int, crew: int) -> Scenario:
    """Other people for the same jobs: each is slower or faster than written by a factor of mean 1 and this sd.

    Every operator and every catcher has one factor for all their times (their rates take it the other way round), drawn
    as `sim/model/chance.py` draws, from a stream of its own.
    """

    def factor(person: str) -> float:
        mu, sigma = lognormal(1.0, crew_sd)
        uniform = float(read_tile(seed, 0, person, "crew", 0, crew, 1)[0, 0])
        return exp(mu + sigma * NormalDist().inv_cdf(uniform))

    lifters = tuple(
        replace(x, operator=_all_times(x.operator, factor(f"operator of {x.name}"))) for x in scenario.lifters
    )
    people = {c: factor(c) for w in scenario.places for c in w.catchers}
    return _devices(replace(scenario, lifters=lifters), lambda d, catcher: _all_times(d, people[catcher]))


def all_times(scenario: Scenario, factor: float) -> Scenario:
    """Everyone so many times as slow as written."""
    slower = _operators(scenario, lambda o: _all_times(o, factor))
    return _devices(slower, lambda d, _: _all_times(d, factor))


def one_a_place(scenario: Scenario) -> Scenario:
    """The same with one catcher at each place, who keeps up everything there."""

    def alone(where: Any) -> Any:
        return replace(where, catchers=(where.catchers[0],) * len(where.catchers)) if where.catchers else where

    return replace(scenario, lifters=tuple(map(alone, scenario.lifters)), stations=tuple(map(alone, scenario.stations)))


def people(scenario: Scenario) -> int:
    """How many people the lift asks for: leader, operators, catchers."""
    return 1 + len(scenario.lifters) + len({c for w in scenario.places for c in w.catchers})


def _times(part: Operator | Device) -> list[str]:
    """The times and rates that are not 0."""
    return [key for key, draw in draws_of(part) if draw.mean > 0]


def _scaled(part: Any, quantity: str, factor: float) -> Any:
    draw = getattr(part, quantity)
    return replace(part, **{quantity: Draw(draw.mean * factor, draw.sd * factor)})


def _all_times(part: Any, factor: float) -> Any:
    for quantity in _times(part):
        part = _scaled(part, quantity, 1 / factor if quantity in RATES else factor)
    return part


def _finer(device: Any) -> Any:
    values = {name: getattr(device, name, None) for name in SPACINGS}
    return replace(device, **{name: value * FIFTH for name, value in values.items() if value is not None})


def _operators(scenario: Scenario, change: Callable[[Operator], Any]) -> Scenario:
    return replace(scenario, lifters=tuple(replace(x, operator=change(x.operator)) for x in scenario.lifters))


def _devices(scenario: Scenario, change: Callable[[Any, str], Any]) -> Scenario:
    def changed(where: Lifter | Station) -> Any:
        pairs = zip(where.capture, where.catchers, strict=True)
        return replace(where, capture=tuple(change(d, catcher) for d, catcher in pairs))

    lifters, stations = tuple(map(changed, scenario.lifters)), tuple(map(changed, scenario.stations))
    return replace(scenario, lifters=lifters, stations=stations)
