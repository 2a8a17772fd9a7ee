"""What would stop a side, at every instant of a record: which place, and where.

Between two events each place holds evenly more; where one takes over from another between them, that instant is
looked at too, and where one begins to hold at all, for the drop may be largest just there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.model.motion import Line
from sim.model.scenario import Lifter, Station
from sim.model.stops import about_the_other
from sim.record.series import Array, PlaceSeries, Series

Who = NDArray[np.int64]
NEAR = 1e-6  # instants nearer than this [s] are the same: nothing moves a micrometre in it


@dataclass(frozen=True)
class Holding:
    """One place that could stop a side."""

    where: Lifter | Station
    place: PlaceSeries
    line: Line

    def begins(self) -> Array:
        """When it begins to hold the load above its start, between two events [s]: what was slack is taken up."""
        captured = self.place.captured
        first, then = captured.after[:-1], captured.before[1:]
        at = np.flatnonzero((first < 0) & (then > 0))
        start, end = captured.time[at], captured.time[at + 1]
        found: Array = start + (end - start) * first[at] / (first[at] - then[at])
        return found

    def stops(self, once: Array, u: Array, other: Array | None) -> Array:
        """Where it would stop the side, before and after each of n instants: shape (2n,) [rad or m]."""
        captured = np.maximum(0.0, both_sides_of(self.place.captured, once))
        before, after = (flag(self.place.open, once) for flag in (self.place.flag_before, self.place.flag_after))
        held = np.where(interleave(before, after), 0.0, self.line.u_at(captured))
        if self.where.side == "both":
            held = about_the_other(held, other)
        return np.minimum(held, u)


def stops_at(
    mine: Series, other: Series | None, holds: Sequence[Holding], once: Array, between: bool
) -> tuple[Array, Array, Array, Who]:
    """Where a side is and where it would be stopped, before and after each instant.

    Parameters
    ----------
    mine, other : Series
        u of the side, and of the other one if there is one.
    holds : sequence of Holding
        What could stop it.
    once : ndarray of shape (n,)
        The instants, rising [s].
    between : bool
        Look also where one place takes over from another between two of them.

    Returns
    -------
    times, u, stop : ndarrays of shape (2m,)
        [s], and [rad or m]; m is n, and more where one place takes over.
    who : ndarray of shape (2m,)
        The number in `holds` of what would stop it; -1 where nothing above the start would.
    """
    if between and len(once):
        begins = np.concatenate([once[:0], *(h.begins() for h in holds)])
        once = np.unique(np.concatenate([once, begins[(begins > once[0]) & (begins < once[-1])]]))
    while True:
        u = both_sides_of(mine, once)
        others = None if other is None else both_sides_of(other, once)
        each = [h.stops(once, u, others) for h in holds]
        stop, who = np.zeros_like(u), np.full(len(u), -1)
        for n, held in enumerate(each):
            who = np.where(held > stop, n, who)
            stop = np.maximum(stop, held)
        handovers = _handovers(once, each, who) if between else once[:0]
        if not len(handovers):
            return np.repeat(once, 2), u, stop, who
        once = np.unique(np.concatenate([once, handovers]))


def _handovers(once: Array, each: Sequence[Array], who: Who) -> Array:
    """When one place takes over from another, or from the start, between two instants [s]."""
    first, then = who[1:-1:2], who[2::2]  # after one instant, and before the next
    at = np.flatnonzero(first != then)
    if not len(at):
        return once[:0]
    held = np.stack([*each, np.zeros(len(who))])  # -1 is the last one: the start
    lead = held[first[at], 2 * at + 1] - held[then[at], 2 * at + 1]
    behind = held[then[at], 2 * at + 2] - held[first[at], 2 * at + 2]
    time = once[at] + (once[at + 1] - once[at]) * lead / np.maximum(lead + behind, 1e-300)
    found: Array = time[(time > once[at] + NEAR) & (time < once[at + 1] - NEAR)]
    return found


def both_sides_of(series: Series, once: Array) -> Array:
    """What a number was before and after each of n instants, one after the other: shape (2n,)."""
    values: Array = interleave(series.just_before(once), series.just_after(once))
    return values


def interleave(before: Any, after: Any) -> Any:
    """Two arrays of shape (n,) as one of shape (2n,), turn by turn."""
    return np.stack([before, after], axis=1).ravel()
