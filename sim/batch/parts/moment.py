"""How everything stands in every lift: each lift at a time of its own, and how it goes on from there.

Between two events a side's u and a place's demand run evenly, and so does what a collar holds, until it meets the load.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.batch.parts.arrays import Array, Flags, These, Whole, on_grid
from sim.batch.parts.layout import Layout
from sim.model.devices import EXACT

WAITS, WALKS, REACTS, CLOSES, FOLLOWS, SEATS, WORKS, TURNS_BACK, LETS_DOWN = range(9)  # what a catcher is at


@dataclass(slots=True)
class Moment:
    """How n lifts stand. `since`: the last event; `time`: the last instant looked at, which may lie after it [s]."""

    time: Array  # (n,)
    since: Array  # (n,)
    u: Array  # (sides, n) at `since` [rad or m],
    u_rate: Array  # (sides, n) and how fast it grows
    stroke_end: Array  # (sides, n) of the stroke under way; infinite: none [s]
    turn: Whole  # (sides, n) how many knots of this call's plan are behind the operator
    knot: Array  # (sides, n) when the next one is; infinite: none [s]
    demand: Array  # (places, n) at `since` [m],
    rate: Array  # (places, n) and how fast it grows [m/s]
    origin: Array  # (places, n) the demand at which the devices were last set up [m]
    moving: Whole  # (places, n) how many of its sides are
    captures: Whole  # (places, n) so far
    stands: Flags  # (places, n) the load has settled onto it, and no side of its own been stroked since
    held: Array  # (devices, n) at `since`, from the origin on [m]
    climb: Array  # (devices, n) how fast a collar is being turned up [m/s]
    start: Array  # (devices, n) what a collar held when it began to be turned [m]
    pile: Array  # (devices, n) a crib's timber without its wedges [m]
    goal: Array  # (devices, n) the demand when the work under way was begun [m]
    then: Array  # (devices, n) what is held once the step under way is done [m],
    then_pile: Array  # (devices, n) and the timber in that [m]
    open: Flags  # (devices, n)
    caught: Flags  # (devices, n)
    working: Flags  # (devices, n) someone is at work on it
    phase: Whole  # (people, n) what they are at,
    job: Whole  # (people, n) at which device,
    at: Whole  # (people, n) where they are: a place, -1 at the start
    due: Array  # (people, n) when what they are at is done; infinite: not before word from the load [s]
    begun: Array  # (people, n) when it was begun [s]
    caught_at: Array  # (n,) when something was caught for the last time [s],
    caught_place: Whole  # (n,) and where
    made: Flags  # (sides, n) its gaps are made: from a lowering call until it has landed
    tight: Flags  # (n,) the load is on its way down: nothing is moved up any more
    goes_to: Array  # (devices, n) what it is to be let down to; infinite: it is not [m]
    pieces: Array  # (devices, depth, n) what a crib's pile is of, the lowest first (`piles.py`) [m]
    layers: Whole  # (devices, n) how many those are

    @property
    def all_caught(self) -> Flags:
        """Whether nothing is still being captured: (n,)."""
        return np.asarray(self.caught.all(axis=0))

    @property
    def mean_u(self) -> Array:
        """The mean of the sides' u at `since`: (n,) [rad or m]."""
        return np.asarray(self.u[0] if len(self.u) == 1 else (self.u[0] + self.u[1]) / 2)


def at_the_start(layout: Layout, n: int) -> Moment:
    """N lifts before anyone has done anything: every device at contact, or behind it by the slack."""
    lifts, sides, places = (n,), (len(layout.lifters), n), (len(layout.places), n)
    devices, people = (len(layout.devices), n), (len(layout.people), n)
    first_job = np.array([own[0] for own in layout.devices_of], dtype=np.int64)
    now = Moment(
        time=np.zeros(lifts), since=np.zeros(lifts),
        u=np.zeros(sides), u_rate=np.zeros(sides), stroke_end=np.full(sides, np.inf),
        turn=np.zeros(sides, np.int64), knot=np.full(sides, np.inf),
        demand=np.zeros(places), rate=np.zeros(places), origin=np.zeros(places),
        moving=np.zeros(places, np.int64), captures=np.zeros(places, np.int64), stands=np.zeros(places, bool),
        held=np.zeros(devices), climb=np.zeros(devices), start=np.zeros(devices), pile=np.zeros(devices),
        goal=np.zeros(devices), then=np.zeros(devices), then_pile=np.zeros(devices),
        open=np.zeros(devices, bool), caught=np.ones(devices, bool), working=np.zeros(devices, bool),
        phase=np.full(people, WAITS), job=np.repeat(first_job[:, None], n, axis=1), at=np.full(people, -1),
        due=np.full(people, np.inf), begun=np.zeros(people),
        caught_at=np.full(lifts, -np.inf), caught_place=np.full(lifts, -1),
        made=np.zeros(sides, bool), tight=np.zeros(lifts, bool), goes_to=np.full(devices, np.inf),
        pieces=np.zeros((len(layout.devices), 0, n)), layers=np.zeros(devices, np.int64),
    )  # fmt: skip
    for place in range(len(layout.places)):
        set_up(layout, now, place, np.arange(n))
    return now


def set_up(layout: Layout, now: Moment, place: int, these: These) -> None:
    """Put every device of a place at contact, or as far behind it as the tie's slack."""
    now.origin[place][these] = now.demand[place][these]
    for d in layout.devices_at[place]:
        here = layout.devices[d]
        now.held[d][these] = here.device.at_start(here.slack).captured
        now.climb[d][these], now.pile[d][these], now.open[d][these] = 0.0, 0.0, False
        now.layers[d][these] = 0
        now.caught[d][these] = ~can_capture(layout, now, d, these, np.zeros(len(these)))


def can_capture(layout: Layout, now: Moment, d: int, these: These, demand: Array) -> Flags:
    """Whether work begun now at this demand (k,) would make device `d` hold more than it does: (k,)."""
    work, held = layout.devices[d].work, now.held[d][these]
    if work is None:
        return np.asarray(np.minimum(demand, layout.devices[d].device.ends_at) > held + EXACT)
    reach = work.reach(held, now.pile[d][these], demand)
    if layout.comes_down:
        reach = np.where(now.tight[these], work.tightened(held, now.pile[d][these], demand), reach)
    return np.asarray(reach > held + EXACT)


def captured(layout: Layout, now: Moment, held: Array) -> tuple[Array, Flags]:
    """What the best device not open holds at each place (of an open place, the best one) [m]; whether it is open.

    `held` is that of the devices at the instant asked about; all of shape (devices, n) or (places, n).
    """
    if layout.one_each:  # one each, in the same order
        return now.origin + held, now.open
    best, is_open = np.empty_like(now.origin), np.empty(now.origin.shape, bool)
    for place, devices in enumerate(layout.devices_at):
        mine, shut = held[list(devices)], ~now.open[list(devices)]
        is_open[place] = ~shut.any(axis=0)
        best[place] = np.where(shut | is_open[place], mine, -np.inf).max(axis=0)
    return now.origin + best, is_open


def caught_places(layout: Layout, now: Moment) -> Flags:
    """Whether every device of a place is caught: (places, n)."""
    if layout.one_each:
        return now.caught
    every = [now.caught[list(devices)].all(axis=0) for devices in layout.devices_at]
    return np.array(every).reshape(now.origin.shape)


def hands_in(layout: Layout, now: Moment) -> Flags:
    """Whether hands are in at a place: (places, n); (0, n) where they never are."""
    if not layout.hands:
        return np.zeros((0, len(now.time)), dtype=bool)
    found = np.zeros(now.origin.shape, dtype=bool)
    for d in layout.hands:
        found[layout.devices[d].place] |= now.working[d]
    return found


def later(layout: Layout, now: Moment, after: Array) -> tuple[Array, Array]:
    """Demand (places, n) and what devices hold (devices, n) so many seconds (n,) after `since` [m].

    A collar climbs until it meets the load, and then stays with it, as long as it is the faster of the two; it goes no
    further than to the end of its thread.
    """
    demand = now.demand + now.rate * after
    return demand, _climbed(layout, now.held, now.climb * after, demand - now.origin)


def _climbed(layout: Layout, held: Array, climbs: Array, room: Array) -> Array:
    most = np.minimum(layout.of_each_device(room), layout.ends_at)
    return np.minimum(held + climbs, np.maximum(held, most))  # less than it held only where it is being turned back


def some_later(layout: Layout, now: Moment, these: These, after: Array) -> tuple[Array, Array]:
    """The same of some lifts, (places, k) and (devices, k)."""
    demand = now.demand[:, these] + now.rate[:, these] * after
    climbs = now.climb[:, these] * after
    return demand, _climbed(layout, now.held[:, these], climbs, demand - now.origin[:, these])


def ends_of_threads(layout: Layout, now: Moment, until: Array) -> tuple[Array, list[tuple[int, Flags]]]:
    """When the first collar of each lift comes to the end of its thread before `until` (n,), on the grid; else `until`.

    With it, device by device: in which lifts it is this one's end (n,).
    """
    found = []
    for d, here in enumerate(layout.devices):
        if here.ends:
            p, end = here.place, here.device.ends_at
            room = now.demand[p] - now.origin[p]
            load = np.where(room >= end, 0.0, (end - room) / np.where(now.rate[p] > 0, now.rate[p], np.nan))
            after = np.maximum((end - now.held[d]) / np.where(now.climb[d] > 0, now.climb[d], np.nan), load)
            found.append((d, np.where(np.isnan(after), np.inf, on_grid(now.since + after))))
    first = np.minimum.reduce([until, *(time for _, time in found)])
    return first, [(d, (time == first) & (time < until)) for d, time in found]
