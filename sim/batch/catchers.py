"""The catchers of many lifts: what each does when what they were at is done, and when word comes from the load.

The same cycle as `sim/story/catchers.py`: look for work (`looking.py`), do it, look again. `these` are always the lifts
in which it happens just now, an index array of shape (k,), each at its own `since`.
"""

from __future__ import annotations

import numpy as np

from sim.batch import let_down
from sim.batch.looking import asked, can_be_worked, goes_on, is_caught, look_for_work, react, time_of, wait
from sim.batch.parts.arrays import Array, Flags, These
from sim.batch.parts.moment import CLOSES, FOLLOWS, LETS_DOWN, REACTS, SEATS, TURNS_BACK, WAITS, WALKS, WORKS
from sim.batch.parts.piles import put_on
from sim.batch.scene import Scene
from sim.model.devices import EXACT
from sim.model.devices.collar import climbed


def _left(scene: Scene, d: int, these: These) -> Array:
    """What a collar could still take up of its gap [m]."""
    most = np.minimum(asked(scene, d, these), scene.layout.devices[d].device.ends_at)
    return np.asarray(most - scene.now.held[d][these])


def done(scene: Scene, person: int, these: These) -> None:
    """What this person was at is done in these lifts."""
    now = scene.now
    phase, job = now.phase[person][these], now.job[person][these]
    for d in scene.layout.devices_of[person]:
        at_it = job == d
        if scene.layout.comes_down:
            let_down.is_done(scene, person, d, these[at_it & ((phase == TURNS_BACK) | (phase == LETS_DOWN))])
        for each in (WALKS, REACTS, CLOSES, SEATS, WORKS):
            mine = these[at_it & (phase == each)]
            if each == REACTS and scene.layout.comes_down:
                mine = let_down.begin(scene, person, d, mine)
            if not len(mine):
                continue
            if each == WALKS:
                react(scene, person, d, mine)
            elif each == CLOSES:
                close_in(scene, person, d, mine)
            elif each == SEATS:
                _look_again(scene, person, d, mine)
            elif each == REACTS and scene.layout.devices[d].work is None:
                _turn(scene, person, d, mine)
            elif each == REACTS:
                _begin_work(scene, person, d, mine)
            else:
                higher = now.then_pile[d][mine] - now.pile[d][mine]
                grew = higher > 0
                if scene.layout.comes_down:
                    put_on(now, d, mine[grew], higher[grew])
                now.held[d][mine], now.pile[d][mine] = now.then[d][mine], now.then_pile[d][mine]
                _next_step(scene, person, d, mine, grew)


def steps_begin_or_end(scene: Scene, person: int, these: These) -> bool:
    """Whether what is done begins, or ends, a step of work, so that what a place holds may jump."""
    worked = np.array([here.work is not None for here in scene.layout.devices])
    phase, job = scene.now.phase[person][these], scene.now.job[person][these]
    return bool((worked[job] & ((phase == REACTS) | (phase == WORKS) | (phase == LETS_DOWN))).any())


def _turn(scene: Scene, person: int, d: int, these: These) -> None:
    """Begin to turn a collar up to the load."""
    now, collar = scene.now, scene.layout.devices[d].collar
    now.start[d][these], now.working[d][these] = now.held[d][these], True
    turns = time_of(scene, person, d, "turns", collar.turns, these)
    now.climb[d][these] = climbed(turns, collar.rise_per_turn)  # type: ignore[arg-type]
    close_in(scene, person, d, these)


def close_in(scene: Scene, person: int, d: int, these: These) -> None:
    """Stay with a load that moves; close what is left once it is at rest; then seat, if there was anything to do."""
    if not len(these):
        return
    now, here = scene.now, scene.layout.devices[d]
    p, left = here.place, _left(scene, d, these)
    moves = now.moving[p][these] > 0
    wait(scene, person, these[moves], FOLLOWS)
    closes = ~moves & (left > EXACT)
    mine = these[closes]
    goes_on(scene, person, mine, CLOSES, left[closes] / now.climb[d][mine])
    met = these[~moves & ~closes]
    if not len(met):
        return
    now.climb[d][met], now.held[d][met] = 0.0, now.held[d][met] + left[~moves & ~closes]
    nothing = now.held[d][met] <= now.start[d][met] + EXACT
    idle, seats = met[nothing], met[~nothing]
    now.working[d][idle] = False
    is_caught(scene, d, idle)
    look_for_work(scene, person, idle)
    goes_on(scene, person, seats, SEATS, time_of(scene, person, d, "seat", here.collar.seat, seats))


def _begin_work(scene: Scene, person: int, d: int, these: These) -> None:
    """Start on what the demand asks for now, if the load is at rest."""
    now, here = scene.now, scene.layout.devices[d]
    assert here.work is not None
    can = can_be_worked(scene, d, these)
    look_for_work(scene, person, these[~can])
    mine = these[can]
    now.working[d][mine] = True
    now.goal[d][mine] = asked(scene, d, mine)
    now.held[d][mine] = here.work.begun(now.held[d][mine], now.pile[d][mine])
    _step(scene, person, d, mine)


def _step(scene: Scene, person: int, d: int, these: These) -> None:
    """Start the next step of each, or look again where all are done."""
    now, work = scene.now, scene.layout.devices[d].work
    assert work is not None
    over = np.ones(len(these), dtype=bool)
    for step in work.steps(now.held[d][these], now.pile[d][these], now.goal[d][these], now.tight[these]):
        mine = these[step.of]
        over &= ~step.of
        now.then[d][mine], now.then_pile[d][mine] = step.then[step.of], step.pile[step.of]
        now.open[d][mine] = work.open
        goes_on(scene, person, mine, WORKS, time_of(scene, person, d, step.doing, step.takes, mine) * step.times)
    _work_is_over(scene, person, d, these[over])


def _next_step(scene: Scene, person: int, d: int, these: These, grew: Flags) -> None:
    """The step after one that is done: as planned, or chosen anew while at rest after a piece (`grew`, (k,))."""
    now, here = scene.now, scene.layout.devices[d]
    assert here.work is not None
    if here.work.anew:
        goes_on = grew & can_be_worked(scene, d, these)
        _work_is_over(scene, person, d, these[~goes_on])
        these = these[goes_on]
        now.goal[d][these] = asked(scene, d, these)
    _step(scene, person, d, these)


def _work_is_over(scene: Scene, person: int, d: int, these: These) -> None:
    """All steps of a piece of work are done."""
    scene.now.open[d][these] = False
    _look_again(scene, person, d, these)


def _look_again(scene: Scene, person: int, d: int, these: These) -> None:
    """The work is done: the device is caught, unless there is more to capture."""
    now, p = scene.now, scene.layout.devices[d].place
    now.working[d][these] = False
    now.captures[p][these] += 1
    is_caught(scene, d, these[~(can_be_worked(scene, d, these) | (now.moving[p][these] > 0))])
    look_for_work(scene, person, these)


# --- word from the load


def load_begins(scene: Scene, place: int, these: These) -> None:
    """A place begins to move: whoever waits there sees whether there is something to do."""
    now = scene.now
    for person in dict.fromkeys(scene.layout.devices[d].person for d in scene.layout.devices_at[place]):
        look_for_work(scene, person, these[now.phase[person][these] == WAITS])


def load_stops(scene: Scene, place: int, these: These) -> None:
    """A place has come to rest: what can capture nothing, and nobody is at work on, is caught."""
    for d in scene.layout.devices_at[place]:
        busy = scene.now.working[d][these] | can_be_worked(scene, d, these)
        is_caught(scene, d, these[~busy])


def let_be(scene: Scene, places: tuple[int, ...], these: These) -> None:
    """Who was on the way to, or reacting to, what has been caught meanwhile is idle, and looks for other work."""
    now = scene.now
    for d in (d for place in places for d in scene.layout.devices_at[place]):
        person = scene.layout.devices[d].person
        phase = now.phase[person][these]
        idle = now.caught[d][these] & (now.job[person][these] == d) & ((phase == REACTS) | (phase == WALKS))
        look_for_work(scene, person, these[idle])


def sees_the_stop(scene: Scene, side: int, these: These) -> None:
    """Word that a side has stopped: who was waiting looks for work, who stays with the load closes in."""
    now, layout = scene.now, scene.layout
    devices = [d for place in layout.places_of[side] for d in layout.devices_at[place]]
    for person in dict.fromkeys(layout.devices[d].person for d in devices):
        phase, job = now.phase[person][these], now.job[person][these]
        look_for_work(scene, person, these[phase == WAITS])
        for d in layout.devices_of[person]:
            if d in devices:
                rests = now.moving[layout.devices[d].place][these] == 0
                close_in(scene, person, d, these[(job == d) & (phase == FOLLOWS) & rests])
