"""Time passes: each lift is taken from one thing that happens in it to the next, all lifts at once.

At one instant, as in the story: what people are at is done, of several what was begun first; then strokes end; then
(outside this file) the leader looks; then strokes start.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sim.batch.catchers import done, sees_the_stop, steps_begin_or_end
from sim.batch.parts.arrays import Array, Flags, those
from sim.batch.parts.bends import next_bends
from sim.batch.parts.moment import ends_of_threads, later, some_later
from sim.batch.scene import Scene


def happen(scene: Scene, until: Array, waits: Callable[[], Flags] | None = None) -> None:
    """Let everything happen that is due by a time of each lift, `until` (n,) [s].

    As long as `waits` gives back that a lift waits (n,), more happens in it, whenever that is.

    Raises
    ------
    RuntimeError
        Something is not caught, and nobody is at work on it.
    """
    now = scene.now
    while True:
        due = np.minimum(now.due.min(axis=0, initial=np.inf), now.knot.min(axis=0))
        goes = (due <= until) | (now.time < until)
        time = np.minimum(due, until)
        if waits is not None:
            wait = waits()
            goes, time = goes | wait, np.where(wait, due, time)
        if not goes.any():
            return
        time = np.where(goes, time, now.time)
        if np.isinf(time).any():
            raise RuntimeError("nobody is at work on what is not caught")
        _pass(scene, time, goes)


def _pass(scene: Scene, time: Array, goes: Flags) -> None:
    """Come to `time` (n,), or to where a line bends before that, and let happen what is due then."""
    now, layout = scene.now, scene.layout
    time, ended = ends_of_threads(layout, now, time)
    for _, at_its_end in ended:
        goes = goes & ~at_its_end
    demand, held = later(layout, now, time - now.since)
    u = now.u + now.u_rate * (time - now.since)
    bent, when, after = next_bends(layout, now, time, demand, held)
    before = now.demand[:, bent], now.held[:, bent], now.u[:, bent], now.since[bent]
    if len(bent):  # looked at, and left as they were at their last event
        demand[:, bent], held[:, bent] = some_later(layout, now, bent, after)
        u[:, bent] = now.u[:, bent] + now.u_rate[:, bent] * after
        time[bent], goes[bent] = when, False
    now.time, now.since = time, time.copy()
    now.demand, now.held, now.u = demand, held, u
    for d, at_its_end in ended:
        at_its_end[bent] = False
        now.held[d][at_its_end], now.climb[d][at_its_end] = layout.devices[d].device.ends_at, 0.0
    of_a_side = _let_happen(scene, goes)
    scene.timeline.look_at(now, of_a_side)
    if len(bent):
        now.demand[:, bent], now.held[:, bent], now.u[:, bent], now.since[bent] = before


def _let_happen(scene: Scene, goes: Flags) -> Flags:
    """One thing that is due in each lift; in which of them an operator did it: (n,)."""
    now = scene.now
    people = (now.due == now.time) & goes
    count = people.sum(axis=0)
    several = those(count > 1)
    if len(several):
        begun = np.where(people[:, several], now.begun[:, several], np.inf)
        people[:, several] = False
        people[begun.argmin(axis=0), several] = True
    free = goes & (count == 0)
    knots = (now.knot == now.time) & free
    if not (knots.any() or count.any()):
        return np.asarray(knots.any(axis=0))
    acts = [(person, these) for person, acting in enumerate(people) if len(these := those(acting))]
    if scene.layout.steps and any(steps_begin_or_end(scene, person, these) for person, these in acts):
        scene.timeline.look_at(now)
    for person, these in acts:
        done(scene, person, these)
    starts = scene.knots.starts(scene)
    stopped = []
    # of several sides that stop at once all have stopped before anyone looks
    for side, due in enumerate(knots & ~starts):
        if len(these := those(due)):
            stopped.append((side, scene.knots.next_knot(scene, side, these)))
            free[these] = False
    for side, these in stopped:
        if len(these):
            sees_the_stop(scene, side, these)
    for side, due in enumerate(knots & starts):
        if len(these := those(due & free)):
            scene.knots.next_knot(scene, side, these)
            free[these] = False
    return np.asarray(knots.any(axis=0))
