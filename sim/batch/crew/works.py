"""Work in steps, of many lifts at once: pins and chains, straps, cribs; planned from the demand when it starts.

What a device can reach and the steps that get it there are those of `sim/devices`, over arrays.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, ClassVar, Protocol

import numpy as np

from sim.batch.lines.arrays import ALL, Array, Chosen, Flags, nonzero, put
from sim.model.devices import EXACT, Chain, Crib, Device, Pin, Strap, Task
from sim.model.draw import Draw


@dataclass(slots=True)
class StepNow:
    """The step that some of the asked (`of`, a mask over them) start now."""

    of: Flags
    doing: str
    takes: Draw
    meanwhile: Array


class Work(Protocol):
    """What the catcher asks of a device that is worked in steps."""

    arrays: ClassVar[tuple[str, ...]]
    hands: bool
    open: bool

    def set_up(self, these: Chosen, slack: float) -> None:
        """At contact, or behind by the slack."""

    def reach(self, these: Chosen, held: Array, demand: Array) -> Array:
        """What it would hold after work begun at this demand [m]."""

    def plan(self, these: Chosen, held: Array, demand: Array) -> None:
        """Fix what is to be done."""

    def next_steps(self, these: Chosen, held: Array) -> Iterator[StepNow]:
        """Start the next step of each, where there is one."""

    def finished(self, these: Chosen) -> Flags:
        """Whether no step is left; asked after `next_steps`."""

    def done(self, these: Chosen) -> Array:
        """What is held once the step under way is done [m]."""


class Whole:
    """A pin or a chain: one step, to the highest hole or link that has come up."""

    arrays: ClassVar[tuple[str, ...]] = ("target", "slack", "steps_left")
    hands = True

    def __init__(self, device: Pin | Chain, n: int) -> None:
        self.device = device
        self.spacing = device.spacing
        self.first = device.spacing if device.first is None else device.first
        self.open, self.doing, self.takes = device.opens, device.doing, device.takes
        self.target, self.slack = np.zeros(n), np.zeros(n)
        self.steps_left = np.zeros(n, dtype=np.int64)

    def set_up(self, these: Chosen, slack: float) -> None:
        """Behind by the slack, for good."""
        put(self, "slack", these, slack)

    def reach(self, these: Chosen, held: Array, demand: Array) -> Array:
        """The highest hole that has come up, less the slack [m]."""
        up = np.floor((demand - self.first + EXACT) / self.spacing) + 1
        reached: Array = np.where(up > 0, self.first + (up - 1) * self.spacing, 0.0) - self.slack[these]
        return reached

    def plan(self, these: Chosen, held: Array, demand: Array) -> None:
        """To the highest hole."""
        put(self, "target", these, self.reach(these, held, demand))
        put(self, "steps_left", these, 1)

    def next_steps(self, these: Chosen, held: Array) -> Iterator[StepNow]:
        """The one step."""
        left = self.steps_left[these] == 1
        if left.any():
            yield StepNow(left, self.doing, self.takes, held[left])

    def finished(self, these: Chosen) -> Flags:
        """Whether it is done."""
        return self.steps_left[these] == 0  # type: ignore[no-any-return]

    def done(self, these: Chosen) -> Array:
        """The hole it went for [m]."""
        put(self, "steps_left", these, 0)
        return self.target[these]


class Clicks:
    """A ratchet strap: whole clicks, as far as it reaches."""

    arrays: ClassVar[tuple[str, ...]] = ("base", "clicked", "clicks")
    hands = False
    open = False

    def __init__(self, device: Strap, n: int) -> None:
        self.device = device
        self.base = np.zeros(n)  # what it held when the work began [m]
        self.clicked, self.clicks = np.zeros(n), np.zeros(n)

    def set_up(self, these: Chosen, slack: float) -> None:
        """Behind by the slack, until someone clicks."""

    def _clicks(self, held: Array, demand: Array) -> Array:
        device = self.device
        whole = np.floor((np.minimum(demand, device.reach_limit) - held + EXACT) / device.click)
        return np.maximum(0.0, whole)

    def reach(self, these: Chosen, held: Array, demand: Array) -> Array:
        """What whole clicks can take up [m]."""
        return held + self._clicks(held, demand) * self.device.click

    def plan(self, these: Chosen, held: Array, demand: Array) -> None:
        """So many clicks."""
        put(self, "base", these, held)
        put(self, "clicked", these, 0.0)
        put(self, "clicks", these, self._clicks(held, demand))

    def next_steps(self, these: Chosen, held: Array) -> Iterator[StepNow]:
        """One more click, where one is left."""
        left = ~self.finished(these)
        if left.any():
            yield StepNow(left, Task.CLICK, self.device.click_time, held[left])

    def finished(self, these: Chosen) -> Flags:
        """Whether all are done."""
        return self.clicked[these] >= self.clicks[these]

    def done(self, these: Chosen) -> Array:
        """One click further [m]."""
        put(self, "clicked", these, self.clicked[these] + 1)
        return self.base[these] + self.clicked[these] * self.device.click


class Pile:
    """A crib: the largest piece that fits, one after another, then a pair of wedges."""

    arrays: ClassVar[tuple[str, ...]] = ("pile", "goal", "left", "keeps", "then", "then_pile", "stage")
    hands = True
    open = False

    def __init__(self, device: Crib, n: int) -> None:
        self.device = device
        self.pieces = sorted(device.pieces, reverse=True)
        self.pile, self.goal, self.left, self.keeps, self.then, self.then_pile = (np.zeros(n) for _ in range(6))
        self.stage = np.zeros(n, dtype=np.int64)  # 0 pieces, 1 wedges are being driven, 2 finished

    def set_up(self, these: Chosen, slack: float) -> None:
        """In contact."""
        put(self, "pile", these, 0.0)

    def reach(self, these: Chosen, held: Array, demand: Array) -> Array:
        """The pile with what fits, and wedges for what is left; never less than the wedges hold [m]."""
        pile = self.pile[these].copy()
        left = demand - pile
        for piece in self.pieces:
            fit = np.maximum(0.0, np.floor((left + EXACT) / piece))
            pile, left = pile + fit * piece, left - fit * piece
        reached: Array = np.maximum(held, np.minimum(pile + self.device.wedge, np.maximum(pile, demand)))
        return reached

    def plan(self, these: Chosen, held: Array, demand: Array) -> None:
        """As far as the demand goes now; the old wedges hold until the new ones are in, or are drawn first."""
        put(self, "goal", these, demand)
        put(self, "left", these, demand - self.pile[these])
        put(self, "keeps", these, self.pile[these].copy() if self.device.wedge_out == "open" else held)
        put(self, "stage", these, 0)

    def next_steps(self, these: Chosen, held: Array) -> Iterator[StepNow]:
        """The largest piece that fits; where none does, the wedges."""
        pile, left, keeps = self.pile[these].copy(), self.left[these].copy(), self.keeps[these].copy()
        building = self.stage[these] == 0
        piece = np.zeros(len(left))
        for height in self.pieces:
            piece = np.where((piece == 0) & (height <= left + EXACT), height, piece)
        places = building & (piece > 0)
        if places.any():
            mine = self._of(these, places)
            then = (pile + piece)[places]
            put(self, "left", mine, (left - piece)[places])
            put(self, "then_pile", mine, then)
            put(self, "then", mine, np.maximum(keeps[places], then))
            yield StepNow(places, Task.PLACE, self.device.place, np.maximum(keeps, pile)[places])
        wedged = np.minimum(pile + self.device.wedge, self.goal[these])
        drives = building & ~places & (wedged > pile + EXACT)
        if drives.any():
            mine = self._of(these, drives)
            put(self, "then_pile", mine, pile[drives])
            put(self, "then", mine, wedged[drives])
            put(self, "stage", mine, 1)
            yield StepNow(drives, Task.DRIVE, self.device.drive, np.maximum(keeps, pile)[drives])
        over = building & ~places & ~drives
        if over.any():
            put(self, "stage", self._of(these, over), 2)

    def _of(self, these: Chosen, mask: Flags) -> Chosen:
        if mask.all():
            return these
        return nonzero(mask) if these is ALL else these[mask]

    def finished(self, these: Chosen) -> Flags:
        """Whether neither piece nor wedge is left."""
        return self.stage[these] == 2  # type: ignore[no-any-return]

    def done(self, these: Chosen) -> Array:
        """The pile, or the wedges on it [m]."""
        put(self, "pile", these, self.then_pile[these])
        driven = self.stage[these] == 1
        if driven.any():
            put(self, "stage", self._of(these, driven), 2)
        return self.then[these].copy()


WORKS: dict[type, Callable[[Any, int], Work]] = {Pin: Whole, Chain: Whole, Strap: Clicks, Crib: Pile}


def work_of(device: Device, n: int) -> Work:
    """The work that a device of this kind asks for."""
    return WORKS[type(device)](device, n)
