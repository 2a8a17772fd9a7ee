"""How a side comes down, at some instants of some lifts: where it is met, by what, and what that then gives.

At every instant each place of the side would stop it at some u; the highest of them does, and what it then gives is
worked out by the story's own function (`sim/model/meeting.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from sim.batch.measured.stops import SECOND, foremost, stop_at, without
from sim.batch.parts.arrays import Array, Flags, These, Whole, those
from sim.batch.parts.layout import Layout
from sim.batch.timeline import Window
from sim.model.devices import EXACT
from sim.model.loads import share_met
from sim.model.meeting import meet


@dataclass(frozen=True, slots=True)
class Candidates:
    """Instants of some lifts at which the drop may be the largest: all of shape (k,)."""

    lift: These
    time: Array
    u: Array  # (sides, k) [rad or m]
    held: Array  # (places, k) where each place would stop the side; at most `EXACT`: it holds nothing above the start
    stands: Flags  # (places, k) whether the load stands on it


class Down(NamedTuple):
    """How a side comes down: all of shape (k,)."""

    drop: Array  # [m]
    stop: Array  # where it is first met [rad or m],
    onto: Whole  # by which place; -1: nothing above the start
    left: Array  # how far the lowest point is above the start [m]; below nothing: the start comes first


@dataclass(frozen=True, slots=True)
class Falling:
    """One side of the load, and the places that could stop it."""

    layout: Layout
    side: int
    places: tuple[int, ...]

    def risen(self, u: Array) -> Array:
        """How far the lifter's head has risen with its side at u [m]."""
        return self.layout.motion.rise(self.layout.lifters[self.side].head, u)

    def after(self, window: Window, at: These, lift: These, time: Array) -> Candidates:
        """How these lifts stand at a time (k,) between these instants and the next [s]."""
        since, until = window.time[at, lift], window.time[at + 1, lift]
        return self.at(window, at, lift, (time - since) / (until - since))

    def at(self, window: Window, at: These, lift: These, share: Array) -> Candidates:
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

    def down(self, u: Array, held: Array, stands: Flags, rank: int) -> Down:
        """How the side comes down, or (`rank` SECOND) would if what stops it first did not hold."""
        return self.onto(u, without(held, self.first_met(u, held, stands)) if rank == SECOND else held, stands)

    def first_met(self, u: Array, held: Array, stands: Flags) -> Whole:
        """By which place the side is stopped: (k,), as `onto`."""
        stop, who = foremost(held)
        several = those(((held > EXACT) & (held > stop - EXACT)).sum(axis=0) > 1)
        if len(several):
            who[several] = self.onto(u[:, several], held[:, several], stands[:, several]).onto
        return who

    def onto(self, u: Array, held: Array, stands: Flags) -> Down:
        """How the side comes down onto what holds it.

        Of several places that meet it at once the one that gives most counts, as in `sim/record/drops.py`.
        """
        layout, lifter = self.layout, self.layout.lifters[self.side]
        other = u[1 - self.side] if len(u) > 1 else None
        stays = layout.lifters[1 - self.side] if len(u) > 1 else None
        stop, onto = foremost(held)
        risen = self.risen(u[self.side])
        drop, left = risen - self.risen(stop), np.where(onto < 0, -risen, np.inf)
        foremost_stop = stop.copy()
        for n, p in enumerate(self.places):
            at = those((held[n] > EXACT) & (held[n] > foremost_stop - EXACT))
            if not len(at):
                continue
            where, mine, first = layout.places[p], u[self.side, at], held[n, at]
            share = share_met(layout.scenario.load, lifter, stays, where)
            about = None if other is None else other[at]
            met = meet(layout.scenario.load, layout.motion, lifter, share, where, mine, first, about)
            still = stands[n, at] & (mine - first <= EXACT)
            further = np.where(still, 0.0, met.drop)
            more = (onto[at] == n) | (further > drop[at] + EXACT)
            onto[at[more]], stop[at[more]], drop[at[more]] = n, first[more], further[more]
            left[at[more]] = np.where(still, np.inf, met.left)[more]
        return Down(drop, stop, onto, left)
