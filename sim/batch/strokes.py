"""One call to the operators, in closed form: when each stroke starts and ends, and where it leaves the side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.batch.parts.arrays import Array, Flags, Whole, on_grid, those
from sim.batch.parts.layout import Layout
from sim.batch.parts.people import BatchPeople
from sim.model.devices import EXACT
from sim.model.loads import lifter_force
from sim.model.pump import ram_travel
from sim.model.scenario import Lifter


@dataclass(slots=True)
class Rams:
    """The rams of n lifts once the strokes of the last call are over; most of shape (sides, n)."""

    travel: Array  # of this run of the ram [m]
    earlier: Array  # of the runs before a re-set [m]
    contact: Array  # demand of the lifter's line at the start of this run [m]
    free: Array  # ram travel that raises nothing [m]
    pumps: Whole
    runs: Array  # (4, depth, sides, n) contact, free, travel of earlier runs, and the demand of its own capture [m]
    packed: Whole  # how many of those it stands on
    run_out: Flags  # it has been brought back to the run before


@dataclass(slots=True)
class CallPlan:
    """What the operators do in one call; infinite times for who is not called, or misses it."""

    times: Array  # (sides, knots, n): start, end, start, end, ..., ready [s]
    u: Array  # (sides, strokes, n): where each stroke leaves the side [rad or m]
    ready: Array  # (n,) when every operator is [s]


def rams_at_the_start(layout: Layout, n: int) -> Rams:
    """Nothing pumped, and the take-up still to be spent."""
    shape = (len(layout.lifters), n)
    free = np.full(shape, layout.scenario.load.take_up)
    return Rams(
        np.zeros(shape), np.zeros(shape), np.zeros(shape), free, np.zeros(shape, np.int64),
        np.zeros((4, 0, *shape)), np.zeros(shape, np.int64), np.zeros(shape, bool),
    )  # fmt: skip


def plan_call(
    layout: Layout, rams: Rams, u: Array, called: Flags, people: BatchPeople, call: int, now: Array, strokes: int
) -> CallPlan:
    """A call goes out at `now` (n,): react, then stroke after stroke, each from where the one before left the side.

    Parameters
    ----------
    layout, rams : Layout, Rams
        The rams are brought to where they are after the call.
    u : ndarray of shape (sides, n)
        Where the sides are [rad or m].
    called : ndarray of shape (sides, n)
        Which of them are called, 0 or 1 times.
    people, call, now, strokes
        Whose times, the number of the call, when it goes out, of shape (n,) [s], and how many strokes it is of.
    """
    shape = u.shape
    plan = CallPlan(
        np.full((shape[0], 2 * strokes + 1, shape[1]), np.inf), np.zeros((shape[0], strokes, shape[1])), now.copy()
    )
    for side, lifter in enumerate(layout.lifters):
        name, person = lifter.name, lifter.operator
        missed = people.happens(name, "miss", person.miss, call)
        moves = called[side] if missed is None else called[side] & ~missed
        these = those(moves)
        if not len(these):
            continue
        stroke, recover, fill, react = (x[these] for x in pumps_at(people, lifter, call, moves.shape[0]))
        time, here = on_grid(now[these] + react), u[side][these]
        for n in range(strokes):
            here = stroke_from(layout, rams, side, these, here, fill)
            end = on_grid(time + stroke)
            plan.times[side, 2 * n, these], plan.times[side, 2 * n + 1, these] = time, end
            plan.u[side, n, these] = here
            time = on_grid(end + recover)
        rams.pumps[side][these] += strokes
        plan.times[side, -1, these] = time
        plan.ready[these] = np.maximum(plan.ready[these], time)
    return plan


def pumps_at(people: BatchPeople, lifter: Lifter, call: int, n: int) -> list[Array]:
    """How long the operators of a lifter take for a stroke and to recover in a call, how full it is, their reaction."""
    person = lifter.operator
    asked = ("stroke", person.stroke), ("recover", person.recover), ("fill", person.fill), ("react", person.react)
    return [np.broadcast_to(np.asarray(people.draw(lifter.name, quantity, of, call)), n) for quantity, of in asked]


def stroke_from(layout: Layout, rams: Rams, side: int, these: Any, u: Array, fill: Array) -> Array:
    """Where one stroke of some lifts leaves the side, from u (k,) with so full a stroke (k,): (k,) [rad or m]."""
    lifter, travel, free = layout.lifters[side], rams.travel[side][these], rams.free[side][these]
    force = np.zeros_like(u)
    if lifter.pump is not None:
        force = np.asarray(lifter_force(lifter, layout.scenario.load, layout.motion, u))
    travel = travel + ram_travel(lifter, free, force, travel, fill)
    rams.travel[side][these] = travel
    lifted = layout.ram_lines[side].u_at(rams.contact[side][these] + np.maximum(travel - free, 0.0))
    return np.where(travel > free, np.maximum(u, lifted), u)


def can_move(layout: Layout, rams: Rams, side: int, u: Array) -> Flags:
    """Whether a full stroke would move a lifter at all, at u (n,): (n,)."""
    lifter = layout.lifters[side]
    if lifter.pump is None:
        return np.ones(len(u), dtype=bool)
    force = lifter_force(lifter, layout.scenario.load, layout.motion, u)
    moved: Any = ram_travel(lifter, rams.free[side], force, rams.travel[side], np.ones_like(u))
    return moved > EXACT  # type: ignore[no-any-return]
