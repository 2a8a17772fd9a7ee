"""How far each side would drop at every instant of a lift, if its pressure or its whole lifter were lost just then.

One function for all who ask: the measures, the calculation sheet, the drawing, the lessons. It says for each instant
what would meet the load first and what comes of that (`sim/model/meeting.py`), and the same if that place did not hold.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.model.devices import EXACT
from sim.model.loads import axial_force, effort, fall_energy, share_met
from sim.model.meeting import Flags, meet
from sim.model.scenario import Lifter, Station
from sim.model.stops import crossing
from sim.record.holding import Stops, Who, foremost, without
from sim.record.measured import Measured
from sim.record.series import Array

Where = Lifter | Station


@dataclass(frozen=True)
class Onto:
    """What would stop a side, before and after each of m instants, and what comes of it: arrays of shape (2m,)."""

    times: Array  # [s]
    u: Array  # of the side [rad or m]
    other: Array | None  # of the other side, if there is one
    rise: Array  # of the lifter's head [m]
    held: Flags  # whether anything held the side above the start
    who: Who  # the number of the place in `Drops.places`; -1: the start
    stop: Array  # u at first contact [rad or m]
    fall: Array  # of the lifter's head, until it is met [m]
    drop: Array  # to the lowest point [m]; at least that much where not all that gives is known
    rest: Array  # [m]
    peak: Array  # axial force on what it meets [N]; nan: not known, or the start
    known: Flags  # whether all that gives is known
    left: Array  # how far the lowest point is above the start [m]; below nothing: the start comes first


@dataclass(frozen=True)
class Drops:
    """One side through a lift, for one kind of loss."""

    lifter: Lifter
    places: tuple[Where, ...]
    first: Onto  # if the station holds
    second: Onto  # if that station does not hold
    energy: Array  # as `first`: until it is met [J]

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
    if (lifter, lifter_holds) not in lift.worked_out:
        lift.worked_out[lifter, lifter_holds] = _work_out(lift, lifter, lifter_holds)
    found: Drops = lift.worked_out[lifter, lifter_holds]
    return found


def _work_out(lift: Measured, lifter: Lifter, lifter_holds: bool) -> Drops:
    places = lift.could_stop(lifter, lifter_holds)
    first, second = (_looked_at(lift, lifter, places, rank) for rank in (0, 1))
    energy = fall_energy(lift.scenario.load, lift.motion, lifter.share, first.u, first.stop)
    return Drops(lifter, tuple(places), first, second, energy)


def _looked_at(lift: Measured, lifter: Lifter, places: list[Where], rank: int) -> Onto:
    """What meets the load first (rank 0), or if that did not hold (1), at all instants that matter.

    A place that gives down to the start stops the side there, and so the drop grows as the load rises; once it does
    not give so far, the drop may shrink. That instant, too, is looked at where it may be the largest.
    """

    def onto(stops: Stops) -> Onto:
        first = _onto(lift, lifter, places, stops)
        return _onto(lift, lifter, places, stops, but=first.who) if rank else first

    found = onto(lift.stops(lifter, places, rank))
    after, before = slice(1, -1, 2), slice(2, None, 2)  # of one instant, and of the next
    leaves = (found.who[after] == found.who[before]) | (found.who[after] < 0)
    leaves &= (found.left[after] < 0) & (found.left[before] > 0)
    leaves &= found.rise[before] > found.drop.max(initial=0.0) + EXACT
    if not leaves.any():
        return found
    once = found.times[::2]
    also = crossing(
        lambda times: onto(lift.stops_just_at(lifter, places, times)).left[::2],
        (once[:-1][leaves], found.left[after][leaves]),
        (once[1:][leaves], found.left[before][leaves]),
    )
    return onto(lift.stops(lifter, places, rank, also))


def _onto(lift: Measured, lifter: Lifter, places: list[Where], stops: Stops, but: Who | None = None) -> Onto:
    """What meets the load first, one place at each instant apart: of several met at once the one that gives most."""
    held = stops.held if but is None else without(stops.held, but)
    stop, who = foremost(held)
    rise = lift.motion.rise(lifter.head, stops.u)
    fall = rise - lift.motion.rise(lifter.head, stop)
    unknown, known = np.full_like(fall, np.nan), np.ones(fall.shape, dtype=bool)
    above = np.any(stops.held > 0, axis=0)
    left = np.where(who < 0, -rise, np.inf)
    found = Onto(
        stops.times, stops.u, stops.other, rise, above, who, stop, fall, fall.copy(), fall.copy(), unknown, known, left
    )
    carries = [lift.carries(where, stops.times) for where in places]
    for n, where in enumerate(places):
        at = np.flatnonzero((held[n] > 0) & (held[n] > stop - EXACT))
        if not len(at):
            continue
        u, first, other = stops.u[at], held[n, at], None if stops.other is None else stops.other[at]
        share = share_met(lift.scenario.load, lifter, lift.stays(lifter), where)
        met = meet(lift.scenario.load, lift.motion, lifter, share, where, u, first, other)
        still = carries[n][at] & (u - first <= EXACT)  # the load stands on it: it has given already
        more = at[(who[at] == n) | (np.where(still, 0.0, met.drop) > found.drop[at] + EXACT)]
        mine = np.isin(at, more)
        found.who[more] = n
        found.stop[more] = first[mine]
        found.fall[more] = np.where(still, 0.0, met.fall)[mine]
        found.drop[more] = np.where(still, 0.0, met.drop)[mine]
        found.rest[more] = np.where(still, 0.0, met.rest)[mine]
        found.peak[more] = np.where(still, _standing(lift, share, where, first, other), met.peak)[mine]
        found.known[more] = (met.known | still)[mine]
        found.left[more] = np.where(still, np.inf, met.left)[mine]
    return found


def _standing(lift: Measured, share: float, where: Where, u: Array, other: Array | None) -> Array:
    """What a place carries that the load stands on: its side's part, at rest, shape (n,) [N]."""
    at = (u + other) / 2 if where.side == "both" and other is not None else u
    arm = lift.motion.arm(where.head, where.base, at)
    force: Array = axial_force(effort(lift.scenario.load, lift.motion, at), share, arm)
    return force
