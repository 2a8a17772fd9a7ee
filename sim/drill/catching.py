"""The catchers of a drill: each works as the model has it, as fast as it takes to be done when "caught" was heard.

Which "caught" ends which work is the question here. It is the next one since the load last began to move. If that comes
only after the load has moved on, either the catcher was still at it, or nobody logged it: where the leader waited in
between it was not logged; else a log that has everything so far is believed, and in others the plan's times decide.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from math import inf
from statistics import median

import numpy as np

from sim.drill.course import DrillCourse, Inferred, joined
from sim.drill.drill_time import DrillTime
from sim.drill.log.names import Spot
from sim.drill.log.observed import Capture
from sim.model.devices import EXACT, Collar
from sim.model.devices.collar import climbed
from sim.model.draw import Draw
from sim.record.series import Array
from sim.record.what import What
from sim.story.at_work import AtWork
from sim.story.catchers import Catchers
from sim.story.clock import Process
from sim.story.mishaps import Mishaps
from sim.story.now import DeviceNow
from sim.story.site import Site

BARELY = 1e-6  # [s]


@dataclass(frozen=True, slots=True)
class Work:
    """One capture as it went: what can be learnt from it about who made it."""

    spot: Spot
    catcher: str
    call: int
    moved: float  # when the load began to move, and
    stopped: float  # came to rest [s]
    reacts: float  # when the catcher saw that there was something to do, and
    start: float  # began with it [s]
    start_seen: bool
    end: float
    end_seen: bool
    steps: tuple[str, ...]  # of a device that works in steps
    grew: float  # what had to be captured [m]
    rate: float  # of a collar: climb that it takes to be done just then, at the least if it kept up [m/s]; 0 for others
    kept_up: bool  # it was at the load when the load stopped: it may have been faster
    alone: bool  # one round of work, not several that nobody told apart


class Catching(Catchers):
    """The catchers of a drill, timed by its log."""

    def __init__(
        self,
        site: Site,
        people: AtWork,
        mishaps: Mishaps,
        course: DrillCourse,
        paths: dict[str, tuple[Array, Array]],
        clock: DrillTime,
    ) -> None:
        super().__init__(site, people, mishaps)
        self.course, self.paths, self.clock = course, paths, clock
        self.works: list[Work] = []
        self.inferred: list[Inferred] = []
        self.unheard = 0
        self.complete = not course.inferred  # so far nothing was found missing: what is not there did not happen
        self.reacted: dict[DeviceNow, float] = {}  # when each catcher last began to react [s]
        self.climbs: dict[str, list[float]] = {}  # by catcher, where a time was heard [m/s]
        self.spots: dict[DeviceNow, Spot] = {
            d: (place.name, n) for place in site.places for n, d in enumerate(place.devices)
        }
        self.moves = {place.name: joined(m for s in place.sides for m in course.moves(s.lifter.name))
                      for place in site.places}  # fmt: skip
        self.heard: dict[DeviceNow, list[Capture]] = {d: course.seen.captures.get(s, []) for d, s in self.spots.items()}
        self.next_heard = dict.fromkeys(self.spots, 0)
        for captures in course.seen.captures.values():
            for capture in captures:
                capture.used = False

    @property
    def now(self) -> float:
        """The drill's time [s]."""
        return self.clock.now

    def time(self, job: DeviceNow, quantity: str, of: Draw) -> float:
        """How long it took to walk, or to react: to where work was seen to begin, or else as the plan has it [s]."""
        due = self.due(job)
        if quantity == "react":
            self.reacted[job] = self.now
            begun = self.begun(job, due)
            if begun is not None:
                return begun - self.now
        return of.mean if due is None else min(of.mean, max(0.0, (due.time - self.now) / 2))

    def begun(self, job: DeviceNow, due: Capture | None) -> float | None:
        """When work was seen to begin, if it was, between now and the next "caught" [s]."""
        starts = self.course.seen.starts.get(self.spots[job], [])
        at = bisect_left(starts, self.now - BARELY)
        last = self.next_move(job) if due is None else due.time
        return max(starts[at], self.now) if at < len(starts) and starts[at] < last else None

    def due(self, job: DeviceNow) -> Capture | None:
        """The "caught" that this job comes to: the next since the load last began to move, if the log has it.

        One that comes only after the load has moved on was not heard, unless the catcher was still at it by the plan.
        """
        heard, at = self.heard[job], self.next_heard[job]
        moved = self.moved(job)
        while at < len(heard) and (heard[at].used or heard[at].time < moved - BARELY):
            at += 1
        self.next_heard[job] = at
        if at == len(heard):
            return None
        if heard[at].time >= self.next_stop(job) and not self.still_at_it(job):
            return None
        return heard[at]

    def met_by(self, job: DeviceNow) -> bool:
        """Whether a collar is at the load before it moves again: then it is seated first, and turned anew."""
        if not isinstance(job.device, Collar):
            return False
        seat = job.device.seat.mean
        return self.now + self.by_plan(job, self.now) - seat < self.next_move(job) - BARELY

    def still_at_it(self, job: DeviceNow) -> bool:
        """Whether the work was not done at the next call: seen so, or the leader did not wait and the plan says so."""
        then = self.next_move(job)
        chasing = self.course.seen.chasing.get(self.spots[job], [])
        at = bisect_left(chasing, self.now - BARELY)
        if at < len(chasing) and chasing[at] <= then:
            return True
        calls = self.course.calls
        n = bisect_right(calls, then, key=lambda c: c.time) - 1
        leader = self.site.scenario.leader
        waited = n > 0 and calls[n].time > calls[n - 1].time + leader.pace + 0.3
        if leader.rule == "stop-until-caught" and waited:
            ready = max(self.course.ready_at(s.lifter, n - 1) for s in self.site.sides)
            if calls[n].time > ready + 0.3:
                self.complete = False
                return False
        if self.complete:
            return True
        return n >= 0 and not self.met_by(job) and self.now + self.by_plan(job, self.now) > calls[n].time

    def by_plan(self, job: DeviceNow, start: float) -> float:
        """How long this work would take by the plan's mean times [s]."""
        device = job.device
        if isinstance(device, Collar):
            m, last = self._climb_path(job, start)
            gap = last - job.captured
            return max(m - start, gap / self.usual_climb(job, device)) + device.seat.mean
        return sum(step.mean for step in device.steps(job.held, job.demand))

    def usual_climb(self, job: DeviceNow, collar: Collar) -> float:
        """How fast this catcher turns: the median of what was last seen of it, or the plan's mean [m/s]."""
        seen = self.climbs.get(job.catcher, [])
        return median(seen[-25:]) if len(seen) >= 3 else climbed(collar.turns.mean, collar.rise_per_turn)

    def movement(self, job: DeviceNow, later: int = 0) -> tuple[float, float]:
        """From when to when the load moved here last (or is moving now); `later` 1: the next time; infinite: never."""
        moves = self.moves[job.place.name]
        n = bisect_right(moves, (self.now + BARELY, inf)) - 1 + later
        if n < 0:
            return 0.0, 0.0
        return moves[n] if n < len(moves) else (inf, inf)

    def moved(self, job: DeviceNow) -> float:
        """When the load last began to move here [s]."""
        return self.movement(job)[0]

    def stopped(self, job: DeviceNow) -> float:
        """When that movement ends [s]."""
        return self.movement(job)[1]

    def next_move(self, job: DeviceNow) -> float:
        """When it begins to move again [s]."""
        return self.movement(job, 1)[0]

    def next_stop(self, job: DeviceNow) -> float:
        """When that movement ends: "caught" before then can only be of work from before it [s]."""
        return self.movement(job, 1)[1]

    def chase(self, job: DeviceNow, collar: Collar) -> Process:
        """Turn a collar up as fast as it takes to be seated when "caught" was heard."""
        site, place, start = self.site, job.place, self.now
        site.bring_up(place)
        first, due, moved = job.held.captured, self.due(job), self.moved(job)
        seen = self.begun_now(job)
        job.working = True
        asked, kept_up, seat = self.climb_for(job, collar, due)
        job.climb = max(asked, self.usual_climb(job, collar)) if kept_up else asked
        site.book_place(place, job.catcher, What.TURNS, collar.name)
        yield from self.turn_up(job)
        if job.held.captured <= first + EXACT:
            job.working = False
            site.caught(job, What.NOTHING_TO_CAPTURE)
            return
        site.book_place(place, job.catcher, What.SEATS, collar.name)
        if due is not None and due.time >= self.next_stop(job):  # it was at the load in between, and was turned anew
            due, seat = None, collar.seat.mean
        yield self.env.timeout(seat if due is None else max(0.0, due.time - self.now))
        grew = job.held.captured - first
        self.done(job, due, Work(
            self.spots[job], job.catcher, site.call, moved, self.stopped(job), self.reacted[job], start, seen,
            self.now, due is not None, (), grew, asked, kept_up, True,
        ))  # fmt: skip
        self.look_again(job)

    def climb_for(self, job: DeviceNow, collar: Collar, due: Capture | None) -> tuple[float, bool, float]:
        """How fast a collar climbs so that it is done just then [m/s]; whether it may have been faster; the seat [s].

        A collar turned evenly stays with the load once it has met it. So it is at the load at the end of the chase if
        it is faster than what is asked from each moment of the chase on, had it been at the load then: the largest.
        """
        if due is None:
            return self.usual_climb(job, collar), False, collar.seat.mean
        rests, again = self._rest_before(job, due.time)
        met = max(min(due.time - collar.seat.mean, again - BARELY), rests)
        times, demands = self._path(job)
        a, b = np.searchsorted(times, [self.now, met], side="right")
        last = float(np.interp(met, times, demands))
        asked = max(0.0, last - job.captured) / max(met - self.now, BARELY)
        if b > a:
            behind, left = last - demands[a:b], met - times[a:b]
            asked = max(asked, float(np.max(behind[left > BARELY] / left[left > BARELY], initial=0.0)))
        kept_up = met <= rests + BARELY
        return max(asked, EXACT) * (1 + 1e-12), kept_up, due.time - met

    def _rest_before(self, job: DeviceNow, time: float) -> tuple[float, float]:
        """When the load last came to rest before a time, or will if it has not yet; and when it moved again."""
        moves = self.moves[job.place.name]
        n = bisect_right(moves, (time, inf)) - 1
        if n >= 0 and moves[n][1] > time and n > 0 and moves[n][0] > self.now + BARELY:
            n -= 1
        rests = moves[n][1] if n >= 0 else 0.0
        return rests, moves[n + 1][0] if n + 1 < len(moves) else inf

    def _path(self, job: DeviceNow) -> tuple[Array, Array]:
        """The demand through time, as far as the collar's thread goes."""
        times, demands = self.paths[job.place.name]
        return times, np.minimum(demands, job.place.origin + job.device.ends_at)

    def _climb_path(self, job: DeviceNow, start: float) -> tuple[float, float]:
        """When the movement under way ends, and the demand then."""
        times, demands = self._path(job)
        stops = max(self.stopped(job), start)
        return stops, float(np.interp(stops, times, demands))

    def begun_now(self, job: DeviceNow) -> bool:
        """Whether this work's beginning was logged."""
        starts = self.course.seen.starts.get(self.spots[job], [])
        at = bisect_left(starts, self.now - 1e-3)
        return at < len(starts) and starts[at] <= self.now + 1e-3

    def work_in_steps(self, job: DeviceNow) -> Process:
        """Do what there is to do in the time until "caught" was heard; the steps share it as in the plan."""
        site, place, start = self.site, job.place, self.now
        due, moved, seen = self.due(job), self.moved(job), self.begun_now(job)
        job.working = True
        before, first = place.captured, job.captured
        planned, made = self.by_plan(job, start), list[str]()
        alone = due is None or due.time < self.next_stop(job)
        stretch = 1.0
        if due is not None and alone:
            stretch = max(0.0, due.time - start) / planned if planned > 0 else 1.0
        for step in self.planned(job):
            site.step_begins(job, step, before)
            made += [step.doing] * step.times
            yield self.env.timeout(stretch * step.mean)
            site.bring_up(place)
            before = place.captured
            job.held = step.then
        job.open = job.hands = False
        if due is not None and alone and planned == 0:
            yield self.clock.until(due.time)
        heard = due if alone else None
        self.done(job, heard, Work(
            self.spots[job], job.catcher, site.call, moved, self.stopped(job), self.reacted[job], start, seen,
            self.now, heard is not None, tuple(made), job.captured - first, 0.0, False, alone,
        ))  # fmt: skip
        self.look_again(job, before)

    def done(self, job: DeviceNow, due: Capture | None, work: Work) -> None:
        """A piece of work is over: keep it, and mark it where nobody logged its end."""
        self.works.append(work)
        if due is None:
            self.unheard += 1
            self.inferred.append(Inferred(self.env.now, job.catcher, f"caught at the {job.place.name}"))
        else:
            due.used = True
            if work.rate > 0 and not work.kept_up:
                self.climbs.setdefault(job.catcher, []).append(work.rate)
