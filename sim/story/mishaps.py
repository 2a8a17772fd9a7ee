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
from sim.story.site import Site


class Mishaps:
    """The scenario's mishaps, asked by the people of the lift, or breaking in on them."""

    def __init__(self, site: Site, people: AtWork) -> None:
        self.site = site
        self.people = people
        self.all = site.scenario.mishaps
        self.ended: dict[tuple[int, str], simpy.Event] = {(m.call, m.phase): site.env.event() for m in self.all}
        self.under_way = 0  # called sides that have not stopped yet

    def start(self) -> None:
        """Set those going that break in at the end of a call."""
        for mishap in self.all:
            if mishap.kind in (*LOSSES, "stop"):
                self.site.env.process(self._break_in(mishap))

    # --- what the people ask

    def call_goes_out(self, call: int, sides: int) -> None:
        """A call to so many sides goes out."""
        self.under_way = sides
        self.site.false_reports = {m.who for m in self.all if m.kind == "false-caught" and m.call == call}
        for m in self.all:
            if m.kind == "slow" and m.call == call:
                self.slows(m.who, m.factor)

    def misses(self, side: SideNow, call: int) -> bool:
        """Whether this call is one that the side's operator is to miss."""
        return any(m.kind == "missed" and m.call == call and m.who == side.lifter.name for m in self.all)

    def side_has_stopped(self, call: int, phase: str = "") -> None:
        """A called side has stopped, or was missed; with the last one the call, and its last phase, has ended."""
        self.under_way -= 1
        if self.under_way == 0:
            for each in dict.fromkeys(("", phase)):
                self.has_ended(call, each)

    def has_ended(self, call: int, phase: str) -> None:
        """A phase of a call has ended."""
        if (call, phase) in self.ended:
            self.ended[call, phase].succeed()

    def slowness(self, catcher: str) -> float:
        """How many times as long this catcher takes by now."""
        factor = 1.0
        for m in self.all:
            if m.kind == "slow" and m.who == catcher and m.call <= self.site.call:
                factor *= m.factor
        return factor

    def slows(self, catcher: str, factor: float) -> None:
        """What is left of what this catcher is at takes so many times as long from now on."""
        job, person = self.people.jobs.get(catcher), self.people.catchers.get(catcher)
        at_it = None if person is None else person.target
        if job is None or at_it is None:
            return
        self.site.bring_up(job.place)
        job.climb /= factor
        self.site.env.stretch(at_it, factor)
        self.site.book_place(job.place, catcher, What.SLOWS, job.device.name)

    # --- what breaks in

    def _break_in(self, mishap: Mishap) -> Process:
        env = self.site.env
        yield self.ended[mishap.call, mishap.phase]
        yield env.timeout(mishap.after)
        if mishap.kind == "stop":
            self.freezes()
            self.put_off(mishap.time)
            yield env.timeout(mishap.time)
            self.resumes()
        elif self.people.leader.is_alive:
            self._lose(next(s for s in self.site.sides if s.lifter.name == mishap.who), What(mishap.kind))

    def freezes(self) -> None:
        """Someone calls stop: everybody stays as they are."""
        self.site.book.leader(self.site.env.now, self.site.call, What.FREEZES, "someone called stop")
        self.stand_still()

    def stand_still(self) -> None:
        """Write down where everybody and everything is."""
        self.site.book_all(What.FREEZES)

    def put_off(self, seconds: float) -> None:
        """Whatever was under way goes on so many seconds later."""
        site = self.site
        for side in site.sides:
            side.u = side.u_at(site.env.now)
            side.rise = site.motion.rise(side.lifter.head, side.u)
            side.since = site.env.now + seconds
            side.end = on_grid(side.end + seconds) if side.end < inf else inf
        for place in site.places:
            place.since = site.env.now + seconds
        site.env.freeze(seconds)

    def resumes(self) -> None:
        """Everybody goes on."""
        self.site.book_all(What.RESUMES)

    def _lose(self, side: SideNow, loss: What) -> None:
        """The side comes down to its stop; nobody pumps any more; the lift ends."""
        site = self.site
        holding = site.holding(side, lifter_holds=loss == What.PRESSURE_LOST)
        stop = min(side.u_at(site.env.now), float(highest(holding.values())))
        note = ", ".join(name for name, u in holding.items() if u >= stop > 0) or "nothing above the start"
        for operator in self.people.operators:
            if operator.is_alive:
                operator.interrupt()
        for catcher, _ in self.people.at_side(side):
            catcher.interrupt()
        site.book_side(side, What.FALLS)
        for place in side.places:
            site.book_place(place, "", What.FALLS)
        for other in site.sides:
            site.cut_short(other)
        site.put(side, stop)
        for other in site.sides:
            if other.moving:
                site.stops(other)
            site.book_side(other, What.FELL if other is side else What.RESTS)
        for place in side.places:
            gone = loss == What.LIFTER_LOST and place.where.name == side.lifter.name
            for d in place.devices:
                d.working, d.climb, d.hands, d.caught, d.open = False, 0.0, False, True, d.open or gone
                d.goes_down_to = None
            site.book_place(place, "", What.FELL)
        words = "pressure lost" if loss == What.PRESSURE_LOST else "lifter lost"
        self.people.leader.interrupt(f"{side.lifter.name}: {words}; the side came down, caught by {note}")
        site.book.leader(site.env.now, site.call, loss, note)
