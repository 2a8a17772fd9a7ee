"""The gaps of many lifts, and how long what lasted, call by call from its instants (`timeline.py`)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sim.batch.measured.stops import stop_at
from sim.batch.parts.arrays import Array, Flags, Whole, those
from sim.batch.parts.layout import Layout
from sim.batch.timeline import Window
from sim.model.devices import EXACT

CLOSING_IN = 6  # times; each leaves a thousandth or less of what is off
TINY = 1e-300
PASSING, STANDING, MADE = range(3)  # a gap while its place is being captured; once it is caught; on the way down


@dataclass(slots=True)
class GapsSoFar:
    """What n lifts have come to."""

    value: Array  # (3, places, n) the largest gap of each sort [m]
    time: Array  # (3, places, n) when it came up first [s],
    call: Whole  # (3, places, n) and in which call
    over: Array  # (2, n) how long a gap was over the limit at any place, passing and standing [s]
    open_time: Array  # (places, n) how long a place was open [s]
    largest_open: Array  # (places, n) the rise of its head while it was [m]
    rams_only: Array  # (n,) how long nothing but the rams held a raised side, the sides added up [s]
    level: Array  # (n,) how far the sides' heads were apart, at the most [m]
    hands: Array  # (n,) how long hands were in beside nothing but the rams [s]

    @classmethod
    def of(cls, places: int, n: int) -> GapsSoFar:
        """Nothing yet."""
        peaks, each = (3, places, n), (places, n)
        return cls(
            np.zeros(peaks), np.zeros(peaks), np.zeros(peaks, np.int64),
            np.zeros((2, n)), np.zeros(each), np.zeros(each), np.zeros(n), np.zeros(n), np.zeros(n),
        )  # fmt: skip


def see_gaps(layout: Layout, gaps: GapsSoFar, window: Window, limit: float, call: int, next_call: Array) -> Array:
    """Take the gaps of a call; before the first one only what is there when it goes out counts.

    Parameters
    ----------
    layout, gaps : Layout, GapsSoFar
        Of which lifts, and what is brought up to date.
    window : Window
        The instants of the call.
    limit : float
        The leader's gap limit [m].
    call : int
        Its number; 0: before the first call.
    next_call : ndarray of shape (n,)
        When the next call goes out; infinite where none does [s].

    Returns
    -------
    ndarray of shape (n,)
        The largest gap at any place, passing or standing; 0 where there is none [m].
    """
    gap, sorts = window.gap, _sorts(layout, window)
    came_later = (np.diff(window.time, axis=0) > 0)[:, None]  # else the instant before is the same, before something
    calls = window.time == next_call
    for sort, flags in sorts.items():
        counts = flags.copy()
        counts[1:] |= flags[:-1] & came_later
        if call == 0:
            counts[:-1] &= ~calls[1:, None]  # at the last of the instants at that time
            counts &= calls[:, None]
        _see_peaks(gaps, sort, gap * counts, window.time, call + calls)
    if call > 0:
        _see_over(gaps, window, gap - limit, sorts)
    left = gap if MADE not in sorts else gap * ~sorts[MADE]
    return np.maximum(0.0, left.max(axis=(0, 1), initial=0.0))  # type: ignore[no-any-return]


def _see_peaks(gaps: GapsSoFar, sort: int, counted: Array, time: Array, call: Whole) -> None:
    """The largest of each lift and place; a later one that is larger by no more than `EXACT` came up with the first."""
    largest, best = counted.max(axis=0), gaps.value[sort]
    place, lift = (largest > best + EXACT).nonzero()
    first = (counted[:, place, lift] > largest[place, lift] - EXACT).argmax(axis=0)
    gaps.time[sort, place, lift], gaps.call[sort, place, lift] = time[first, lift], call[first, lift]
    gaps.value[sort] = np.maximum(best, largest)


def _sorts(layout: Layout, window: Window) -> dict[int, Flags]:
    """Of which sort the gap of each place is, from each instant to the next: (instants, places, n) each."""
    if not window.made.any():
        return {PASSING: ~window.caught, STANDING: window.caught}
    made = np.zeros(window.caught.shape, dtype=bool)
    for p, sides in enumerate(layout.sides_of):
        made[:, p] = window.made[:, list(sides)].any(axis=1)
    caught, together = window.caught.copy(), (np.diff(window.time, axis=0) == 0)[:, None]
    for k in range(len(made) - 2, -1, -1):  # a gap that ceases to be made is what it is once all that has happened
        changes = together[k] & made[k] & ~made[k + 1]
        np.copyto(caught[k], caught[k + 1], where=changes)
        np.copyto(made[k], made[k + 1], where=changes)
    return {PASSING: ~(caught | made), STANDING: caught & ~made, MADE: made}


def _see_over(gaps: GapsSoFar, window: Window, over: Array, sorts: Mapping[int, Flags]) -> None:
    """How long at least one place's gap was over the limit, of each sort.

    From one instant to the next a gap runs evenly, so it is over the limit at the beginning, at the end, or all along:
    of several places together as long as the longest beginning and the longest end, and no longer than all along.
    """
    is_over = over > EXACT
    seconds = np.diff(window.time, axis=0)
    for sort in (PASSING, STANDING):
        mine = sorts[sort][:-1]
        some = (mine & (is_over[:-1] | is_over[1:])).any(axis=1)
        if not some.any():
            continue
        share = np.asarray((mine & is_over[:-1] & is_over[1:]).any(axis=1), dtype=np.float64)
        at, lift = np.divmod(np.flatnonzero(some & (share == 0)), share.shape[1])
        first, then = (over[k, :, lift] for k in (at, at + 1))
        first, then = (x * (np.abs(x) > EXACT) for x in (first, then))
        apart = np.abs(first - then) + TINY  # so that nothing is divided by nothing
        begins, ends = (np.maximum(x, 0.0) / apart * mine[at, :, lift] for x in (first, then))
        share[at, lift] = np.minimum(begins.max(axis=1) + ends.max(axis=1), 1.0)
        gaps.over[sort] += (share * seconds).sum(axis=0)


def see_open(layout: Layout, gaps: GapsSoFar, window: Window) -> None:
    """How long each place was open, how far its head had risen then, and no more."""
    seconds = np.diff(window.time, axis=0)
    open_then = window.open[:-1]
    for p in those(np.asarray(open_then.any(axis=(0, 2)))):
        gaps.open_time[p] += (seconds * open_then[:, p]).sum(axis=0)
        before, lift = (open_then[:, p] & (seconds > 0)).nonzero()
        for at in (before, before + 1):
            sides = layout.sides_of[p]
            u: Array = np.sum([window.u[at, side, lift] for side in sides], axis=0) / len(sides)
            np.maximum.at(gaps.largest_open[p], lift, layout.motion.rise(layout.places[p].head, u))


def see_rams_only(layout: Layout, gaps: GapsSoFar, window: Window, side: int, stops: Mapping[int, Array]) -> None:
    """How long nothing but the rams held a raised side above its start.

    In a stretch from one instant to the next: from when the last that held it at first ceased to, until one began to.
    `stops` has where each place would stop this side, by its number in the layout: shape (instants, n) [rad or m].
    """
    u, seconds = window.u[:, side], np.diff(window.time, axis=0)
    stretch = (seconds > 0) & ((u[:-1] > EXACT) | (u[1:] > EXACT))
    for stop in stops.values():
        stretch &= (stop[:-1] <= EXACT) | (stop[1:] < 0)  # else it is held all along
    at, lift = np.divmod(np.flatnonzero(stretch), stretch.shape[1])
    ceased, begins = np.zeros(len(at)), np.ones(len(at))  # shares of each stretch
    for p, stop in stops.items():
        first, then = stop[at, lift], stop[at + 1, lift]
        k = those(first > EXACT)
        ceased[k] = np.maximum(ceased[k], _crosses(layout, window, side, p, at[k], lift[k]))
        k = those((first <= EXACT) & (then > EXACT))
        begins[k] = np.minimum(begins[k], _crosses(layout, window, side, p, at[k], lift[k]))
    gaps.rams_only += np.bincount(lift, seconds[at, lift] * np.maximum(0.0, begins - ceased), len(gaps.rams_only))


def _crosses(layout: Layout, window: Window, side: int, place: int, at: Whole, lift: Whole) -> Array:
    """The share (k,) of k stretches that begin at instants `at` after which a place begins, or ceases, to hold a side.

    One that was slack begins when that is taken up. One on both sides holds as long as its middle is far enough up for
    where the other side is: what it holds runs evenly, where that stops the load not quite, so that it is closed in on.
    """
    slack, then = window.held[at, place, lift], window.held[at + 1, place, lift]
    taken_up = (slack < 0) & (then > 0)
    begin: Array = np.where(taken_up, slack, 0.0) / np.where(taken_up, slack - then, 1.0)
    if not layout.is_both(place) or not len(at):
        return begin

    def stop(share: Array) -> Array:
        u, held = (x[at, ..., lift] * (1 - s) + x[at + 1, ..., lift] * s
                   for x, s in ((window.u, share[:, None]), (window.held[:, place], share)))  # fmt: skip
        return stop_at(layout, place, side, held, window.open[at, place, lift], u.T)

    end, first, last = np.ones(len(at)), stop(begin), stop(np.ones(len(at)))
    crosses: Array = begin
    for _ in range(CLOSING_IN):
        apart = (first < 0) != (last < 0)
        crosses = np.where(apart, begin + (end - begin) * first / np.where(apart, first - last, 1.0), crosses)
        there = stop(crosses)
        sooner = (there < 0) == (first < 0)
        begin, first = np.where(sooner, crosses, begin), np.where(sooner, there, first)
        end, last = np.where(sooner, end, crosses), np.where(sooner, last, there)
    return crosses


def see_levels(layout: Layout, gaps: GapsSoFar, window: Window, about: Sequence[tuple[Array, float]]) -> None:
    """How far the sides' heads are apart whenever an operator does something, or a re-set.

    `about` is about how far each head has risen, of shape (instants, n), and by how much that is off at the most [m]:
    worked out is where that says that they may be furthest apart.
    """
    if len(layout.lifters) < 2:
        return
    (a, error_a), (b, error_b) = about
    apart, error = np.abs(a - b) * window.of_a_side, error_a + error_b
    enough = np.maximum(gaps.level, apart.max(axis=0) - error) - error
    at, lift = np.divmod(np.flatnonzero((apart >= enough) & window.of_a_side), len(enough))
    a, b = (layout.motion.rise(x.head, window.u[at, side, lift]) for side, x in enumerate(layout.lifters))
    np.maximum.at(gaps.level, lift, np.abs(a - b))
