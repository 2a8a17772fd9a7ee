"""A lifter out of travel, in some of many lifts: let go, packed up, brought back to contact (`sim/story/resets.py`)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sim.batch.lines.arrays import Array, Chosen, Flags, nonzero, on_grid, put
from sim.batch.stand.places import Place
from sim.batch.stand.sides import Side
from sim.model.devices import EXACT
from sim.model.scenario import Lifter, Station
from sim.model.stops import about_the_other, highest, settled_mean

if TYPE_CHECKING:
    from sim.batch.lifts import Lifts


def reset(lifts: Lifts, goes_on: Flags, spent: list[Flags]) -> Flags:
    """Re-set the spent lifters of the lifts that go on; those that gain something by it look again."""
    both = len(spent) == 2
    looks = np.zeros_like(goes_on)
    combinations = [(True, False), (False, True), (True, True)] if both else [(True,)]
    for wanted in combinations:
        mask = goes_on.copy()
        for out, is_spent in zip(spent, wanted, strict=True):
            mask &= out == is_spent
        if mask.any():
            sides = [s for s, is_spent in zip(lifts.sides, wanted, strict=True) if is_spent]
            looks |= _reset(lifts, mask, sides)
    lifts._let_happen()
    for place in lifts.places:
        place.set_out(lifts.now)
    return looks


def _reset(lifts: Lifts, mask: Flags, spent: list[Side]) -> Flags:
    these = nonzero(mask)
    now = lifts.now[these]
    lifts.resets[these] += 1
    places = list(dict.fromkeys(p for s in spent for p in lifts.places if s in p.sides))
    own = [p for p in places if isinstance(p.where, Lifter)]
    for place in own:
        for catcher in place.catchers:
            put(catcher, "open", these, True)
    for place in places:
        place.row(these, now)
    _come_down(lifts, these, spent, places)
    for place in own:  # let go, it hangs loose at the load: no gap, and nothing held
        put(place, "origin", these, place.demand[these])
        for catcher in place.catchers:
            catcher.set_up(these, 0.0)
            put(catcher, "open", these, True)
    for place in places:
        place.row(these, now)
    _note(lifts, these, now)
    rise = lifts.point_rise()[these]
    gains = rise > lifts.last_settled[these] + EXACT
    lifts._end(_mask(mask, these[~gains]), 2)
    these, now = these[gains], now[gains]
    lifts.last_settled[these] = rise[gains]
    _pack_up(lifts, these, now, spent, own)
    return _mask(mask, these)


def _mask(like: Flags, these: Chosen) -> Flags:
    mask = np.zeros_like(like)
    mask[these] = True
    return mask


def _come_down(lifts: Lifts, these: Chosen, spent: list[Side], places: list[Place]) -> None:
    if len(spent) == 1:
        side = spent[0]
        other = next((s.u[these] for s in lifts.sides if s is not side), None)
        stop = highest([_held(p, these, other) for p in places if isinstance(p.where, Station)])
        new = [np.minimum(side.u[these], stop)]
    else:
        own = [lifts.own_stop(s)[these] for s in spent]
        both = [_held(p, these, None) for p in lifts.places if p.where.side == "both"]
        mean = settled_mean(own, both)
        up = mean - sum(own, np.zeros(len(these))) / len(own)
        rests = [np.minimum(s.u[these], stop + up) for s, stop in zip(spent, own, strict=True)]
        short = mean * len(rests) - sum(rests, np.zeros(len(these)))  # what one side lacks, the other keeps
        new = [np.minimum(s.u[these], rest + short) for s, rest in zip(spent, rests, strict=True)]
    for side, u in zip(spent, new, strict=True):
        put(side, "u", these, u)
        put(side, "base_u", these, u)
        for stroke in side.strokes:
            stroke.start[these] = np.inf
            stroke.end[these] = np.inf
    for place in places:
        mean = sum((s.u[these] for s in place.sides), np.zeros(len(these))) / len(place.sides)
        place.bring_up(these, lifts.now[these])
        put(place, "demand", these, place.line.demand(mean))
        put(place, "rate", these, 0.0)


def _held(place: Place, these: Chosen, other: Array | None) -> Array:
    held, is_open, _ = place.state(these)
    at = place.u_held(held, is_open)
    return about_the_other(at, other) if place.where.side == "both" and other is not None else at


def _note(lifts: Lifts, these: Chosen, now: Array) -> None:
    """The drops and the level as they stand."""
    for drops in (*lifts.drops[True], *lifts.drops[False]):
        drops.now(these, now, lifts.call)
    if len(lifts.sides) == 2:
        a, b = (lifts.motion.rise(s.lifter.head, s.u[these]) for s in lifts.sides)
        put(lifts, "level", these, np.maximum(lifts.level[these], np.abs(a - b)))


def _pack_up(lifts: Lifts, these: Chosen, now: Array, spent: list[Side], own: list[Place]) -> None:
    """Back to contact, with the whole travel again."""
    assert lifts.scenario.reset is not None
    now = on_grid(now + lifts.scenario.reset.time)
    lifts.now[these] = now
    for side in spent:
        side.earlier_travel[these] += side.travel[these]
        side.travel[these], side.free[these] = 0.0, lifts.scenario.reset.reseat
        side.contact[these] = side.line.demand(side.u[these])
    for place in own:
        place.bring_up(these, now)
        before = place.state(these)[0].copy()
        put(place, "origin", these, place.demand[these])
        for catcher in place.catchers:
            catcher.set_up(these, 0.0)
        place.row(these, now, before)
    _note(lifts, these, now)
