"""The catchers of many lifts let devices down, so that there is room under the load: all of them before a valve opens.

`these` are the lifts in which it happens just now, an index array of shape (k,), each at its own `since`.
"""

from __future__ import annotations

import numpy as np

from sim.batch.looking import goes_on, look_for_work, time_of
from sim.batch.parts.arrays import Array, Flags, These, those
from sim.batch.parts.down_steps import down_steps
from sim.batch.parts.moment import LETS_DOWN, TURNS_BACK, WAITS
from sim.batch.parts.piles import put_on, take_off, top
from sim.batch.scene import Scene
from sim.model.devices import EXACT
from sim.model.devices.collar import climbed


def make_room(scene: Scene, called: Flags, stood: Array, step: float, to: float) -> None:
    """Whatever holds more is to be let down a step below where the load stood, and no further than to where it goes.

    Parameters
    ----------
    scene : Scene
        The lifts.
    called : ndarray of shape (sides, n)
        Which sides are to come down, 0 or 1 times.
    stood : ndarray of shape (places, n)
        The demand before the load was freed [m].
    step, to : float
        The leader's step [m]; u of where the stage goes to [rad or m].
    """
    layout, now = scene.layout, scene.now
    for d, here in enumerate(layout.devices):
        p = here.place
        level = np.maximum(stood[p] - step, layout.lines[p].demand(to)) - now.origin[p]
        lowest = np.maximum(level, here.device.at_start(here.slack).captured)
        asked = called[list(layout.sides_of[p])].any(axis=0) & (now.held[d] > lowest + EXACT)
        now.goes_to[d] = np.where(asked, lowest, np.inf)
    for person, mine in enumerate(layout.devices_of):
        asked = (now.goes_to[list(mine)] < np.inf).any(axis=0)
        look_for_work(scene, person, those(asked & (now.phase[person] == WAITS)))


def begin(scene: Scene, person: int, d: int, these: These) -> These:
    """Start on those of these that are to be let down, after reacting; gives back the others."""
    now, here = scene.now, scene.layout.devices[d]
    asked = now.goes_to[d][these] < np.inf
    mine: These = these[asked]
    others: These = these[~asked]
    if not len(mine):
        return others
    now.working[d][mine] = True
    if here.work is not None:
        _step(scene, person, d, mine, first=True)
        return others
    turns = time_of(scene, person, d, "turns", here.collar.turns, mine)
    rate = climbed(turns, here.collar.rise_per_turn)  # type: ignore[arg-type]
    now.climb[d][mine] = -rate
    goes_on(scene, person, mine, TURNS_BACK, (now.held[d][mine] - now.goes_to[d][mine]) / rate)
    return others


def is_done(scene: Scene, person: int, d: int, these: These) -> None:
    """A collar has been turned back, or a step of work is done."""
    if not len(these):
        return
    now = scene.now
    if scene.layout.devices[d].work is None:
        now.climb[d][these], now.held[d][these] = 0.0, now.goes_to[d][these]
        _over(scene, person, d, these)
        return
    grew = now.then_pile[d][these] - now.pile[d][these]
    put_on(now, d, these[grew > 0], grew[grew > 0])
    now.held[d][these], now.pile[d][these] = now.then[d][these], now.then_pile[d][these]
    _step(scene, person, d, these)


def _step(scene: Scene, person: int, d: int, these: These, first: bool = False) -> None:
    """Start the next step of each, if there is one."""
    now, work = scene.now, scene.layout.devices[d].work
    assert work is not None
    held, pile, over = now.held[d][these], now.pile[d][these], np.ones(len(these), dtype=bool)
    for step in down_steps(work, held, pile, top(now, d, these), now.goes_to[d][these], first):
        mine = these[step.of]
        if not len(mine):
            continue
        over &= ~step.of
        take_off(now, d, mine[step.pile[step.of] < pile[step.of]])
        now.held[d][mine], now.pile[d][mine] = step.meanwhile[step.of], step.pile[step.of]
        now.then[d][mine], now.then_pile[d][mine] = step.then[step.of], step.then_pile[step.of]
        now.open[d][mine] = work.open
        goes_on(scene, person, mine, LETS_DOWN, time_of(scene, person, d, step.doing, step.takes, mine) * step.times)
    _over(scene, person, d, these[over])


def _over(scene: Scene, person: int, d: int, these: These) -> None:
    """The device is let down: its catcher looks for the next one."""
    now = scene.now
    now.working[d][these] = now.open[d][these] = False
    now.goes_to[d][these] = np.inf
    look_for_work(scene, person, these)
