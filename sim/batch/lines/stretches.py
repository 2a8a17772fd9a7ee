"""Stretches of time of many lifts: of several places together, how long at least so many of them lasted at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sim.batch.lines.arrays import Array


class Stretches:
    """One place's stretches of each of n lifts, in the order of time; touching ones are one."""

    def __init__(self, n: int) -> None:
        self.count = np.zeros(n, dtype=np.int64)
        self.begin = np.full((4, n), np.inf)
        self.end = np.full((4, n), np.inf)

    def add(self, lifts: NDArray[np.int64], begin: Array, end: Array) -> None:
        """One more stretch of each of these lifts."""
        last = np.maximum(self.count[lifts] - 1, 0)
        touches = (self.count[lifts] > 0) & (self.end[last, lifts] == begin)
        if touches.any():
            self.end[last[touches], lifts[touches]] = end[touches]
        new = ~touches
        if new.any():
            lifts = lifts[new]
            row = self.count[lifts]
            if row.max() >= len(self.begin):
                more = np.full_like(self.begin, np.inf)
                self.begin, self.end = np.vstack([self.begin, more]), np.vstack([self.end, more])
            self.begin[row, lifts], self.end[row, lifts] = begin[new], end[new]
            self.count[lifts] += 1


def total_length(several: Sequence[Stretches], at_once: int = 1, since: Array | None = None) -> Array:
    """How long at least so many of them lasted at the same time [s], one number a lift.

    Between the j-th end and the one before, at least k are going on from the (j + k - 1)-th beginning on.
    """
    begin = np.concatenate([s.begin[: s.count.max()] for s in several])
    end = np.concatenate([s.end[: s.count.max()] for s in several])
    if len(several) > 1:  # one place's are in order
        begin, end = np.sort(begin, axis=0), np.sort(end, axis=0)
    total = np.zeros(begin.shape[1])
    reached = np.full_like(total, -np.inf) if since is None else since.copy()
    for j in range(len(end) - at_once + 1):
        if not np.isfinite(end[j]).any():
            break
        ends = np.where(np.isfinite(end[j]), end[j], -np.inf)
        total += np.maximum(0.0, ends - np.maximum(reached, begin[j + at_once - 1]))
        reached = np.maximum(reached, ends)
    return total
