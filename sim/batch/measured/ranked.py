"""What would stop a side first at each instant of a call, and what would if that did not hold, to look no further than
where a drop may be the largest of its lift.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.batch.measured.likely import NOWHERE, START, Fitted
from sim.batch.parts.arrays import Array, Flags, These
from sim.batch.parts.layout import Layout
from sim.batch.timeline import Window
from sim.model.devices import EXACT

MET_AT_ONCE = 2 * EXACT  # places that the side is so near to at the same time are met at once [rad or m]
Numbers = NDArray[np.int8]


class Instants(NamedTuple):
    """Some instants of some lifts, each of shape (k,)."""

    at: These  # the number of the instant
    lift: These

    def from_lift(self, first: int) -> Instants:
        """The same, the lifts counted from one that is not the first."""
        return Instants(self.at, self.lift + first)


@dataclass(frozen=True, slots=True)
class Ranked:
    """What stops a side first, and what would if that did not hold: arrays of shape (instants, n)."""

    above: tuple[Array, Array]  # how far above them the side is; less than nothing: there is none [rad or m]
    drops: tuple[Array, Array]  # about how far it would drop [m]
    who: tuple[Numbers, Numbers]  # the number of the place, or START
    rises: Array  # about how far it has risen [m]
    error: float  # how far off the drops are at the most [m]
    places: int  # how many were looked at

    def largest(self, rank: int, best: Array) -> tuple[Instants, Instants]:
        """Where the drop may be larger than `best` (n,) [m] and the largest of its lift.

        Returns
        -------
        instants, stretches : Instants
            At these instants; between these and the next ones, where one place takes over from another, or where what
            it gives ceases to reach the start.
        """
        about, who, n = self.drops[rank], self.who[rank], len(best)
        enough = np.maximum(best, about.max(axis=0) - self.error) - self.error - EXACT
        changes = np.flatnonzero(who[1:] != who[:-1])
        if self.places <= 2 and len(changes):  # no further than onto either of the two, if they are all there was
            rows = (changes, changes + n)
            either = np.max([x.ravel()[k] for x in self.drops for k in rows], axis=0)
            unsure = np.min([self.drops[0].ravel()[k] for k in rows], axis=0) < 0
            if self.places == 2:
                unsure |= np.min([x.ravel()[k] for x in self.who for k in rows], axis=0) == START
            changes = changes[unsure | (either > enough[changes % n])]
        reaches = (about[:-1] >= self.rises[:-1] - 2 * self.error) & (who[1:] != START) & (self.rises[1:] > enough)
        changes = np.union1d(changes, np.flatnonzero(reaches))
        found = np.flatnonzero(about > enough)
        before = found - n  # coming down to the start from the same u is no other drop
        again = (before >= 0) & (about.ravel()[found] == about.ravel()[before])
        again &= (who.ravel()[found] == START) & (who.ravel()[before] == START)
        return Instants(*np.divmod(found[~again], n)), Instants(*np.divmod(changes, n))

    @classmethod
    def of_the_start(cls, u: Array, drops: Array, error: float) -> Ranked:
        """Nothing but the start."""
        start = np.full(u.shape, START, np.int8)
        return cls((u, np.full(u.shape, -1.0)), (drops, np.full(u.shape, -NOWHERE)), (start, start), drops, error, 0)

    def with_place(self, place: int, above: Array, drops: Array, error: float) -> Ranked:
        """The same with one place more; of several met at once the one that gives most comes first."""
        mine = np.int8(place)
        (first, second), (most, next_most), (who, next_who) = self.above, self.drops, self.who
        if self.places > 0:  # only behind a place, and not behind the start, can there be another
            at_once = np.abs(above - first) <= MET_AT_ONCE
            drops, most = (np.where(at_once, f(drops, most), x) for f, x in ((np.minimum, drops), (np.maximum, most)))
            at_once = np.abs(above - second) <= MET_AT_ONCE
            next_most = np.where(at_once, np.maximum(drops, next_most), next_most)
            between = above < second - MET_AT_ONCE
            second, next_most, next_who = (
                np.where(between, x, y) for x, y in ((above, second), (drops, next_most), (mine, next_who))
            )
        closer = above < first - MET_AT_ONCE
        return Ranked(
            (np.where(closer, above, first), np.where(closer, first, second)),
            (np.where(closer, drops, most), np.where(closer, most, next_most)),
            (np.where(closer, mine, who), np.where(closer, who, next_who)),
            self.rises,
            max(self.error, error),
            self.places + 1,
        )


class FittedSide:
    """One side, and what is fitted to the drops onto each of its places, and to the start."""

    def __init__(self, layout: Layout, side: int) -> None:
        self.side = side
        self.fitted = {p: Fitted(layout, side, p) for p in (START, *layout.places_of[side])}
        own = [layout.is_own(p) for p in layout.places_of[side]]
        self.stations = tuple(p for p, mine in zip(layout.places_of[side], own, strict=True) if not mine)
        self.own = [p for p, mine in zip(layout.places_of[side], own, strict=True) if mine]

    def rises(self, u: Array) -> tuple[Array, float]:
        """About how far the lifter's head has risen with the sides at u (sides, instants, n); its error [m]."""
        start = self.fitted[START]
        return start.drops(self._between(u), u[self.side]), start.error

    def _between(self, u: Array) -> tuple[Array, Array]:
        both = [u[self.side], u[1 - self.side] if len(u) > 1 else u[0]]
        return np.array([x.min() for x in both]), np.array([x.max() for x in both])

    def ranked(self, window: Window, stops: Mapping[int, Array], rises: Array) -> tuple[Ranked, Ranked]:
        """What stops it if the whole lifter is lost, and if the pressure is, at the instants of a call.

        Parameters
        ----------
        window : Window
            The instants.
        stops : mapping of int to ndarray of shape (instants, n)
            Where each place would stop this side, by its number in the layout [rad or m].
        rises : ndarray of shape (instants, n)
            About how far the head has risen, as `rises` has it [m].
        """
        u = window.u.swapaxes(0, 1)
        between = self._between(u)
        counts = _counts(window, u[self.side])
        differs = np.logical_or.reduce([x[1:] != x[:-1] for x in (*u, *stops.values())])
        differs |= (window.stands[1:] != window.stands[:-1]).any(axis=1)
        counts[1:] &= differs | ~counts[:-1]
        most = np.where(counts, rises, -NOWHERE)
        found = Ranked.of_the_start(u[self.side], most, self.fitted[START].error)
        lost = found
        for p in (*self.stations, *self.own):
            holds = stops[p] > EXACT
            above = (u[self.side] - stops[p]) * holds
            drops = np.minimum(self.fitted[p].drops(between, above), most)
            np.copyto(above, NOWHERE, where=~holds)
            found = found.with_place(p, above, drops, self.fitted[p].error)
            if p in self.stations:
                lost = found
        return lost, found


def _counts(window: Window, u: Array) -> Flags:
    """Whether a side is up, and time passes before or after: (instants, n).

    An instant is what it was before its first event, and what it is after its last: what is in between is no time.
    """
    counts: Flags = u > EXACT
    jumps = np.diff(window.time, axis=0) == 0
    counts[1:-1] &= ~(jumps[:-1] & jumps[1:])
    return counts
