"""The catchers of many lifts: what each does when what they were at is done, and when word comes from the load.

The same cycle as `sim/story/catchers.py`: see that there is something to do, go there, react, work, look again. `these`
are always the lifts in which it happens just now, an index array of shape (k,), each at its own `since`.
"""

from __future__ import annotations

import numpy as np

from sim.batch.parts.arrays import Array, Flags, These, Whole, on_grid
from sim.batch.parts.moment import CLOSES, FOLLOWS, REACTS, SEATS, WAITS, WALKS, WORKS, can_capture, captured
from sim.batch.scene import Scene
from sim.model.devices import EXACT
from sim.model.devices.collar import climbed
from sim.model.draw import Draw


def look_for_work(scene: Scene, person: int, these: These) -> None:
    """Go to the widest gap of those that this person can work at now, and react; wait where there is none."""
    if not len(these):
        return
    now, mine = scene.now, scene.layout.devices_of[person]
    can = np.array([can_be_worked(scene, d, these) for d in mine])
    first = np.zeros(len(these), dtype=np.int64) if len(mine) == 1 else _widest(scene, mine, can, these)
    some = can.any(axis=0)
    _wait(scene, person, these[~some])
    these, first = these[some], first[some]
    for n, d in enumerate(mine):
        there = these[first == n]
        if len(there):
            now.job[person][there] = d
            _go_to(scene, person, d, there)


def _widest(scene: Scene, mine: tuple[int, ...], can: Flags, these: These) -> Whole:
    """Which of a person's devices (m,), of those that can be worked at (m, k), is furthest behind at the place with the
    widest gap: (k,).
    """
    layout, now = scene.layout, scene.now
    at = np.array([layout.devices[d].place for d in mine])
    if (at != at[0]).any():
        gaps = (now.demand - captured(layout, now, now.held)[0])[np.ix_(at, these)]
        can = can & (at[:, None] == at[_first_largest(np.where(can, gaps, -np.inf))])
    behind = np.array([_gap(scene, d, these) for d in mine])
    return _first_largest(np.where(can, behind, -np.inf))


def _first_largest(gaps: Array) -> Whole:
    """The first of the largest of each column of gaps (m, k): (k,)."""
    return np.asarray((gaps > gaps.max(axis=0) - EXACT).argmax(axis=0))


def _go_to(scene: Scene, person: int, d: int, these: These) -> None:
    """Walk to a device if it is at another place than where this person is, and if walking is given; react there."""
    now, layout = scene.now, scene.layout
    walk = layout.scenario.walk.get(layout.people[person])
    if walk is not None:
        at = now.at[person][these]
        far = (at >= 0) & (at != layout.devices[d].place)
        _goes_on(scene, person, these[far], WALKS, _time(scene, person, -1, "walk", walk, these[far]))
        these = these[~far]
    _react(scene, person, d, these)


def _react(scene: Scene, person: int, d: int, these: These) -> None:
    here = scene.layout.devices[d]
    scene.now.at[person][these] = here.place
    _goes_on(scene, person, these, REACTS, _time(scene, person, d, "react", here.device.react, these))


def _wait(scene: Scene, person: int, these: These, phase: int = WAITS) -> None:
    """For word from the load."""
    now = scene.now
    now.phase[person][these], now.due[person][these], now.begun[person][these] = phase, np.inf, now.since[these]


def _goes_on(scene: Scene, person: int, these: These, phase: int, seconds: Array | float) -> None:
    """What these do from now on, and for how long."""
    now = scene.now
    time = now.since[these]
    now.phase[person][these], now.begun[person][these] = phase, time
    now.due[person][these] = on_grid(time + seconds)


def _time(scene: Scene, person: int, d: int, quantity: str, of: Draw, these: These) -> Array | float:
    """How long something takes in this call [s]."""
    value = scene.people.draw(scene.layout.people[person], quantity, of, scene.call, d)
    return value if isinstance(value, float) else value[these]


def _gap(scene: Scene, d: int, these: These) -> Array:
    """What a device does not hold of the demand [m]."""
    now, p = scene.now, scene.layout.devices[d].place
    return np.asarray(now.demand[p][these] - now.origin[p][these] - now.held[d][these])


def _left(scene: Scene, d: int, these: These) -> Array:
    """What a collar could still take up of its gap [m]."""
    now, here = scene.now, scene.layout.devices[d]
    demand = now.demand[here.place][these] - now.origin[here.place][these]
    return np.asarray(np.minimum(demand, here.device.ends_at) - now.held[d][these])


def can_be_worked(scene: Scene, d: int, these: These) -> Flags:
    """Whether its catcher could begin on a device now: (k,)."""
    now, here = scene.now, scene.layout.devices[d]
    p, waits = here.place, ~now.caught[d][these]
    moves = now.moving[p][these] > 0
    demand = now.demand[p][these] - now.origin[p][these]
    can = can_capture(scene.layout, now, d, these, demand)
    if here.device.chases == "with":
        return np.asarray(waits & np.where(moves, now.held[d][these] < here.device.ends_at - EXACT, can))
    return np.asarray(waits & ~moves & can)


# --- what they were at is done


def done(scene: Scene, person: int, these: These) -> None:
    """What this person was at is done in these lifts."""
    now = scene.now
    phase, job = now.phase[person][these], now.job[person][these]
    for d in scene.layout.devices_of[person]:
        at_it = job == d
        for each in (WALKS, REACTS, CLOSES, SEATS, WORKS):
            mine = these[at_it & (phase == each)]
            if not len(mine):
                continue
            if each == WALKS:
                _react(scene, person, d, mine)
            elif each == CLOSES:
                close_in(scene, person, d, mine)
            elif each == SEATS:
                _look_again(scene, person, d, mine)
            elif each == REACTS and scene.layout.devices[d].work is None:
                _turn(scene, person, d, mine)
            elif each == REACTS:
                _begin_work(scene, person, d, mine)
            else:
                grew = now.then_pile[d][mine] > now.pile[d][mine]
                now.held[d][mine], now.pile[d][mine] = now.then[d][mine], now.then_pile[d][mine]
                _next_step(scene, person, d, mine, grew)


def steps_begin_or_end(scene: Scene, person: int, these: These) -> bool:
    """Whether what is done begins, or ends, a step of work, so that what a place holds may jump."""
    worked = np.array([here.work is not None for here in scene.layout.devices])
    phase, job = scene.now.phase[person][these], scene.now.job[person][these]
    return bool((worked[job] & ((phase == REACTS) | (phase == WORKS))).any())


def _turn(scene: Scene, person: int, d: int, these: These) -> None:
    """Begin to turn a collar up to the load."""
    now, collar = scene.now, scene.layout.devices[d].collar
    now.start[d][these], now.working[d][these] = now.held[d][these], True
    turns = _time(scene, person, d, "turns", collar.turns, these)
    now.climb[d][these] = climbed(turns, collar.rise_per_turn)  # type: ignore[arg-type]
    close_in(scene, person, d, these)


def close_in(scene: Scene, person: int, d: int, these: These) -> None:
    """Stay with a load that moves; close what is left once it is at rest; then seat, if there was anything to do."""
    if not len(these):
        return
    now, here = scene.now, scene.layout.devices[d]
    p, left = here.place, _left(scene, d, these)
    moves = now.moving[p][these] > 0
    _wait(scene, person, these[moves], FOLLOWS)
    closes = ~moves & (left > EXACT)
    mine = these[closes]
    _goes_on(scene, person, mine, CLOSES, left[closes] / now.climb[d][mine])
    met = these[~moves & ~closes]
    if not len(met):
        return
    now.climb[d][met], now.held[d][met] = 0.0, now.held[d][met] + left[~moves & ~closes]
    nothing = now.held[d][met] <= now.start[d][met] + EXACT
    idle, seats = met[nothing], met[~nothing]
    now.working[d][idle] = False
    _caught(scene, d, idle)
    look_for_work(scene, person, idle)
    _goes_on(scene, person, seats, SEATS, _time(scene, person, d, "seat", here.collar.seat, seats))


def _begin_work(scene: Scene, person: int, d: int, these: These) -> None:
    """Start on what the demand asks for now, if the load is at rest."""
    now, here = scene.now, scene.layout.devices[d]
    assert here.work is not None
    can = can_be_worked(scene, d, these)
    look_for_work(scene, person, these[~can])
    mine = these[can]
    now.working[d][mine] = True
    now.goal[d][mine] = now.demand[here.place][mine] - now.origin[here.place][mine]
    now.held[d][mine] = here.work.begun(now.held[d][mine], now.pile[d][mine])
    _step(scene, person, d, mine)


def _step(scene: Scene, person: int, d: int, these: These) -> None:
    """Start the next step of each, or look again where all are done."""
    now, work = scene.now, scene.layout.devices[d].work
    assert work is not None
    over = np.ones(len(these), dtype=bool)
    for step in work.steps(now.held[d][these], now.pile[d][these], now.goal[d][these]):
        mine = these[step.of]
        over &= ~step.of
        now.then[d][mine], now.then_pile[d][mine] = step.then[step.of], step.pile[step.of]
        now.open[d][mine] = work.open
        _goes_on(scene, person, mine, WORKS, _time(scene, person, d, step.doing, step.takes, mine) * step.times)
    _work_is_over(scene, person, d, these[over])


def _next_step(scene: Scene, person: int, d: int, these: These, grew: Flags) -> None:
    """The step after one that is done: as planned, or chosen anew while at rest after a piece (`grew`, (k,))."""
    now, here = scene.now, scene.layout.devices[d]
    assert here.work is not None
    if here.work.anew:
        goes_on = grew & can_be_worked(scene, d, these)
        _work_is_over(scene, person, d, these[~goes_on])
        these = these[goes_on]
        now.goal[d][these] = now.demand[here.place][these] - now.origin[here.place][these]
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
    _caught(scene, d, these[~(can_be_worked(scene, d, these) | (now.moving[p][these] > 0))])
    look_for_work(scene, person, these)


def _caught(scene: Scene, d: int, these: These) -> None:
    """The device can capture no more of what it has been given."""
    now = scene.now
    now.caught[d][these] = True
    now.caught_at[these], now.caught_place[these] = now.since[these], scene.layout.devices[d].place


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
        _caught(scene, d, these[~busy])


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
