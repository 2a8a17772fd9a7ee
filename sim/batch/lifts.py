"""Many lifts at once: the leader of `sim/story/lift.py`, call after call, until each lift has come out.

`looks`, `holds` and the like are flags of shape (n,), a lift each; `called` and `spent` are of shape (sides, n). What
the leaders know and wait for is in `leading.py`, the way down in `down/leader.py`.
"""

from __future__ import annotations

import numpy as np

from sim.batch.down.leader import LoweredLifts
from sim.batch.happens import happen
from sim.batch.leading import StageHere
from sim.batch.looking import look_for_work
from sim.batch.measured.results import GOES_ON, NOT_REACHED, RAISED, STOPPED, Results
from sim.batch.moves import Pumping
from sim.batch.parts.arrays import Flags, on_grid, those
from sim.batch.parts.moment import captured
from sim.batch.resets import can_be_let_go, let_go, pack_up, settled_u
from sim.batch.strokes import can_move, plan_call
from sim.model.devices import EXACT
from sim.model.scenario import Leader


class Lifts(LoweredLifts):
    """n lifts of one scenario, all at the same call."""

    def run(self) -> Results:
        """Lead them all to their ends."""
        self.scene.timeline.look_at(self.scene.now)
        for person in range(len(self.layout.people)):
            look_for_work(self.scene, person, np.arange(len(self.at)))
        happen(self.scene, self.at)
        while len(self.at):
            up, down = self._decide()
            ended = self.tally.outcome != GOES_ON
            self.until_all_caught(ended)
            self.results.measure(self.scene, self.tally, self.at)
            if ended.any():
                self.count_the_rise(ended)
                self.results.write(self.scene, self.tally, self.at, those(ended))
                up, down = up[:, ~ended], down[:, ~ended]
                self.keep(those(~ended))
            if len(self.at):
                self._call(up, down)
        return self.results

    def _decide(self) -> tuple[Flags, Flags]:
        """Stage after stage, until a call goes out or the lift has ended: who is called up, and who down."""
        up, down = np.zeros((2, *self.scene.now.u.shape), dtype=bool)
        looks = self.tally.outcome == GOES_ON
        while looks.any():
            for here in self.stages:
                mine = looks & (self.tally.stage == here.number)
                if not mine.any():
                    continue
                if here.stage.do == "hold":
                    again = self.hold_still(here, mine)
                elif here.stage.do == "lower":
                    again = self.look_down(here, mine, down)
                else:
                    again = self._look_up(here, mine, up)
                looks = np.where(mine, again, looks)
            looks &= self.tally.outcome == GOES_ON
        return up, down

    def _look_up(self, here: StageHere, looks: Flags, called: Flags) -> Flags:
        """Look, hold and re-set until the call goes out; who is called then is noted; which lifts look again."""
        rams, now, layout, tally = self.scene.rams, self.scene.now, self.layout, self.tally
        tally.highest = np.where(looks, np.maximum(tally.highest, now.u), tally.highest)
        self._look(here, looks)
        raised = looks & (tally.outcome == RAISED)
        goes_on = np.zeros_like(looks)
        if raised.any():
            tally.outcome[raised], tally.came[raised] = GOES_ON, RAISED
            goes_on = self.stage_is_over(here, raised)
        looks = looks & ~raised & (tally.outcome == GOES_ON)
        if self.scene.call >= here.rule.max_calls:
            self.end(looks, NOT_REACHED)
            return goes_on
        sides = self.level(here.rule)[0] & looks
        travel = np.array([lifter.travel for lifter in layout.lifters])[:, None]
        spent = sides & (travel - rams.travel < EXACT)
        moves = np.array([can_move(layout, rams, side, u) for side, u in enumerate(now.u)])
        stuck = looks & ~spent.any(axis=0) & ~(sides & moves).any(axis=0)
        self.end(stuck, NOT_REACHED)
        called |= sides & ~spent.any(axis=0) & ~stuck
        return goes_on | self._reset_or_end(spent)

    def _look(self, here: StageHere, looks: Flags) -> None:
        """Whether it is time for the next call; hold until it is."""
        rule, goal = here.rule, here.stage.to
        reached = looks & (self.rise(self.scene.now.mean_u) >= goal - EXACT)
        held = reached & ~self.scene.now.all_caught
        self.hold(held)
        if reached.any():
            self.end(reached & (self.rise(settled_u(self.scene)) >= goal - EXACT), RAISED)
        looks = looks & (self.tally.outcome == GOES_ON)
        over = np.zeros_like(looks)
        if rule.rule == "stop-until-caught":
            refused = looks & self._refused(rule)
            more = refused & ~self.scene.now.all_caught
            self.hold(more)
            held = held | more
            over = refused & self.over_limit(rule.gap_limit)
        self.wait(looks & (held | over), rule.look)
        if rule.if_uncapturable == "stop":
            self.end(over, STOPPED)

    def _refused(self, rule: Leader) -> Flags:
        """Whether a look finds a station open, hands in, or a gap over the limit."""
        now = self.scene.now
        hands = [now.working[d] for d in self.layout.hands]
        is_open = captured(self.layout, now, now.held)[1].any(axis=0)
        return np.logical_or.reduce([is_open, *hands, self.over_limit(rule.gap_limit)])  # type: ignore[no-any-return]

    def _reset_or_end(self, spent: Flags) -> Flags:
        """Re-set the lifters that have no travel left, `spent` (sides, n); which lifts go on, and look again."""
        scene, spends = self.scene, np.asarray(spent.any(axis=0))
        if not spends.any():
            return spends
        if self.layout.scenario.reset is None:
            self.end(spends, NOT_REACHED)
            return np.zeros_like(spends)
        self.until_all_caught(spends)
        for side, out in enumerate(spent):
            if not can_be_let_go(self.layout, side):
                self.end(out, NOT_REACHED)
        goes_on = spends & (self.tally.outcome == GOES_ON)
        if not goes_on.any():
            return np.asarray(goes_on)
        self.tally.resets += goes_on
        let_go(scene, spent & goes_on)
        rise = self.rise(scene.now.mean_u)
        gains = goes_on & (rise > self.tally.last_settled + EXACT)
        self.end(goes_on & ~gains, NOT_REACHED)
        self.tally.last_settled = np.where(gains, rise, self.tally.last_settled)
        self.wait(gains, self.layout.scenario.reset.time)
        pack_up(scene, spent & gains)
        return np.asarray(gains)

    # --- the call goes out

    def _call(self, up: Flags, down: Flags) -> None:
        """Those in each stage are called: the sides `up`, or `down`, (sides, n)."""
        scene, tally = self.scene, self.tally
        scene.call += 1
        tally.close_holds(self.at, scene.now)
        tally.last_call = self.at.copy()
        for here in self.stages:
            mine = tally.stage == here.number
            if not mine.any():
                continue
            if here.stage.do == "lower":
                self.call_down(here, down & mine)
            else:
                self._call_up(here, up & mine, mine)

    def _call_up(self, here: StageHere, called: Flags, mine: Flags) -> None:
        """Pump: the called sides (sides, n) of some lifts (n,) go up."""
        scene, tally, now = self.scene, self.tally, self.scene.now
        tally.raises |= mine
        tally.over_limit += self.over_limit(self.layout.scenario.leader.gap_limit) & mine
        tally.levelling += ~called.all(axis=0) & mine
        scene.knots, strokes = Pumping(), here.rule.strokes
        scene.plan = plan_call(self.layout, scene.rams, now.u, called, scene.people, scene.call, self.at, strokes)
        now.turn[:] = 0
        now.knot = scene.plan.times[:, 0].copy()
        ready = np.maximum(on_grid(self.at + here.rule.pace), scene.plan.ready)
        self.at = np.where(mine, ready, self.at)
        happen(scene, self.at)
