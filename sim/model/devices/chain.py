"""A chain hooked up link by link: whole links only, and nothing while it is off its hook."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from sim.model.devices.pin import whole_steps
from sim.model.devices.protocol import Held, Step, Task
from sim.model.draw import Draw


@dataclass(frozen=True, slots=True)
class Chain:
    """A chain that is taken off and hooked on again further along. Slack stays."""

    name: str
    spacing: float  # from link to link: the pitch [m]
    rehook: Draw  # off, and on again at the highest link [s]
    react: Draw = Draw(0.0)  # [s]
    first_link: float | None = None  # the first to come up, after the start [m]; None: one spacing
    chases: None = None
    kind: ClassVar[str] = "chain"

    @property
    def finest(self) -> float:
        """From link to link [m]."""
        return self.spacing

    def at_start(self, slack: float) -> Held:
        """Behind by the slack, for good."""
        return Held(-slack, slack)

    def reach(self, held: Held, demand: float) -> float:
        """The highest link that has come up, less the slack [m]."""
        return whole_steps(demand, self.spacing, self.first_link) - held.slack

    def steps(self, held: Held, demand: float) -> tuple[Step, ...]:
        """Off, and on again at the highest link."""
        then = Held(self.reach(held, demand), held.slack)
        return (Step(Task.REHOOK, self.rehook, then, held, open=True, hands=True),)

    def seconds_a_call(self, gives: float) -> float:
        """Hooked on again once a link at the most [s]."""
        return min(1.0, gives / self.spacing) * (self.react.mean + self.rehook.mean)
