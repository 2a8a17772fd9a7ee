"""What a leader knows of the lift, waits for and says; and how an operator hears it. The calls are in `lift.py`."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from math import inf

import simpy

from sim.model.devices import EXACT
from sim.model.loads import lifter_force
from sim.model.pump import ram_travel
from sim.record.what import Outcome, What
from sim.story.at_work import AtWork
from sim.story.catchers import Catchers
from sim.story.clock import LOOKS, MOVES, Process, Turn
from sim.story.ending import Ended
from sim.story.mishaps import Mishaps
from sim.story.now import SideNow, mean_u, names_of
from sim.story.site import Site

Act = Callable[[SideNow, int], Process]  # what an operator does at a word, in a call


class Leading(ABC):
    """The people of one lift, at work on its site, and what their leader goes by."""

    def __init__(self, site: Site) -> None:
        self.site = site
        self.env = site.env
        self.rule = site.scenario.leader
        self.last_call = -inf  # when it was made [s]
        self.people = AtWork()
        self.mishaps = Mishaps(site, self.people)
        self.catchers = Catchers(site, self.people, self.mishaps)

    def set_going(self) -> None:
        """Everyone takes up their work."""
        self.people.operators = [self.env.process(self.operate(side)) for side in self.site.sides]
        self.catchers.set_going()
        self.people.leader = self.env.process(self.lead())
        self.mishaps.start()

    @abstractmethod
    def lead(self) -> Process:
        """The leader's lift."""

    # --- what is waited for

    def takes_a_look(self) -> Process:
        """The leader's turn at this instant: everything is as it is now."""
        yield Turn(self.env, LOOKS)
        for place in self.site.places:
            self.site.bring_up(place)

    def one_look(self) -> Process:
        """The time that a look takes."""
        yield self.env.timeout(self.rule.look)
        yield Turn(self.env, LOOKS)

    def until_the_next_look(self) -> Process:
        """Keep the pace, and let every operator be ready."""
        if self.last_call + self.rule.pace > self.env.now:
            yield self.env.timeout(self.last_call + self.rule.pace - self.env.now)
        yield from self.until_ready()

    def until_ready(self) -> Process:
        """Wait until every operator has done what was called."""
        while not self.all_ready:
            yield self.wait()

    def until_all_caught(self) -> Process:
        """Wait until nothing is still being captured."""
        while not self.site.all_caught:
            yield self.wait()

    def wait(self) -> simpy.Event:
        """For word that something has changed."""
        self.site.leader_waits = self.env.event()
        return self.site.leader_waits

    # --- what is said

    def say(self, what: What, note: str) -> None:
        """Write down what the leader does."""
        self.site.book.leader(self.env.now, self.site.call, what, note)

    def makes_a_call(self, what: What, sides: list[SideNow], act: Act) -> None:
        """A call goes out to the operators of these sides."""
        self.site.call += 1
        self.last_call = self.env.now
        self.say(what, names_of(sides))
        self.mishaps.call_goes_out(self.site.call, len(sides))
        self.tell(sides, act)

    def tell(self, sides: list[SideNow], act: Act) -> None:
        """These operators have something to do, and are ready once it is done."""
        for side in sides:
            called, side.called, side.ready = side.called, self.env.event(), False
            called.succeed((act, self.site.call))

    # --- what is seen

    @property
    def point_rise(self) -> float:
        """How far the needed point has risen, at the mean of the sides [m]."""
        u = mean_u(self.site.sides, self.env.now)
        return self.site.motion.rise(self.site.scenario.need.point, u)

    @property
    def settled_rise(self) -> float:
        """What is left of that once the load comes down onto its captures [m]."""
        return self.site.motion.rise(self.site.scenario.need.point, self.site.settled_u)

    @property
    def refused(self) -> bool:
        """Whether a look finds a station open, hands in, or a gap over the limit."""
        limit = self.rule.gap_limit + EXACT
        return any(p.open or p.hands or p.gap > limit for p in self.site.places)

    @property
    def over_limit(self) -> list[str]:
        """The stations with a gap over the limit."""
        return [p.name for p in self.site.places if p.gap > self.rule.gap_limit + EXACT]

    @property
    def not_caught(self) -> str:
        """The stations where something is still being captured."""
        return ", ".join(p.name for p in self.site.places if not p.caught)

    @property
    def all_ready(self) -> bool:
        """Whether every operator could hear a call."""
        return all(s.ready for s in self.site.sides)

    @property
    def low_and_high(self) -> tuple[SideNow, SideNow] | None:
        """The low side and the high one, where they differ by more than the level limit."""
        limit, sides = self.rule.level_limit, self.site.sides
        if limit is None or len(sides) < 2:
            return None
        rises = [self.site.motion.rise(s.lifter.head, s.u) for s in sides]
        if max(rises) - min(rises) <= limit + EXACT:
            return None
        return sides[rises.index(min(rises))], sides[rises.index(max(rises))]

    def end_at_the_last_call(self) -> None:
        """No call is made that is one too many.

        Raises
        ------
        Ended
            All that are allowed were made.
        """
        if self.site.call >= self.rule.max_calls:
            why = f"{self.site.call} calls were made, the most allowed (max_calls)"
            raise Ended(Outcome.NOT_REACHED, why)

    def can_move(self, side: SideNow) -> bool:
        """Whether a full stroke would move this lifter at all."""
        if side.lifter.pump is None:
            return True
        force = lifter_force(side.lifter, self.site.scenario.load, self.site.motion, side.u)
        return ram_travel(side.lifter, side.free, force, side.travel, 1.0) > EXACT

    # --- the operators

    def operate(self, side: SideNow) -> Process:
        """One operator's lift: hear the call, answer it, be ready for the next."""
        try:
            while True:
                act, call = yield side.called
                yield from act(side, call)
                side.ready = True
                self.site.wake_leader()
        except simpy.Interrupt:
            self.site.book_side(side, What.LETS_GO)

    def misses(self, side: SideNow, call: int) -> bool:
        """Whether this operator misses this call; if so, that is written down."""
        name, person = side.lifter.name, side.lifter.operator
        missed = self.site.chance.happens(name, "miss", person.miss, call) or self.mishaps.misses(side, call)
        if missed:
            self.site.book_side(side, What.MISSES)
        return missed

    def reacts(self, side: SideNow, call: int) -> Process:
        """From hearing the word to doing it."""
        self.site.book_side(side, What.REACTS)
        react = side.lifter.operator.react
        yield self.env.timeout(self.site.chance.draw(side.lifter.name, "react", react, call))
        yield Turn(self.env, MOVES)

    def strokes_of(self, side: SideNow, call: int) -> tuple[float, float, float]:
        """How long this person's stroke and recovering take in this call [s], and how full a stroke is."""
        name, person, chance = side.lifter.name, side.lifter.operator, self.site.chance
        stroke = chance.draw(name, "stroke", person.stroke, call)
        recover = chance.draw(name, "recover", person.recover, call)
        return stroke, recover, chance.draw(name, "fill", person.fill, call)

    def one_stroke(self, side: SideNow, seconds: float, fill: float) -> Process:
        """One working movement of the handle."""
        self.site.stroke(side, seconds, fill)
        self.site.book_side(side, What.STROKES)
        yield self.env.timeout(seconds)
        self.site.stroke_ends(side)
        self.site.book_side(side, What.RECOVERS)
