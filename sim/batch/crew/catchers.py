"""One catcher at one device, of many lifts at once: what is due next in each, and what happens then.

The same cycle as `Lift.catch`: see that there is something to do, react, work, look again. Each catcher has one thing
due at a time; between two of them the place runs evenly. Every kind of work stands in a file of its own (`works.py`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from sim.batch.crew.people import People
from sim.batch.crew.works import Work, work_of
from sim.batch.lines.arrays import ALL, Array, Chosen, Flags, at, keep, none, nonzero, on_grid, put, within
from sim.model.devices import EXACT, Collar, Device
from sim.model.devices.collar import climbed
from sim.model.draw import Draw

if TYPE_CHECKING:
    from sim.batch.stand.places import Place

WAITS, REACTS, CLOSES, FOLLOWS, SEATS, WORKS = range(6)


class Catcher:
    """One device at one place, and the one person who keeps it up."""

    arrays = ("phase", "due", "begun", "held", "caught", "open", "climb", "start")

    def __init__(self, device: Device, place: Place, name: str, people: People, n: int) -> None:
        self.device, self.place, self.name, self.people = device, place, name, people
        self.collar = device if isinstance(device, Collar) else None
        self.work: Work | None = None if self.collar else work_of(device, n)
        self.phase = np.full(n, WAITS, dtype=np.int8)
        self.due = np.full(n, np.inf)
        self.begun = np.zeros(n)  # when what is due was begun
        self.held = np.zeros(n)
        self.caught = np.ones(n, dtype=bool)
        self.open = np.zeros(n, dtype=bool)
        self.climb = np.zeros(n)
        self.start = np.zeros(n)  # what a collar held when it began to be turned

    # --- what there is to do

    def set_up(self, these: Chosen, slack: float) -> None:
        """At contact, or as far behind it as the tie's slack."""
        put(self, "held", these, self.device.at_start(slack).captured)
        put(self, "climb", these, 0.0)
        put(self, "open", these, False)
        if self.work is not None:
            self.work.set_up(these, self.device.at_start(slack).slack)
        nothing = np.zeros(len(self.held[these]))
        put(self, "caught", these, ~self.can_capture(these, nothing))

    def can_capture(self, these: Chosen, demand: Array) -> Flags:
        """Whether work begun now would make the device hold more than it does."""
        held = self.held[these]
        reach = demand if self.work is None else self.work.reach(these, held, demand)
        return reach > held + EXACT

    def can_be_worked(self, these: Chosen) -> Flags:
        """Whether the catcher could begin on it now; the place is brought up to now."""
        place = self.place
        demand = place.demand[these] - place.origin[these]
        moving = place.moving[these] > 0
        if self.device.chases == "with":
            return moving | (demand - self.held[these] > EXACT)
        return ~moving & self.can_capture(these, demand)

    def hands(self) -> Flags:
        """Whether hands are in."""
        if self.work is None or not self.work.hands:
            return np.zeros(len(self.phase), dtype=bool)
        return self.phase == WORKS  # type: ignore[no-any-return]

    def time(self, quantity: str, of: Draw, these: Chosen) -> float | Array:
        """How long something takes in this call [s]."""
        value = self.people.draw(self.name, quantity, of, self.place.call)
        return value if isinstance(value, float) else at(value, these)

    def next(self, these: Chosen, phase: int, due: Array | float, now: Array) -> None:
        """What these do from now on, and until when."""
        put(self, "phase", these, phase)
        put(self, "due", these, due)
        put(self, "begun", these, now)

    # --- word from the load

    def look_for_work(self, these: Chosen, now: Array) -> None:
        """React, where there is something to do; wait otherwise."""
        can = self.can_be_worked(these) & ~self.caught[these]
        self.next(within(these, can), REACTS, *self._after(within(these, can), now[can], "react", self.device.react))
        rest = within(these, ~can)
        if not none(rest):
            self.next(rest, WAITS, np.inf, now[~can])

    def _after(self, these: Chosen, now: Array, quantity: str, of: Draw) -> tuple[Array, Array]:
        return on_grid(now + self.time(quantity, of, these)), now

    def load_begins(self, these: Chosen, now: Array) -> None:
        """The load begins to move: whoever is waiting, and follows a moving load, reacts."""
        if self.device.chases != "with":
            return
        waiting = self.phase[these] == WAITS
        if waiting.any():
            self.look_for_work(within(these, waiting), now[waiting])

    def load_stops(self, these: Chosen, now: Array) -> None:
        """The load is at rest: whoever can do something is at it or begins; what can capture nothing is caught."""
        phase = self.phase[these].copy()
        works = phase > REACTS
        can = ~works & self.can_be_worked(these)
        nothing = ~works & ~can
        if nothing.any():
            self._caught(within(these, nothing), now[nothing])
            idle = nothing & (phase == REACTS)  # to a move that gave nothing to capture: nothing to react to any more
            self.next(within(these, idle), WAITS, np.inf, now[idle])
        begins = can & (phase == WAITS)
        if begins.any():
            self.look_for_work(within(these, begins), now[begins])
        follows = phase == FOLLOWS
        if follows.any():
            self._close_in(within(these, follows), now[follows])

    def _caught(self, these: Chosen, now: Array) -> None:
        """It can capture no more of what it has been given."""
        put(self, "caught", these, True)
        self.place.row(these, now)
        self._note_caught(these, now)

    def _note_caught(self, these: Chosen, now: Array) -> None:
        put(self.place, "caught_at", these, now)
        put(self.place, "caught_begun", these, self.begun[these])

    # --- what is due

    def goes_on(self, these: Chosen, now: Array) -> None:
        """What was due is done, at `now` of each of these; the place is brought up to it."""
        phase = self.phase[these].copy()  # what is done for some changes it
        first = phase[0]
        if (phase == first).all():
            self._goes_on(first, these, now)
            return
        for each in np.unique(phase):
            mine = phase == each
            self._goes_on(each, within(these, mine), now[mine])

    def _goes_on(self, phase: int, these: Chosen, now: Array) -> None:
        if phase == REACTS:
            if self.collar is not None:
                self._turn(these, now)
            else:
                self._begin_work(these, now)
        elif phase == CLOSES:
            self._close_in(these, now)
        elif phase == SEATS:
            self._look_again(these, now)
        elif phase == WORKS:
            self._next_step(these, now)

    def _turn(self, these: Chosen, now: Array) -> None:
        """Begin to turn a collar up to the load."""
        assert self.collar is not None
        put(self, "start", these, self.held[these].copy())
        turns: Any = self.time("turns", self.collar.turns, these)
        put(self, "climb", these, climbed(turns, self.collar.rise_per_turn))
        put(self, "phase", these, FOLLOWS)
        self.place.row(these, now)
        self._close_in(these, now)

    def _close_in(self, these: Chosen, now: Array) -> None:
        """Stay with a load that moves; close what is left once it is at rest; then seat."""
        assert self.collar is not None
        place = self.place
        moving = place.moving[these] > 0
        if moving.any():
            self.next(within(these, moving), FOLLOWS, np.inf, now[moving])
        gap = place.demand[these] - place.origin[these] - self.held[these]
        closes = ~moving & (gap > EXACT)
        if closes.any():
            mine = within(these, closes)
            self.next(mine, CLOSES, on_grid(now[closes] + gap[closes] / self.climb[mine]), now[closes])
        met = ~moving & ~closes
        if met.any():
            self._seat(within(these, met), now[met])

    def _seat(self, these: Chosen, now: Array) -> None:
        """The collar has met a load at rest: seat it, unless it never had anything to do."""
        assert self.collar is not None
        put(self, "climb", these, 0.0)
        put(self, "held", these, self.place.demand[these] - self.place.origin[these])
        nothing = self.held[these] <= self.start[these] + EXACT
        if nothing.any():
            mine = within(these, nothing)
            put(self, "caught", mine, True)
            self.place.row(mine, now[nothing])
            self._note_caught(mine, now[nothing])
            self.next(mine, WAITS, np.inf, now[nothing])
        if not nothing.all():
            mine = within(these, ~nothing)
            self.place.row(mine, now[~nothing])
            self.next(mine, SEATS, *self._after(mine, now[~nothing], "seat", self.collar.seat))

    def _begin_work(self, these: Chosen, now: Array) -> None:
        """Start on what the demand asks for now, if the load is at rest."""
        assert self.work is not None
        can = self.can_be_worked(these) & ~self.caught[these]
        if not can.all():
            self.next(within(these, ~can), WAITS, np.inf, now[~can])
        if can.any():
            mine = within(these, can)
            before = self.place.state(mine)[0].copy()
            self.work.plan(mine, self.held[mine].copy(), self.place.demand[mine] - self.place.origin[mine])
            self._step(mine, now[can], before)

    def _next_step(self, these: Chosen, now: Array) -> None:
        """A step is done: on to the next one, if there is one."""
        assert self.work is not None
        before = self.place.state(these)[0].copy()
        put(self, "held", these, self.work.done(these))
        self._step(these, now, before)

    def _step(self, these: Chosen, now: Array, before: Array) -> None:
        """Start the next step of each, or look again where all are done."""
        assert self.work is not None
        for step in self.work.next_steps(these, self.held[these].copy()):
            mine, when = within(these, step.of), now[step.of]
            put(self, "held", mine, step.meanwhile)
            put(self, "open", mine, self.work.open)
            self.next(mine, WORKS, *self._after(mine, when, step.doing, step.takes))
            self.place.row(mine, when, before[step.of])
        over = self.work.finished(these)
        if over.any():
            mine = within(these, over)
            put(self, "open", mine, False)
            self._look_again(mine, now[over], before[over])

    def _look_again(self, these: Chosen, now: Array, before: Array | None = None) -> None:
        """The work is done: the device is caught, unless there is more to capture."""
        moving = self.place.moving[these] > 0
        put(self, "caught", these, False)
        caught = ~(moving | self.can_be_worked(these))
        put(self, "caught", these, caught)
        if caught.any():
            self._note_caught(within(these, caught), now[caught])
        self.place.row(these, now, before)
        self.place.captures[these] += 1
        self.look_for_work(these, now)

    def keep(self, mask: Chosen) -> None:
        """Leave out the lifts that have ended."""
        keep(self, self.arrays, mask)
        if self.work is not None:
            keep(self.work, self.work.arrays, mask)


def handle_due(place: Place, limit: Array) -> None:
    """Let everything happen at a place that is due by a time of each lift, in the order of time."""
    catchers = place.catchers
    while True:
        earliest = catchers[0].due if len(catchers) == 1 else np.minimum.reduce([c.due for c in catchers])
        due = earliest <= limit
        if not due.any():
            return
        _handle(place, due, earliest)


def handle_until_caught(place: Place, waited_for: Flags) -> None:
    """The load is at rest: let everything happen until every device at the place is caught."""
    while True:
        due = waited_for & ~place.all_caught()
        if not due.any():
            return
        earliest = np.minimum.reduce([c.due for c in place.catchers])
        _handle(place, due, earliest)


def _handle(place: Place, due: Flags, earliest: Array) -> None:
    mine = nonzero(due)
    these: Chosen = ALL if len(mine) == len(due) else mine
    now = earliest[these].copy()
    if not np.isfinite(now).all():
        raise RuntimeError(f"{place.name}: nobody is at work on what is not caught")
    place.bring_up(these, now)
    catchers = place.catchers
    if len(catchers) == 1:
        catchers[0].goes_on(these, now)
        return
    # at one instant, what was begun first comes first
    order = np.stack([np.where(c.due[these] == now, c.begun[these], np.inf) for c in catchers]).argmin(axis=0)
    for n, catcher in enumerate(catchers):
        turn = order == n
        if turn.any():
            catcher.goes_on(within(these, turn), now[turn])
