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

from sim.model.devices import EXACT
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
        return self.place.captured.crosses_zero()

    def stops(self, once: Array, u: Array, other: Array | None) -> Array:
        """Where it would stop the side, before and after each of n instants: shape (2n,) [rad or m]."""
        captured = np.maximum(0.0, both_sides_of(self.place.captured, once))
        before, after = (flag(self.place.open, once) for flag in (self.place.flag_before, self.place.flag_after))
        held = np.where(interleave(before, after), 0.0, self.line.u_at(captured))
        if self.where.side == "both":
            held = about_the_other(held, other)
        return np.minimum(held, u)


@dataclass(frozen=True)
class Stops:
    """Where a side is and what could stop it, before and after each of m instants: arrays of shape (2m,)."""

    times: Array  # [s]
    u: Array  # of the side [rad or m]
    other: Array | None  # of the other side, if there is one
    each: Array  # shape (places, 2m): where each place would stop it; at most `EXACT` where that is not above the start

    @property
    def held(self) -> Array:
        """The same, 0 where a place holds nothing above the start: shape (places, 2m) [rad or m]."""
        return np.where(self.each > EXACT, self.each, 0.0)

    def first(self) -> tuple[Array, Who]:
        """Where it would be stopped, and the number of the place that does it; -1 where none holds above the start."""
        return foremost(self.held)

    def second(self, but: Who) -> tuple[Array, Who]:
        """The same if the place of this number, at each instant, did not hold."""
        return foremost(without(self.held, but))


def foremost(held: Array) -> tuple[Array, Who]:
    """The highest of several stops, shape (places, 2m) [rad or m], and whose it is: the first in the file's order."""
    if not len(held):
        return np.zeros(held.shape[1]), np.full(held.shape[1], -1)
    stop: Array = held.max(axis=0)
    return stop, np.where(stop > 0, held.argmax(axis=0), -1)


def without(held: Array, but: Who) -> Array:
    """The same stops, shape (places, 2m) [rad or m], those of one place at each instant taken out."""
    left = held.copy()
    at = np.flatnonzero(but >= 0)
    left[but[at], at] = 0.0
    return left


def stops_at(mine: Series, other: Series | None, holds: Sequence[Holding], once: Array, rank: int) -> Stops:
    """Where a side is and where it would be stopped, before and after each instant.

    Parameters
    ----------
    mine, other : Series
        u of the side, and of the other one if there is one.
    holds : sequence of Holding
        What could stop it.
    once : ndarray of shape (n,)
        The instants, rising [s].
    rank : int
        Looked at too is where one place takes over from another between two of them: as the first to stop it (0), or
        as the one that would if the first did not hold (1).

    Returns
    -------
    Stops
        At these instants, and at those between that matter.
    """
    if len(once):
        begins = np.concatenate([once[:0], *(h.begins() for h in holds)])
        once = np.unique(np.concatenate([once, begins[(begins > once[0]) & (begins < once[-1])]]))
    while True:
        found = stops_just_at(mine, other, holds, once)
        _, who = found.first()
        if rank:
            _, who = found.second(who)
        handovers = _handovers(once, found.each, who)
        if not len(handovers):
            return found
        once = np.unique(np.concatenate([once, handovers]))


def stops_just_at(mine: Series, other: Series | None, holds: Sequence[Holding], once: Array) -> Stops:
    """The same at these instants (n,) alone [s]."""
    u = both_sides_of(mine, once)
    others = None if other is None else both_sides_of(other, once)
    each = np.array([h.stops(once, u, others) for h in holds]).reshape(len(holds), len(u))
    return Stops(np.repeat(once, 2), u, others, each)


def _handovers(once: Array, each: Array, who: Who) -> Array:
    """When one place takes over from another, or from the start, between two instants [s]."""
    first, then = who[1:-1:2], who[2::2]  # after one instant, and before the next
    at = np.flatnonzero(first != then)
    if not len(at):
        return once[:0]
    held = np.vstack([each, np.zeros(len(who))])  # -1 is the last one: the start
    lead = held[first[at], 2 * at + 1] - held[then[at], 2 * at + 1]
    behind = held[then[at], 2 * at + 2] - held[first[at], 2 * at + 2]
    with np.errstate(divide="ignore", invalid="ignore"):
        time = once[at] + (once[at + 1] - once[at]) * lead / (lead + behind)
    found: Array = time[(time > once[at] + NEAR) & (time < once[at + 1] - NEAR)]
    return found


def both_sides_of(series: Series, once: Array) -> Array:
    """What a number was before and after each of n instants, one after the other: shape (2n,)."""
    values: Array = interleave(series.just_before(once), series.just_after(once))
    return values


def interleave(before: Any, after: Any) -> Any:
    """Two arrays of shape (n,) as one of shape (2n,), turn by turn."""
    return np.stack([before, after], axis=1).ravel()
