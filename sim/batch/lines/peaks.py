"""The largest of something so far, in each of many lifts."""

from __future__ import annotations

import numpy as np

from sim.batch.lines.arrays import ALL, Array, Chosen, none, put, within
from sim.model.devices import EXACT


class Peaks:
    """The largest gap of one sort so far, when it came up, and at which call."""

    arrays = ("value", "time", "call", "early", "early_time")

    def __init__(self, n: int) -> None:
        self.value = np.full(n, -np.inf)
        self.time = np.zeros(n)
        self.call = np.zeros(n, dtype=np.int64)
        self.early = np.full(n, -np.inf)  # before the first call: counts only at the instant of that call
        self.early_time = np.full(n, -np.inf)

    def see(self, these: Chosen, value: Array, time: Array, call: int) -> None:
        """A value that counts if it is the largest."""
        if call == 0:
            self._see_early(these, value, time)
            return
        best = self.value[these]
        more = value > best
        if not more.any():
            return
        clearly = within(these, value > best + EXACT)
        if none(clearly):
            put(self, "value", these, np.maximum(best, value))
            return
        put(self, "time", these, np.where(value > best + EXACT, time, self.time[these]))
        put(self, "call", these, np.where(value > best + EXACT, call, self.call[these]))
        put(self, "value", these, np.maximum(best, value))

    def _see_early(self, these: Chosen, value: Array, time: Array) -> None:
        same = time == self.early_time[these]
        put(self, "early", these, np.where(same, np.maximum(self.early[these], value), value))
        put(self, "early_time", these, time)

    def first_call(self, now: Array) -> None:
        """The first call goes out: what came up at this very instant counts."""
        counts = self.early_time == now
        self.see(ALL, np.where(counts, self.early, -np.inf), now, 1)

    def call_goes_out(self, now: Array, call: int) -> None:
        """What came up at the instant of a call belongs to that call."""
        self.call[(self.time == now) & np.isfinite(self.value)] = call
