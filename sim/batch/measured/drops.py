"""The largest drops of many lifts: how far a side would come down if its pressure, or its whole lifter, were lost.

At every instant of a call each place of the side would stop it at some u; the highest of them does, and what it then
gives is worked out by the story's own function (`sim/model/meeting.py`), where that may be the largest (`ranked.py`).
The drop may be largest between two instants: where one place takes over from another. The same again for the largest
drop if that place did not hold.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.batch.measured.ranked import Instants
from sim.batch.measured.stops import SECOND, foremost, stop_at, takeover, without
from sim.batch.parts.arrays import Array, Flags, These, Whole, those
from sim.batch.parts.layout import Layout
from sim.batch.timeline import Window
from sim.model.devices import EXACT
from sim.model.loads import share_met
from sim.model.meeting import meet

TURNS = 20  # at most, to close in on where one place takes over from another


@dataclass(slots=True)
class DropsSoFar:
    """The largest drop of one side so far, in each of n lifts; all of shape (n,)."""

    drop: Array  # [m]
    time: Array  # [s]
    call: Whole
    u: Array  # where the side was [rad or m],
    stop: Array  # where it would have been stopped,
    onto: Whole  # by which place; -1: nothing above the start

    @classmethod
    def of(cls, n: int) -> DropsSoFar:
        """None yet."""
        zero = np.zeros(n)
        return cls(zero, zero.copy(), np.zeros(n, np.int64), zero.copy(), zero.copy(), np.full(n, -1))


@dataclass(frozen=True, slots=True)
class Candidates:
    """Instants of some lifts at which the drop may be the largest: all of shape (k,)."""

    lift: These
    time: Array
    u: Array  # (sides, k) [rad or m]
    held: Array  # (places, k) where each place would stop the side; at most `EXACT`: it holds nothing above the start
    stands: Flags  # (places, k) whether the load stands on it


@dataclass(frozen=True, slots=True)
class Loss:
    """One side of the load, and what is lost of it: the pressure, or the whole lifter with its own capture."""

    layout: Layout
    side: int
    places: tuple[int, ...]  # what could stop it

    def see(
        self,
        drops: DropsSoFar,
        window: Window,
        rank: int,
        largest: tuple[Instants, Instants],
        call: int,
        next_call: Array,
    ) -> None:
        """Take the drops of a call.

        Parameters
        ----------
        drops : DropsSoFar
            What is brought up to date.
        window : Window
            The instants of the call.
        rank : int
            FIRST: if the station holds; SECOND: if it does not.
        largest : two Instants
            Where the drop may be the largest; and between which instants it may (`ranked.Ranked.largest`).
        call : int
            The number of the call.
        next_call : ndarray of shape (n,)
            When the next one goes out [s].
        """
        instants, takeovers = largest
        found = [self._at(window, *instants, np.zeros(len(instants.at)))]
        if len(takeovers.at):
            found += self._takeovers(window, *takeovers, rank)
        if sum(len(f.lift) for f in found):
            self._take(drops, found, rank, call)
        drops.call[(drops.time == next_call) & (drops.drop > 0)] = call + 1

    def _take(self, drops: DropsSoFar, found: Sequence[Candidates], rank: int, call: int) -> None:
        """The largest of each lift, at the first time that it comes up."""
        lift, time = np.concatenate([f.lift for f in found]), np.concatenate([f.time for f in found])
        u, held = (np.concatenate(each, axis=1) for each in ([f.u for f in found], [f.held for f in found]))
        stands = np.concatenate([f.stands for f in found], axis=1)
        above = (held > EXACT).any(axis=0)
        if rank == SECOND:
            held = without(held, self.first_met(u, held, stands))
        drop, stop, onto = self.onto(u, held, stands)
        if rank == SECOND:
            drop = np.where(above, drop, 0.0)
        largest = drops.drop.copy()
        np.maximum.at(largest, lift, drop)
        clearly = largest > drops.drop + EXACT
        drops.drop[:] = np.where(clearly | (drops.drop > 0), largest, drops.drop)
        k = those((drop > largest[lift] - EXACT) & clearly[lift])
        k = k[np.argsort(-time[k], kind="stable")]  # the last one written is the first in time
        to = lift[k]
        drops.time[to], drops.u[to], drops.stop[to], drops.onto[to] = time[k], u[self.side, k], stop[k], onto[k]
        drops.call[to] = call

    def first_met(self, u: Array, held: Array, stands: Flags) -> Whole:
        """By which place the side is stopped: (k,), as `onto`."""
        stop, who = foremost(held)
        several = those(((held > EXACT) & (held > stop - EXACT)).sum(axis=0) > 1)
        if len(several):
            who[several] = self.onto(u[:, several], held[:, several], stands[:, several])[2]
        return who

    def onto(self, u: Array, held: Array, stands: Flags) -> tuple[Array, Array, Whole]:
        """How far the side comes down, where it is first met, and by which place: (k,) each.

        Of several places that meet it at once the one that gives most counts, as in `sim/record/drops.py`.
        """
        layout, lifter = self.layout, self.layout.lifters[self.side]
        other = u[1 - self.side] if len(u) > 1 else None
        stays = layout.lifters[1 - self.side] if len(u) > 1 else None
        stop, onto = foremost(held)
        rise = layout.motion.rise
        drop = rise(lifter.head, u[self.side]) - rise(lifter.head, stop)
        foremost_stop = stop.copy()
        for n, p in enumerate(self.places):
            at = those((held[n] > EXACT) & (held[n] > foremost_stop - EXACT))
            if not len(at):
                continue
            where, mine, first = layout.places[p], u[self.side, at], held[n, at]
            share = share_met(layout.scenario.load, lifter, stays, where)
            about = None if other is None else other[at]
            met = meet(layout.scenario.load, layout.motion, lifter, share, where, mine, first, about)
            further = np.where(stands[n, at] & (mine - first <= EXACT), 0.0, met.drop)
            more = (onto[at] == n) | (further > drop[at] + EXACT)
            onto[at[more]], stop[at[more]], drop[at[more]] = n, first[more], further[more]
        return drop, stop, onto

    def _takeovers(self, window: Window, at: These, lift: These, rank: int) -> list[Candidates]:
        """Where one place, or the start, takes over from another after these instants, as in `sim/record/holding.py`.

        What each holds runs evenly, but where that would stop the load does not quite: the instant is closed in on.
        """
        begin, end = window.time[at, lift], window.time[at + 1, lift]
        first, then = (self._at(window, at + k, lift, np.zeros(len(at))).held for k in (0, 1))
        found = []
        for _ in range(TURNS):
            time = takeover(begin, end, first, then, rank)
            k = those(np.isfinite(time))
            if not len(k):
                break
            at, lift, begin, end, time, first, then = (
                at[k], lift[k], begin[k], end[k], time[k], first[:, k], then[:, k]
            )  # fmt: skip
            since, until = window.time[at, lift], window.time[at + 1, lift]
            there = self._at(window, at, lift, (time - since) / (until - since))
            found.append(there)
            at, lift = np.tile(at, 2), np.tile(lift, 2)
            begin, end = np.concatenate([begin, time]), np.concatenate([time, end])
            first, then = np.concatenate([first, there.held], axis=1), np.concatenate([there.held, then], axis=1)
        return found

    def _at(self, window: Window, at: These, lift: These, share: Array) -> Candidates:
        """How these lifts stand at these instants, or by a share between 0 and 1 on the way to the next: (k,) each."""
        then = np.minimum(at + 1, len(window.time) - 1)

        def even(values: Array) -> Array:
            start: Array = values[at, lift]
            return start + share * (values[then, lift] - start)

        u = np.array([even(window.u[:, side]) for side in range(len(self.layout.lifters))])
        held, stands = np.zeros((len(self.places), len(at))), np.zeros((len(self.places), len(at)), dtype=bool)
        for n, p in enumerate(self.places):
            held[n] = stop_at(self.layout, p, self.side, even(window.held[:, p]), window.open[at, p, lift], u)
            stands[n] = window.stands[at, p, lift]
        return Candidates(lift, even(window.time), u, held, stands)
