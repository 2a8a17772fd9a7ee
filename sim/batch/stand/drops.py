"""The largest drops of many lifts at once: where each side would be stopped, at every instant that could matter.

A drop is asked for at the rows of the side's own places. It is worked out exactly only where a bound says that it
could be the largest so far: one place's gap times the steepest that the lifter's head rises against that place's line.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.batch.lines.arrays import ALL, Array, Chosen, Flags, Places, keep, nonzero, within
from sim.batch.stand.places import Place
from sim.batch.stand.rows import Rows
from sim.batch.stand.sides import Side
from sim.model.devices import EXACT
from sim.model.motion import Motion
from sim.model.scenario import Lifter
from sim.model.stops import about_the_other
from sim.record.holding import NEAR

TURNS = 20  # at most, to close in on where one place takes over from another
MOST = 0.75  # of the lifts: if more than these are asked about, all are
CURVATURE = 2e-5  # how far a line's demand may be from even within a stroke [m]: more than any stroke's curvature gives


@dataclass(frozen=True, slots=True)
class Stop:
    """Where a side would be stopped, by which of its places (-1: the start), and where if that one did not hold."""

    at: Array
    onto: Places
    lower: Array

    def of(self, which: Places) -> Stop:
        """Of some."""
        return Stop(self.at[which], self.onto[which], self.lower[which])


class Drops:
    """The largest drop of one side if its pressure, or its whole lifter, were lost."""

    arrays = ("drop", "time", "call", "u", "stop", "onto", "lower")

    def __init__(
        self, side: Side, other: Side | None, places: list[Place], motion: Motion, holds: bool, n: int
    ) -> None:
        self.side, self.other, self.motion, self.lifter_holds = side, other, motion, holds
        self.places = [p for p in places if side in p.sides and (holds or not isinstance(p.where, Lifter))]
        self.drop = np.zeros(n)
        self.time = np.zeros(n)
        self.call = np.zeros(n, dtype=np.int64)
        self.u, self.stop = np.zeros(n), np.zeros(n)
        self.lower = np.zeros(n)  # where it would be stopped if that one did not hold
        self.onto = np.full(n, -1)  # which of `places`; -1: nothing above the start

    def look_at(self, places: list[Place], now: Array, call: int) -> None:
        """Go through the rows of a call, up to `now`."""
        if not self.places:
            u, start = self.side.u, np.zeros_like(now)
            self._see(ALL, now, u, Stop(start, np.full(len(now), -1), start), self._drop(u, start), call)
            return
        steepest = [self._steepest(p) for p in self.places]
        single = [(p, s) for p, s in zip(self.places, steepest, strict=True) if p.where.side != "both"]
        most = np.minimum.reduce([np.full(len(now), np.inf), *(s * p.most_in_call() for p, s in single)])
        could = nonzero((most > self.drop - CURVATURE) & (self.side.u > 0))
        if not len(could):
            return
        if len(could) > MOST * len(now):
            could = np.arange(len(now))  # a bound leaves the others out; their rows are read for every side at once
        rows = [p.read(could, now) for p in self.places]
        typical = [float(np.mean(p.in_call[could])) for p in self.places]
        for n in np.argsort(typical, kind="stable"):  # the place that most often holds first
            own = rows[n]
            alone = np.full(len(could), -np.inf)
            bound = own.bound(steepest[n])
            likeliest = int(np.argmax(np.mean(np.maximum(bound, 0.0), axis=1))) if len(bound) else 0
            for mask in (np.arange(len(bound)) == likeliest, np.arange(len(bound)) != likeliest):
                row, which = np.nonzero(mask[:, None] & (bound > self.drop[could] - CURVATURE))
                if len(which):
                    self._at(could, which, own.time[row + 1, which], rows, call, n, alone)
            if own.both:  # it has turning points that are not its own rows
                continue
            # further on only those that this place alone would have let fall further than the largest drop so far
            still = alone > self.drop[could] + 0.1 * EXACT
            still |= (self.drop[could] < CURVATURE) & (self.side.u[could] > self.side.base_u[could])
            if not still.any():
                return
            could, rows = could[still], [r.of(still) for r in rows]
        self._look_elsewhere(could, places, rows, call)
        if len(rows) > 1 or rows[0].both:
            self._look_between(could, rows, call)

    def _look_elsewhere(self, could: Places, places: list[Place], rows: list[Rows], call: int) -> None:
        """The instants of the others' rows.

        While the side moves the drop may grow until another place becomes the one that holds, between two rows of its
        own; or the curvature of the lines may be all that there is.
        """
        times = [_dense(r.these, r.time, p.n)[could] for p in places if p not in self.places for r in p.rows]
        if self.other is not None:
            times += [t[could] for k in self.other.strokes for t in (k.start, k.end)] + [self.other.ready[could]]
        if times:
            row, which = np.nonzero(np.isfinite(np.stack(times)))
            self._at(could, which, np.stack(times)[row, which], rows, call, 0, np.zeros(len(could)))

    def _look_between(self, could: Places, rows: list[Rows], call: int) -> None:
        """Where one place, or the start, gives over to another between two rows, as `holding.py` finds it."""
        once = np.sort(np.concatenate([r.time for r in rows]), axis=0)
        begin, end = once[:-1], once[1:]
        every = np.broadcast_to(np.arange(len(could)), begin.shape)
        long = end > begin + 2 * NEAR
        which, begin, end = every[long], begin[long], end[long]
        moves = self._moves(could[which], begin, end)  # at rest what holds it only comes to hold more
        which, begin, end = which[moves], begin[moves], end[moves]
        held = [r.along(which, begin, end) for r in rows]
        first = self._stops_of(could, which, begin, [(h.after, h.open_after) for h in held])
        then = self._stops_of(could, which, end, [(h.before, h.open_before) for h in held])
        for _ in range(TURNS):
            time = _handover(begin, end, first, then)
            found = nonzero(np.isfinite(time))
            if not len(found):
                return
            which, begin, end, time = which[found], begin[found], end[found], time[found]
            self._at(could, which, time, rows, call, 0, np.zeros(len(could)))
            there = self._stops_of(
                could, which, time, [(h.before, h.open_before) for h in (r.at(which, time) for r in rows)]
            )
            first = np.concatenate([first[:, found], there], axis=1)
            then = np.concatenate([there, then[:, found]], axis=1)
            which, begin, end = np.tile(which, 2), np.concatenate([begin, time]), np.concatenate([time, end])

    def _moves(self, these: Places, begin: Array, end: Array) -> Flags:
        sides = [self.side] if self.other is None else [self.side, self.other]
        return np.logical_or.reduce([s.u_at(these, end) > s.u_at(these, begin) for s in sides])  # type: ignore[no-any-return]

    def _stops_of(self, could: Places, which: Places, time: Array, held: list[tuple[Array, Flags]]) -> Array:
        """Where each place would stop some lifts at some instants, and the start, the last: (places + 1, instants)."""
        u = self.side.u_at(could[which], time)
        other = None if self.other is None else self.other.u_at(could[which], time)
        return np.stack([*self._stops(held, u, other), np.zeros(len(u))])

    def _steepest(self, place: Place) -> float:
        """The steepest that the lifter's head rises against a place's line, where a drop in this call could pass."""
        least = 0.0 if place.lets_down or place.open_in_call.any() else float(place.start_held.min())
        low, high = float(place.line.u_at(max(0.0, least))), float(self.side.u.max())
        along = np.linspace(min(low, high), max(high, low + 1e-6), 65)
        rise = np.diff(self.motion.rise(self.side.lifter.head, along))
        return 1.0005 * float(np.max(rise / np.diff(place.line.demand(along))))

    def _at(
        self, could: Places, which: Places, time: Array, rows: list[Rows], call: int, whose: int, alone: Array
    ) -> None:
        """Exactly, at instants of some lifts; `alone`: the largest drop of each were the place `whose` the only one."""
        these = could[which]
        u = self.side.u_at(these, time)
        other = None if self.other is None else self.other.u_at(these, time)
        held = [r.at(which, time) for r in rows]
        stops = self._stops([(h.before, h.open_before) for h in held], u, other)
        jumps = nonzero(np.logical_or.reduce([(h.before != h.after) | (h.open_before != h.open_after) for h in held]))
        if len(jumps):
            there = None if other is None else other[jumps]
            more = self._stops([(h.after[jumps], h.open_after[jumps]) for h in held], u[jumps], there)
            stops = [np.concatenate([a, b]) for a, b in zip(stops, more, strict=True)]
            which, time, u = (np.concatenate([x, x[jumps]]) for x in (which, time, u))
        stop = _best(stops)
        drop = self._drop(u, stop.at)
        np.maximum.at(alone, which, drop if len(stops) == 1 else self._drop(u, np.maximum(stops[whose], 0.0)))
        largest = np.full(len(could), -np.inf)
        np.maximum.at(largest, which, drop)
        found = _first_of_each(nonzero(drop > largest[which] - EXACT), which, time)
        self._see(could[which[found]], time[found], u[found], stop.of(found), drop[found], call)

    def now(self, these: Chosen, now: Array, call: int) -> None:
        """As it stands now."""
        u = self.side.u[these].copy()
        other = None if self.other is None else self.other.u[these].copy()
        stop = _best(self._stops([p.state(these)[:2] for p in self.places], u, other))
        self._see(these, now, u, stop, self._drop(u, stop.at), call)

    def _stops(self, held: list[tuple[Array, Flags]], u: Array, other: Array | None) -> list[Array]:
        """Where each place would stop it."""
        stops = [np.zeros_like(u)] if not held else []
        for place, (captured, is_open) in zip(self.places, held, strict=True):
            at = place.u_held(captured, is_open)
            stops.append(np.minimum(about_the_other(at, other) if place.where.side == "both" else at, u))
        return stops

    def _drop(self, u: Array, stop: Array) -> Array:
        head = self.side.lifter.head
        return self.motion.rise(head, u) - self.motion.rise(head, stop)

    def _see(self, these: Chosen, time: Array, u: Array, stop: Stop, drop: Array, call: int) -> None:
        best = self.drop[these]
        clearly = drop > best + EXACT
        # a later one that is larger by no more than `EXACT` is the largest, but the first one is when it was
        slightly = (drop > best) & ~clearly & (best > 0)
        if slightly.any():
            self.drop[within(these, slightly)] = drop[slightly]
        if clearly.any():
            mine = within(these, clearly)
            self.time[mine], self.call[mine] = time[clearly], call
            self.u[mine], self.stop[mine], self.onto[mine] = u[clearly], stop.at[clearly], stop.onto[clearly]
            self.lower[mine] = stop.lower[clearly]
            self.drop[mine] = drop[clearly]

    def call_goes_out(self, now: Array, call: int) -> None:
        """What came up at the instant of a call belongs to that call."""
        self.call[(self.time == now) & (self.drop > 0)] = call

    def keep(self, mask: Chosen) -> None:
        """Leave out the lifts that have ended."""
        keep(self, self.arrays, mask)


def _best(stops: list[Array]) -> Stop:
    """The highest of the stops, never below the start."""
    at, lower, onto = np.zeros_like(stops[0]), np.zeros_like(stops[0]), np.full(len(stops[0]), -1)
    for n, one in enumerate(stops):
        higher = one > at
        lower = np.where(higher, at, np.maximum(lower, one))
        onto = np.where(higher, n, onto)
        at = np.maximum(at, one)
    return Stop(at, onto, lower)


def _first_of_each(found: Places, which: Places, time: Array) -> Places:
    """Of each lift the first of the instants found."""
    several = np.bincount(which[found])[which[found]] > 1
    if not several.any():
        return found
    more = found[several]
    more = more[np.lexsort((time[more], which[more]))]
    return np.concatenate([found[~several], more[np.concatenate([[True], np.diff(which[more]) > 0])]])


def _handover(begin: Array, end: Array, first: Array, then: Array) -> Array:
    """When one place takes over from another between two instants: (instants,); infinite where none does."""
    who, later = first.argmax(axis=0), then.argmax(axis=0)
    each = np.arange(len(begin))
    lead, behind = first[who, each] - first[later, each], then[later, each] - then[who, each]
    time = begin + (end - begin) * lead / np.maximum(lead + behind, 1e-300)
    return np.where((who != later) & (time > begin + NEAR) & (time < end - NEAR), time, np.inf)


def _dense(these: Chosen, time: Array, n: int) -> Array:
    """A row's times for all lifts; never (infinite) for those that it is not of."""
    if these is ALL:
        return time
    dense = np.full(n, np.inf)
    dense[these] = time
    return dense
