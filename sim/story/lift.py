"""The story of one lift: leader, operators and catchers, each a process, in the order people act.

Start reading here. A call goes out; every called operator reacts, strokes, recovers; every catcher sees the load move
or stop, reacts, and takes up what was given (`catchers.py`); the leader looks, and calls again or holds. `lowering.py`
is the way down. `leading.py` has what both ways share, `site.py` knows where everything stands, and `clock.py` who goes
first when several act at one instant.
"""

from __future__ import annotations

from math import inf

import simpy

from sim.model.chance import Chance, Crew, FixedValues
from sim.model.devices import EXACT
from sim.model.scenario import Scenario, Stage
from sim.record.record import Book, Record
from sim.record.what import DONE, HELD, Outcome, What
from sim.story.clock import Process
from sim.story.ending import Ended, stuck
from sim.story.lowering import Lowering
from sim.story.now import SideNow
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
    return Record(scenario, book.columns(), outcome, reason, seed, replication, fixed)


class Lift(Lowering):
    """The people of one lift, at work on its site."""

    def __init__(self, site: Site) -> None:
        super().__init__(site)
        self.stage = site.scenario.job[0]
        self.goal = self.stage.to  # of the needed point, in this stage [m]
        self.last_settled = -inf  # at the last re-set: one that gains nothing ends the lift

    def run(self) -> tuple[Outcome, str]:
        """Let everyone act until the lift has ended."""
        self.set_going()
        outcome, reason = self.env.run(until=self.people.leader)  # type: ignore[misc]
        return outcome, reason

    # --- the leader

    def lead(self) -> Process:
        """Lead the lift stage by stage; then wait for what can still be caught."""
        ending: tuple[Outcome, str] | None = None
        while True:
            try:
                if ending is None:
                    ending = yield from self.whole_job()
                yield from self.until_all_caught()
                break
            except simpy.Interrupt as lost:
                ending = Outcome.DROPPED, str(lost.cause)
        outcome, reason = ending
        if self.site.scenario.stages:
            held = self.stage.do == "hold" and outcome in DONE
            self.say(What.STAGE_ENDS, HELD if held else outcome)
        self.say(What(outcome), reason)
        return outcome, reason

    def whole_job(self) -> Process:
        """Every stage in order; how the lift has come out, and why: as its last raise or lower, if it comes so far."""
        came, job = (Outcome.RAISED, "it was held where it stood"), self.site.scenario.job
        for number, stage in enumerate(job, 1):
            self.stage, self.rule, self.goal = stage, stage.led(self.site.scenario.leader), stage.to
            if self.site.scenario.stages:
                self.say(What.STAGE_BEGINS, f"{number} {stage.do}")
            try:
                yield from self.go_through(stage)
            except Ended as end:
                came = end.outcome, end.reason
                if end.outcome != (Outcome.RAISED if stage.do == "raise" else Outcome.LOWERED):
                    break
            if number < len(job):
                self.say(What.STAGE_ENDS, HELD if stage.do == "hold" else came[0])
        return came

    def go_through(self, stage: Stage) -> Process:
        """One stage.

        Raises
        ------
        Ended
            A raise or a lower has come to its end, or cannot.
        """
        if stage.do == "hold":
            yield from self.hold(stage)
            return
        if self.site.call:
            yield from self.until_the_next_look()
        if stage.do == "lower":
            yield from self.go_down(stage)
        while True:
            yield from self.look()
            yield from self.make_the_call()

    def look(self) -> Process:
        """Look whether to call; hold until it is time to. Returns when the next call may go out.

        Raises
        ------
        Ended
            The needed rise is held, or a gap stays over the limit and the rule stops for it.
        """
        site = self.site
        yield from self.takes_a_look()
        held = uncapturable = False
        if self.point_rise >= self.goal - EXACT:
            held = not site.all_caught
            if held:
                self.say(What.HOLDS, self.not_caught)
                yield from self.until_all_caught()
            if self.settled_rise >= self.goal - EXACT:
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
            yield from self.one_look()
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
        self.end_at_the_last_call()
        spent = [s for s in sides if s.left < EXACT]
        if spent:
            yield from self.reset_or_end(spent)
            return
        if not any(self.can_move(s) for s in sides):
            raise Ended(Outcome.NOT_REACHED, "the pump is at its relief pressure: no called lifter can move the load")
        self.makes_a_call(What.CALLS if len(sides) == len(site.sides) else What.LEVELS, sides, self.pump)
        yield from self.until_the_next_look()

    def sides_to_call(self) -> list[SideNow]:
        """All of them, or the low one if they differ by more than the level limit."""
        apart = self.low_and_high
        return [apart[0]] if apart else self.site.sides

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

    # --- the operators

    def pump(self, side: SideNow, call: int) -> Process:
        """Answer one call: react, then for each of its strokes stroke and recover."""
        if self.misses(side, call):
            self.mishaps.side_has_stopped(call)
            return
        stroke, recover, fill = self.strokes_of(side, call)
        yield from self.reacts(side, call)
        self.site.begins_to_move(side)
        for n in range(1, self.rule.strokes + 1):
            yield from self.one_stroke(side, stroke, fill)
            if n == self.rule.strokes:
                self.site.stops(side)
                self.catchers.let_be(side)
                self.mishaps.side_has_stopped(call)
            yield self.env.timeout(recover)
        self.site.book_side(side, What.READY)
