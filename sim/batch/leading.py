"""What the leaders of many lifts know, wait for and say on the way up and down; the stages of the job.

`looks`, `holds` and the like are flags of shape (n,), a lift each; `at` is when its leader looks, or calls [s].
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sim.batch.happens import happen
from sim.batch.measured.results import GOES_ON, Results, Tally
from sim.batch.moves import Pumping
from sim.batch.parts.arrays import Array, Flags, These, of_some, on_grid
from sim.batch.parts.layout import Layout, layout_of
from sim.batch.parts.moment import at_the_start, captured
from sim.batch.parts.people import BatchPeople
from sim.batch.scene import Scene
from sim.batch.strokes import CallPlan, rams_at_the_start
from sim.batch.timeline import Timeline
from sim.model.devices import EXACT
from sim.model.scenario import Leader, Scenario, Stage


@dataclass(frozen=True, slots=True)
class StageHere:
    """One stage of the job, and how it is called."""

    number: int
    stage: Stage
    rule: Leader
    u: float  # of where it goes to [rad or m]; not a number where nothing gets there


class LedLifts:
    """n lifts of one scenario, all at the same call, each in a stage of its own."""

    def __init__(self, scenario: Scenario, people: BatchPeople, n: int) -> None:
        layout = layout_of(scenario)
        sides = len(layout.lifters)
        nothing = CallPlan(np.full((sides, 1, n), np.inf), np.zeros((sides, 0, n)), np.zeros(n))
        self.scene = Scene(
            layout,
            people,
            at_the_start(layout, n),
            rams_at_the_start(layout, n),
            nothing,
            Timeline(layout, n),
            Pumping(),
        )
        self.stages = [
            StageHere(k, x, x.led(scenario.leader), layout.motion.u_for_rise(scenario.need.point, x.to))
            for k, x in enumerate(scenario.job)
        ]
        self.tally = Tally.of(n, len(layout.places), sides, scenario.start)
        self.results = Results(layout, n)
        self.at = np.zeros(n)

    @property
    def layout(self) -> Layout:
        """What is the same in all of them."""
        return self.scene.layout

    def keep(self, these: These) -> None:
        """Leave out all lifts but these."""
        self.at = self.at[these]
        self.tally = of_some(self.tally, these)
        self.scene.keep(these)

    # --- what is waited for

    def hold(self, holds: Flags) -> None:
        """These wait until all that can be caught is caught."""
        begun = self.tally.hold_begun
        self.tally.hold_begun = np.where(holds & np.isnan(begun), self.at, begun)
        self.until_all_caught(holds)

    def until_all_caught(self, these: Flags) -> None:
        """Nothing is being captured any more."""
        now = self.scene.now
        if (these & ~now.all_caught).any():
            self.until_over(lambda: np.asarray(these & ~self.scene.now.all_caught))

    def until_over(self, waits: Callable[[], Flags]) -> None:
        """Each lift goes on as long as it waits for something; `at` is when that has come."""
        waited = waits()
        happen(self.scene, self.at, waits)
        self.at = np.where(waited, self.scene.now.time, self.at)

    def wait(self, these: Flags, seconds: float) -> None:
        """So many seconds pass."""
        if these.any():
            self.at = np.where(these, on_grid(self.at + seconds), self.at)
            happen(self.scene, self.at)

    # --- what is said

    def end(self, these: Flags, outcome: int) -> None:
        """These lifts are over, if they were not."""
        self.tally.outcome[these & (self.tally.outcome == GOES_ON)] = outcome

    def stage_is_over(self, here: StageHere, these: Flags) -> Flags:
        """The next stage begins, or the lift has come out as its last raise or lower; in which it begins."""
        tally = self.tally
        tally.hold_begun[these] = np.nan
        self.count_the_rise(these)
        if here is self.stages[-1]:
            tally.outcome = np.where(these, tally.came, tally.outcome)
            return np.zeros_like(these)
        tally.stage = np.where(these, here.number + 1, tally.stage)
        following = self.stages[here.number + 1]
        if following.stage.do != "hold" and self.scene.call:
            self.at = np.where(these, np.maximum(self.at, on_grid(tally.last_call + following.rule.pace)), self.at)
            happen(self.scene, self.at)
        tally.highest = np.where(these, self.scene.now.u, tally.highest)
        tally.raises = tally.raises & ~these
        return these

    def count_the_rise(self, these: Flags) -> None:
        """How far a stage has raised the needed point, if it called for that."""
        tally = self.tally
        reached = self.rise(tally.highest.sum(axis=0) / len(tally.highest))
        tally.most = np.where(these & tally.raises, np.maximum(tally.most, reached), tally.most)

    # --- what is seen

    def rise(self, u: Array) -> Array:
        """How far the needed point rises at u (n,) [m]."""
        return self.layout.motion.rise(self.layout.scenario.need.point, u)

    def over_limit(self, limit: float) -> Flags:
        """Whether a gap is over the limit."""
        now = self.scene.now
        gap = now.demand - captured(self.layout, now, now.held)[0]
        return np.asarray((gap > limit + EXACT).any(axis=0))

    def level(self, rule: Leader) -> tuple[Flags, Flags]:
        """Which sides are no higher than the other, and which no lower, but for the level limit: (sides, n) each."""
        limit, u = rule.level_limit, self.scene.now.u
        if limit is None or len(u) < 2:
            every = np.ones(u.shape, dtype=bool)
            return every, every
        a, b = (self.layout.motion.rise(lifter.head, u[n]) for n, lifter in enumerate(self.layout.lifters))
        level = np.abs(a - b) <= limit + EXACT
        return np.array([level | (a <= b), level | (b < a)]), np.array([level | (a >= b), level | (b > a)])
