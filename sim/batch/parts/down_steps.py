"""How devices worked in steps are let down, over arrays: `let_down` of `sim/model/devices/`, one step at a time.

Plain functions of what a device holds (`held`), the timber in that (`pile`), the piece on top of it (`top`) and the
level that it is to go down to (`to`), each of shape (k,) [m].
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.batch.parts.arrays import Array, Flags
from sim.batch.parts.works import ArrayWork, ClickByClick, HoleByHole, PieceByPiece
from sim.model.devices import EXACT
from sim.model.draw import Draw


@dataclass(frozen=True, slots=True)
class DownStep:
    """The step that some lifts do next: what is held from its first touch, and once it is done."""

    of: Flags  # (k,) which of those asked about
    doing: str
    takes: Draw
    meanwhile: Array  # (k,) [m]
    then: Array  # (k,) [m]
    pile: Array  # (k,) the timber in what is held meanwhile [m],
    then_pile: Array  # (k,) and then [m]
    times: int = 1  # over, one after another


def down_steps(work: ArrayWork, held: Array, pile: Array, top: Array, to: Array, first: bool) -> Iterator[DownStep]:
    """The next step, sort by sort; lifts that none of them is of have finished."""
    return _STEPS[type(work)](work, held, pile, top, to, first)


def _to_a_hole(work: HoleByHole, held: Array, pile: Array, top: Array, to: Array, first: bool) -> Iterator[DownStep]:
    """One step, to the highest hole or link no higher than `to`, or out to the start."""
    then = work.reach(held, pile, to + work.slack)
    yield DownStep(np.full(held.shape, first), work.doing, work.takes, held, then, pile, pile)


def _click(work: ClickByClick, held: Array, pile: Array, top: Array, to: Array, first: bool) -> Iterator[DownStep]:
    """One click after another; one that is let out holds nothing any more."""
    then = held - work.strap.click
    yield DownStep(held > to + EXACT, "click", work.strap.click_time, then, then, pile, pile)


def _piece(work: PieceByPiece, held: Array, pile: Array, top: Array, to: Array, first: bool) -> Iterator[DownStep]:
    """Wedges drawn, pieces off the top, what still fits put back, wedges for the rest."""
    crib = work.crib
    draws = (held > pile + EXACT) & first
    yield DownStep(draws, "drive", crib.drive, pile, pile, pile, pile)
    off = ~draws & (pile > to + EXACT)
    left = pile - top
    yield DownStep(off, "place", crib.place, left, left, left, left, crib.layer)
    piece = work.largest(to - pile)
    on = ~draws & ~off & (piece > 0)
    yield DownStep(on, "place", crib.place, pile, pile + piece, pile, pile + piece, crib.layer)
    wedged = np.minimum(pile + crib.wedge, to)
    drives = ~(draws | off | on) & (wedged > np.maximum(held, pile) + EXACT)
    yield DownStep(drives, "drive", crib.drive, held, wedged, pile, pile)


_STEPS: dict[type, Callable[[Any, Array, Array, Array, Array, bool], Iterator[DownStep]]] = {
    HoleByHole: _to_a_hole,
    ClickByClick: _click,
    PieceByPiece: _piece,
}
