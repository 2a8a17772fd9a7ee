"""A ratchet strap: taken up click by click, as far as it reaches."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor
from typing import ClassVar

from sim.model.devices.protocol import EXACT, Held, Step, Task
from sim.model.draw import Draw


@dataclass(frozen=True, slots=True)
class Strap:
    """A strap with a ratchet. Takes up slack, in whole clicks; it is never open."""

    name: str
    click: float  # what one click takes up [m]
    click_time: Draw  # [s]
    reach_limit: float  # how far beyond the start it can be taken up [m]
    react: Draw = Draw(0.0)  # [s]
    chases: None = None
    kind: ClassVar[str] = "strap"

    @property
    def finest(self) -> float:
        """One click [m]."""
        return self.click

    @property
    def ends_at(self) -> float:
        """Where it ends [m]."""
        return self.reach_limit

    def at_start(self, slack: float) -> Held:
        """Behind by the slack, until someone clicks."""
        return Held(-slack)

    def clicks(self, held: Held, demand: float) -> int:
        """How many whole clicks there are to take up."""
        return max(0, floor((min(demand, self.reach_limit) - held.captured + EXACT) / self.click))

    def reach(self, held: Held, demand: float) -> float:
        """What whole clicks can take up, within the strap's reach [m]."""
        return held.captured + self.clicks(held, demand) * self.click

    def steps(self, held: Held, demand: float) -> tuple[Step, ...]:
        """Click by click."""
        levels = [held.captured + k * self.click for k in range(self.clicks(held, demand) + 1)]
        return tuple(Step(Task.CLICK, self.click_time, Held(then), Held(now)) for now, then in pairwise(levels))

    def tightened(self, held: Held, demand: float) -> float:
        """Taken up as ever [m]."""
        return self.reach(held, demand)

    def tighten(self, held: Held, demand: float) -> tuple[Step, ...]:
        """Click by click, as ever."""
        return self.steps(held, demand)

    def let_down(self, held: Held, to: float) -> tuple[Step, ...]:
        """Click by click; one that is let out holds nothing any more from its first touch."""
        clicks = max(0, ceil((held.captured - to - EXACT) / self.click))
        levels = [Held(held.captured - k * self.click) for k in range(1, clicks + 1)]
        return tuple(Step(Task.CLICK, self.click_time, then, then) for then in levels)

    def seconds_a_call(self, gives: float) -> float:
        """Click by click; less than a click is left for the next call [s]."""
        clicks = gives / self.click
        return min(1.0, clicks) * self.react.mean + clicks * self.click_time.mean
