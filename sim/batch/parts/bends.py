"""Where the lines of many lifts bend between two events: collars that meet the load, or overtake another device."""

from __future__ import annotations

import numpy as np

from sim.batch.parts.arrays import Array, These, on_grid, those
from sim.batch.parts.layout import Layout
from sim.batch.parts.moment import Moment
from sim.model.devices import EXACT


def next_bends(layout: Layout, now: Moment, until: Array, demand: Array, held: Array) -> tuple[These, Array, Array]:
    """Where a line bends between the last instant and `until` (n,), where `demand` and `held` are as given.

    A place's line bends where its collar meets the load on the way, where a collar comes to hold more than another
    device there, and where it begins to hold the load above its start.

    Returns
    -------
    these : ndarray of shape (k,)
        The numbers of the lifts in which something bends,
    time, after : ndarrays of shape (k,)
        when the first thing does, on the grid and not rounded, counted from `since` [s].
    """
    first, exact = np.full(len(until), np.inf), np.zeros(len(until))
    room = layout.of_each_device(now.demand - now.origin) - now.held
    meets = (room > 0) & (held >= np.minimum(layout.of_each_device(demand - now.origin), layout.ends_at))
    meets &= now.climb > 0
    for d, here in enumerate(layout.devices):
        if layout.comes_down:
            for other in layout.devices_at[here.place]:
                _note(now, first, exact, until, *_falls_below(layout, now, d, other, held))
        if here.work is not None:
            continue
        p, these = here.place, those(meets[d])
        _note(now, first, exact, until, these, room[d][these] / (now.climb[d][these] - now.rate[p][these]))
        if len(layout.devices_at[p]) > 1:
            for other in layout.devices_at[p]:
                if other != d:
                    overtakes, after = _overtakes(layout, now, d, other, held)
                    _note(now, first, exact, until, overtakes, after)
        if here.slack > 0:
            below = now.origin[p] + now.held[d]
            rises = those((below < 0) & (now.origin[p] + held[d] > 0) & (now.climb[d] > 0))
            after = -below[rises] / now.climb[d][rises]
            for other in layout.devices_at[p]:
                there = now.origin[p][rises] + now.held[other][rises] + now.climb[other][rises] * after
                after = np.where((there > EXACT) & ~now.open[other][rises], np.nan, after)  # it holds already
            _note(now, first, exact, until, rises, after)
    these = those(first < np.inf)
    return these, first[these], exact[these]


def _note(now: Moment, first: Array, exact: Array, until: Array, these: These, after: Array) -> None:
    """Remember the first bend of each lift."""
    if not len(these):
        return
    time = on_grid(now.since[these] + after)
    sooner = (time > now.time[these]) & (time < until[these]) & (time < first[these])
    first[these[sooner]], exact[these[sooner]] = time[sooner], after[sooner]


def _overtakes(layout: Layout, now: Moment, d: int, other: int, held: Array) -> tuple[These, Array]:
    """Where collar `d` comes to hold more than another device of its place, before either meets the load."""
    p = layout.devices[d].place
    these = those((now.held[d] < now.held[other]) & (held[d] >= held[other]) & ~now.open[other] & (now.climb[d] > 0))
    mine, rate = now.held[d][these], now.climb[d][these]
    faster = rate - now.climb[other][these]
    after = (now.held[other][these] - mine) / np.where(faster > 0, faster, np.nan)
    for one in (d, other):  # before it meets the load
        closing = now.climb[one][these] - now.rate[p][these]
        room = now.demand[p][these] - now.origin[p][these] - now.held[one][these]
        climbs = (now.climb[one][these] > 0) & (closing > 0)
        after = np.where(climbs & ~(after < room / np.where(closing > 0, closing, 1.0)), np.nan, after)
    level = mine + rate * after
    for third in layout.devices_at[p]:
        there = now.held[third][these] + now.climb[third][these] * after
        after = np.where(~now.open[third][these] & ~(level > there - EXACT), np.nan, after)
    kept = ~np.isnan(after)
    return these[kept], after[kept]


def _falls_below(layout: Layout, now: Moment, d: int, other: int, held: Array) -> tuple[These, Array]:
    """Where collar `d`, which is turned back, comes to hold less than another device of its place, the best by then."""
    these = those((now.climb[d] < 0) & (now.held[d] > now.held[other]) & (held[d] <= held[other]) & ~now.open[other])
    after = (now.held[d][these] - now.held[other][these]) / (now.climb[other][these] - now.climb[d][these])
    level = now.held[other][these] + now.climb[other][these] * after
    for third in layout.devices_at[layout.devices[d].place]:
        there = now.held[third][these] + now.climb[third][these] * after
        after = np.where(~now.open[third][these] & ~(level > there - EXACT), np.nan, after)
    kept = ~np.isnan(after)
    return these[kept], after[kept]
