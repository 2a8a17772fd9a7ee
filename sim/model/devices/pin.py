"""A pin through one of a row of holes: it holds only at a hole, and nothing while it is out."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor
from typing import ClassVar, Literal

from sim.model.devices.protocol import EXACT, Held, Step, Task
from sim.model.draw import Draw


@dataclass(frozen=True, slots=True)
class Pin:
    """A pinned strut. Slack stays; what lies between two holes stays open."""

    name: str
    spacing: float  # from hole to hole [m]
    swap: Draw  # pin out, in at the next hole [s]
    react: Draw = Draw(0.0)  # [s]
    first_hole: float | None = None  # the first to come up, after the start [m]; None: one spacing
    pin_out: Literal["open", "held"] = "open"
    chases: None = None
    kind: ClassVar[str] = "pin"

    @property
    def finest(self) -> float:
        """From hole to hole [m]."""
        return self.spacing

    def at_start(self, slack: float) -> Held:
        """Behind by the slack, for good."""
        return Held(-slack, slack)

    def reach(self, held: Held, demand: float) -> float:
        """The highest hole that has come up, less the slack [m]."""
        return whole_steps(demand, self.spacing, self.first_hole) - held.slack

    def steps(self, held: Held, demand: float) -> tuple[Step, ...]:
        """One swap, to the highest hole."""
        then = Held(self.reach(held, demand), held.slack)
        return (Step(Task.SWAP, self.swap, then, held, open=self.pin_out == "open", hands=True),)

    def seconds_a_call(self, gives: float) -> float:
        """One swap a hole at the most, and none where no hole has come up [s]."""
        return min(1.0, gives / self.spacing) * (self.react.mean + self.swap.mean)


def whole_steps(demand: float, spacing: float, first: float | None = None) -> float:
    """Height of the highest of a row of holes (or links) that the demand has brought up.

    Parameters
    ----------
    demand : float
        How much longer the line has become [m].
    spacing : float
        From hole to hole [m].
    first : float, optional
        Where the first hole comes up [m]; by default one spacing after the start.

    Returns
    -------
    float
        0 if none has come up, else first + a whole number of spacings [m]. What is left over lies in
        [0, spacing), and is uniform there when the first hole is anywhere (renewal theory).
    """
    first = spacing if first is None else first
    up = floor((demand - first + EXACT) / spacing) + 1
    return first + (up - 1) * spacing if up > 0 else 0.0
