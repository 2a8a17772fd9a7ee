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
        captured = np.maximum(0.0, self.place.captured.both_sides_of(once))
        before, after = (flag(self.place.open, once) for flag in (self.place.flag_before, self.place.flag_after))
        held = np.where(interleave(before, after), 0.0, self.line.u_at(captured))
        if self.where.side == "both":
            held = about_the_other(held, other)
        return np.minimum(held, u)


@dataclass(frozen=True)
class Side:
    """One side through a lift, and all that could stop it."""

    mine: Series  # u
    other: Series | None  # u of the other side, if there is one
    holds: Sequence[Holding]

    def at(self, once: Array) -> Stops:
        """Where it is, and where each place would stop it, before and after each of n instants, shape (n,) [s]."""
        u = self.mine.both_sides_of(once)
        other = None if self.other is None else self.other.both_sides_of(once)
        each = np.array([h.stops(once, u, other) for h in self.holds]).reshape(len(self.holds), len(u))
        return Stops(np.repeat(once, 2), u, other, each)


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

    def rows(self, once: Array) -> NDArray[np.intp]:
        """Where these of its instants, shape (n,), stand in its arrays, before and after: shape (2n,)."""
        at = 2 * np.searchsorted(self.times[::2], once)
        found: NDArray[np.intp] = interleave(at, at + 1)
        return found

    def of(self, places: Sequence[int], rows: NDArray[np.intp]) -> Stops:
        """The same for some places, and at some instants."""
        other = None if self.other is None else self.other[rows]
        return Stops(self.times[rows], self.u[rows], other, self.each[list(places)][:, rows])

    def and_at(self, more: Stops) -> Stops:
        """These instants and others, in the order of time."""
        order = np.argsort(np.concatenate([self.times, more.times]), kind="stable")

        def together(mine: Array, others: Array) -> Array:
            joined: Array = np.concatenate([mine, others], axis=-1)[..., order]
            return joined

        other = None if self.other is None or more.other is None else together(self.other, more.other)
        return Stops(together(self.times, more.times), together(self.u, more.u), other, together(self.each, more.each))


@dataclass(frozen=True)
class Look:
    """What is asked at the instants of a side: what would stop it first, or if that place did not hold."""

    places: tuple[int, ...]  # the numbers of those that could stop it
    rank: int  # 0: the first to stop it; 1: the one that would if the first did not hold

    def who(self, stops: Stops) -> Who:
        """Which of its places it is at each of m instants, shape (2m,); -1: none above the start."""
        held = stops.held
        _, who = foremost(held)
        return foremost(without(held, who))[1] if self.rank else who


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


def stops_at(side: Side, once: Array, looks: Sequence[Look]) -> tuple[Stops, list[Array]]:
    """Where a side is and where it would be stopped, before and after each instant.

    Parameters
    ----------
    side : Side
        The side, and what could stop it.
    once : ndarray of shape (n,)
        The instants, rising [s].
    looks : sequence of Look
        Each is looked at too where one place takes over from another between two of them, and where one begins to hold.

    Returns
    -------
    Stops
        At these instants, and at those between that matter to any look.
    list of ndarray of shape (m,)
        The instants of each look [s].
    """
    own = [_with_beginnings(once, [side.holds[n] for n in look.places]) for look in looks]
    found = side.at(_all_of(own))
    open_looks = list(range(len(looks)))
    while open_looks:
        seen = {n: found.of(looks[n].places, found.rows(own[n])) for n in open_looks}
        handovers = {n: _handovers(own[n], stops.each, looks[n].who(stops)) for n, stops in seen.items()}
        open_looks = [n for n, times in handovers.items() if len(times)]
        for n in open_looks:
            own[n] = _all_of([own[n], handovers[n]])
        new = np.setdiff1d(_all_of([handovers[n] for n in open_looks]), found.times) if open_looks else once[:0]
        if len(new):
            found = found.and_at(side.at(new))
    return found, own


def _all_of(several: Sequence[Array]) -> Array:
    """Several times as one, rising, each once."""
    return np.unique(np.concatenate(several)) if len(several) > 1 else several[0]


def _with_beginnings(once: Array, holds: Sequence[Holding]) -> Array:
    """These instants, and those between at which a place begins to hold [s]."""
    if not len(once):
        return once
    begins = np.concatenate([once[:0], *(h.begins() for h in holds)])
    begins = begins[(begins > once[0]) & (begins < once[-1])]
    return _all_of([once, begins]) if len(begins) else once


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


def interleave(before: Any, after: Any) -> Any:
    """Two arrays of shape (n,) as one of shape (2n,), turn by turn."""
    return np.stack([before, after], axis=1).ravel()
