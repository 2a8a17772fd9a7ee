"""The course of a drill: every stroke of every call, those that nobody logged inferred, and marked so.

What is missing is put where there is room for it, at the times of the plan: between what was seen, after the call, and
before the catchers on that side said caught.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise
from math import inf
from statistics import median

from sim.drill.log.observed import Heard, Mark, Observed
from sim.model.scenario import Lifter, Scenario

SHORTEST = 0.05  # no stroke is shorter [s]
ENOUGH = 0.6  # of a stroke's usual time: room enough to have held one that was not logged


@dataclass(frozen=True, slots=True)
class Stroke:
    """One stroke."""

    start: float
    end: float
    start_seen: bool
    end_seen: bool


@dataclass(frozen=True, slots=True)
class Inferred:
    """Something that the log does not say."""

    time: float
    who: str
    what: str


@dataclass(slots=True)
class DrillCourse:
    """Calls and strokes in full; what was inferred for that."""

    seen: Observed
    strokes: dict[str, list[list[Stroke]]]  # by lifter, one list a call; [] where it was not called, or missed
    inferred: list[Inferred] = field(default_factory=list)

    @property
    def calls(self) -> list[Heard]:
        """The calls."""
        return self.seen.calls

    def moves(self, lifter: str) -> list[tuple[float, float]]:
        """When a side was moving: from the first stroke's start to the last one's end of each call."""
        return [(group[0].start, group[-1].end) for group in self.strokes[lifter] if group]

    def ready_at(self, lifter: Lifter, n: int) -> float:
        """When an operator was ready again after call n (counted from 0) [s]."""
        group = self.strokes[lifter.name][n] if n >= 0 else []
        return group[-1].end + lifter.operator.recover.mean if group else 0.0


def course_of(seen: Observed, scenario: Scenario) -> DrillCourse:
    """Fill in what the log leaves out of calls and strokes."""
    course = DrillCourse(seen, {})
    for lifter in scenario.lifters:
        course.strokes[lifter.name] = _strokes(course, scenario, lifter)
    course.inferred.sort(key=lambda i: i.time)
    return course


def _strokes(course: DrillCourse, scenario: Scenario, lifter: Lifter) -> list[list[Stroke]]:
    """All strokes of one lifter, call by call."""
    seen, name = course.seen, lifter.name
    marks = seen.marks.get(name, [])
    pairs, usual = _paired(marks, lifter.operator.stroke.mean)
    times = [call.time for call in seen.calls]
    groups: list[list[Stroke]] = [[] for _ in seen.calls]
    for start, end in pairs:
        at = bisect_right(times, start if start is not None else (end or 0.0)) - 1
        at = next((k for k in range(at, -1, -1) if name in seen.calls[k].sides), -1)
        if at >= 0:
            groups[at].append(_whole(start, end, usual))
    own = [captures for (place, _), captures in seen.captures.items() if _on(scenario, place, lifter)]
    caught = sorted({capture.time for captures in own for capture in captures})
    done = -inf
    for n, call in enumerate(seen.calls):
        then = next((times[k] for k in range(n + 1, len(times)) if name in seen.calls[k].sides), inf)
        if name not in call.sides or (name in call.missed and not groups[n]):
            continue
        wanted = call.strokes or scenario.leader.strokes
        after = bisect_right(caught, call.time)
        limit = min(then, caught[after] if after < len(caught) and not groups[n] else inf)
        filled = _filled(groups[n], max(call.time, done), limit, wanted, lifter, usual, first=not groups[n])
        groups[n] = _in_order(filled, max(call.time, done), then)
        if groups[n]:
            done = groups[n][-1].end
        _mark(course, n, name, groups[n], bool(marks))
    if not marks:
        course.inferred.append(Inferred(0.0, name, "all strokes: the log has none; the plan's times after each call"))
    return groups


def _on(scenario: Scenario, place: str, lifter: Lifter) -> bool:
    return any(where.name == place and where.side == lifter.side for where in scenario.places)


def _paired(marks: list[Mark], plan: float) -> tuple[list[tuple[float | None, float | None]], float]:
    """Starts and ends put together; one that has no other stays alone. And how long a stroke usually takes."""
    both = [b.time - a.time for a, b in pairwise(marks) if not a.end and b.end]
    usual = median(both) if len(both) >= 3 else plan
    pairs: list[tuple[float | None, float | None]] = []
    start: float | None = None
    for mark in marks:
        if not mark.end:
            if start is not None:
                pairs.append((start, None))
            start = mark.time
        elif start is None:
            pairs.append((None, mark.time))
        elif mark.time - start > 2 * usual + 0.3:  # two strokes: the end of one and the start of the next are missing
            pairs += [(start, None), (None, mark.time)]
            start = None
        else:
            pairs.append((start, mark.time))
            start = None
    if start is not None:
        pairs.append((start, None))
    return pairs, usual


def _whole(start: float | None, end: float | None, usual: float) -> Stroke:
    if start is None:
        assert end is not None
        return Stroke(end - usual, end, False, True)
    return Stroke(start, start + usual if end is None else end, True, end is not None)


def _filled(
    found: list[Stroke], call: float, limit: float, wanted: int, lifter: Lifter, usual: float, first: bool
) -> list[Stroke]:
    """The strokes of one call, those missing put where there is most room."""
    person = lifter.operator
    react, recover = person.react.mean, person.recover.mean
    if first:  # none was seen: all at the plan's times, squeezed where they have to be
        needed = react + wanted * usual + (wanted - 1) * recover
        fit = min(1.0, max(0.02, (limit - call) / needed)) if needed > 0 else 1.0
        begins = (call + fit * (react + k * (usual + recover)) for k in range(wanted))
        return [Stroke(start, start + fit * usual, False, False) for start in begins]
    strokes = list(found)
    while len(strokes) < wanted:
        rooms = [strokes[0].start - recover - call - react]
        rooms += [b.start - a.end - 2 * recover for a, b in pairwise(strokes)]
        widest = max(range(len(rooms)), key=rooms.__getitem__)
        if rooms[widest] >= ENOUGH * usual:
            end = strokes[widest].start - recover
            strokes.insert(widest, Stroke(end - min(usual, rooms[widest]), end, False, False))
        elif limit - strokes[-1].end - recover >= ENOUGH * usual:
            start = strokes[-1].end + recover
            strokes.append(Stroke(start, min(start + usual, limit), False, False))
        else:
            break
    return strokes


def _in_order(strokes: list[Stroke], earliest: float, then: float) -> list[Stroke]:
    """One after the other; an inferred end gives way to a seen start, and the other way round."""
    result: list[Stroke] = []
    for n, s in enumerate(strokes):
        start = max(s.start, earliest, result[-1].end if result else -inf)
        following = strokes[n + 1].start if n + 1 < len(strokes) else then
        end = s.end if s.end_seen else min(s.end, max(following, start + SHORTEST))
        result.append(Stroke(start, max(end, start + SHORTEST), s.start_seen and start == s.start, s.end_seen))
    return result


def _mark(course: DrillCourse, n: int, name: str, strokes: list[Stroke], some: bool) -> None:
    """Note what of these was not logged."""
    if not some:
        return
    for stroke in strokes:
        if not stroke.start_seen:
            course.inferred.append(Inferred(stroke.start, name, f"a stroke's start (call {n + 1})"))
        if not stroke.end_seen:
            course.inferred.append(Inferred(stroke.end, name, f"a stroke's end (call {n + 1})"))


def joined(moves: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Stretches of time in order, those that overlap joined."""
    result: list[tuple[float, float]] = []
    for start, end in sorted(moves):
        if result and start <= result[-1][1]:
            result[-1] = (result[-1][0], max(result[-1][1], end))
        else:
            result.append((start, end))
    return result
