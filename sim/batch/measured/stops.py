"""Where each place would stop a side, which of them is the first to do so, and when one takes over from another.

As `sim/record/holding.py`, over arrays of any shape (...) whose last axis is the lifts.
"""

from __future__ import annotations

import numpy as np

from sim.batch.parts.arrays import Array, Flags, Whole
from sim.batch.parts.layout import Layout
from sim.model.devices import EXACT
from sim.model.stops import about_the_other
from sim.record.holding import NEAR

FIRST, SECOND = 0, 1  # what stops a side; what would if that did not hold


def stop_at(layout: Layout, place: int, side: int, held: Array, is_open: Flags, u: Array) -> Array:
    """Where a place stops a side: held [m] and open of any shape, u of shape (sides, ...) [rad or m]."""
    at: Array = layout.lines[place].u_at(np.maximum(0.0, held)) * ~is_open
    if layout.is_both(place):
        at = np.asarray(about_the_other(at, u[1 - side] if len(u) > 1 else None))
    return np.asarray(np.minimum(at, u[side]))


def foremost(held: Array) -> tuple[Array, Whole]:
    """The highest of the stops (places, ...), and whose it is, the first in the file's order; -1 where none holds."""
    if not len(held):
        return np.zeros(held.shape[1:]), np.full(held.shape[1:], -1, dtype=np.int64)
    stop: Array = held.max(axis=0)
    above = stop > EXACT
    return np.where(above, stop, 0.0), np.where(above, held.argmax(axis=0), -1)


def without(held: Array, but: Whole) -> Array:
    """The same stops (places, ...) [rad or m], those of one place at each instant (...) taken out."""
    return np.where(np.arange(len(held)).reshape(-1, *[1] * but.ndim) == but, 0.0, held)


def takeover(begin: Array, end: Array, first: Array, then: Array, rank: int) -> Array:
    """When one takes over between two instants, of stops (places, k) [rad or m]: (k,); infinite where none does [s]."""
    who, later = (foremost(held)[1] for held in (first, then))
    if rank == SECOND:
        who, later = (foremost(without(held, k))[1] for held, k in ((first, who), (then, later)))
    each, start = np.arange(len(begin)), np.zeros((1, len(begin)))  # -1 is the last one: the start
    first, then = np.concatenate([first, start]), np.concatenate([then, start])
    lead, behind = first[who, each] - first[later, each], then[later, each] - then[who, each]
    with np.errstate(divide="ignore", invalid="ignore"):
        time = begin + (end - begin) * lead / (lead + behind)
    return np.where((who != later) & (time > begin + NEAR) & (time < end - NEAR), time, np.inf)
