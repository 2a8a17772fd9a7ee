"""One drill, from its logs to a record with its measures, and what only a drill has: the evenness of its calls, the
time that a caught load stood waiting, what was measured by hand beside what the model computes.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from sim.drill.course import DrillCourse, Inferred, course_of
from sim.drill.log.clocks import ObserverClock, together
from sim.drill.log.lines import Log, LogProblem
from sim.drill.log.observed import observe
from sim.drill.replay import Replayed, replay
from sim.drill.way_down import DrilledDown, split, way_down
from sim.model.scenario import Scenario
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.record.record import Record
from sim.record.what import CAPTURED


@dataclass(frozen=True, slots=True)
class Beside:
    """Something measured during the drill, and the same computed."""

    what: str  # "gap" or "rise"
    where: str
    time: float
    measured: float  # [m]
    computed: float  # [m]


@dataclass(frozen=True, slots=True)
class TimesSpread:
    """Several times in short; None where there are none [s]."""

    count: int
    mean: float | None = None
    sd: float | None = None
    shortest: float | None = None
    longest: float | None = None


@dataclass(frozen=True, slots=True)
class Drill:
    """One drill, whole."""

    name: str
    course: DrillCourse
    replayed: Replayed
    summary: dict[str, Any]
    clocks: list[ObserverClock]
    between_calls: TimesSpread
    caught_to_call: TimesSpread
    beside: list[Beside]
    gap_but_for_slack: float  # the largest, had no place begun slack [m]
    down: DrilledDown | None  # what was heard of the way down

    @property
    def record(self) -> Record:
        """The drill as a record."""
        return self.replayed.record

    @property
    def problems(self) -> list[LogProblem]:
        """What there is to say of the log, by line."""
        return self.course.seen.log.problems

    @property
    def inferred(self) -> list[Inferred]:
        """What the log does not say, and what was taken for it."""
        return self.replayed.inferred

    @property
    def tick(self) -> float:
        """What times are noted to [s]."""
        return self.course.seen.log.tick

    def as_json(self) -> dict[str, Any]:
        """For machines to read."""
        return {
            "name": self.name,
            "entries": len(self.course.seen.log.entries),
            "tick_s": self.tick,
            "clock_offsets": [
                {"observer": c.observer, "offset_s": c.offset, "calls_shared": c.shared, "spread_s": c.spread}
                for c in self.clocks
            ],
            "problems": [asdict(problem) for problem in self.problems],
            "inferred": [{"time_s": i.time, "who": i.who, "what": i.what} for i in self.inferred],
            "captures_not_logged": self.replayed.unheard,
            "between_calls_s": asdict(self.between_calls),
            "caught_to_call_s": asdict(self.caught_to_call),
            "largest_gap_but_for_slack_m": self.gap_but_for_slack,
            "way_down": None if self.down is None else self.down.as_json(),
            "measured_beside_computed": [
                {"what": b.what, "where": b.where, "time_s": b.time, "measured_m": b.measured, "computed_m": b.computed}
                for b in self.beside
            ],
        }


def drilled(logs: Sequence[Log], scenario: Scenario) -> Drill:
    """One drill from the logs of all who observed it.

    Raises
    ------
    ScenarioError
        The logs hold no call, or cannot be put on one clock.
    """
    log, clocks = together(logs)
    down = split(log)
    course = course_of(observe(log, scenario), scenario)
    _without_a_stroke(course, scenario)
    replayed = replay(scenario, course)
    calls = np.array([course.seen.clock(call.time) for call in course.calls])
    return Drill(
        name=log.name,
        course=course,
        replayed=replayed,
        summary=measure(replayed.record),
        clocks=clocks,
        between_calls=spread(np.diff(calls)),
        caught_to_call=spread(_standing(replayed.record, calls)),
        beside=_beside(course, replayed.record),
        gap_but_for_slack=_gap_but_for_slack(Measured(replayed.record)),
        down=way_down(down, log, scenario),
    )


def spread(times: Any) -> TimesSpread:
    """Several times in short."""
    values = np.asarray(times, dtype=np.float64)
    if not len(values):
        return TimesSpread(0)
    sd = float(np.std(values, ddof=1)) if len(values) > 1 else None
    return TimesSpread(len(values), float(np.mean(values)), sd, float(values.min()), float(values.max()))


def _standing(record: Record, calls: Any) -> list[float]:
    """From the last capture before each call to the call, where there was one since the call before [s]."""
    caught = record.columns.time_s[record.columns.says(*CAPTURED)]
    before = np.searchsorted(caught, calls, side="right") - 1
    return [
        float(call - caught[k])
        for n, (call, k) in enumerate(zip(calls, before, strict=True))
        if k >= 0 and (n == 0 or caught[k] > calls[n - 1])
    ]


def _gap_but_for_slack(lift: Measured) -> float:
    """The largest gap above the start: what was slack, and not taken up yet, counts for nothing [m]."""
    largest = 0.0
    for place in lift.places.values():
        captured, demand = place.captured, place.demand
        times = np.concatenate([place.time, captured.crosses_zero()])
        for held, wanted in (
            (captured.just_before(times), demand.just_before(times)),
            (captured.just_after(times), demand.just_after(times)),
        ):
            largest = max(largest, float(np.max(wanted - np.maximum(0.0, held), initial=0.0)))
    return largest


def _beside(course: DrillCourse, record: Record) -> list[Beside]:
    """Gaps and rises that were measured, each beside the computed one at that time."""
    if not course.seen.sized:
        return []
    lift = Measured(record)
    found = []
    for sized in course.seen.sized:
        at = np.array([sized.time])
        if sized.what == "gap":
            computed = float(lift.places[sized.where].gap().just_after(at)[0])
        else:
            mean = sum(float(side.just_after(at)[0]) for side in lift.sides.values()) / len(lift.sides)
            computed = lift.motion.rise(record.scenario.need.point, mean)
        found.append(Beside(sized.what, sized.where or "the needed point", sized.time, sized.value, max(0.0, computed)))
    return found


def _without_a_stroke(course: DrillCourse, scenario: Scenario) -> None:
    """Name every "caught" at a place that had not moved since the last one there."""
    seen = course.seen
    for where in scenario.places:
        moves = sorted(m for x in scenario.lifters if where.side in (x.side, "both") for m in course.moves(x.name))
        starts = [start for start, _ in moves]
        for n, device in enumerate(where.capture):
            last = -1.0 if device.at_start(where.slack).captured < 0 else 0.0
            for capture in seen.captures.get((where.name, n), []):
                k = bisect_right(starts, capture.time)
                if (moves[k - 1][1] if k else -0.5) <= last:
                    seen.log.say(capture.line, f"caught at the {where.name} without a stroke since the last; not used")
                else:
                    last = capture.time
