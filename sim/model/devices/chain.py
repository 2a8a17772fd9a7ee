"""A chain hooked up link by link: whole links only, and nothing while it is off its hook."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from sim.model.devices.protocol import Task
from sim.model.devices.row import Row
from sim.model.draw import Draw


@dataclass(frozen=True, slots=True)
class Chain(Row):
    """A chain that is taken off and hooked on again further along. Slack stays."""

    rehook: Draw  # off, and on again at the highest link [s]
    react: Draw = Draw(0.0)  # [s]
    first_link: float | None = None  # the first to come up, after the start [m]; None: one spacing
    chases: None = None
    kind: ClassVar[str] = "chain"
    doing: ClassVar[Task] = Task.REHOOK
    each: ClassVar[str] = "link"
