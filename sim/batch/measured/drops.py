"""The largest drops of many lifts: how far a side would come down if its pressure, or its whole lifter, were lost.

At every instant of a call each place of the side would stop it at some u; the highest of them does, and what it then
gives is worked out by the story's own function (`sim/model/meeting.py`). The drop may be largest between two instants:
where one place takes over from another. The same again for the largest drop if that place did not hold.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sim.batch.parts.arrays import Array, Flags, These, Whole, those
from sim.batch.parts.layout import Layout
from sim.batch.timeline import Window
from sim.model.devices import EXACT
from sim.model.loads import axial_force, effort, share_met
from sim.model.meeting import compliance, meet
from sim.model.scenario import Lifter
from sim.model.stops import about_the_other
from sim.record.holding import NEAR

SAMPLES = 65  # of u, for a bound
TURNS = 20  # at most, to close in on where one place takes over from another
FIRST, SECOND = 0, 1  # what stops a side; what would if that did not hold


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
        self, drops: Sequence[DropsSoFar], window: Window, stops: Mapping[int, Array], call: int, next_call: Array
    ) -> None:
        """Take the drops of a call.

        Parameters
        ----------
        drops : two DropsSoFar
            What is brought up to date: the largest if the station holds, and if it does not.
        window : Window
            The instants of the call.
        stops : mapping of int to ndarray of shape (instants, n)
            Where each place would stop this side, by its number in the layout [rad or m].
        call : int
            The number of the call.
        next_call : ndarray of shape (n,)
            When the next one goes out [s].
        """
        u = window.u[:, self.side]
        held = np.array([stops[p] for p in self.places]).reshape(len(self.places), *u.shape)
        # an instant is what it was before its first event, and what it is after its last: what is in between is no time
        first = np.diff(window.time, axis=0, prepend=-np.inf) > 0
        last = np.diff(window.time, axis=0, append=np.inf) > 0
        most = self._most(float(u.max()))
        for rank in (FIRST, SECOND):
            stop, who = foremost(held)
            if rank == SECOND:
                stop, _ = foremost(without(held, who))
            # what is dear is worked out only where the side could come down further than the largest drop so far
            could = (u > EXACT) & (first | last) & (most(u - stop) > drops[rank].drop - EXACT)
            at, lift = could.nonzero()
            stands = np.array([window.stands[at, p, lift] for p in self.places], dtype=bool)
            stands = stands.reshape(len(self.places), len(at))
            events = Candidates(lift, window.time[at, lift], window.u[at, :, lift].T, held[:, at, lift], stands)
            found = [events, *self._takeovers(window, held, rank)]
            self._take(drops[rank], found, rank, call, next_call)

    def _most(self, top: float) -> Callable[[Array], Array]:
        """A bound on the drop for how far above its stop the side is, up to u = `top`; two per cent of it in hand."""
        layout, lifter, load = self.layout, self.layout.lifters[self.side], self.layout.scenario.load
        u = np.linspace(0.0, max(top, EXACT), SAMPLES)
        slope = 1.02 * float(np.max(np.diff(layout.motion.rise(lifter.head, u)) / np.diff(u)))
        shortest, longest, gives, turns = np.inf, 0.0, 0.0, 1.0
        for p in self.places:
            where, line = layout.places[p], layout.lines[p]
            if where.give is None:
                continue
            per_u = np.diff(line.demand(u)) / np.diff(u)
            shortest, longest = min(shortest, float(per_u.min())), max(longest, float(per_u.max()))
            force = axial_force(effort(load, layout.motion, u), 1.0, layout.motion.arm(where.head, where.base, u))
            softer = 0.0 if isinstance(where, Lifter) else compliance(where.tie) or 0.0
            gives = max(gives, where.give + 1.02 * float(np.max(np.abs(force))) * softer)
            turns = 2.0 if layout.is_both(p) else turns

        def bound(above: Array) -> Array:
            lowest = gives + np.sqrt(gives**2 + 2.04 * longest * np.maximum(above, 0.0) * gives)
            most: Array = slope * (above + (1.02 * turns * lowest / shortest if gives else 0.0))
            return most

        return bound

    def _take(self, drops: DropsSoFar, found: Sequence[Candidates], rank: int, call: int, next_call: Array) -> None:
        """The largest of each lift, at the first time that it comes up."""
        lift, time = np.concatenate([f.lift for f in found]), np.concatenate([f.time for f in found])
        u, held, stands = (
            np.concatenate([getattr(f, name) for f in found], axis=1) for name in ("u", "held", "stands")
        )
        drop, stop, onto = self.onto(u, held, stands)
        if rank == SECOND:
            above = (held > EXACT).any(axis=0)
            drop, stop, onto = self.onto(u, without(held, onto), stands)
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
        drops.call[(drops.time == next_call) & (drops.drop > 0)] = call + 1

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

    def _takeovers(self, window: Window, held: Array, rank: int) -> list[Candidates]:
        """Where one place, or the start, takes over from another between two instants, as `sim/record/holding.py` does.

        What each holds runs evenly, but where that would stop the load does not quite: the instant is closed in on.
        """
        if not len(held) or (len(held) == 1 and rank == SECOND):
            return []
        who = foremost(held)[1]
        if rank == SECOND:
            who = foremost(without(held, who))[1]
        at, lift = ((np.diff(window.time, axis=0) > 2 * NEAR) & (who[1:] != who[:-1])).nonzero()
        begin, end = window.time[at, lift], window.time[at + 1, lift]
        first, then = held[:, at, lift], held[:, at + 1, lift]
        found = []
        for _ in range(TURNS):
            time = _takeover(begin, end, first, then, rank)
            k = those(np.isfinite(time))
            if not len(k):
                break
            at, lift, begin, end, time, first, then = (
                at[k], lift[k], begin[k], end[k], time[k], first[:, k], then[:, k]
            )  # fmt: skip
            there = self._between(window, at, lift, time)
            found.append(there)
            at, lift = np.tile(at, 2), np.tile(lift, 2)
            begin, end = np.concatenate([begin, time]), np.concatenate([time, end])
            first, then = np.concatenate([first, there.held], axis=1), np.concatenate([there.held, then], axis=1)
        return found

    def _between(self, window: Window, at: These, lift: These, time: Array) -> Candidates:
        """How these lifts stand between two instants: all of shape (k,)."""
        share = (time - window.time[at, lift]) / (window.time[at + 1, lift] - window.time[at, lift])

        def even(values: Array) -> Array:
            start: Array = values[at, lift]
            return start + share * (values[at + 1, lift] - start)

        u = np.array([even(window.u[:, side]) for side in range(len(self.layout.lifters))])
        held = np.array(
            [
                stop_at(self.layout, p, self.side, even(window.held[:, p]), window.open[at, p, lift], u)
                for p in self.places
            ]
        )
        stands = np.array([window.stands[at, p, lift] for p in self.places])
        return Candidates(lift, time, u, held, stands)


def stop_at(layout: Layout, place: int, side: int, held: Array, is_open: Flags, u: Array) -> Array:
    """Where a place stops a side: held [m] and open of any shape, u of shape (sides, ...) [rad or m]."""
    at: Array = layout.lines[place].u_at(np.maximum(0.0, held)) * ~is_open
    if layout.is_both(place):
        at = np.asarray(about_the_other(at, u[1 - side] if len(u) > 1 else None))
    return np.asarray(np.minimum(at, u[side]))


def foremost(held: Array) -> tuple[Array, Whole]:
    """The highest of the stops (places, ...), and whose it is, the first in the file's order; -1 where none holds."""
    if not len(held):
        return np.zeros(held.shape[1:]), np.full(held.shape[1:], -1, dtype=np.int64)
    stop: Array = held.max(axis=0)
    above = stop > EXACT
    return np.where(above, stop, 0.0), np.where(above, held.argmax(axis=0), -1)


def without(held: Array, but: Whole) -> Array:
    """The same stops (places, ...) [rad or m], those of one place at each instant (...) taken out."""
    return np.where(np.arange(len(held)).reshape(-1, *[1] * but.ndim) == but, 0.0, held)


def _takeover(begin: Array, end: Array, first: Array, then: Array, rank: int) -> Array:
    """When one takes over from another between two instants, of stops (places, k): (k,); infinite where none does."""
    who, later = (foremost(held)[1] for held in (first, then))
    if rank == SECOND:
        who, later = (foremost(without(held, k))[1] for held, k in ((first, who), (then, later)))
    each, start = np.arange(len(begin)), np.zeros((1, len(begin)))  # -1 is the last one: the start
    first, then = np.concatenate([first, start]), np.concatenate([then, start])
    lead, behind = first[who, each] - first[later, each], then[later, each] - then[who, each]
    with np.errstate(divide="ignore", invalid="ignore"):
        time = begin + (end - begin) * lead / (lead + behind)
    return np.where((who != later) & (time > begin + NEAR) & (time < end - NEAR), time, np.inf)
