"""The story of one lift: leader, operators and catchers, each a process, in the order people act.

Start reading here. A call goes out; every called operator reacts, strokes, recovers; every catcher sees the load move
or stop, reacts, and takes up what was given (`catchers.py`); the leader looks, and calls again or holds. `site.py`
knows where everything stands, and `clock.py` who goes first when several act at one instant.
"""

from __future__ import annotations

from math import inf

import simpy

from sim.model.chance import Chance, Crew, FixedValues
from sim.model.devices import EXACT
from sim.model.loads import lifter_force
from sim.model.pump import ram_travel
from sim.model.scenario import Scenario
from sim.record.record import Book, Record
from sim.record.what import Outcome, What
from sim.story.at_work import AtWork
from sim.story.catchers import Catchers
from sim.story.clock import LOOKS, MOVES, Process, Turn
from sim.story.ending import Ended, stuck
from sim.story.mishaps import Mishaps
from sim.story.now import SideNow, mean_u
from sim.story.resets import let_go, pack_up, refusal
from sim.story.site import Site


def simulate(scenario: Scenario, seed: int = 0, replication: int = 0) -> Record:
    """Simulate one lift with this crew: the people of a seed and a replication."""
    return _simulate(scenario, Crew(seed, replication), seed, replication, fixed=False)


def simulate_fixed(scenario: Scenario) -> Record:
    """Simulate the lift with everyone at their mean times, and no one missing a call."""
    return _simulate(scenario, FixedValues(), 0, 0, fixed=True)


def _simulate(scenario: Scenario, chance: Chance, seed: int, replication: int, fixed: bool) -> Record:
    book = Book()
    lift = Lift(Site(scenario, chance, book))
    outcome, reason = lift.run()
    return Record(scenario, book.table(), outcome, reason, seed, replication, fixed)


class Lift:
    """The people of one lift, at work on its site."""

    def __init__(self, site: Site) -> None:
        self.site = site
        self.env = site.env
        self.rule = site.scenario.leader
        self.people = AtWork()
        self.mishaps = Mishaps(site, self.people)
        self.catchers = Catchers(site, self.people, self.mishaps)
        self.last_settled = -inf  # at the last re-set: one that gains nothing ends the lift

    def run(self) -> tuple[Outcome, str]:
        """Let everyone act until the lift has ended."""
        self.set_going()
        outcome, reason = self.env.run(until=self.people.leader)  # type: ignore[misc]
        return outcome, reason

    def set_going(self) -> None:
        """Everyone takes up their work."""
        self.people.operators = [self.env.process(self.operate(side)) for side in self.site.sides]
        self.catchers.set_going()
        self.people.leader = self.env.process(self.lead())
        self.mishaps.start()

    # --- the leader

    def lead(self) -> Process:
        """Look, call or hold, until the load is where it has to be; then wait for what can still be caught."""
        ending: tuple[Outcome, str] | None = None
        while True:
            try:
                while ending is None:
                    ending = yield from self.look_and_call()
                yield from self.until_all_caught()
                break
            except simpy.Interrupt as lost:
                ending = Outcome.DROPPED, str(lost.cause)
        outcome, reason = ending
        self.say(What(outcome), reason)
        return outcome, reason

    def look_and_call(self) -> Process:
        """One look and the call after it; how the lift has come out, if that ends it."""
        try:
            yield from self.look()
            yield from self.make_the_call()
        except Ended as end:
            return end.outcome, end.reason
        return None

    def look(self) -> Process:
        """Look whether to call; hold until it is time to. Returns when the next call may go out.

        Raises
        ------
        Ended
            The needed rise is held, or a gap stays over the limit and the rule stops for it.
        """
        site = self.site
        yield Turn(self.env, LOOKS)
        for place in site.places:
            site.bring_up(place)
        held = uncapturable = False
        if self.point_rise >= site.scenario.need.rise - EXACT:
            held = not site.all_caught
            if held:
                self.say(What.HOLDS, self.not_caught)
                yield from self.until_all_caught()
            if self.settled_rise >= site.scenario.need.rise - EXACT:
                raise Ended(Outcome.RAISED, "the needed rise is held by what was captured")
        if self.rule.rule == "stop-until-caught" and self.refused:
            if not site.all_caught:
                held = True
                self.say(What.HOLDS, self.not_caught)
                yield from self.until_all_caught()
            over = self.over_limit
            uncapturable = bool(over)
            if uncapturable:
                self.say(What.UNCAPTURABLE, ", ".join(over))
        if held or uncapturable:
            yield self.env.timeout(self.rule.look)
            yield Turn(self.env, LOOKS)
        if uncapturable and self.rule.if_uncapturable == "stop":
            raise Ended(Outcome.STOPPED, stuck(self.over_limit))

    def make_the_call(self) -> Process:
        """Call the sides that are to move, if they can; then wait for the next look.

        Raises
        ------
        Ended
            No call can be made any more, or none would move the load.
        """
        site = self.site
        sides = self.sides_to_call()
        if site.call >= self.rule.max_calls:
            raise Ended(Outcome.NOT_REACHED, f"{site.call} calls were made, the most allowed (max_calls)")
        spent = [s for s in sides if s.left < EXACT]
        if spent:
            yield from self.reset_or_end(spent)
            return
        if not any(self.can_move(s) for s in sides):
            raise Ended(Outcome.NOT_REACHED, "the pump is at its relief pressure: no called lifter can move the load")
        site.call += 1
        self.mishaps.call_goes_out(site.call, len(sides))
        to_all = len(sides) == len(site.sides)
        self.say(What.CALLS if to_all else What.LEVELS, ", ".join(s.lifter.name for s in sides))
        for side in sides:
            called, side.called, side.ready = side.called, self.env.event(), False
            called.succeed(site.call)
        yield from self.until_the_next_look()

    def until_the_next_look(self) -> Process:
        """Keep the pace, and let every operator be ready."""
        yield self.env.timeout(self.rule.pace)
        while not all(s.ready for s in self.site.sides):
            yield self.wait()

    def sides_to_call(self) -> list[SideNow]:
        """All of them, or the low one if they differ by more than the level limit."""
        sides = self.site.sides
        if self.rule.level_limit is None or len(sides) < 2:
            return sides
        rises = [self.site.motion.rise(s.lifter.head, s.u) for s in sides]
        if max(rises) - min(rises) <= self.rule.level_limit + EXACT:
            return sides
        return [sides[rises.index(min(rises))]]

    def can_move(self, side: SideNow) -> bool:
        """Whether a full stroke would move this lifter at all."""
        if side.lifter.pump is None:
            return True
        force = lifter_force(side.lifter, self.site.scenario.load, self.site.motion, side.u)
        return ram_travel(side.lifter, side.free, force, side.travel, 1.0) > EXACT

    def reset_or_end(self, spent: list[SideNow]) -> Process:
        """Re-set the lifters that have no travel left, where the scenario has a re-set; else the lift has ended.

        Raises
        ------
        Ended
            There is no re-set, it is not possible, or it gains nothing.
        """
        names = " and ".join(s.lifter.name for s in spent)
        if self.site.scenario.reset is None:
            raise Ended(Outcome.NOT_REACHED, f"{names}: no ram travel left, and the scenario has no [reset]")
        yield from self.until_all_caught()
        why_not = refusal(spent)
        if why_not:
            raise Ended(Outcome.NOT_REACHED, why_not)
        let_go(self.site, spent)
        if self.point_rise <= self.last_settled + EXACT:
            raise Ended(
                Outcome.NOT_REACHED, f"{names}: a re-set gains nothing: the load settles no higher than at the last one"
            )
        self.last_settled = self.point_rise
        yield from pack_up(self.site, spent)

    def until_all_caught(self) -> Process:
        """Wait until nothing is still being captured."""
        while not self.site.all_caught:
            yield self.wait()

    def wait(self) -> simpy.Event:
        """For word that something has changed."""
        self.site.leader_waits = self.env.event()
        return self.site.leader_waits

    def say(self, what: What, note: str) -> None:
        """Write down what the leader does."""
        self.site.book.leader(self.env.now, self.site.call, what, note)

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

    # --- the operators

    def operate(self, side: SideNow) -> Process:
        """One operator's lift: hear the call, answer it, be ready for the next."""
        site, name = self.site, side.lifter.name
        try:
            while True:
                call = yield side.called
                missed = site.chance.happens(name, "miss", side.lifter.operator.miss, call)
                if missed or self.mishaps.misses(side, call):
                    site.book_side(side, What.MISSES)
                    self.mishaps.side_has_stopped(call)
                else:
                    yield from self.pump(side, call)
                side.ready = True
                site.wake_leader()
        except simpy.Interrupt:
            site.book_side(side, What.LETS_GO)

    def pump(self, side: SideNow, call: int) -> Process:
        """Answer one call: react, then for each of its strokes stroke and recover."""
        site, name, person = self.site, side.lifter.name, side.lifter.operator
        stroke = site.chance.draw(name, "stroke", person.stroke, call)
        recover = site.chance.draw(name, "recover", person.recover, call)
        fill = site.chance.draw(name, "fill", person.fill, call)
        site.book_side(side, What.REACTS)
        yield self.env.timeout(site.chance.draw(name, "react", person.react, call))
        yield Turn(self.env, MOVES)
        site.begins_to_move(side)
        for n in range(1, self.rule.strokes + 1):
            site.stroke(side, stroke, fill)
            site.book_side(side, What.STROKES)
            yield self.env.timeout(stroke)
            site.stroke_ends(side)
            site.book_side(side, What.RECOVERS)
            if n == self.rule.strokes:
                site.stops(side)
                self.catchers.let_be(side)
                self.mishaps.side_has_stopped(call)
            yield self.env.timeout(recover)
        site.book_side(side, What.READY)
