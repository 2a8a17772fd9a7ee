"""What the piles of cribs are of, piece by piece: asked for only where a load comes down again.

`now.pieces` is of shape (devices, depth, n), the lowest piece first [m], and deepens as the piles grow; `now.layers`,
of shape (devices, n), is how many there are.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sim.batch.parts.arrays import Array, These
from sim.batch.parts.moment import Moment

DEEPER = 8  # pieces at a time


def put_on(now: Moment, d: int, these: These, height: Array) -> None:
    """A piece of this height (k,) is on the pile [m]."""
    if not len(these):
        return
    count = now.layers[d][these]
    while count.max() >= now.pieces.shape[1]:
        shape = (now.pieces.shape[0], DEEPER, now.pieces.shape[2])
        now.pieces = np.concatenate([now.pieces, np.zeros(shape)], axis=1)
    now.pieces[d, count, these] = height
    now.layers[d][these] = count + 1


def top(now: Moment, d: int, these: These) -> Array:
    """The height of the piece on top; 0 where there is none: (k,) [m]."""
    count = now.layers[d][these]
    if not count.max(initial=0):
        return np.zeros(len(these))
    return np.where(count > 0, now.pieces[d, count - 1, these], 0.0)


def take_off(now: Moment, d: int, these: These) -> None:
    """The piece on top is gone."""
    now.layers[d][these] -= 1


def pile_up(now: Moment, d: int, these: These, piles: Sequence[tuple[float, ...]]) -> None:
    """The piles are of these pieces, one tuple a lift [m]."""
    now.layers[d][these] = 0
    for k, pieces in zip(these, piles, strict=True):
        for piece in pieces:
            put_on(now, d, np.array([k]), np.array([piece]))
