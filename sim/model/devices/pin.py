"""A pin through one of a row of holes: it holds only at a hole, and nothing while it is out."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import ClassVar, Literal

from sim.model.devices.protocol import Task
from sim.model.devices.row import Row
from sim.model.draw import Draw


@dataclass(frozen=True, slots=True)
class Pin(Row):
    """A pinned strut. Slack stays; what lies between two holes stays open."""

    swap: Draw  # pin out, in at the next hole [s]
    react: Draw = Draw(0.0)  # [s]
    first_hole: float | None = None  # the first to come up, after the start [m]; None: one spacing
    pin_out: Literal["open", "held"] = "open"
    holes: int | None = None  # how many there are beyond the start; None: as many as come up
    chases: None = None
    kind: ClassVar[str] = "pin"
    doing: ClassVar[Task] = Task.SWAP
    each: ClassVar[str] = "hole"

    @property
    def most(self) -> float:
        """Its holes, a plain number."""
        return inf if self.holes is None else self.holes

    @property
    def opens(self) -> bool:
        """Unless something holds it while the pin is out."""
        return self.pin_out == "open"
