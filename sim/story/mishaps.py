"""What goes wrong on purpose in a scenario, and what it does to the lift."""

from __future__ import annotations

from math import inf

import simpy

from sim.model.scenario import Mishap
from sim.model.stops import highest
from sim.record.what import LOSSES, What
from sim.story.at_work import AtWork
from sim.story.clock import Process, on_grid
from sim.story.now import SideNow
from sim.story.stage import Stage


class Mishaps:
    """The scenario's mishaps, asked by the people of the lift, or breaking in on them."""

    def __init__(self, stage: Stage, people: AtWork) -> None:
        self.stage = stage
        self.people = people
        self.all = stage.scenario.mishaps
        self.ended: dict[int, simpy.Event] = {m.call: stage.env.event() for m in self.all}
        self.under_way = 0  # called sides that have not stopped yet

    def start(self) -> None:
        """Set those going that break in at the end of a call."""
        for mishap in self.all:
            if mishap.kind in (*LOSSES, "stop"):
                self.stage.env.process(self._break_in(mishap))

    # --- what the people ask

    def call_goes_out(self, call: int, sides: int) -> None:
        """A call to so many sides goes out."""
        self.under_way = sides
        self.stage.false_reports = {m.who for m in self.all if m.kind == "false-caught" and m.call == call}

    def misses(self, side: SideNow, call: int) -> bool:
        """Whether this call is one that the side's operator is to miss."""
        return any(m.kind == "missed" and m.call == call and m.who == side.lifter.name for m in self.all)

    def side_has_stopped(self, call: int) -> None:
        """A called side has stopped, or was missed; with the last one the call has ended."""
        self.under_way -= 1
        if self.under_way == 0 and call in self.ended:
            self.ended[call].succeed()

    def slowness(self, catcher: str) -> float:
        """How many times as long this catcher takes by now."""
        factor = 1.0
        for m in self.all:
            if m.kind == "slow" and m.who == catcher and m.call <= self.stage.call:
                factor *= m.factor
        return factor

    # --- what breaks in

    def _break_in(self, mishap: Mishap) -> Process:
        env = self.stage.env
        yield self.ended[mishap.call]
        yield env.timeout(mishap.after)
        if mishap.kind == "stop":
            self.freezes()
            self.put_off(mishap.time)
            yield env.timeout(mishap.time)
            self.resumes()
        elif self.people.leader.is_alive:
            self._lose(next(s for s in self.stage.sides if s.lifter.name == mishap.who), What(mishap.kind))

    def freezes(self) -> None:
        """Someone calls stop: everybody stays as they are."""
        self.stage.book.leader(self.stage.env.now, self.stage.call, What.FREEZES, "someone called stop")
        self.stand_still()

    def stand_still(self) -> None:
        """Write down where everybody and everything is."""
        self._book_all(What.FREEZES)

    def put_off(self, seconds: float) -> None:
        """Whatever was under way goes on so many seconds later."""
        stage = self.stage
        for side in stage.sides:
            side.u = side.u_at(stage.env.now)
            side.rise = stage.motion.rise(side.lifter.head, side.u)
            side.since = stage.env.now + seconds
            side.end = on_grid(side.end + seconds) if side.end < inf else inf
        for place in stage.places:
            place.since = stage.env.now + seconds
        stage.env.freeze(seconds)

    def resumes(self) -> None:
        """Everybody goes on."""
        self._book_all(What.RESUMES)

    def _book_all(self, what: What) -> None:
        for side in self.stage.sides:
            self.stage.book_side(side, what)
        for place in self.stage.places:
            self.stage.book_place(place, "", what)

    def _lose(self, side: SideNow, loss: What) -> None:
        """The side comes down to its stop; nobody pumps any more; the lift ends."""
        stage = self.stage
        holding = stage.holding(side, lifter_holds=loss == What.PRESSURE_LOST)
        stop = min(side.u_at(stage.env.now), float(highest(holding.values())))
        note = ", ".join(name for name, u in holding.items() if u >= stop > 0) or "nothing above the start"
        for operator in self.people.operators:
            if operator.is_alive:
                operator.interrupt()
        for catcher, _ in self.people.at_side(side):
            catcher.interrupt()
        stage.book_side(side, What.FALLS)
        for place in side.places:
            stage.book_place(place, "", What.FALLS)
        for other in stage.sides:
            stage.cut_short(other)
        stage.put(side, stop)
        for other in stage.sides:
            if other.moving:
                stage.stops(other)
            stage.book_side(other, What.FELL if other is side else What.RESTS)
        for place in side.places:
            gone = loss == What.LIFTER_LOST and place.where.name == side.lifter.name
            for d in place.devices:
                d.working, d.climb, d.hands, d.caught, d.open = False, 0.0, False, True, d.open or gone
            stage.book_place(place, "", What.FELL)
        words = "pressure lost" if loss == What.PRESSURE_LOST else "lifter lost"
        self.people.leader.interrupt(f"{side.lifter.name}: {words}; the side came down, caught by {note}")
        stage.book.leader(stage.env.now, stage.call, loss, note)
