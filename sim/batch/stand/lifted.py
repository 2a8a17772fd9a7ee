"""The strokes of one call, as every place sees them: its demand runs evenly from knot to knot."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sim.batch.crew.catchers import handle_due
from sim.batch.lines.arrays import ALL, Array, Chosen, Flags, none, nonzero, put, within
from sim.batch.stand.places import Place
from sim.batch.stand.sides import Side


@dataclass(slots=True)
class Knot:
    """Strokes starting or ending, at times of their own in these lifts, and how the demand runs from there."""

    these: Chosen
    time: Array
    demand: Array | None  # exactly this from here on (a rest),
    rate: Array  # or as it was, growing at this rate [m/s]
    rests: Flags  # where `demand` holds
    begins: Flags  # the place begins to move
    stops: Flags  # it has stopped


def follow_strokes(place: Place) -> None:
    """Take a place through the strokes of a call."""
    knots = _of_one(place, place.sides[0]) if len(place.sides) == 1 else _of_two(place, *place.sides)
    for knot in knots:
        _pass(place, knot)


def _pass(place: Place, knot: Knot) -> None:
    these, now = knot.these, knot.time
    if these is ALL:
        handle_due(place, now)
    else:
        limit = np.full(place.n, -np.inf)
        limit[these] = now
        handle_due(place, limit)
    place.bring_up(these, now)
    some_begin, some_stop = knot.begins.any(), knot.stops.any()
    if some_begin:
        _begins(place, within(these, knot.begins))
    if knot.demand is not None:
        put(place, "demand", these, np.where(knot.rests, knot.demand, place.demand[these]))
    put(place, "rate", these, knot.rate)
    place.row(these, now)
    if some_begin:
        for catcher in place.catchers:
            catcher.load_begins(within(these, knot.begins), now[knot.begins])
    if some_stop:
        mine = within(these, knot.stops)
        put(place, "moving", mine, 0)
        for catcher in place.catchers:
            catcher.load_stops(mine, now[knot.stops])


def _begins(place: Place, these: Chosen) -> None:
    put(place, "moving", these, 1)
    for catcher in place.catchers:
        put(catcher, "caught", these, False)


def _of_one(place: Place, side: Side) -> Iterator[Knot]:
    """A place that one side moves."""
    these = side.moves
    if none(these):
        return
    last = len(side.strokes) - 1
    some = np.ones(place.n if these is ALL else len(these), dtype=bool)
    for n, stroke in enumerate(side.strokes):
        start, end = stroke.start[these], stroke.end[these]
        goal = place.line.demand(stroke.u_end[these])
        yield Knot(these, start, None, (goal - place.demand[these]) / (end - start), ~some, some & (n == 0), ~some)
        yield Knot(these, end, goal, np.zeros_like(end), some, ~some, some & (n == last))


def _of_two(place: Place, a: Side, b: Side) -> Iterator[Knot]:
    """A place on both sides: its demand is aimed anew, at the mean of the two, whenever a stroke starts or ends."""
    strokes = [(s, stroke, n) for s in (a, b) for n, stroke in enumerate(s.strokes)]
    if not strokes:
        return
    starts, ends = np.stack([k.start for _, k, _ in strokes]), np.stack([k.end for _, k, _ in strokes])
    count = len(strokes)
    first = np.array([n == 0 for _, _, n in strokes])
    last = np.array([n == len(s.strokes) - 1 for s, _, n in strokes])
    times = np.concatenate([ends, starts])  # at one instant, ends first
    order = np.argsort(times, axis=0, kind="stable")
    moving = np.zeros(place.n, dtype=np.int64)
    for which in order:
        time = times[which, np.arange(place.n)]
        going = np.isfinite(time)
        if not going.any():
            return
        these: Chosen = ALL if going.all() else nonzero(going)
        now, knot = time[these], which[these]
        ends_now = knot < count
        stroke = np.where(ends_now, knot, knot - count)
        up, down = ~ends_now & first[stroke], ends_now & last[stroke]
        before = moving[these].copy()
        after = before + up - down
        moving[these] = after
        knot_end = np.where((starts[:, these] <= now) & (ends[:, these] > now), ends[:, these], np.inf).min(axis=0)
        rests = np.isinf(knot_end)
        until = np.where(rests, now, knot_end)
        mean = (_started_by(a, these, now, until) + _started_by(b, these, now, until)) / 2
        goal = place.line.demand(mean)
        # `demand` as it will be once the place is brought up to now
        there = place.demand[these] + place.rate[these] * (now - place.since[these])
        rate = np.where(rests, 0.0, (goal - there) / (until - now))
        yield Knot(these, now, goal, rate, rests, up & (before == 0), down & (after == 0))


def _started_by(side: Side, these: Chosen, now: Array, until: Array) -> Array:
    """Where a side will be at `until` if no stroke starts after `now`."""
    u = side.base_u[these].copy()
    for stroke in side.strokes:
        start, end = stroke.start[these], stroke.end[these]
        share = np.minimum((until - start) / (end - start), 1.0)
        there = stroke.u_start[these] + share * (stroke.u_end[these] - stroke.u_start[these])
        u = np.where(start <= now, there, u)
    return u
