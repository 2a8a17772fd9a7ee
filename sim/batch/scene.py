"""Everything that changes while a batch of lifts goes on, in one place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from sim.batch.parts.arrays import Flags, These, of_some
from sim.batch.parts.layout import Layout
from sim.batch.parts.moment import Moment
from sim.batch.parts.people import BatchPeople
from sim.batch.strokes import CallPlan, Rams
from sim.batch.timeline import Timeline


class Knots(Protocol):
    """What the operators are at: each comes from one knot to the next, `now.knot`."""

    def starts(self, scene: Scene) -> Flags:
        """Whether the load begins to move at the next one: (sides, n)."""

    def next_knot(self, scene: Scene, side: int, these: These) -> These:
        """Those of a side come to their next knot in these lifts; in which of them the side has come to rest."""


@dataclass(slots=True)
class Scene:
    """Lifts of one scenario, all at the same call."""

    layout: Layout
    people: BatchPeople
    now: Moment
    rams: Rams
    plan: CallPlan
    timeline: Timeline
    knots: Knots
    call: int = 0

    def keep(self, these: These) -> None:
        """Leave out all lifts but these."""
        self.now, self.rams, self.plan = of_some(self.now, these), of_some(self.rams, these), of_some(self.plan, these)
        self.people.keep(these)
        self.timeline = self.timeline.of_some(these)
