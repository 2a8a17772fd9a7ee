"""The leaders of many lifts on the way down and while they are held: `sim/story/lowering.py`, over arrays."""

from __future__ import annotations

import numpy as np

from sim.batch.down.freeing import Freeing
from sim.batch.down.standing import bottoms, rests, run_out, settle, stand_half_way
from sim.batch.down.valves import Valves
from sim.batch.happens import happen
from sim.batch.leading import LedLifts, StageHere
from sim.batch.let_down import make_room
from sim.batch.measured.results import GOES_ON, LOWERED, NOT_REACHED, STUCK
from sim.batch.parts.arrays import Array, Flags, on_grid
from sim.batch.parts.people import BatchPeople
from sim.batch.resets import can_be_let_go, let_go, pack_up, settle_on_the_others
from sim.batch.strokes import can_move
from sim.model.devices import EXACT
from sim.model.scenario import Scenario


class LoweredLifts(LedLifts):
    """n lifts, on the way down and while they are held."""

    def __init__(self, scenario: Scenario, people: BatchPeople, n: int) -> None:
        super().__init__(scenario, people, n)
        if scenario.start:
            stand_half_way(self.layout, self.scene.now, self.scene.rams)
            self.tally.highest[:] = self.scene.now.u

    def hold_still(self, here: StageHere, these: Flags) -> Flags:
        """The load settles onto its captures and stands on them for a time; which lifts look again."""
        settle(self.scene, these)
        self.wait(these, here.stage.time)
        return self.stage_is_over(here, these)

    def look_down(self, here: StageHere, looks: Flags, called: Flags) -> Flags:
        """Whether the load is above where it is to go; who is then called is noted; which look again: shape (n,)."""
        now = self.scene.now
        now.tight |= looks
        above = looks & (now.mean_u > here.u + EXACT)
        waits = looks & ~now.all_caught
        self.hold(waits & above)
        self.until_all_caught(waits)
        self.wait(waits & above, here.rule.look)
        there = looks & ~above
        if there.any():
            now = self.scene.now
            now.tight &= ~there
            self.tally.came = np.where(there, LOWERED, self.tally.came)
            there = self.stage_is_over(here, there)
        return there | self._who_is_called(here, above, called)

    def _who_is_called(self, here: StageHere, looks: Flags, called: Flags) -> Flags:
        """Who is to come down, if that can be; which lifts look again, after a lifter has been packed up or run out."""
        scene, now, rams = self.scene, self.scene.now, self.scene.rams
        if not looks.any():
            return looks
        if scene.call >= here.rule.max_calls:
            self.end(looks, NOT_REACHED)
            return np.zeros_like(looks)
        sides = self.level(here.rule)[1] & (now.u > here.u + EXACT) & looks
        ends = sides & (now.u <= bottoms(scene) + EXACT)
        again = self._run_out_or_end(ends)
        sides &= ~ends.any(axis=0)
        resting = sides & rests(scene)
        travel = np.array([lifter.travel for lifter in self.layout.lifters])[:, None]
        spent = resting & (travel - rams.travel < EXACT)
        again |= self._pack_up_or_end(spent)
        sides &= ~spent.any(axis=0)
        moves = np.array([can_move(self.layout, rams, side, u) for side, u in enumerate(now.u)])
        self.end(np.asarray((sides & resting & ~moves).any(axis=0)), STUCK)
        called |= sides & (self.tally.outcome == GOES_ON)
        return np.asarray(again)

    def _run_out_or_end(self, ends: Flags) -> Flags:
        """Take out what rams with no way left (sides, n) were packed up with last; in which lifts that was possible."""
        some = np.asarray(ends.any(axis=0))
        if not some.any():
            return some
        self.end(np.asarray((ends & (self.scene.rams.packed == 0)).any(axis=0)), STUCK)
        return self._between_runs(ends, some, packs_up=False)

    def _pack_up_or_end(self, spent: Flags) -> Flags:
        """Re-set lifters that have no travel left to free the load (sides, n); in which lifts that was possible."""
        some = np.asarray(spent.any(axis=0))
        if not some.any():
            return some
        if self.layout.scenario.reset is None:
            self.end(some, STUCK)
        self.end(np.asarray((spent & self.scene.rams.run_out).any(axis=0)), STUCK)
        return self._between_runs(spent, some, packs_up=True)

    def _between_runs(self, lifters: Flags, some: Flags, packs_up: bool) -> Flags:
        """Let these lifters go (sides, n), and bring them back to contact, where something else holds the load."""
        for side, out in enumerate(lifters):
            if not can_be_let_go(self.layout, side):
                self.end(out, STUCK)
        some = some & (self.tally.outcome == GOES_ON)
        if not some.any():
            return some
        lifters = lifters & some
        assert self.layout.scenario.reset is not None
        (let_go if packs_up else settle_on_the_others)(self.scene, lifters)
        if packs_up:
            self.tally.resets += some
        self.wait(some, self.layout.scenario.reset.time)
        (pack_up if packs_up else run_out)(self.scene, lifters)
        return some

    # --- a lowering call

    def call_down(self, here: StageHere, called: Flags) -> None:
        """Free, room, hands out, lower: the called sides (sides, n) come down a step, each as far as it can."""
        scene, calls = self.scene, self.at
        some, stood = np.asarray(called.any(axis=0)), scene.now.demand.copy()
        scene.now.made |= called
        scene.timeline.look_at(scene.now, some)
        freeing = Freeing(scene, called)
        scene.knots = freeing
        self.until_over(lambda: self._any_knot(some))
        self.end(np.asarray(freeing.stuck.any(axis=0)), STUCK)
        called = called & (self.tally.outcome == GOES_ON)
        clear = np.asarray(called.any(axis=0))
        make_room(scene, called, stood, here.rule.room, here.u)
        self.until_over(lambda: np.asarray(clear & (scene.now.goes_to < np.inf).any(axis=0)))
        self.wait(clear, here.rule.look)
        scene.knots = Valves(scene, called, here.u)
        self.until_over(lambda: self._any_knot(clear))
        paced = np.maximum(self.at, on_grid(calls + here.rule.pace))
        self.at = np.where(clear, paced, self.at)
        happen(scene, self.at)

    def _any_knot(self, these: Flags) -> Flags:
        """Whether an operator is at work still: (n,)."""
        knots: Array = self.scene.now.knot
        return np.asarray(these & (knots < np.inf).any(axis=0))
