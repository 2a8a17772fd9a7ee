"""What the load of many lifts rests on: where it settles, how low a side can come, and how it stood half-way up.

`these` are some of the lifts, an index array of shape (k,).
"""

from __future__ import annotations

import numpy as np

from sim.batch.parts.arrays import Array, Flags, These, those
from sim.batch.parts.layout import Layout
from sim.batch.parts.moment import Moment, captured
from sim.batch.parts.piles import pile_up
from sim.batch.resets import held_u, own_stops
from sim.batch.scene import Scene
from sim.batch.strokes import Rams
from sim.model.devices import EXACT
from sim.model.devices.protocol import brought_up
from sim.model.stops import about_the_other, settled


def rests(scene: Scene) -> Flags:
    """Whether something that is not open holds a side where it is: (sides, n)."""
    layout, now = scene.layout, scene.now
    held, is_open = held_u(scene), captured(layout, now, now.held)[1]
    found = np.zeros(now.u.shape, dtype=bool)
    for side, places in enumerate(layout.places_of):
        other = now.u[1 - side] if len(now.u) > 1 else None
        for p in places:
            stop = about_the_other(held[p], other) if layout.is_both(p) else held[p]
            found[side] |= (stop > now.u[side] - EXACT) & ~is_open[p]
    return found


def lowest(scene: Scene) -> Array:
    """Where a side lands, the mean of both apart: on its own, the start or its ram's end: (sides, n) [rad or m]."""
    u, ends = scene.now.u, _ends_of_rams(scene, own=False)
    return np.maximum(own_stops(scene, held_u(scene)), np.minimum(u, ends))


def bottoms(scene: Scene) -> Array:
    """How far this run of the ram, and what captures there, could let a side down at all: (sides, n) [rad or m]."""
    return _ends_of_rams(scene, own=True)


def _ends_of_rams(scene: Scene, own: bool) -> Array:
    layout, rams, now = scene.layout, scene.rams, scene.now
    ends = []
    for side, line in enumerate(layout.ram_lines):
        origins = [now.origin[p] for p in layout.places_of[side] if own and layout.is_own(p)]
        end: Array = np.maximum.reduce([rams.contact[side] - rams.free[side], *origins])
        ends.append(line.u_at(np.maximum(0.0, end)))
    return np.array(ends)


def put(scene: Scene, u: Array, these: These) -> None:
    """All sides are at u (sides, k) from now on, at rest, and their lines with them; the rams stay in contact."""
    layout, now, rams = scene.layout, scene.now, scene.rams
    now.u[:, these] = u
    for p, sides in enumerate(layout.sides_of):
        now.demand[p][these], now.rate[p][these] = layout.lines[p].demand(sum(u[s] for s in sides) / len(sides)), 0.0
    for side in range(len(layout.lifters)):
        in_contact(scene, side, these[rams.travel[side][these] > rams.free[side][these]])


def in_contact(scene: Scene, side: int, these: These) -> None:
    """The ram is as long as the load asks for; what has been spent before it moved is not spent again."""
    rams = scene.rams
    demand = scene.layout.ram_lines[side].demand(scene.now.u[side][these])
    rams.travel[side][these] = rams.free[side][these] + demand - rams.contact[side][these]
    again = np.maximum(0.0, rams.free[side][these] - rams.travel[side][these])
    rams.free[side][these] -= again
    rams.contact[side][these] -= again


def settle(scene: Scene, some: Flags) -> None:
    """The load of some lifts (n,) comes down onto its captures, all sides by the same u until each meets its own."""
    held, now = held_u(scene), scene.now
    both = [held[p] for p in range(len(held)) if scene.layout.is_both(p)]
    rest = settled(now.u, own_stops(scene, held), both)
    these = those(some)
    scene.timeline.look_at(now, some)
    put(scene, rest[:, these], these)
    now.stands[:, these] = True
    scene.timeline.look_at(now, some)


def stand_half_way(layout: Layout, now: Moment, rams: Rams) -> None:
    """Every lift begins with the load at the scenario's start, settled and caught."""
    u = layout.motion.u_for_rise(layout.scenario.need.point, layout.scenario.start)
    for side, (lifter, line) in enumerate(zip(layout.lifters, layout.ram_lines, strict=True)):
        rams.travel[side] = np.minimum(rams.free[side] + line.demand(u), lifter.travel)
        rams.contact[side] = line.demand(u) + rams.free[side] - rams.travel[side]
    now.u[:], now.stands[:] = u, True
    for p, line in enumerate(layout.lines):
        now.demand[p] = line.demand(u)
        bring_up(layout, now, p, np.arange(len(now.time)))


def bring_up(layout: Layout, now: Moment, place: int, these: These) -> None:
    """Every device of a place is as if it had been kept up with the load to where it is, and caught."""
    demand = now.demand[place][these] - now.origin[place][these]
    each, which = np.unique(demand, return_inverse=True)
    for d in layout.devices_at[place]:
        here = layout.devices[d]
        found = [brought_up(here.device, here.slack, float(x)) for x in each]
        now.held[d][these] = np.array([held.captured for held in found])[which]
        now.pile[d][these] = np.array([held.pile for held in found])[which]
        now.climb[d][these], now.open[d][these], now.caught[d][these] = 0.0, False, True
        pile_up(now, d, these, [found[k].pieces for k in which])


def run_out(scene: Scene, lifters: Flags) -> None:
    """These lifters (sides, n) are run out to contact again, as they stood before they were packed up last."""
    layout, now, rams = scene.layout, scene.now, scene.rams
    scene.timeline.look_at(now)
    for side, these in enumerate(map(those, lifters)):
        if not len(these):
            continue
        rams.packed[side][these] -= 1
        contact, free, travel, origin = rams.runs[:, rams.packed[side][these], side, these]
        rams.run_out[side][these] = True
        rams.earlier[side][these] -= travel
        rams.contact[side][these], rams.free[side][these] = contact, free
        in_contact(scene, side, these)
        for p in (p for p in layout.places_of[side] if layout.is_own(p)):
            now.origin[p][these] = origin
            bring_up(layout, now, p, these)
    scene.timeline.look_at(now, np.asarray(lifters.any(axis=0)))
