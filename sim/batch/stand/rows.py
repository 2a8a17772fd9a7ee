"""The rows of a call at one place, to be read between as a record is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sim.batch.lines.arrays import ALL, Array, Chosen, Flags, Places, nonzero

if TYPE_CHECKING:
    from sim.batch.stand.places import Place


@dataclass(slots=True)
class Row:
    """What a place held at one instant, of some lifts."""

    these: Chosen
    time: Array
    demand: Array
    before: Array
    after: Array
    open_before: Flags
    open_after: Flags


@dataclass(slots=True)
class Held:
    """What a place held just before and just after given instants."""

    before: Array
    after: Array
    open_before: Flags
    open_after: Flags


class Rows:
    """The rows of a call at one place, of some lifts, to be read between as the record is: arrays of (rows, lifts).

    A lift that a row is not of has its row before there once more; `demand` is not less than it was at that row.
    """

    def __init__(self, place: Place, these: Places, now: Array) -> None:
        those: Chosen = ALL if len(these) == place.n else these  # all of them come at a fraction of the price
        held, is_open, _ = place.state(those)
        self.both = place.where.side == "both"
        shape = len(place.rows) + 2, len(these)
        self.time, self.demand, self.before, self.after = (np.empty(shape) for _ in range(4))
        self.open_before, self.open_after = (np.zeros(shape, dtype=bool) for _ in range(2))
        self.real = np.zeros(shape, dtype=bool)
        self.real[0] = self.real[-1] = True
        self.time[0], self.demand[0] = place.start_time[those], 0.0
        self.before[0] = self.after[0] = place.start_held[those]
        self.open_after[0] = place.start_open[those]
        self.opens = bool(place.open_in_call.any())
        mine = np.full(place.n, -1)  # where each lift stands among `these`
        mine[these] = np.arange(len(these))
        for k, row in enumerate(place.rows, start=1):
            self._read(k, row, None if those is ALL else mine)
        self.time[-1], self.before[-1], self.after[-1] = now[those], held, held
        self.open_after[-1] = is_open
        self.demand[-1] = place.demand[those]
        if place.lets_down or (place.start_held < 0).any():
            self._add_begins()

    def _read(self, k: int, row: Row, mine: Places | None) -> None:
        """One row, of those lifts that it is of; `mine`: where each lift stands here, None: all are here."""
        of: Chosen = ALL if mine is None else nonzero((mine if row.these is ALL else mine[row.these]) >= 0)
        to = row.these if mine is None else mine[of if row.these is ALL else row.these[of]]
        if to is not ALL and len(to) < self.time.shape[1]:
            self.time[k], self.demand[k] = self.time[k - 1], self.demand[k - 1]
            self.before[k] = self.after[k] = self.after[k - 1]
            if self.opens:
                self.open_before[k] = self.open_after[k] = self.open_after[k - 1]
        self.real[k, to] = True
        self.time[k, to], self.demand[k, to] = row.time[of], row.demand[of]
        self.before[k, to], self.after[k, to] = row.before[of], row.after[of]
        if self.opens:
            self.open_before[k, to], self.open_after[k, to] = row.open_before[of], row.open_after[of]

    def _add_begins(self) -> None:
        """A row more where what was slack is taken up between two rows: it begins to hold the load above its start."""
        first, then = self.after[:-1], self.before[1:]
        begins = (first < 0) & (then > 0)
        at = np.flatnonzero(begins.any(axis=1))
        if not len(at):
            return
        here, first, then, start = begins[at], first[at], then[at], self.time[at]
        share = np.where(here, first / np.where(here, first - then, 1.0), 0.0)
        held = np.where(here, 0.0, first)
        more = {
            "time": start + share * (self.time[at + 1] - start), "demand": self.demand[at + 1], "before": held,
            "after": held, "open_before": self.open_after[at], "open_after": self.open_after[at], "real": here,
        }  # fmt: skip
        for name, rows in more.items():
            setattr(self, name, np.insert(getattr(self, name), at + 1, rows, axis=0))

    def of(self, mask: Flags) -> Rows:
        """Of fewer lifts."""
        fewer = object.__new__(Rows)
        fewer.both, fewer.opens = self.both, self.opens
        kept = nonzero(mask)
        for name in ("time", "demand", "before", "after", "open_before", "open_after", "real"):
            setattr(fewer, name, getattr(self, name).take(kept, axis=1))
        return fewer

    def bound(self, steepest: float) -> Array:
        """How far the load could come down at each of its rows at most [m]; (rows, lifts)."""
        real = self.real[1:-1]
        if self.both:
            return np.where(real, np.inf, -np.inf)
        least = np.maximum(np.minimum(self.before[1:-1], self.after[1:-1]), 0.0)
        if self.opens:
            least[self.open_before[1:-1] | self.open_after[1:-1]] = 0.0
        return np.where(real, (self.demand[1:-1] - least) * steepest, -np.inf)

    def at(self, which: Places, time: Array) -> Held:
        """Between the last row before and the first one after, all runs evenly."""
        times = self.time.take(which, axis=1)
        next_before, next_after = _count(times < time), _count(times <= time)
        return Held(
            self._between(which, time, next_before),
            self._between(which, time, next_after),
            self.open_after[np.maximum(next_before - 1, 0), which],
            self.open_after[np.maximum(next_after - 1, 0), which],
        )

    def along(self, which: Places, begin: Array, end: Array) -> Held:
        """Between two instants with no row in between: just after the first one, and just before the second one."""
        row = _count(self.time.take(which, axis=1) <= begin)
        before = self._between(which, end, row)
        last = np.maximum(row - 1, 0), which
        return Held(before, self._between(which, begin, row), self.open_after[last], self.open_after[last])

    def _between(self, which: Places, time: Array, then: Places) -> Array:
        last = len(self.time) - 1
        row, then = np.maximum(then - 1, 0), np.minimum(then, last)
        t0, t1 = self.time[row, which], self.time[then, which]
        start, end = self.after[row, which], self.before[then, which]
        share = np.where(t1 > t0, (time - t0) / (t1 - t0), 0.0)
        return start + share * np.where(then > row, end - start, 0.0)  # type: ignore[no-any-return]


def _count(flags: Flags) -> Places:
    """How many of each column hold; as bytes, which takes a third of the time that whole numbers do."""
    if len(flags) > 255:
        return flags.sum(axis=0)  # type: ignore[no-any-return]
    return np.add.reduce(flags.view(np.uint8), axis=0, dtype=np.uint8).astype(np.intp)  # type: ignore[no-any-return]
