"""A scripted person who leads a rehearsal: sees what the page shows, and calls by the rule."""

from __future__ import annotations

from sim.model.chance import Crew, FixedValues
from sim.model.devices import EXACT
from sim.model.scenario import Scenario
from sim.rehearsal.led import Rehearsal
from sim.rehearsal.person_led import ALL
from sim.story.clock import on_grid


class ByTheRule:
    """Looks when the pace has passed and all are ready; holds until all are caught; looks again; calls or ends."""

    def __init__(self, rehearsal: Rehearsal) -> None:
        self.rehearsal = rehearsal
        self.scenario = rehearsal.scenario
        self.lift = rehearsal.lift
        self.time = 0.0

    def lead(self) -> None:
        """The whole lift, as fast as the machine goes."""
        r = self.rehearsal
        r.advance(0.0)
        while not r.over:
            self.to_the_look()
            if r.over:
                return
            if not self.look():
                refused = r.call(self.side_to_call(), self.time)
                assert not refused, refused

    def to_the_look(self) -> None:
        """Let time pass until the pace has, and all are ready."""
        lift = self.lift
        while not (lift.at_pace and lift.all_ready and lift.asks) and not self.rehearsal.over:
            self.pass_time(self.rehearsal.due)

    def look(self) -> bool:
        """Hold as long as the rule does; whether the lift is to end."""
        r, rule = self.rehearsal, self.scenario.leader
        held = False
        if self.reached:
            held = self.until_all_caught()
            if self.lift.settled_rise >= self.scenario.need.rise - EXACT:
                r.end(self.time)
                return True
        stuck = False
        if rule.rule == "stop-until-caught" and self.lift.refused:
            held |= self.until_all_caught()
            stuck = bool(self.lift.over_limit)
        if (held or stuck) and not r.over:
            self.pass_time(on_grid(self.time + rule.look))
        if stuck and rule.if_uncapturable == "stop" and not r.over:
            r.end(self.time)
        return r.over

    def until_all_caught(self) -> bool:
        """Hold; whether there was anything to hold for."""
        held = not self.lift.site.all_caught
        while not self.lift.site.all_caught and not self.rehearsal.over:
            self.pass_time(self.rehearsal.due)
        return held

    def pass_time(self, to: float) -> None:
        """Let the crew act until then."""
        self.rehearsal.advance(to)
        self.time = max(self.time, to)

    def side_to_call(self) -> str:
        """All, or the low one if the sides are too far apart."""
        called = super(type(self.lift), self.lift).sides_to_call()
        return ALL if len(called) == len(self.lift.site.sides) else called[0].lifter.name

    @property
    def reached(self) -> bool:
        """Whether the needed point is up."""
        return self.lift.point_rise >= self.scenario.need.rise - EXACT


def rehearsed_by_the_rule(scenario: Scenario, seed: int = 0, replication: int = 0, fixed: bool = False) -> Rehearsal:
    """A rehearsal from start to end, called by the rule."""
    rehearsal = Rehearsal(scenario, FixedValues() if fixed else Crew(seed, replication))
    ByTheRule(rehearsal).lead()
    return rehearsal
