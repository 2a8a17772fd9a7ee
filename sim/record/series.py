"""The record as lines through time: what a place or a side was just before, and just after, any instant.

Between two rows of one place (or side) everything runs evenly; at a row it may jump. Arrays throughout: what is asked
at times of shape (n,) comes back in shape (n,).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.model.devices import EXACT
from sim.record.columns import Columns

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Stretch = tuple[float, float]  # of time, from when to when [s]


@dataclass(frozen=True)
class Series:
    """One number through time: at each row what it was before and after."""

    time: Array  # (n,) never falling
    before: Array  # (n,)
    after: Array  # (n,)

    def just_after(self, times: Array) -> Array:
        """What it was once all that happened at each of `times` had happened; before the first row, as there."""
        return self._from(np.searchsorted(self.time, times, side="right") - 1, times)

    def just_before(self, times: Array) -> Array:
        """What it was before anything happened at each of `times`; at the first row, as there."""
        before: Array = self.both_sides_of(times)[::2]
        return before

    def both_sides_of(self, times: Array) -> Array:
        """What it was before and after each of `times`, one after the other: shape (2n,)."""
        first, last = (np.searchsorted(self.time, times, side=side) for side in ("left", "right"))
        found = np.repeat(self._from(last - 1, times), 2)
        at_row = np.flatnonzero(first < last)
        found[2 * at_row] = self.before[first[at_row]]
        return found

    def crosses_zero(self) -> Array:
        """When it rises through 0 between two rows: shape (k,) [s]."""
        first, then = self.after[:-1], self.before[1:]
        at = np.flatnonzero((first < 0) & (then > 0))
        crosses: Array = self.time[at] + (self.time[at + 1] - self.time[at]) * first[at] / (first[at] - then[at])
        return crosses

    @cached_property
    def _steps(self) -> tuple[Array, Array]:
        """How long it is from each row to the next, and by how much it then runs: (n,) each, nothing at the last."""
        span, runs = np.zeros_like(self.time), np.zeros_like(self.time)
        span[:-1], runs[:-1] = np.diff(self.time), self.before[1:] - self.after[:-1]
        return span, runs

    def _from(self, row: NDArray[np.intp], times: Array) -> Array:
        """What it is at `times` on its way from these rows to the next."""
        row, (spans, runs) = np.maximum(row, 0), self._steps
        gone, span = times - self.time[row], spans[row]
        share: Array = np.divide(gone, span, out=np.zeros_like(times), where=(span > 0) & (gone > 0))
        return self.after[row] + share * runs[row]


@dataclass(frozen=True)
class PlaceSeries:
    """One place through time."""

    name: str
    time: Array  # (n,)
    demand: Series
    captured: Series
    open: Flags  # (n,) from each row to the next
    caught: Flags  # (n,)
    hands: Flags  # (n,)
    call: NDArray[np.int64]  # (n,) how many calls had been made

    def gap(self) -> Series:
        """Demand less captured."""
        before = self.demand.before - self.captured.before
        return Series(self.time, before, self.demand.after - self.captured.after)

    def flag_after(self, flags: Flags, times: Array) -> Flags:
        """A flag once all that happened at each of `times` had happened."""
        return flags[np.maximum(np.searchsorted(self.time, times, side="right") - 1, 0)]

    def flag_before(self, flags: Flags, times: Array) -> Flags:
        """A flag before anything happened at each of `times`."""
        return flags[np.maximum(np.searchsorted(self.time, times, side="left") - 1, 0)]


def place_series(columns: Columns) -> dict[str, PlaceSeries]:
    """Every place of a record, by name, to the end of the record: from its last row on a place stays as it is."""
    return {name: _place(name, columns, own) for name, own in columns.by_station.items()}


def _place(name: str, columns: Columns, own: NDArray[np.intp]) -> PlaceSeries:
    rows = np.append(own, own[-1])  # the last once more, at the end of the record
    time, after = np.append(columns.time_s[own], columns.time_s[-1]), columns.captured_m[rows]
    captured = Series(time, np.append(columns.captured_before_m[own], after[-1]), after)
    demand = columns.demand_m[rows]
    flags = (columns.open[rows], columns.caught[rows], columns.hands[rows])
    return PlaceSeries(name, time, Series(time, demand, demand), captured, *flags, columns.call[rows])


def side_series(columns: Columns, values: Array | None = None) -> dict[str, Series]:
    """U (or the values of another column, of shape (rows,)) of every side of a record, by its lifter's name."""
    values = columns.u if values is None else values
    return {name: Series(columns.time_s[own], values[own], values[own]) for name, own in columns.by_side.items()}


def over(series: Series, where: Flags, limit: float, since: float) -> list[Stretch]:
    """When a number was over a limit, in those rows' stretches that `where` marks, from `since` on.

    Returns
    -------
    list of (float, float)
        Beginnings and ends [s].
    """
    start, end = series.time[:-1], series.time[1:]
    first, last = (np.where(np.abs(x) <= EXACT, 0.0, x) for x in (series.after[:-1] - limit, series.before[1:] - limit))
    some = where[:-1] & ((first > 0) | (last > 0))
    start, end, first, last = start[some], end[some], first[some], last[some]
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = start + (end - start) * np.clip(first / (first - last), 0.0, 1.0)
    begins = np.maximum(np.where(first > 0, start, crossing), since)
    ends = np.where(last > 0, end, crossing)
    keep = ends > begins
    return list(zip(begins[keep].tolist(), ends[keep].tolist(), strict=True))


def flagged(series: PlaceSeries, where: Flags) -> list[Stretch]:
    """From when to when a flag of a place's rows stands."""
    rows = zip(series.time[:-1].tolist(), series.time[1:].tolist(), where[:-1].tolist(), strict=True)
    return [(begin, end) for begin, end, stands in rows if stands and end > begin]


def apart(stretches: Iterable[Stretch]) -> list[Stretch]:
    """The same time as stretches that neither meet nor overlap, in order."""
    found: list[Stretch] = []
    for begin, end in sorted(stretches):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((begin, end))
    return found


def less(stretches: Iterable[Stretch], holes: Iterable[Stretch]) -> list[Stretch]:
    """What is left of several stretches of time outside of others."""
    left = apart(stretches)
    for begin, end in apart(holes):
        parts = [(a, min(b, begin)) for a, b in left] + [(max(a, end), b) for a, b in left]
        left = [(a, b) for a, b in parts if b > a]
    return left


def total_length(stretches: Iterable[Stretch]) -> float:
    """How long at least one of several stretches of time lasted [s]."""
    return float(sum(end - begin for begin, end in apart(stretches)))
