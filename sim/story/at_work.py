"""Everybody's processes: who is at work in a lift, so that whoever breaks in on them can find them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import simpy

from sim.story.now import DeviceNow, SideNow


@dataclass(slots=True)
class AtWork:
    """The leader, the operators and the catchers of one lift, and what each catcher is at."""

    leader: simpy.Process = field(init=False)  # set going last
    operators: list[simpy.Process] = field(default_factory=list)
    catchers: dict[str, simpy.Process] = field(default_factory=dict)
    jobs: dict[str, DeviceNow | None] = field(default_factory=dict)

    def at_side(self, side: SideNow) -> Iterator[tuple[simpy.Process, DeviceNow]]:
        """The catchers who are at a device of this side, each with that device."""
        for catcher, job in self.jobs.items():
            if job is not None and side in job.place.sides:
                yield self.catchers[catcher], job
