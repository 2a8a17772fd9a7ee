"""The times in a drill, by kind of person and quantity: only those that the log can tell apart.

One value a call, as the model draws them: of several strokes in one call their mean. What lies between a call and a
first stroke is the operator's reaction; what lies between "starts" and "caught" is work. Where nobody logged when work
began, the plan's mean reaction stands for it, and for a collar the plan's seat: the output says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import sqrt

import numpy as np

from sim.drill.catching import Work
from sim.drill.drilled import Drill
from sim.drill.lognormal import Times
from sim.model.devices import Collar, Device
from sim.model.draw import Draw, draws_of, quantity_of
from sim.model.scenario import Scenario

LEAST, APART = 8, 1.5  # captures that make a line; how many times as large the large ones, for it to say anything
Key = tuple[str, str, str]  # "operator" or "device", its name, the quantity


@dataclass(slots=True)
class Sample:
    """The times of one quantity of one kind of person or device."""

    table: str  # "operator" or "device"
    name: str
    quantity: str  # as the scenario's key has it
    plan: Draw
    values: list[tuple[float, float, float]] = field(default_factory=list)  # low, high, tick
    who: list[str] = field(default_factory=list)  # whose each of them is
    left_out: int = 0  # of which nothing can be said
    kept: set[str] = field(default_factory=set)  # what the plan's values had to stand for

    @property
    def times(self) -> Times:
        """As they are fitted."""
        return _as_times(self.values)

    @property
    def people(self) -> dict[str, int]:
        """Who gave how many."""
        return {name: self.who.count(name) for name in dict.fromkeys(self.who)}

    def of(self, who: str) -> Times:
        """One person's."""
        return _as_times([value for value, name in zip(self.values, self.who, strict=True) if name == who])

    @property
    def noted(self) -> int:
        """How many were noted, start and end."""
        return sum(low == high for low, high, _ in self.values)

    @property
    def is_rate(self) -> bool:
        """Whether these are rates [1/s] and not times [s]."""
        return self.quantity == "turns"

    def add(self, low: float, high: float, tick: float, who: str) -> None:
        """One more."""
        self.values.append((low, high, tick))
        self.who.append(who)


def _as_times(values: list[tuple[float, float, float]]) -> Times:
    columns = np.array(values, dtype=np.float64).reshape(-1, 3).T
    return Times(columns[0], columns[1], columns[2])


class Samples(dict[Key, Sample]):
    """All of them, by kind of person and quantity."""

    def of(self, table: str, name: str, quantity: str, plan: Draw) -> Sample:
        """The one asked for, begun if it is not there."""
        key = (table, name, quantity)
        if key not in self:
            self[key] = Sample(table, name, quantity, plan)
        return self[key]


def samples(drills: Iterable[Drill], scenario: Scenario) -> Samples:
    """Every quantity that the drills' logs can tell apart."""
    found = Samples()
    for drill in drills:
        _operators(found, drill, scenario)
        _devices(found, drill, scenario)
    return found


def _operators(found: Samples, drill: Drill, scenario: Scenario) -> None:
    tick = drill.tick
    for lifter in scenario.lifters:
        person, groups = lifter.operator, drill.course.strokes[lifter.name]
        react, stroke, recover = (
            found.of("operator", person.name, q, getattr(person, q)) for q in ("react", "stroke", "recover")
        )
        before = -1.0
        for call, group in zip(drill.course.calls, groups, strict=True):
            if not group:
                continue
            whole = [s.end - s.start for s in group if s.start_seen and s.end_seen]
            rests = [b.start - a.end for a, b in pairwise(group) if a.end_seen and b.start_seen]
            _add(
                react,
                [group[0].start - call.time] if group[0].start_seen and before < call.time else [],
                tick,
                lifter.name,
            )
            _add(stroke, whole, tick, lifter.name)
            if len(group) > 1:
                _add(recover, rests, tick, lifter.name)
            before = group[-1].end


def _add(sample: Sample, values: Sequence[float], tick: float, who: str) -> None:
    """One value of a call: the mean of several; nothing where none was seen whole."""
    if not values:
        sample.left_out += 1
        return
    mean = sum(values) / len(values)
    width = tick / sqrt(len(values))
    if mean > 0:
        sample.add(mean, mean, width, who)
    else:
        sample.add(0.0, max(width, 1e-3), 0.0, who)  # shorter than the clock can show


def _devices(found: Samples, drill: Drill, scenario: Scenario) -> None:
    kinds = {(where.name, n): device for where in scenario.places for n, device in enumerate(where.capture)}
    for work in drill.replayed.works:
        device = kinds[work.spot]
        if work.start_seen:
            since = work.moved if device.chases == "with" and work.reacts <= work.moved + 1e-6 else work.reacts
            react = found.of("device", device.name, "react", device.react)
            _add(react, [work.start - since], drill.tick, work.catcher)
        if isinstance(device, Collar):
            _turning(found, device, work, drill.tick)
        else:
            _steps(found, device, work, drill.tick)


def _turning(found: Samples, collar: Collar, work: Work, tick: float) -> None:
    """A collar's rate: what it takes to be done just then; where it kept up with the load, at least that."""
    sample = found.of("device", collar.name, "turns", collar.turns)
    rate = work.rate / collar.rise_per_turn
    turning = work.end - collar.seat.mean - work.start
    if not work.end_seen or rate < 1e-6 or turning <= 0:
        sample.left_out += 1
        return
    sample.kept |= {"seat"} | (set() if work.start_seen else {"react"})
    if work.kept_up:
        sample.add(rate, np.inf, 0.0, work.catcher)
    else:
        sample.add(rate, rate, min(rate * tick / turning, 0.9 * rate), work.catcher)


def _steps(found: Samples, device: Device, work: Work, tick: float) -> None:
    """Work in steps: alike, each takes its share; of two kinds, both are as much longer than in the plan."""
    kinds = list(dict.fromkeys(work.steps))
    keys = {quantity_of(key): key for key, _ in draws_of(device)}
    plan = {kind: getattr(device, keys[kind]) for kind in kinds}
    planned = sum(plan[kind].mean for kind in work.steps)
    for kind in kinds:
        sample = found.of("device", device.name, keys[kind], plan[kind])
        if not (work.end_seen and work.alone and work.end > work.start and planned > 0):
            sample.left_out += 1
            continue
        if not work.start_seen:
            sample.kept.add("react")
        if len(kinds) > 1:
            sample.kept.add("the ratio of " + " and ".join(kinds))
        share = plan[kind].mean / planned
        value = (work.end - work.start) * share
        sample.add(value, value, tick * share, work.catcher)


@dataclass(frozen=True, slots=True)
class CollarLine:
    """Time from seeing it to caught, against what had to be captured: slope and intercept of a straight line."""

    device: str
    count: int
    intercept: tuple[float, float, float]  # value, and its 95 % interval [s]
    slope: tuple[float, float, float]  # [s/m]
    plan_intercept: float  # react and seat of the plan [s]
    apart: bool  # the captures differ enough for the line to tell the one from the other


def lines(drills: Iterable[Drill], scenario: Scenario) -> list[CollarLine]:
    """What call and caught alone can say of a collar: how long at the least, and how much longer for more."""
    from scipy.stats import linregress, t

    drills = list(drills)
    collars: dict[tuple[str, int], Collar] = {
        (where.name, n): d for where in scenario.places for n, d in enumerate(where.capture) if isinstance(d, Collar)
    }
    lines = []
    for name in dict.fromkeys(c.name for c in collars.values()):
        pick: Callable[[Work], bool] = lambda w, n=name: w.spot in collars and collars[w.spot].name == n  # type: ignore[misc]  # noqa: E731
        works = [w for d in drills for w in d.replayed.works if pick(w)]
        works = [w for w in works if w.end_seen and not w.kept_up and not w.start_seen]
        grew = np.array([w.grew for w in works])
        if len(works) < LEAST or float(np.ptp(grew)) < 1e-6:
            continue
        took = np.array([w.end - w.reacts for w in works])
        found = linregress(grew, took)
        wide = float(t.ppf(0.975, len(works) - 2))
        ends = [
            (v, v - wide * e, v + wide * e)
            for v, e in ((found.intercept, found.intercept_stderr), (found.slope, found.stderr))
        ]
        collar = next(c for c in collars.values() if c.name == name)
        apart = float(np.quantile(grew, 0.9) / max(np.quantile(grew, 0.1), 1e-6)) >= APART
        lines.append(CollarLine(name, len(works), ends[0], ends[1], collar.react.mean + collar.seat.mean, apart))
    return lines
