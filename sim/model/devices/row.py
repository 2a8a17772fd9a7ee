"""What holds only at one of a row of places, a spacing apart: a pin at its holes, a chain at its links."""

from __future__ import annotations

from abc import abstractmethod
from dataclasses import dataclass
from math import floor, inf
from typing import ClassVar

from sim.model.devices.protocol import EXACT, Held, Step, Task
from sim.model.draw import Draw


@dataclass(frozen=True, slots=True)
class Row:
    """A row of holes or links. Slack stays; what lies between two of them stays open."""

    name: str
    spacing: float  # from hole to hole, or the chain's pitch [m]
    doing: ClassVar[Task]  # the one step of work: the key of its time too
    each: ClassVar[str]  # "hole", "link": the key `first_...` says where the first comes up

    @property
    @abstractmethod
    def react(self) -> Draw:
        """From seeing that there is something to do to starting on it [s]."""

    @property
    def takes(self) -> Draw:
        """How long the step takes [s]."""
        takes: Draw = getattr(self, self.doing)
        return takes

    @property
    def first(self) -> float | None:
        """Where the first of the row comes up after the start [m]; None: after one spacing."""
        first: float | None = getattr(self, f"first_{self.each}")
        return first

    @property
    def most(self) -> float:
        """How many there are beyond the start, a plain number; infinite where there are as many as come up."""
        return inf

    @property
    def ends_at(self) -> float:
        """Where the last of them comes up [m]."""
        return (self.spacing if self.first is None else self.first) + (self.most - 1) * self.spacing

    @property
    def opens(self) -> bool:
        """Whether it holds nothing while the step is being done."""
        return True

    @property
    def finest(self) -> float:
        """From one to the next [m]."""
        return self.spacing

    def at_start(self, slack: float) -> Held:
        """Behind by the slack, for good."""
        return Held(-slack, slack)

    def reach(self, held: Held, demand: float) -> float:
        """The highest that has come up, less the slack [m]."""
        return whole_steps(demand, self.spacing, self.first, self.most) - held.slack

    def steps(self, held: Held, demand: float) -> tuple[Step, ...]:
        """One, to the highest that has come up."""
        then = Held(self.reach(held, demand), held.slack)
        return (self._moved(held, then),)

    def tightened(self, held: Held, demand: float) -> float:
        """It is not moved up on the way down [m]."""
        return held.captured

    def tighten(self, held: Held, demand: float) -> tuple[Step, ...]:
        """None."""
        return ()

    def let_down(self, held: Held, to: float) -> tuple[Step, ...]:
        """One, to the highest that is no higher than `to`, or out to the start."""
        return (self._moved(held, Held(self.reach(held, to + held.slack), held.slack)),)

    def _moved(self, held: Held, then: Held) -> Step:
        return Step(self.doing, self.takes, then, held, open=self.opens, hands=True)

    def seconds_a_call(self, gives: float) -> float:
        """One step of work a spacing at the most, and none where nothing has come up [s]."""
        return min(1.0, gives / self.spacing) * (self.react.mean + self.takes.mean)


def whole_steps(demand: float, spacing: float, first: float | None = None, most: float = inf) -> float:
    """Height of the highest of a row of holes (or links) that the demand has brought up.

    Parameters
    ----------
    demand : float
        How much longer the line has become [m].
    spacing : float
        From hole to hole [m].
    first : float, optional
        Where the first hole comes up [m]; by default one spacing after the start.
    most : float, optional
        How many holes there are, a plain number; by default as many as come up.

    Returns
    -------
    float
        0 if none has come up, else first + a whole number of spacings [m]. Short of the last hole what is left
        over lies in [0, spacing), and is uniform there when the first hole is anywhere (renewal theory).
    """
    first = spacing if first is None else first
    up = min(floor((demand - first + EXACT) / spacing) + 1, most)
    return first + (up - 1) * spacing if up > 0 else 0.0
