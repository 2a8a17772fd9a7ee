"""A lifter out of travel, in some of many lifts: let go, packed up, brought back to contact (`sim/story/resets.py`)."""

from __future__ import annotations

import numpy as np

from sim.batch.parts.arrays import Array, Flags, These, those
from sim.batch.parts.layout import Layout
from sim.batch.parts.moment import captured, set_up
from sim.batch.scene import Scene
from sim.model.stops import about_the_other, highest, settled_mean


def held_u(scene: Scene) -> Array:
    """The u at which each place would stop the load: (places, n) [rad or m]."""
    layout, now = scene.layout, scene.now
    held, is_open = captured(layout, now, now.held)
    at = [line.u_at(np.maximum(0.0, held[p])) for p, line in enumerate(layout.lines)]
    return np.where(is_open, 0.0, np.array(at).reshape(held.shape))


def own_stops(scene: Scene, held: Array) -> Array:
    """Where each side's own places hold it, those on both sides apart: (sides, n) [rad or m]."""
    layout, u = scene.layout, scene.now.u
    own = [[held[p] for p in places if not layout.is_both(p)] for places in layout.places_of]
    return np.array([np.minimum(u[side], highest(each)) for side, each in enumerate(own)])


def settled_u(scene: Scene) -> Array:
    """Mean u of the sides if the load came down onto its captures now: (n,) [rad or m]."""
    held = held_u(scene)
    both = [held[p] for p in range(len(held)) if scene.layout.is_both(p)]
    return np.minimum(settled_mean(own_stops(scene, held), both), scene.now.mean_u)


def remember_runs(scene: Scene, spent: Flags) -> None:
    """How the spent rams (sides, n) stand, to be brought back to it on the way down."""
    layout, now, rams = scene.layout, scene.now, scene.rams
    if not layout.comes_down:
        return
    if (rams.packed * spent).max() >= rams.runs.shape[1]:
        rams.runs = np.concatenate([rams.runs, np.zeros((4, 1, *rams.packed.shape))], axis=1)
    for side, these in enumerate(map(those, spent)):
        own = [now.origin[p] for p in layout.places_of[side] if layout.is_own(p)]
        origin = own[0][these] if own else 0.0
        for k, kept in enumerate((rams.contact[side][these], rams.free[side][these], rams.travel[side][these], origin)):
            rams.runs[k, rams.packed[side][these], side, these] = kept
        rams.packed[side][these] += 1


def can_be_let_go(layout: Layout, side: int) -> bool:
    """Whether a side has something else to stand on than its lifter's own capture."""
    return any(not layout.is_own(p) for p in layout.places_of[side])


def let_go(scene: Scene, spent: Flags) -> None:
    """Let the spent lifters (sides, n) go, to be packed up: the load settles on the other stations."""
    remember_runs(scene, spent)
    settle_on_the_others(scene, spent)


def settle_on_the_others(scene: Scene, spent: Flags) -> None:
    """The load comes down onto what is not of these lifters (sides, n). Their captures hang loose at it."""
    layout, now = scene.layout, scene.now
    these = those(np.asarray(spent.any(axis=0)))
    own = [(p, those(spent[layout.sides_of[p][0]])) for p in range(len(layout.places)) if layout.is_own(p)]
    for p, at in own:
        now.open[np.ix_(np.array(layout.devices_at[p], dtype=np.intp), at)] = True
    scene.timeline.look_at(now, np.asarray(spent.any(axis=0)))
    now.u[:, these] = _come_down(scene, spent)[:, these]
    for p, sides in enumerate(layout.sides_of):
        moved = those(np.asarray(spent[list(sides)].any(axis=0)))
        now.demand[p][moved] = layout.lines[p].demand(sum(now.u[s, moved] for s in sides) / len(sides))
        now.rate[p][moved] = 0.0
        now.stands[p][moved] = True
    for p, at in own:
        set_up(layout, now, p, at)
        now.open[np.ix_(np.array(layout.devices_at[p], dtype=np.intp), at)] = True
    scene.timeline.look_at(now, np.asarray(spent.any(axis=0)))


def _come_down(scene: Scene, spent: Flags) -> Array:
    """Where the sides come to rest: (sides, n); one that keeps its lifter stays where it is."""
    layout, u, held = scene.layout, scene.now.u, held_u(scene)
    if len(u) == 1:
        return np.minimum(u, highest([held[p] for p in layout.places_of[0] if not layout.is_own(p)]))
    alone = []
    for side, places in enumerate(layout.places_of):
        stops = [about_the_other(held[p], u[1 - side]) if layout.is_both(p) else held[p] for p in places]
        alone.append(
            np.minimum(u[side], highest(s for s, p in zip(stops, places, strict=True) if not layout.is_own(p)))
        )
    own = own_stops(scene, held)
    mean = settled_mean(own, [held[p] for p in range(len(held)) if layout.is_both(p)])
    rests = np.minimum(u, own + (mean - own.mean(axis=0)))
    short = 2 * mean - rests.sum(axis=0)  # what one side cannot rise back to, the other keeps: the mean is held
    together = np.minimum(u, rests + short)
    return np.where(spent.all(axis=0), together, np.where(spent, np.array(alone), u))


def pack_up(scene: Scene, spent: Flags) -> None:
    """Bring the spent lifters (sides, n) back to contact, with their whole travel again."""
    layout, now, rams, reset = scene.layout, scene.now, scene.rams, scene.layout.scenario.reset
    assert reset is not None
    scene.timeline.look_at(now)
    for side, out in enumerate(spent):
        these: These = those(out)
        rams.earlier[side][these] += rams.travel[side][these]
        rams.travel[side][these], rams.free[side][these] = 0.0, reset.reseat
        rams.contact[side][these] = layout.ram_lines[side].demand(now.u[side][these])
        for p in layout.places_of[side]:
            if layout.is_own(p):
                set_up(layout, now, p, these)
    scene.timeline.look_at(now, np.asarray(spent.any(axis=0)))
