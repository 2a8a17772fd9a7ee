"""What an operator's next knot does to the load: a stroke starts or ends, the operator is ready.

As in the story, a place's demand runs evenly to its value at the next end of a stroke of its sides: it is aimed anew
whenever a stroke starts or ends.
"""

from __future__ import annotations

import numpy as np

from sim.batch.catchers import let_be, load_begins, load_stops
from sim.batch.parts.arrays import Array, Flags, These
from sim.batch.scene import Scene


class Pumping:
    """The operators answer a call to raise, as it was planned."""

    def starts(self, scene: Scene) -> Flags:
        """Whether a stroke starts at the next knot: (sides, n)."""
        turn = scene.now.turn
        return np.asarray((turn % 2 == 0) & (turn < scene.plan.times.shape[1] - 1))

    def next_knot(self, scene: Scene, side: int, these: These) -> These:
        """The operator of a side comes to the next knot of the call's plan in these lifts (k,), each at its `since`.

        Gives back in which of them the side has stopped: word of that goes to the catchers once all sides that stop at
        this instant have (`catchers.sees_the_stop`).
        """
        now, plan = scene.now, scene.plan
        turn = now.turn[side][these]
        last = plan.times.shape[1] - 1
        now.turn[side][these] = turn + 1
        now.knot[side][these] = np.where(turn < last, plan.times[side, np.minimum(turn + 1, last), these], np.inf)
        starts, ends = (turn % 2 == 0) & (turn < last), turn % 2 == 1
        if starts.any():
            _starts(scene, side, these[starts], turn[starts] // 2)
        return _ends(scene, side, these[ends], turn[ends] // 2) if ends.any() else these[:0]


def _starts(scene: Scene, side: int, these: These, stroke: These) -> None:
    """A stroke starts: from here the side runs evenly to where the stroke will leave it."""
    now, plan, layout = scene.now, scene.plan, scene.layout
    first = these[stroke == 0]
    begins = []
    for place in layout.places_of[side]:
        now.stands[place][these] = False
        now.moving[place][first] += 1
        begins.append(first[now.moving[place][first] == 1])
        for d in layout.devices_at[place]:
            now.caught[d][begins[-1]] = False
    runs_to(scene, side, these, plan.u[side, stroke, these], plan.times[side, 2 * stroke + 1, these])
    for place, begun in zip(layout.places_of[side], begins, strict=True):
        load_begins(scene, place, begun)


def _ends(scene: Scene, side: int, these: These, stroke: These) -> These:
    """The stroke is over: the side is where it was to go; after the last one it stops (in the lifts given back)."""
    now, plan, layout = scene.now, scene.plan, scene.layout
    comes_to(scene, side, these, plan.u[side, stroke, these])
    stopped = these[stroke == plan.u.shape[1] - 1]
    if not len(stopped):
        return np.asarray(stopped)
    for place in layout.places_of[side]:
        now.moving[place][stopped] -= 1
        load_stops(scene, place, stopped[now.moving[place][stopped] == 0])
    let_be(scene, layout.places_of[side], stopped)
    return np.asarray(stopped)


def runs_to(scene: Scene, side: int, these: These, u: Array, end: Array) -> None:
    """From here a side runs evenly to u (k,), where it is at `end` (k,) [s]."""
    now = scene.now
    seconds = end - now.since[these]
    now.stroke_end[side][these] = end
    now.u_rate[side][these] = np.divide(u - now.u[side][these], seconds, out=np.zeros_like(u), where=seconds > 0)
    for place in scene.layout.places_of[side]:
        _aim(scene, place, these)


def comes_to(scene: Scene, side: int, these: These, u: Array) -> None:
    """A side has come to u (k,)."""
    now = scene.now
    now.stroke_end[side][these], now.u_rate[side][these], now.u[side][these] = np.inf, 0.0, u
    for place in scene.layout.places_of[side]:
        _aim(scene, place, these)


def _aim(scene: Scene, place: int, these: These) -> None:
    """Set a line's demand running to its value at the next end of a stroke; exactly at its value where none is made."""
    now, layout = scene.now, scene.layout
    line, sides = layout.lines[place], layout.sides_of[place]
    end = now.stroke_end[sides[0]][these]
    for side in sides[1:]:
        end = np.minimum(end, now.stroke_end[side][these])
    rests = np.isinf(end)
    seconds = np.where(rests, 0.0, end - now.since[these])
    u = [now.u[side][these] + now.u_rate[side][these] * seconds for side in sides]
    goal, demand = line.demand(u[0] if len(u) == 1 else (u[0] + u[1]) / 2), now.demand[place][these]
    now.demand[place][these] = np.where(rests, goal, demand)
    rate = np.where(rests, 0.0, now.rate[place][these])
    np.divide(goal - demand, seconds, out=rate, where=seconds > 0)
    now.rate[place][these] = rate
