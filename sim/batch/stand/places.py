"""The places of many lifts at once: demand, what is held, and the measures that build up as rows of a record would.

A "row" here is what the story writes down of a place at one instant: demand, held before and after, open, caught.
Rows come in the order of time for each lift, at different times in each, so the measures are kept running.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sim.batch.lines.arrays import ALL, Array, Chosen, Flags, Places, keep, nonzero, only, put
from sim.batch.lines.kinks import Kink, Path, in_order, kink
from sim.batch.lines.peaks import Peaks
from sim.batch.lines.stretches import Stretches
from sim.batch.stand.rows import Row, Rows
from sim.model.devices import EXACT, Crib
from sim.model.motion import Motion
from sim.model.scenario import Lifter, Station

if TYPE_CHECKING:
    from sim.batch.crew.catchers import Catcher
    from sim.batch.stand.sides import Side


class Place:
    """A station, or a lifter's own capture."""

    arrays = (
        "demand", "rate", "since", "origin", "moving", "last_time", "last_gap", "last_caught", "last_open",
        "start_time", "start_held", "start_open", "caught_at", "caught_begun", "captures", "open_time", "largest_open",
        "in_call", "open_in_call",
    )  # fmt: skip

    def __init__(self, where: Lifter | Station, motion: Motion, sides: list[Side], limit: float, n: int) -> None:
        self.where, self.name, self.motion, self.sides = where, where.name, motion, sides
        self.line = motion.line(where.head, where.base)
        self.limit = limit
        self.catchers: list[Catcher] = []
        self.call = 0
        self.ids = np.arange(n)
        self.passing, self.standing = Peaks(n), Peaks(n)
        self.over = {False: Stretches(n), True: Stretches(n)}  # over the limit, by whether it is caught
        self.opened = Stretches(n)
        self.rows: list[Row] = []
        self.rows_of_all: Rows | None = None
        self.demand, self.rate, self.since, self.origin = (np.zeros(n) for _ in range(4))
        self.moving = np.zeros(n, dtype=np.int64)
        self.last_time, self.last_gap = np.zeros(n), np.zeros(n)
        self.last_caught, self.last_open = np.ones(n, dtype=bool), np.zeros(n, dtype=bool)
        self.start_time, self.start_held = np.zeros(n), np.zeros(n)  # where this call's rows set out from
        self.start_open = np.zeros(n, dtype=bool)
        self.caught_at, self.caught_begun = np.full(n, -np.inf), np.full(n, -np.inf)  # the last time that it was caught
        self.captures = np.zeros(n, dtype=np.int64)
        self.open_time, self.largest_open = np.zeros(n), np.zeros(n)
        self.first_call = np.zeros(0)
        self.in_call = np.zeros(n)  # the largest gap since the last call [m],
        self.open_in_call = np.zeros(n, dtype=bool)  # and whether it was open in that time

    @property
    def n(self) -> int:
        """How many lifts are still going on."""
        return len(self.demand)

    def begin(self) -> None:
        """Everything is where it was set up."""
        held, is_open, caught = self.state(ALL)
        self.last_gap = self.demand - held
        self.last_caught, self.last_open = caught.copy(), is_open.copy()
        self.start_held, self.start_open = held.copy(), is_open.copy()

    @property
    def lets_down(self) -> bool:
        """Whether it may come to hold less than it did, and not be open: one of several is, or wedges are drawn."""
        first = self.catchers[0].device
        return len(self.catchers) > 1 or (isinstance(first, Crib) and first.wedge_out == "open")

    # --- how it stands

    def state(self, these: Chosen) -> tuple[Array, Flags, Flags]:
        """What the best device that is not open holds (of an open place, what the best one held) [m]; open; caught."""
        first = self.catchers[0]
        if len(self.catchers) == 1:
            return self.origin[these] + first.held[these], first.open[these], first.caught[these]
        held = np.stack([c.held[these] for c in self.catchers])
        is_open = np.stack([c.open[these] for c in self.catchers])
        all_open: Flags = np.logical_and.reduce(is_open)
        best = np.where(is_open & ~all_open, -np.inf, held).max(axis=0)
        caught = np.logical_and.reduce([c.caught[these] for c in self.catchers])
        return self.origin[these] + best, all_open, caught

    def gap(self) -> Array:
        """What nothing here holds of the demand [m]."""
        return self.demand - self.state(ALL)[0]

    def most_in_call(self) -> Array:
        """The most of the line that the load could come down since the last call [m]."""
        return np.where(self.open_in_call, np.maximum(self.demand, self.in_call), self.in_call)

    def refuses(self, limit: float) -> Flags:
        """Whether a look finds this place open, hands in, or its gap over the limit."""
        held, is_open, _ = self.state(ALL)
        hands = np.logical_or.reduce([c.hands() for c in self.catchers])
        return is_open | hands | (self.demand - held > limit + EXACT)  # type: ignore[no-any-return]

    def all_caught(self) -> Flags:
        """Whether every device here is."""
        return np.logical_and.reduce([c.caught for c in self.catchers])  # type: ignore[no-any-return]

    def u_held(self, held: Array, is_open: Flags) -> Array:
        """The u at which holding so much would stop the load [rad or m]."""
        return np.where(is_open, 0.0, self.line.u_at(np.maximum(0.0, held)))

    # --- time passes

    def bring_up(self, these: Chosen, now: Array) -> None:
        """Bring demand, and every collar that is being turned, up to now."""
        since, start, rate = self.since[these], self.demand[these], self.rate[these]
        passed = now - since
        demand = start + rate * passed
        climbing = [c for c in self.catchers if c.collar and (c.climb[these] > 0).any()]
        kinks: list[Kink | None] = []
        paths: dict[Catcher, Path] = {}
        for catcher in climbing:
            held, climb = catcher.held[these], catcher.climb[these]
            behind = np.maximum(0.0, start - self.origin[these] - held)
            closing = climb - rate
            turned = (climb > 0) & (passed > 0)
            gap = np.maximum(0.0, behind - closing * passed)
            put(catcher, "held", these, np.where(turned, demand - self.origin[these] - gap, held))
            meets = turned & (closing >= 0) & (behind <= closing * passed)
            some_meet = meets.any()
            if some_meet or len(self.catchers) > 1:
                after = np.where(meets, np.where(behind > 0, behind / closing, 0.0), np.inf)
                paths[catcher] = Path(self.origin[these] + held, np.where(turned, climb, 0.0), after)
                if some_meet:
                    kinks.append(self._met(these, catcher, after, since, start, rate, now))
        put(self, "demand", these, demand)
        put(self, "since", these, now)
        if paths and len(self.catchers) > 1:
            kinks += self._overtaken(these, paths, since, now)
        if found := [k for k in kinks if k is not None]:
            self._write_kinks(these, found, start, rate)

    def _met(
        self, these: Chosen, catcher: Catcher, after: Array, since: Array, start: Array, rate: Array, now: Array
    ) -> Kink | None:
        """Where a collar met the load on the way."""
        met = (after > 0) & np.isfinite(after)
        if len(self.catchers) > 1:
            met &= self.state(these)[0] <= self.origin[these] + catcher.held[these]
        after = np.where(met, after, np.inf)
        return kink(after, np.where(met, start + rate * after, 0.0), since, now)

    def _overtaken(self, these: Chosen, paths: dict[Catcher, Path], since: Array, now: Array) -> list[Kink | None]:
        """Where a collar came to hold more than another device here, before either met the load."""
        for other in self.catchers:
            if other not in paths:
                shut = np.where(other.open[these], -np.inf, self.origin[these] + other.held[these])
                paths[other] = Path(shut, np.zeros_like(shut), np.full_like(shut, np.inf))
        found = []
        for one, a in paths.items():
            for other, b in paths.items():
                if one is other or not (a.rate > 0).any():
                    continue
                after = (b.level - a.level) / (a.rate - b.rate)
                overtakes = (a.level < b.level) & (a.rate > b.rate) & (after < np.minimum(a.met, b.met))
                level = a.level + a.rate * after
                best = np.stack([p.level + p.rate * after for p in paths.values()]).max(axis=0)
                overtakes &= level > best - EXACT
                if overtakes.any():
                    found.append(kink(np.where(overtakes, after, np.inf), np.where(overtakes, level, 0.0), since, now))
        return found

    def _write_kinks(self, these: Chosen, kinks: list[Kink], start: Array, rate: Array) -> None:
        """A row at each kink, the first first."""
        for each in in_order(kinks):
            which = nonzero(np.isfinite(each.time))
            if not len(which):
                return
            sub = which if these is ALL else these[which]
            demand, level = start[which] + rate[which] * each.after[which], each.level[which]
            _, is_open, caught = self.state(sub)
            self._row(sub, each.time[which], demand, level, level, is_open, caught)

    # --- rows

    def row(self, these: Chosen, now: Array, before: Array | None = None) -> None:
        """Write down how these stand."""
        held, is_open, caught = self.state(these)
        self._row(these, now, self.demand[these], held if before is None else before, held, is_open, caught)

    def _row(
        self, these: Chosen, now: Array, demand: Array, before: Array, held: Array, is_open: Flags, caught: Flags
    ) -> None:
        gap_before, gap = demand - before, demand - held
        was_caught, was_open, then = self.last_caught[these], self.last_open[these], self.last_time[these]
        self._gaps(these, now, gap_before, gap, was_caught, caught)
        if self.call > 0:
            self._over(these, then, now, self.last_gap[these], gap_before, was_caught)
        either_open = was_open | is_open
        if either_open.any():
            self._open(these, then, now, was_open, either_open)
        self.rows.append(Row(these, now, demand.copy(), before, held, was_open.copy(), is_open.copy()))
        put(self, "last_time", these, now)
        put(self, "last_gap", these, gap)
        put(self, "last_caught", these, caught)
        put(self, "last_open", these, is_open)

    def _gaps(self, these: Chosen, now: Array, before: Array, after: Array, was_caught: Flags, caught: Flags) -> None:
        put(self, "in_call", these, np.maximum(self.in_call[these], np.maximum(before, after)))
        for peaks, standing in ((self.passing, False), (self.standing, True)):
            found = [x for x in (only(before, was_caught, standing), only(after, caught, standing)) if x is not None]
            if found:
                peaks.see(these, found[0] if len(found) == 1 else np.maximum(*found), now, self.call)

    def _over(self, these: Chosen, then: Array, now: Array, first: Array, last: Array, caught: Flags) -> None:
        """The stretch since the last row, where it is over the limit."""
        over = ((first > self.limit + EXACT) | (last > self.limit + EXACT)) & (now > then)
        if not over.any():
            return
        which = nonzero(over)
        sub = which if these is ALL else these[which]
        a, b = (np.where(np.abs(x) <= EXACT, 0.0, x) for x in (first[which] - self.limit, last[which] - self.limit))
        then, now = then[which], now[which]
        crossing = then + (now - then) * np.clip(a / (a - b), 0.0, 1.0)
        begins = np.maximum(np.where(a > 0, then, crossing), self.first_call[sub])
        ends = np.where(b > 0, now, crossing)
        for flag in (False, True):
            mine = (caught[which] == flag) & (ends > begins)
            if mine.any():
                self.over[flag].add(self.ids[sub[mine]], begins[mine], ends[mine])

    def _open(self, these: Chosen, then: Array, now: Array, was: Flags, either: Flags) -> None:
        """It holds nothing, before this row or after it."""
        which = nonzero(either)
        sub = which if these is ALL else these[which]
        was, then, now = was[which], then[which], now[which]
        self.open_in_call[sub] = True
        self.open_time[sub] += np.where(was, now - then, 0.0)
        long = was & (now > then)
        if long.any():
            self.opened.add(self.ids[sub[long]], then[long], now[long])
        u = sum((side.u_at(sub, now) for side in self.sides), np.zeros(len(sub))) / len(self.sides)
        rise = self.motion.rise(self.where.head, u)
        self.largest_open[sub] = np.maximum(self.largest_open[sub], rise)

    # --- the calls

    def call_goes_out(self, now: Array, call: int) -> None:
        """The next call goes out now; the first one starts the measuring of gaps."""
        if call == 1:
            self.first_call = now.copy()
            held, _, caught = self.state(ALL)
            gap = self.demand - held
            for peaks, standing in ((self.passing, False), (self.standing, True)):
                peaks.first_call(now)
                peaks.see(ALL, np.where(caught == standing, gap, -np.inf), now, 1)
        self.passing.call_goes_out(now, call)
        self.standing.call_goes_out(now, call)
        self.call = call
        held, is_open, _ = self.state(ALL)
        self.in_call, self.open_in_call = self.demand - held, is_open.copy()

    def read(self, these: Places, now: Array) -> Rows:
        """The rows so far, to be read between; those of all lifts are kept until rows are gathered anew."""
        if len(these) < self.n:
            return Rows(self, these, now)
        if self.rows_of_all is None:
            self.rows_of_all = Rows(self, these, now)
        return self.rows_of_all

    def set_out(self, now: Array) -> None:
        """From here on rows are gathered anew."""
        held, is_open, _ = self.state(ALL)
        self.rows, self.rows_of_all = [], None
        self.start_time, self.start_held, self.start_open = now.copy(), held.copy(), is_open.copy()

    def keep(self, mask: Chosen) -> None:
        """Leave out the lifts that have ended."""
        keep(self, self.arrays, mask)
        self.ids = self.ids[mask]
        if len(self.first_call):
            self.first_call = self.first_call[mask]
        for peaks in (self.passing, self.standing):
            keep(peaks, peaks.arrays, mask)
        for catcher in self.catchers:
            catcher.keep(mask)
        self.rows, self.rows_of_all = [], None
