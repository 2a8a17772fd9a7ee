"""How long hands were in at a place of many lifts while nothing else on a side of it held the load within the limit."""

from __future__ import annotations

import numpy as np

from sim.batch.measured.gaps import TINY, GapsSoFar
from sim.batch.parts.arrays import Array, These
from sim.batch.parts.layout import Layout
from sim.batch.timeline import Window
from sim.model.devices import EXACT


def see_hands(layout: Layout, gaps: GapsSoFar, window: Window) -> None:
    """Take the time of a call's instants: as `sim/record/gaps.py` has it, counted once for all places.

    From one instant to the next a gap runs evenly, so that hands beside it are on the rams alone from a share of the
    stretch to another one.
    """
    if not window.hands.any():
        return
    seconds = np.diff(window.time, axis=0)
    at, lift = np.nonzero(window.hands[:-1].any(axis=1) & (seconds > 0))
    alone = []
    for places in layout.places_of:
        far = {p: _far(layout, window, p, at, lift) for p in places}
        for p in places:
            begin, end = np.where(window.hands[at, p, lift], 0.0, 1.0), np.ones(len(at))
            for other in places:
                if other != p:
                    begin, end = np.maximum(begin, far[other][0]), np.minimum(end, far[other][1])
            alone.append((begin, end))
    if alone:
        np.add.at(gaps.hands, lift, _together(alone) * seconds[at, lift])


def _far(layout: Layout, window: Window, p: int, at: These, lift: These) -> tuple[Array, Array]:
    """From which to which share of each stretch a place is open, or its gap over the limit."""
    limit, is_open = layout.scenario.limits.gap, window.open[at, p, lift]
    first, then = (window.demand[k, p, lift] - window.held[k, p, lift] - limit for k in (at, at + 1))
    first, then = (np.where(np.abs(x) <= EXACT, 0.0, x) for x in (first, then))
    crosses = np.clip(first / (first - then + TINY), 0.0, 1.0)
    near = ~is_open & (first <= 0) & (then <= 0)
    begin = np.where(near, 1.0, np.where(is_open | (first > 0), 0.0, crosses))
    return begin, np.where(is_open | (then > 0), 1.0, crosses)


def _together(stretches: list[tuple[Array, Array]]) -> Array:
    """How long at least one of several stretches lasts."""
    begin, end = (np.array(x) for x in zip(*stretches, strict=True))
    order = begin.argsort(axis=0)
    begin, end = (np.take_along_axis(x, order, axis=0) for x in (begin, end))
    total, covered = np.zeros(begin.shape[1]), np.zeros(begin.shape[1])
    for b, e in zip(begin, end, strict=True):
        total += np.maximum(0.0, e - np.maximum(b, covered))
        covered = np.maximum(covered, e)
    return total
