"""A catcher of many lifts looks for work: sees which device asks for it, goes there, reacts.

Of this the rest of their cycle is made (`catchers.py`). `these` are always the lifts in which it happens just now, an
index array of shape (k,), each at its own `since`.
"""

from __future__ import annotations

import numpy as np

from sim.batch.parts.arrays import Array, Flags, These, Whole, on_grid
from sim.batch.parts.moment import REACTS, WAITS, WALKS, can_capture, captured
from sim.batch.scene import Scene
from sim.model.devices import EXACT
from sim.model.draw import Draw


def look_for_work(scene: Scene, person: int, these: These) -> None:
    """Go to the widest gap of those that this person can work at now, and react; wait where there is none."""
    if not len(these):
        return
    if scene.layout.comes_down:
        these = _nearest_to_its_level(scene, person, these)
    mine = scene.layout.devices_of[person]
    can = np.array([can_be_worked(scene, d, these) for d in mine])
    first = np.zeros(len(these), dtype=np.int64) if len(mine) == 1 else _widest(scene, mine, can, these)
    some = can.any(axis=0)
    wait(scene, person, these[~some])
    these, first = these[some], first[some]
    for n, d in enumerate(mine):
        _go_to(scene, person, d, these[first == n])


def _nearest_to_its_level(scene: Scene, person: int, these: These) -> These:
    """Go to the device with least to go, of those that are to be let down; gives back who has none."""
    now, mine = scene.now, scene.layout.devices_of[person]
    to_go = np.array([now.held[d][these] - now.goes_to[d][these] for d in mine])
    some = (to_go > -np.inf).any(axis=0)
    first = _first_largest(np.where(to_go > -np.inf, -to_go, -np.inf))
    for n, d in enumerate(mine):
        _go_to(scene, person, d, these[some & (first == n)])
    return these[~some]


def _widest(scene: Scene, mine: tuple[int, ...], can: Flags, these: These) -> Whole:
    """Which of a person's devices (m,), of those that can be worked at (m, k), is furthest behind at the place with the
    widest gap: (k,).
    """
    layout, now = scene.layout, scene.now
    at = np.array([layout.devices[d].place for d in mine])
    if (at != at[0]).any():
        gaps = (now.demand - captured(layout, now, now.held)[0])[np.ix_(at, these)]
        can = can & (at[:, None] == at[_first_largest(np.where(can, gaps, -np.inf))])
    behind = np.array([asked(scene, d, these) - now.held[d][these] for d in mine])
    return _first_largest(np.where(can, behind, -np.inf))


def _first_largest(gaps: Array) -> Whole:
    """The first of the largest of each column of gaps (m, k): (k,)."""
    return np.asarray((gaps > gaps.max(axis=0) - EXACT).argmax(axis=0))


def asked(scene: Scene, d: int, these: These) -> Array:
    """The demand since a device was set up: (k,) [m]."""
    now, p = scene.now, scene.layout.devices[d].place
    return np.asarray(now.demand[p][these] - now.origin[p][these])


def can_be_worked(scene: Scene, d: int, these: These) -> Flags:
    """Whether its catcher could begin on a device now: (k,)."""
    now, here = scene.now, scene.layout.devices[d]
    waits, moves = ~now.caught[d][these], now.moving[here.place][these] > 0
    can = can_capture(scene.layout, now, d, these, asked(scene, d, these))
    if here.device.chases == "with":
        return np.asarray(waits & np.where(moves, now.held[d][these] < here.device.ends_at - EXACT, can))
    return np.asarray(waits & ~moves & can)


def _go_to(scene: Scene, person: int, d: int, these: These) -> None:
    """Walk to a device if it is at another place than where this person is, and if walking is given; react there."""
    if not len(these):
        return
    now, layout = scene.now, scene.layout
    now.job[person][these] = d
    walk = layout.scenario.walk.get(layout.people[person])
    if walk is not None:
        at = now.at[person][these]
        far = (at >= 0) & (at != layout.devices[d].place)
        goes_on(scene, person, these[far], WALKS, time_of(scene, person, -1, "walk", walk, these[far]))
        these = these[~far]
    react(scene, person, d, these)


def react(scene: Scene, person: int, d: int, these: These) -> None:
    """React at a device, at its place."""
    here = scene.layout.devices[d]
    scene.now.at[person][these] = here.place
    goes_on(scene, person, these, REACTS, time_of(scene, person, d, "react", here.device.react, these))


def is_caught(scene: Scene, d: int, these: These) -> None:
    """The device can capture no more of what it has been given."""
    now = scene.now
    now.caught[d][these] = True
    now.caught_at[these], now.caught_place[these] = now.since[these], scene.layout.devices[d].place


def wait(scene: Scene, person: int, these: These, phase: int = WAITS) -> None:
    """For word from the load."""
    now = scene.now
    now.phase[person][these], now.due[person][these], now.begun[person][these] = phase, np.inf, now.since[these]


def goes_on(scene: Scene, person: int, these: These, phase: int, seconds: Array | float) -> None:
    """What these do from now on, and for how long."""
    now = scene.now
    time = now.since[these]
    now.phase[person][these], now.begun[person][these] = phase, time
    now.due[person][these] = on_grid(time + seconds)


def time_of(scene: Scene, person: int, d: int, quantity: str, of: Draw, these: These) -> Array | float:
    """How long something takes in this call [s]."""
    value = scene.people.draw(scene.layout.people[person], quantity, of, scene.call, d)
    return value if isinstance(value, float) else value[these]
