"""How far each side would drop at every instant of a lift, if its pressure or its whole lifter were lost just then.

One function for all who ask: the measures, the calculation sheet, the drawing, the lessons. It says for each instant
what would meet the load first and what comes of that (`sim/model/meeting.py`), and the same if that place did not hold.
What comes of meeting each place is worked out once, at all instants that matter to any of that (`Meetings`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from sim.model.devices import EXACT
from sim.model.loads import axial_force, effort, share_met
from sim.model.meeting import Flags, meet
from sim.model.scenario import Lifter, Station
from sim.model.stops import crossing
from sim.record.holding import Look, Stops, Who, foremost, stops_at, without
from sim.record.measured import Measured
from sim.record.series import Array

Where = Lifter | Station


class Outcomes(NamedTuple):
    """What comes of a fall, onto a place or the start, at several instants: arrays of one shape."""

    stop: Array  # u at first contact [rad or m]
    fall: Array  # of the lifter's head, until it is met [m]
    drop: Array  # to the lowest point [m]; at least that much where not all that gives is known
    rest: Array  # [m]
    peak: Array  # axial force on what it meets [N]; nan: not known, or the start
    known: Array  # 1 where all that gives is known, or it is the start; else 0
    left: Array  # how far the lowest point is above the start [m]; below nothing: the start comes first


@dataclass(frozen=True)
class Meetings:
    """What comes of a side's fall onto each of its places, before and after each of n instants."""

    stops: Stops
    rise: Array  # of the lifter's head, shape (2n,) [m]
    outcomes: Array  # shape (an outcome, places + 1, 2n); the last place is the start


@dataclass(frozen=True)
class Onto:
    """What would stop a side, before and after each of m instants, and what comes of it: arrays of shape (2m,)."""

    times: Array  # [s]
    u: Array  # of the side [rad or m]
    other: Array | None  # of the other side, if there is one
    rise: Array  # of the lifter's head [m]
    held: Flags  # whether anything held the side above the start
    who: Who  # the number of the place in `Drops.places`; -1: the start
    stop: Array  # and the rest as in `Outcomes`
    fall: Array
    drop: Array
    rest: Array
    peak: Array
    known: Array
    left: Array


@dataclass(frozen=True)
class Drops:
    """One side through a lift, for one kind of loss."""

    lifter: Lifter
    places: tuple[Where, ...]
    first: Onto  # if the station holds
    second: Onto  # if that station does not hold

    def name(self, who: int) -> str | None:
        """The place of a number; None for the start."""
        return None if who < 0 else self.places[who].name


def drops_of(lift: Measured, lifter: Lifter, lifter_holds: bool) -> Drops:
    """Every drop of one side through a lift.

    Parameters
    ----------
    lift : Measured
        The record, taken apart.
    lifter : Lifter
        Of the side that is lost.
    lifter_holds : bool
        Whether its own capture still holds: the pressure is lost, and not the whole lifter.

    Returns
    -------
    Drops
        Before and after every event, and every instant between that matters.
    """
    places, (first, second) = lift.could_stop(lifter, lifter_holds), looks_of(lift, lifter, lifter_holds)
    meetings = lift.once(("meetings", lifter.name), lambda: _meetings(lift, lifter, stops_of(lift, lifter)[0]))

    def drops() -> Drops:
        return Drops(lifter, tuple(places), *(_looked_at(lift, lifter, meetings, look) for look in (first, second)))

    found: Drops = lift.once(("drops", lifter.name, first), drops)
    return found


def looks_of(lift: Measured, lifter: Lifter, lifter_holds: bool) -> tuple[Look, Look]:
    """What is asked if the pressure, or the lifter, is lost: what stops its side first, and if that did not hold."""
    all_places, could = lift.could_stop(lifter, lifter_holds=True), lift.could_stop(lifter, lifter_holds)
    places = tuple(n for n, where in enumerate(all_places) if where in could)
    return Look(places, 0), Look(places, 1)


def stops_of(lift: Measured, lifter: Lifter) -> tuple[Stops, dict[Look, Array]]:
    """Where all that could stop a side would, at all instants that matter; and those of each look, shape (n,) [s]."""

    def stops() -> tuple[Stops, dict[Look, Array]]:
        looks = list(dict.fromkeys(look for holds in (True, False) for look in looks_of(lift, lifter, holds)))
        found, own = stops_at(lift.side(lifter), lift.instants, looks)
        return found, dict(zip(looks, own, strict=True))

    found: tuple[Stops, dict[Look, Array]] = lift.once(("stops", lifter.name), stops)
    return found


def _looked_at(lift: Measured, lifter: Lifter, meetings: Meetings, look: Look) -> Onto:
    """What a look says at all instants that matter to it.

    A place that gives down to the start stops the side there, and so the drop grows as the load rises; once it does
    not give so far, the drop may shrink. That instant, too, is looked at where it may be the largest.
    """
    found = _onto(meetings, look, stops_of(lift, lifter)[1][look])
    after, before = slice(1, -1, 2), slice(2, None, 2)  # of one instant, and of the next
    leaves = (found.who[after] == found.who[before]) | (found.who[after] < 0)
    leaves &= (found.left[after] < 0) & (found.left[before] > 0)
    leaves &= found.rise[before] > found.drop.max(initial=0.0) + EXACT
    if not leaves.any():
        return found
    side, once = lift.side(lifter), found.times[::2]
    also = crossing(
        lambda times: _onto(_meetings(lift, lifter, side.at(times)), look, times).left[::2],
        (once[:-1][leaves], found.left[after][leaves]),
        (once[1:][leaves], found.left[before][leaves]),
    )
    stops, (own,) = stops_at(side, np.unique(np.concatenate([lift.instants, also])), [look])
    return _onto(_meetings(lift, lifter, stops), look, own)


def _onto(meetings: Meetings, look: Look, once: Array) -> Onto:
    """What is met at these instants, shape (m,) [s], and what comes of it."""
    stops = meetings.stops
    at, rows = stops.rows(once), np.array([*look.places, len(stops.each)])
    stop, fall, drop = (each[rows].take(at, axis=1) for each in meetings.outcomes[:3])
    who = _met(stop[:-1], fall, drop)
    held = who >= 0
    if look.rank:
        who = _met(without(stop[:-1], who), fall, drop)
    outcomes = meetings.outcomes.reshape(len(Outcomes._fields), -1).take(rows[who] * len(stops.u) + at, axis=1)
    other = None if stops.other is None else stops.other[at]
    return Onto(stops.times[at], stops.u[at], other, meetings.rise[at], held, who, *outcomes)


def _met(held: Array, fall: Array, drop: Array) -> Who:
    """The number of the place that is met, shape (2m,): of several at once the one that gives most; -1: the start."""
    stop, who = foremost(held)
    near = (held > 0) & (held > stop - EXACT)
    if np.count_nonzero(near) == np.count_nonzero(who >= 0):  # never two at once
        return who
    most = fall[who, np.arange(len(who))]
    for n, at_once in enumerate(near):
        more = at_once & ((who == n) | (drop[n] > most + EXACT))
        who, most = np.where(more, n, who), np.where(more, drop[n], most)
    return who


def _meetings(lift: Measured, lifter: Lifter, stops: Stops) -> Meetings:
    """What comes of a side's fall onto each of its places, and onto the start, at all instants of these."""
    rise, nothing = lift.motion.rise(lifter.head, stops.u), np.zeros_like(stops.u)
    start = Outcomes(nothing, rise, rise, rise, nothing + np.nan, nothing + 1, -rise)
    places = lift.could_stop(lifter, lifter_holds=True)
    each = [_meeting(lift, lifter, where, stops, held) for where, held in zip(places, stops.held, strict=True)]
    return Meetings(stops, rise, np.array([*zip(*each, start, strict=True)]))


def _meeting(lift: Measured, lifter: Lifter, where: Where, stops: Stops, held: Array) -> Outcomes:
    """The same of one place; what it says where that holds nothing is not asked for."""
    load = lift.scenario.load
    share = share_met(load, lifter, lift.stays(lifter), where)
    met = meet(load, lift.motion, lifter, share, where, stops.u, held, stops.other)
    found = Outcomes(held, met.fall, met.drop, met.rest, met.peak, met.known.astype(float), met.left)
    still = lift.carries(where, stops.times) & (stops.u - held <= EXACT)  # the load stands on it: it has given already
    if not still.any():
        return found
    none, carried = np.zeros_like(held), _standing(lift, share, where, held, stops.other)
    standing = Outcomes(held, none, none, none, carried, none + 1, none + np.inf)
    return Outcomes(*(np.where(still, stands, falls) for stands, falls in zip(standing, found, strict=True)))


def _standing(lift: Measured, share: float, where: Where, u: Array, other: Array | None) -> Array:
    """What a place carries that the load stands on: its side's part, at rest, shape (n,) [N]."""
    at = (u + other) / 2 if where.side == "both" and other is not None else u
    arm = lift.motion.arm(where.head, where.base, at)
    force: Array = axial_force(effort(lift.scenario.load, lift.motion, at), share, arm)
    return force
