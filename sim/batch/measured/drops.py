"""The largest drops of many lifts: how far a side would come down if its pressure, or its whole lifter, were lost.

At every instant of a call the side would come down onto one of its places, or to the start (`falling.py`): how far is
worked out where that may be the largest (`ranked.py`).
The drop may be largest between two instants: where one place takes over from another, or where what it gives ceases
to reach the start. The same again for the largest drop if that place did not hold.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.batch.measured.falling import Candidates, Down, Falling
from sim.batch.measured.ranked import Instants
from sim.batch.measured.stops import SECOND, takeover
from sim.batch.parts.arrays import Array, Flags, These, Whole, of_some, those
from sim.batch.timeline import Window
from sim.model.devices import EXACT
from sim.model.stops import crossing

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
class Stretches:
    """Parts of the time between an instant and the next: all of shape (k,)."""

    at: These
    lift: These
    begin: Array  # [s]
    end: Array  # [s]
    held: Flags  # whether anything holds the side above the start as it begins


@dataclass(frozen=True, slots=True)
class Loss:
    """One side of the load, and what is lost of it: the pressure, or the whole lifter with its own capture."""

    falling: Falling  # onto what could stop it then

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
            At which the drop may be the largest; and between which and the next ones it may (`ranked.Ranked.largest`).
        call : int
            The number of the call.
        next_call : ndarray of shape (n,)
            When the next one goes out [s].
        """
        instants, stretches = largest
        found = [self.falling.at(window, *instants, np.zeros(len(instants.at)))]
        between, even = self._takeovers(window, *stretches, rank)
        self._take(drops, found + between, rank, call)
        self._take(drops, self._leaves_the_start(window, even, drops.drop, rank), rank, call)
        drops.call[(drops.time == next_call) & (drops.drop > 0)] = call + 1

    def _take(self, drops: DropsSoFar, found: Sequence[Candidates], rank: int, call: int) -> None:
        """The largest of each lift, at the first time that it comes up."""
        if not sum(len(f.lift) for f in found):
            return
        lift, time = np.concatenate([f.lift for f in found]), np.concatenate([f.time for f in found])
        u, held = (np.concatenate(each, axis=1) for each in ([f.u for f in found], [f.held for f in found]))
        stands = np.concatenate([f.stands for f in found], axis=1)
        drop, stop, onto, _ = self.falling.down(u, held, stands, rank)
        if rank == SECOND:
            drop = np.where((held > EXACT).any(axis=0), drop, 0.0)
        largest = drops.drop.copy()
        np.maximum.at(largest, lift, drop)
        clearly = largest > drops.drop + EXACT
        drops.drop[:] = np.where(clearly | (drops.drop > 0), largest, drops.drop)
        earlier = (drops.call[lift] == call) & (time < drops.time[lift])  # of as large a one that this call came to
        k = those((drop > largest[lift] - EXACT) & (clearly[lift] | earlier))
        k = k[np.argsort(-time[k], kind="stable")]  # the last one written is the first in time
        to = lift[k]
        drops.time[to], drops.u[to], drops.stop[to], drops.onto[to] = time[k], u[self.falling.side, k], stop[k], onto[k]
        drops.call[to] = call

    def _takeovers(self, window: Window, at: These, lift: These, rank: int) -> tuple[list[Candidates], Stretches]:
        """Where one place, or the start, takes over from another after these instants, as in `sim/record/holding.py`.

        What each holds runs evenly, but where that would stop the load does not quite: the instant is closed in on.
        With it the stretches between those instants, in each of which nothing takes over.
        """
        begin, end = window.time[at, lift], window.time[at + 1, lift]
        first, then = (self.falling.at(window, at + k, lift, np.zeros(len(at))).held for k in (0, 1))
        found, even = [], []
        for _ in range(TURNS):
            time = takeover(begin, end, first, then, rank)
            k, same = those(np.isfinite(time)), those(np.isinf(time) & (end > begin))
            even.append((at[same], lift[same], begin[same], end[same], (first[:, same] > EXACT).any(axis=0)))
            if not len(k):
                break
            at, lift, begin, end, time, first, then = (
                at[k], lift[k], begin[k], end[k], time[k], first[:, k], then[:, k]
            )  # fmt: skip
            there = self.falling.after(window, at, lift, time)
            found.append(there)
            at, lift = np.tile(at, 2), np.tile(lift, 2)
            begin, end = np.concatenate([begin, time]), np.concatenate([time, end])
            first, then = np.concatenate([first, there.held], axis=1), np.concatenate([there.held, then], axis=1)
        return found, Stretches(*(np.concatenate(each) for each in zip(*even, strict=True)))

    def _leaves_the_start(self, window: Window, even: Stretches, largest: Array, rank: int) -> list[Candidates]:
        """Where what gives ceases to reach the start in a stretch, if that may be the largest (`sim/record/drops.py`).

        Up to there the side would come down all that it has risen: that is more than the largest only in a stretch in
        which the rise comes to be.
        """

        def down(some: Stretches, time: Array) -> Down:
            there = self.falling.after(window, some.at, some.lift, time)
            return self.falling.down(there.u, there.held, there.stands, rank)

        most = largest[even.lift] + EXACT
        low, high = (self.falling.risen(window.u[even.at + k, self.falling.side, even.lift]) for k in (0, 1))
        some = of_some(even, those(((low <= most) | ~even.held) & (most < high)))
        if not len(some.at):
            return []
        first, then = down(some, some.begin), down(some, some.end)
        k = those(((first.onto == then.onto) | (first.onto < 0)) & (first.left < 0) & (then.left > 0))
        if not len(k):
            return []
        some, low, high = of_some(some, k), first.left[k], then.left[k]
        time = crossing(lambda time: down(some, time).left, (some.begin, low), (some.end, high))
        return [self.falling.after(window, some.at, some.lift, time)]
