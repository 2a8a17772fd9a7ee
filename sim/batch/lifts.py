"""Many lifts at once: one pass a call, arrays over replications, and the same leader as in `sim/story/lift.py`."""

from __future__ import annotations

from math import hypot

import numpy as np

from sim.batch.crew.catchers import Catcher, handle_due, handle_until_caught
from sim.batch.crew.people import People
from sim.batch.lines.arrays import ALL, Array, Chosen, Flags, nonzero, on_grid, put
from sim.batch.resets import reset
from sim.batch.results import OUTCOMES, Results
from sim.batch.stand.drops import Drops
from sim.batch.stand.lifted import follow_strokes
from sim.batch.stand.places import Place
from sim.batch.stand.sides import Side
from sim.model.chance import FixedValues
from sim.model.devices import EXACT
from sim.model.scenario import Lifter, Scenario, Station
from sim.model.stops import highest, settled_mean
from sim.record.record import Book
from sim.record.what import Outcome
from sim.story.stage import Stage

RAISED, STOPPED, NOT_REACHED = map(OUTCOMES.index, (Outcome.RAISED, Outcome.STOPPED, Outcome.NOT_REACHED))
GOES_ON = -1


class Lifts:
    """n lifts of one scenario, all at the same call."""

    def __init__(self, scenario: Scenario, people: People, n: int) -> None:
        self.scenario, self.rule = scenario, scenario.leader
        self.people = people
        stage = Stage(scenario, FixedValues(), Book())  # for its lines and its lifters' travel
        self.motion = stage.motion
        self.sides = [Side(s.lifter, s.line, scenario, n) for s in stage.sides]
        self.places = [self._place(where, n) for where in scenario.places]
        self.drops = {holds: [self._drops(side, holds, n) for side in self.sides] for holds in (True, False)}
        self.call = 0
        self.outcome = np.full(n, GOES_ON)
        self.now = np.zeros(n)  # when the leader looks, and then when the call goes out
        self.hold_begun = np.full(n, np.nan)
        self.last_settled = np.full(n, -np.inf)
        self.holds, self.levelling, self.over_limit, self.resets = (np.zeros(n, dtype=np.int64) for _ in range(4))
        self.hold_time = np.zeros(n)
        self.waited = np.zeros((len(self.places), n))
        self.held_for = np.zeros((len(self.places), n), dtype=np.int64)
        self.level = np.zeros(n)  # the largest difference so far [m]
        self.results = Results(self, n)

    def _place(self, where: Lifter | Station, n: int) -> Place:
        sides = [s for s in self.sides if where.side in (s.lifter.side, "both")]
        place = Place(where, self.motion, sides, self.rule.gap_limit, n)
        for device, name in zip(where.capture, where.catchers, strict=True):
            catcher = Catcher(device, place, name, self.people, n)
            catcher.set_up(ALL, where.slack if isinstance(where, Station) else 0.0)
            place.catchers.append(catcher)
        place.begin()
        return place

    def _drops(self, side: Side, holds: bool, n: int) -> Drops:
        other = next((s for s in self.sides if s is not side), None)
        return Drops(side, other, self.places, self.motion, holds, n)

    def run(self) -> Results:
        """Lead them all to their ends."""
        for place in self.places:
            for catcher in place.catchers:
                catcher.look_for_work(ALL, self.now)
            handle_due(place, self.now)
        while len(self.now):
            called = self._decide()
            self._finish()
            if not len(self.now):
                break
            self._call([c[self._kept] for c in called])
        return self.results

    # --- the leader looks

    def _decide(self) -> list[Flags]:
        """Everyone looks, holds and re-sets until the call goes out or the lift has ended; who is called."""
        n = len(self.now)
        called = [np.zeros(n, dtype=bool) for _ in self.sides]
        looks = np.ones(n, dtype=bool)
        while looks.any():
            self._look(looks)
            looks &= self.outcome == GOES_ON
            sides = self._sides_to_call()
            if self.call >= self.rule.max_calls:
                self._end(looks, NOT_REACHED)
                break
            spent = [c & looks & (s.lifter.travel - s.travel < EXACT) for c, s in zip(sides, self.sides, strict=True)]
            spends = np.logical_or.reduce(spent)
            can_move = [c & s.can_move(self.motion) for c, s in zip(sides, self.sides, strict=True)]
            stuck = looks & ~spends & ~np.logical_or.reduce(can_move)
            self._end(stuck, NOT_REACHED)
            calls = looks & ~spends & ~stuck
            for side, goes in zip(called, sides, strict=True):
                side |= goes & calls
            looks = self._reset_or_end(spends, spent)
        return called

    def _look(self, looks: Flags) -> None:
        """Whether it is time for the next call; hold until it is."""
        reached = looks & (self.point_rise() >= self.scenario.need.rise - EXACT)
        held = reached & ~self.all_caught()
        self._hold(held)
        if reached.any():
            self._end(reached & (self.settled_rise() >= self.scenario.need.rise - EXACT), RAISED)
        looks = looks & (self.outcome == GOES_ON)
        over = np.zeros_like(looks)
        if self.rule.rule == "stop-until-caught":
            refuses = [p.refuses(self.rule.gap_limit) for p in self.places]
            refused = looks & np.logical_or.reduce([over, *refuses])
            more = refused & ~self.all_caught()
            self._hold(more)
            held = held | more
            for place in self.places:
                over |= refused & (place.gap() > self.rule.gap_limit + EXACT)
        waits = looks & (held | over)
        if waits.any():
            self.now = np.where(waits, on_grid(self.now + self.rule.look), self.now)
            self._let_happen()
        if self.rule.if_uncapturable == "stop":
            self._end(over, STOPPED)

    def _hold(self, holds: Flags) -> None:
        """These wait until all that can be caught is caught."""
        if holds.any():
            self.hold_begun = np.where(holds & np.isnan(self.hold_begun), self.now, self.hold_begun)
            self._until_all_caught(holds)

    def _until_all_caught(self, these: Flags) -> None:
        these = these & ~self.all_caught()
        if not these.any():
            return
        for place in self.places:
            handle_until_caught(place, these)
        for place in self.places:
            self.now = np.where(these, np.maximum(self.now, place.caught_at), self.now)
        self._let_happen()

    def _let_happen(self) -> None:
        """Everything that is due by now."""
        for place in self.places:
            handle_due(place, self.now)
            place.bring_up(ALL, self.now)

    def _end(self, these: Flags, outcome: int) -> None:
        self.outcome[these & (self.outcome == GOES_ON)] = outcome

    def _sides_to_call(self) -> list[Flags]:
        """All of them, or the low one if they differ by more than the level limit."""
        every = np.ones(len(self.now), dtype=bool)
        if self.rule.level_limit is None or len(self.sides) < 2:
            return [every for _ in self.sides]
        a, b = (self.motion.rise(s.lifter.head, s.u) for s in self.sides)
        level = np.maximum(a, b) - np.minimum(a, b) <= self.rule.level_limit + EXACT
        return [level | (a <= b), level | (b < a)]

    def _reset_or_end(self, spends: Flags, spent: list[Flags]) -> Flags:
        """Re-set the lifters that have no travel left; those lifts that go on look again."""
        if not spends.any():
            return spends
        if self.scenario.reset is None:
            self._end(spends, NOT_REACHED)
            return np.zeros_like(spends)
        self._until_all_caught(spends)
        for side, out in zip(self.sides, spent, strict=True):
            if not any(side in p.sides and isinstance(p.where, Station) for p in self.places):
                self._end(out, NOT_REACHED)
        goes_on = spends & (self.outcome == GOES_ON)
        if goes_on.any():
            self._gather()
            goes_on = reset(self, goes_on, spent)
        return goes_on  # type: ignore[no-any-return]

    # --- the call goes out

    def _call(self, called: list[Flags]) -> None:
        self.call += 1
        self._close_holds()
        over = np.zeros(len(self.now), dtype=bool)
        for place in self.places:
            over |= place.gap() > place.limit + EXACT
            place.call_goes_out(self.now, self.call)
        for drops in (*self.drops[True], *self.drops[False]):
            drops.call_goes_out(self.now, self.call)
        self.over_limit += over
        self.levelling += ~np.logical_and.reduce(called)
        for side, goes in zip(self.sides, called, strict=True):
            side.answer(goes, self.call, self.now, self.people, self.motion)
        for place in self.places:
            follow_strokes(place)
        self._note_level()
        looks = on_grid(self.now + self.rule.pace)
        self.now = np.maximum.reduce([looks, *(s.ready for s in self.sides)])
        self._let_happen()

    def _close_holds(self) -> None:
        """A hold ends with the call; it waited for the place that was caught last."""
        held = nonzero(~np.isnan(self.hold_begun))
        if not len(held):
            return
        begun, now = self.hold_begun[held], self.now[held]
        last, last_begun, who = np.full(len(held), -np.inf), np.full(len(held), -np.inf), np.full(len(held), -1)
        for n, place in enumerate(self.places):
            at, work_begun = place.caught_at[held], place.caught_begun[held]
            later = (at > begun) & (at <= now) & ((at > last) | ((at == last) & (work_begun >= last_begun)))
            last, last_begun = np.where(later, at, last), np.where(later, work_begun, last_begun)
            who = np.where(later, n, who)
        self.holds[held] += 1
        self.hold_time[held] += now - begun
        self.waited[who, held] += now - begun
        self.held_for[who, held] += 1
        self.hold_begun = np.full(len(self.now), np.nan)

    def _note_level(self) -> None:
        """The largest level difference, at every start and end of a stroke."""
        if len(self.sides) < 2:
            return
        heads = [s.lifter.head for s in self.sides]
        alike = heads[0][0] == heads[1][0] and heads[0][2] == heads[1][2]
        arm = hypot(heads[0][0], heads[0][2] - self.scenario.load.pivot_height)  # the most it rises for one of u
        for side, other in (self.sides, self.sides[::-1]):
            for stroke in side.strokes:
                for time, u in ((stroke.start, stroke.u_start), (stroke.end, stroke.u_end)):
                    these = side.moves
                    mine, theirs = u[these], other.u_at(these, time[these])
                    if self.scenario.load.motion == "hinged" and alike:
                        could = nonzero(arm * np.abs(mine - theirs) > self.level[these])
                        these = could if these is ALL else these[could]
                        mine, theirs = mine[could], theirs[could]
                    apart = self.motion.rise(side.lifter.head, mine) - self.motion.rise(other.lifter.head, theirs)
                    put(self, "level", these, np.maximum(self.level[these], np.abs(apart)))

    # --- the end

    def _gather(self) -> None:
        """Take the drops of what has happened up to now; rows are gathered anew from here."""
        for drops in (*self.drops[True], *self.drops[False]):
            drops.look_at(self.places, self.now, self.call)
        for place in self.places:
            place.set_out(self.now)

    def _finish(self) -> None:
        """Write down the lifts that have ended, and leave them out."""
        ended = self.outcome != GOES_ON
        self._until_all_caught(ended)
        self._gather()
        self._kept: Chosen = ALL
        self.results.gap_by_call(self)
        if ended.any():
            over = nonzero(ended)
            for place in self.places:
                place.row(over, self.now[over])  # as it stood from its last row to the end
            self.results.write(self, over)
            self._kept = nonzero(~ended)
            self._keep(self._kept)
        self.people.next_call(self._kept)

    def _keep(self, kept: Chosen) -> None:
        for name in ("outcome", "now", "hold_begun", "last_settled", "holds", "levelling", "over_limit", "resets",
                     "hold_time", "level"):  # fmt: skip
            setattr(self, name, getattr(self, name)[kept])
        self.waited, self.held_for = self.waited[:, kept], self.held_for[:, kept]
        parts: list[Side | Place | Drops] = [*self.sides, *self.places, *self.drops[True], *self.drops[False]]
        for part in parts:
            part.keep(kept)

    # --- how it stands

    def all_caught(self) -> Flags:
        """Whether nothing is still being captured."""
        every = [np.ones(len(self.now), dtype=bool), *(p.all_caught() for p in self.places)]
        return np.logical_and.reduce(every)  # type: ignore[no-any-return]

    def mean_u(self) -> Array:
        """The mean of the sides' u [rad or m]."""
        return sum((s.u for s in self.sides), np.zeros(len(self.now))) / len(self.sides)

    def point_rise(self) -> Array:
        """How far the needed point has risen, at the mean of the sides [m]."""
        return self.motion.rise(self.scenario.need.point, self.mean_u())

    def own_stop(self, side: Side) -> Array:
        """Where this side's own places hold it, those on both sides apart [rad or m]."""
        held = [p.u_held(*p.state(ALL)[:2]) for p in self.places if p.where.side == side.lifter.side]
        return np.minimum(side.u, highest(held))

    def settled_rise(self) -> Array:
        """What is left of that once the load comes down onto its captures [m]."""
        both = [p.u_held(*p.state(ALL)[:2]) for p in self.places if p.where.side == "both"]
        settled = settled_mean([self.own_stop(s) for s in self.sides], both)
        return self.motion.rise(self.scenario.need.point, np.minimum(settled, self.mean_u()))
