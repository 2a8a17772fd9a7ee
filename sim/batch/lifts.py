"""Many lifts at once: the leader of `sim/story/lift.py`, call after call, until each lift has come out.

`looks`, `holds` and the like are flags of shape (n,), a lift each; `at` is when its leader looks, or calls [s].
"""

from __future__ import annotations

import numpy as np

from sim.batch.happens import happen
from sim.batch.looking import look_for_work
from sim.batch.measured.results import GOES_ON, NOT_REACHED, RAISED, STOPPED, Results, Tally
from sim.batch.parts.arrays import Array, Flags, of_some, on_grid, those
from sim.batch.parts.layout import Layout, layout_of
from sim.batch.parts.moment import at_the_start, captured
from sim.batch.parts.people import BatchPeople
from sim.batch.resets import can_be_let_go, let_go, pack_up, settled_u
from sim.batch.scene import Scene
from sim.batch.strokes import CallPlan, can_move, plan_call, rams_at_the_start
from sim.batch.timeline import Timeline
from sim.model.devices import EXACT
from sim.model.scenario import Scenario


class Lifts:
    """n lifts of one scenario, all at the same call."""

    def __init__(self, scenario: Scenario, people: BatchPeople, n: int) -> None:
        layout = layout_of(scenario)
        sides = len(layout.lifters)
        nothing = CallPlan(np.full((sides, 1, n), np.inf), np.zeros((sides, 0, n)), np.zeros(n))
        self.scene = Scene(
            layout, people, at_the_start(layout, n), rams_at_the_start(layout, n), nothing, Timeline(layout, n)
        )
        self.tally = Tally.of(n, len(layout.places))
        self.results = Results(layout, n)
        self.at = np.zeros(n)

    @property
    def layout(self) -> Layout:
        """What is the same in all of them."""
        return self.scene.layout

    def run(self) -> Results:
        """Lead them all to their ends."""
        self.scene.timeline.look_at(self.scene.now)
        for person in range(len(self.layout.people)):
            look_for_work(self.scene, person, np.arange(len(self.at)))
        happen(self.scene, self.at)
        while len(self.at):
            called = self._decide()
            ended = self.tally.outcome != GOES_ON
            self._until_all_caught(ended)
            self.results.measure(self.scene, self.tally, self.at)
            if ended.any():
                self.results.write(self.scene, self.tally, self.at, those(ended))
                called = called[:, ~ended]
                self._keep(those(~ended))
            if len(self.at):
                self._call(called)
        return self.results

    def _keep(self, these: np.ndarray[tuple[int], np.dtype[np.intp]]) -> None:
        self.at = self.at[these]
        self.tally = of_some(self.tally, these)
        self.scene.keep(these)

    # --- the leader looks

    def _decide(self) -> Flags:
        """Look, hold and re-set until the call goes out or the lift has ended: who is called, (sides, n)."""
        rams, now, layout = self.scene.rams, self.scene.now, self.layout
        called = np.zeros(now.u.shape, dtype=bool)
        looks = np.ones(len(self.at), dtype=bool)
        while looks.any():
            self._look(looks)
            looks &= self.tally.outcome == GOES_ON
            if self.scene.call >= layout.scenario.leader.max_calls:
                self._end(looks, NOT_REACHED)
                break
            sides = self._sides_to_call() & looks
            travel = np.array([lifter.travel for lifter in layout.lifters])[:, None]
            spent = sides & (travel - rams.travel < EXACT)
            moves = np.array([can_move(layout, rams, side, u) for side, u in enumerate(now.u)])
            stuck = looks & ~spent.any(axis=0) & ~(sides & moves).any(axis=0)
            self._end(stuck, NOT_REACHED)
            called |= sides & ~spent.any(axis=0) & ~stuck
            looks = self._reset_or_end(spent)
        return called

    def _look(self, looks: Flags) -> None:
        """Whether it is time for the next call; hold until it is."""
        rule, need = self.layout.scenario.leader, self.layout.scenario.need
        reached = looks & (self._rise(self.scene.now.mean_u) >= need.rise - EXACT)
        held = reached & ~self.scene.now.all_caught
        self._hold(held)
        if reached.any():
            self._end(reached & (self._rise(settled_u(self.scene)) >= need.rise - EXACT), RAISED)
        looks = looks & (self.tally.outcome == GOES_ON)
        over = np.zeros_like(looks)
        if rule.rule == "stop-until-caught":
            refused = looks & self._refused()
            more = refused & ~self.scene.now.all_caught
            self._hold(more)
            held = held | more
            over = refused & self._over_limit()
        waits = looks & (held | over)
        self.at = np.where(waits, on_grid(self.at + rule.look), self.at)
        happen(self.scene, self.at)
        if rule.if_uncapturable == "stop":
            self._end(over, STOPPED)

    def _rise(self, u: Array) -> Array:
        """How far the needed point rises at u (n,) [m]."""
        return self.layout.motion.rise(self.layout.scenario.need.point, u)

    def _over_limit(self) -> Flags:
        """Whether a gap is over the limit."""
        now = self.scene.now
        gap = now.demand - captured(self.layout, now, now.held)[0]
        return np.asarray((gap > self.layout.scenario.leader.gap_limit + EXACT).any(axis=0))

    def _refused(self) -> Flags:
        """Whether a look finds a station open, hands in, or a gap over the limit."""
        now = self.scene.now
        hands = [now.working[d] for d, here in enumerate(self.layout.devices) if here.work and here.work.hands]
        is_open = captured(self.layout, now, now.held)[1].any(axis=0)
        return np.logical_or.reduce([is_open, *hands, self._over_limit()])  # type: ignore[no-any-return]

    def _hold(self, holds: Flags) -> None:
        """These wait until all that can be caught is caught."""
        begun = self.tally.hold_begun
        self.tally.hold_begun = np.where(holds & np.isnan(begun), self.at, begun)
        self._until_all_caught(holds)

    def _until_all_caught(self, these: Flags) -> None:
        waits = these & ~self.scene.now.all_caught
        if waits.any():
            happen(self.scene, self.at, waits)
            self.at = np.where(waits, self.scene.now.time, self.at)

    def _end(self, these: Flags, outcome: int) -> None:
        self.tally.outcome[these & (self.tally.outcome == GOES_ON)] = outcome

    def _sides_to_call(self) -> Flags:
        """All of them, or the low one if they differ by more than the level limit: (sides, n)."""
        limit, u = self.layout.scenario.leader.level_limit, self.scene.now.u
        if limit is None or len(u) < 2:
            return np.ones(u.shape, dtype=bool)
        a, b = (self.layout.motion.rise(lifter.head, u[n]) for n, lifter in enumerate(self.layout.lifters))
        level = np.abs(a - b) <= limit + EXACT
        return np.array([level | (a <= b), level | (b < a)])

    def _reset_or_end(self, spent: Flags) -> Flags:
        """Re-set the lifters that have no travel left, `spent` (sides, n); which lifts go on, and look again."""
        scene, spends = self.scene, np.asarray(spent.any(axis=0))
        if not spends.any():
            return spends
        if self.layout.scenario.reset is None:
            self._end(spends, NOT_REACHED)
            return np.zeros_like(spends)
        self._until_all_caught(spends)
        for side, out in enumerate(spent):
            if not can_be_let_go(self.layout, side):
                self._end(out, NOT_REACHED)
        goes_on = spends & (self.tally.outcome == GOES_ON)
        if not goes_on.any():
            return np.asarray(goes_on)
        self.tally.resets += goes_on
        let_go(scene, spent & goes_on)
        rise = self._rise(scene.now.mean_u)
        gains = goes_on & (rise > self.tally.last_settled + EXACT)
        self._end(goes_on & ~gains, NOT_REACHED)
        self.tally.last_settled = np.where(gains, rise, self.tally.last_settled)
        self.at = np.where(gains, on_grid(self.at + self.layout.scenario.reset.time), self.at)
        happen(scene, self.at)
        pack_up(scene, spent & gains)
        return np.asarray(gains)

    # --- the call goes out

    def _call(self, called: Flags) -> None:
        scene, tally, now = self.scene, self.tally, self.scene.now
        scene.call += 1
        tally.close_holds(self.at, now)
        tally.over_limit += self._over_limit()
        tally.levelling += ~called.all(axis=0)
        scene.plan = plan_call(self.layout, scene.rams, now.u, called, scene.people, scene.call, self.at)
        now.turn[:] = 0
        now.knot = scene.plan.times[:, 0].copy()
        self.at = np.maximum(on_grid(self.at + self.layout.scenario.leader.pace), scene.plan.ready)
        happen(scene, self.at)
