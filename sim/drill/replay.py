"""A drill put through the same model as a simulated lift: the story of `lift.py`, its times taken from a log.

The leader calls when the leader called; the pumps move when they were seen to move; a catcher works as the model has
it, as fast as it takes to be done when "caught" was heard (`catching.py`). Where nothing was heard the plan's mean
times stand in.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace
from math import inf

import numpy as np

from sim.drill.catching import BARELY, Catching, Work
from sim.drill.course import DrillCourse, Inferred
from sim.drill.drill_time import DrillTime
from sim.model.chance import FixedValues
from sim.model.devices import EXACT
from sim.model.scenario import Scenario
from sim.record.record import Book, PlaceRow, Record
from sim.record.series import Array
from sim.record.what import Outcome, What
from sim.story.clock import LOOKS, MOVES, Process, Turn
from sim.story.lift import Lift
from sim.story.now import SideNow
from sim.story.site import Site


@dataclass(slots=True)
class Replayed:
    """A drill as a record, and what was learnt on the way."""

    record: Record
    works: list[Work]
    inferred: list[Inferred]
    unheard: int  # captures that the log does not have


def replay(scenario: Scenario, course: DrillCourse) -> Replayed:
    """Replay a drill."""
    scenario = replace(scenario, mishaps=(), stages=(), start=0.0)
    paths = _paths(scenario, course)
    book = Book()
    lift = Replay(Site(scenario, FixedValues(), book), course, paths)
    outcome, reason = lift.run()
    of_course = [replace(i, time=course.seen.clock(i.time)) for i in course.inferred]
    record = Record(scenario, book.columns(), outcome, reason, 0, 0, observed=course.seen.log.name)
    inferred = [*of_course, *lift.catchers.inferred]
    return Replayed(record, lift.catchers.works, sorted(inferred, key=lambda i: i.time), lift.catchers.unheard)


def _paths(scenario: Scenario, course: DrillCourse) -> dict[str, tuple[Array, Array]]:
    """How each place's demand goes, catchers or no catchers: times and values [s, m]."""
    book = Book()
    lift = Replay(Site(scenario, FixedValues(), book), course, {})
    for side in lift.site.sides:
        lift.env.process(lift.operate(side))
    lift.env.run()
    paths: dict[str, tuple[list[float], list[float]]] = {where.name: ([], []) for where in scenario.places}
    for row in book.rows:
        if isinstance(row, PlaceRow):
            times, demands = paths[row.station]
            times.append(row.time_s)
            demands.append(row.demand_m)
    return {name: (np.array(times), np.array(demands)) for name, (times, demands) in paths.items()}


class Replay(Lift):
    """The people of one drill."""

    def __init__(self, site: Site, course: DrillCourse, paths: dict[str, tuple[Array, Array]]) -> None:
        super().__init__(site)
        self.course = course
        self.clock = DrillTime(self.env)
        self.catchers: Catching = Catching(site, self.people, self.mishaps, course, paths, self.clock)

    def set_going(self) -> None:
        """Everyone takes up their work; whoever calls stop breaks in."""
        super().set_going()
        self.env.process(self.stop())

    def stop(self) -> Process:
        """Someone calls stop: everything waits until it is resumed."""
        for since, seconds in self.course.seen.stops:
            yield self.clock.until(since)
            self.mishaps.freezes()
            self.mishaps.put_off(seconds)
            yield self.env.timeout(seconds)
            self.clock.lost += seconds
            self.mishaps.resumes()

    # --- the leader

    def lead(self) -> Process:
        """Call when the leader called; hold where a look must have been refused."""
        calls, site = self.course.calls, self.site
        before = -inf
        for n, call in enumerate(calls):
            yield from self.hold_until(call.time, before, n)
            yield self.clock.until(call.time)
            yield from self.takes_a_look()
            over = self.rule.rule == "stop-until-caught" and n > 0 and site.all_caught and self.over_limit
            if over:
                self.say(What.UNCAPTURABLE, ", ".join(self.over_limit))
            site.call += 1
            self.mishaps.call_goes_out(site.call, len(call.sides))
            to_all = len(call.sides) == len(site.sides)
            self.say(What.CALLS if to_all else What.LEVELS, ", ".join(call.sides))
            before = call.time
        for side in site.sides:
            moves = self.course.moves(side.lifter.name)
            yield self.clock.until(moves[-1][1] if moves else 0.0)
        look = max([before + self.rule.pace, *(self.course.ready_at(s.lifter, len(calls) - 1) for s in site.sides)])
        while not site.all_caught and self.clock.now < look - BARELY:
            yield self.wait() | self.clock.until(look)
        yield Turn(self.env, LOOKS)
        if not site.all_caught:
            self.say(What.HOLDS, self.not_caught)
            yield from self.until_all_caught()
        outcome, reason = self.ending()
        self.say(What(outcome), reason)
        return outcome, reason

    def hold_until(self, call: float, before: float, n: int) -> Process:
        """Between two calls: a hold as it was logged, or from the look that the rule would have refused."""
        tick, seen = self.course.seen.log.tick, self.course.seen
        ready = [self.course.ready_at(s.lifter, n - 1) for s in self.site.sides]
        look = max(before + self.rule.pace, *ready) if n else 0.0
        at = bisect_right(seen.holds, before)
        logged = seen.holds[at] if at < len(seen.holds) and seen.holds[at] < call else None
        if logged is None and (look > call - max(0.15, 2 * tick) or self.rule.rule == "keep-pace"):
            return
        yield self.clock.until(look if logged is None else logged)
        yield from self.takes_a_look()
        if logged is not None or (self.refused and not self.site.all_caught):
            self.say(What.HOLDS, self.not_caught)
            if logged is None:
                self.catchers.inferred.append(Inferred(self.env.now, "leader", f"a hold before call {n + 1}"))

    def ending(self) -> tuple[Outcome, str]:
        """How the drill came out, by the plan's rise a stroke."""
        need = self.site.scenario.need.rise
        if self.settled_rise >= need - EXACT:
            why = "computed from the plan's rise a stroke: the needed rise is held by what was captured"
            return Outcome.RAISED, why
        if self.course.seen.ended_in_stop:
            return Outcome.STOPPED, "the log ends in a stop"
        why = "computed from the plan's rise a stroke: the log ends short of the needed rise"
        return Outcome.NOT_REACHED, why

    # --- the operators

    def operate(self, side: SideNow) -> Process:
        """Pump as it was seen."""
        site, name, person = self.site, side.lifter.name, side.lifter.operator
        calls = self.course.calls
        for n, (call, group) in enumerate(zip(calls, self.course.strokes[name], strict=True)):
            if name not in call.sides:
                continue
            yield self.clock.until(call.time)
            yield Turn(self.env, MOVES)
            side.ready = False
            if not group:
                site.book_side(side, What.MISSES)
                continue
            site.book_side(side, What.REACTS)
            for k, stroke in enumerate(group):
                yield self.clock.until(stroke.start)
                yield Turn(self.env, MOVES)
                if k == 0:
                    site.begins_to_move(side)
                site.stroke(side, stroke.end - stroke.start, person.fill.mean)
                site.book_side(side, What.STROKES)
                yield self.clock.until(stroke.end)
                site.stroke_ends(side)
                site.book_side(side, What.RECOVERS)
            site.stops(side)
            then = calls[n + 1].time if n + 1 < len(calls) else inf
            yield self.clock.until(min(group[-1].end + person.recover.mean, max(then, group[-1].end)))
            side.ready = True
            site.book_side(side, What.READY)
