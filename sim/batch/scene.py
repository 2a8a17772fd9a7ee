"""Everything that changes while a batch of lifts goes on, in one place."""

from __future__ import annotations

from dataclasses import dataclass

from sim.batch.parts.arrays import These, of_some
from sim.batch.parts.layout import Layout
from sim.batch.parts.moment import Moment
from sim.batch.parts.people import BatchPeople
from sim.batch.strokes import CallPlan, Rams
from sim.batch.timeline import Timeline


@dataclass(slots=True)
class Scene:
    """Lifts of one scenario, all at the same call."""

    layout: Layout
    people: BatchPeople
    now: Moment
    rams: Rams
    plan: CallPlan
    timeline: Timeline
    call: int = 0

    def keep(self, these: These) -> None:
        """Leave out all lifts but these."""
        self.now, self.rams, self.plan = of_some(self.now, these), of_some(self.rams, these), of_some(self.plan, these)
        self.people.keep(these)
        self.timeline = self.timeline.of_some(these)
