"""Work in steps over arrays: pins and chains, straps, cribs, as `sim/model/devices/` has it for one lift.

Plain functions of what a device holds (`held`), the timber under its wedges (`pile`) and the demand when the work was
begun (`goal`), each of shape (k,), one number for each lift asked about [m].
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np

from sim.batch.parts.arrays import Array, Flags
from sim.model.devices import EXACT, Chain, Collar, Crib, Device, Pin, Strap
from sim.model.draw import Draw


@dataclass(frozen=True, slots=True)
class NextStep:
    """The step that some lifts do next."""

    of: Flags  # (k,) which of those asked about
    doing: str
    takes: Draw
    then: Array  # (k,) what is held once it is done [m]
    pile: Array  # (k,) and the timber in that [m]
    times: int = 1  # over, one after another


class ArrayWork(Protocol):
    """What a catcher asks of a device that is worked in steps."""

    @property
    def open(self) -> bool:
        """Whether it holds nothing while it is worked at."""

    @property
    def hands(self) -> bool:
        """Whether hands are in while it is worked at."""

    @property
    def anew(self) -> bool:
        """Whether the step after a piece of timber is chosen anew, by the demand then and only while at rest."""

    def reach(self, held: Array, pile: Array, demand: Array) -> Array:
        """What it would hold after work begun at this demand [m]."""

    def tightened(self, held: Array, pile: Array, demand: Array) -> Array:
        """What it would hold after work begun on the way down, where nothing is moved up any more [m]."""

    def begun(self, held: Array, pile: Array) -> Array:
        """What it holds once the work has begun [m]."""

    def steps(self, held: Array, pile: Array, goal: Array, tight: Flags) -> Iterator[NextStep]:
        """The next step, sort by sort; lifts that none of them is of have finished. `tight`: which are coming down."""


@dataclass(frozen=True, slots=True)
class HoleByHole:
    """A pin or a chain: one step, to the highest hole or link that has come up, less the slack."""

    spacing: float
    first: float
    slack: float
    open: bool
    doing: str
    takes: Draw
    most: float
    hands: bool = True
    anew: bool = False

    def reach(self, held: Array, pile: Array, demand: Array) -> Array:
        """The highest hole that has come up, less the slack [m]."""
        up = np.minimum(np.floor((demand - self.first + EXACT) / self.spacing) + 1, self.most)
        reached: Array = np.where(up > 0, self.first + (up - 1) * self.spacing, 0.0) - self.slack
        return reached

    def tightened(self, held: Array, pile: Array, demand: Array) -> Array:
        """It is not moved up on the way down [m]."""
        return held

    def begun(self, held: Array, pile: Array) -> Array:
        """What it held [m]."""
        return held

    def steps(self, held: Array, pile: Array, goal: Array, tight: Flags) -> Iterator[NextStep]:
        """The one step, until it is done."""
        then = self.reach(held, pile, goal)
        yield NextStep(then > held + EXACT, self.doing, self.takes, then, pile)


@dataclass(frozen=True, slots=True)
class ClickByClick:
    """A ratchet strap: whole clicks, as far as it reaches."""

    strap: Strap
    open: bool = False
    hands: bool = False
    anew: bool = False

    def clicks(self, held: Array, demand: Array) -> Array:
        """The number of whole clicks there are to take up."""
        room = np.minimum(demand, self.strap.reach_limit) - held
        return np.maximum(0.0, np.floor((room + EXACT) / self.strap.click))

    def reach(self, held: Array, pile: Array, demand: Array) -> Array:
        """What whole clicks can take up [m]."""
        return held + self.clicks(held, demand) * self.strap.click

    def tightened(self, held: Array, pile: Array, demand: Array) -> Array:
        """Taken up as ever [m]."""
        return self.reach(held, pile, demand)

    def begun(self, held: Array, pile: Array) -> Array:
        """What it held [m]."""
        return held

    def steps(self, held: Array, pile: Array, goal: Array, tight: Flags) -> Iterator[NextStep]:
        """One more click, where one is left."""
        left = self.clicks(held, goal) >= 1
        yield NextStep(left, "click", self.strap.click_time, held + self.strap.click, pile)


@dataclass(frozen=True, slots=True)
class PieceByPiece:
    """A crib: the largest piece that fits, one after another, then a pair of wedges. No piece is swapped."""

    crib: Crib
    open: bool = False
    hands: bool = True
    anew: bool = True

    @property
    def pieces(self) -> list[float]:
        """The largest first [m]."""
        return sorted(self.crib.pieces, reverse=True)

    def reach(self, held: Array, pile: Array, demand: Array) -> Array:
        """The pile with what fits, and wedges for what is left; never less than the wedges hold [m]."""
        left = demand - pile
        for piece in self.pieces:
            fit = np.maximum(0.0, np.floor((left + EXACT) / piece))
            pile, left = pile + fit * piece, left - fit * piece
        reached: Array = np.maximum(held, np.minimum(pile + self.crib.wedge, np.maximum(pile, demand)))
        return reached

    def tightened(self, held: Array, pile: Array, demand: Array) -> Array:
        """The pile as it is, with its wedges driven as far as they go [m]."""
        wedged: Array = np.maximum(held, np.minimum(pile + self.crib.wedge, demand))
        return wedged

    def begun(self, held: Array, pile: Array) -> Array:
        """The old wedges hold until the new ones are in, or are drawn first [m]."""
        return pile if self.crib.wedge_out == "open" else held

    def largest(self, room: Array) -> Array:
        """The largest piece that fits; 0 where none does [m]."""
        piece = np.zeros_like(room)
        for height in self.pieces:
            piece = np.where((piece == 0) & (height <= room + EXACT), height, piece)
        return piece

    def steps(self, held: Array, pile: Array, goal: Array, tight: Flags) -> Iterator[NextStep]:
        """The largest piece that fits, on the way up; where none does, the wedges, if they are not yet in."""
        piece = self.largest(goal - pile)
        places = (piece > 0) & ~tight
        yield NextStep(places, "place", self.crib.place, np.maximum(held, pile + piece), pile + piece, self.crib.layer)
        wedged = np.minimum(pile + self.crib.wedge, goal)
        drives = ~places & (wedged > np.maximum(held, pile) + EXACT)
        yield NextStep(drives, "drive", self.crib.drive, wedged, pile)


def _pin(pin: Pin, slack: float) -> ArrayWork:
    first = pin.spacing if pin.first_hole is None else pin.first_hole
    return HoleByHole(pin.spacing, first, slack, pin.pin_out == "open", "swap", pin.swap, pin.most)


def _chain(chain: Chain, slack: float) -> ArrayWork:
    first = chain.spacing if chain.first_link is None else chain.first_link
    return HoleByHole(chain.spacing, first, slack, True, "rehook", chain.rehook, chain.most)


WORKS: dict[type, Callable[[Any, float], ArrayWork]] = {
    Pin: _pin,
    Chain: _chain,
    Strap: lambda strap, _: ClickByClick(strap),
    Crib: lambda crib, _: PieceByPiece(crib),
}


def knows(device: Device) -> bool:
    """Whether the batch has the work at this device: all but a crib whose pieces are swapped, a pile in an order."""
    if isinstance(device, Crib) and device.swap_up:
        return False
    return isinstance(device, Collar) or type(device) in WORKS


def work_of(device: Device, slack: float) -> ArrayWork | None:
    """The work that a device asks for, behind a tie with this slack [m]; None: a collar, which is turned."""
    return None if isinstance(device, Collar) else WORKS[type(device)](device, slack)
