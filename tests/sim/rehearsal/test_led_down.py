"""A person leads the lift down: up, room, down, each when it is asked for."""

from __future__ import annotations

import pytest

from sim.model.chance import Crew, FixedValues
from sim.model.scenario import Scenario, Stage
from sim.record.columns import as_csv
from sim.record.measures import measure
from sim.rehearsal.led import Rehearsal
from sim.rehearsal.person_led import CALL, DOWN, GO_ON, ROOM, UP
from sim.rehearsal.score import score
from sim.story.clock import on_grid
from sim.story.lift import simulate_fixed
from tests.builders import MM, collar, lift, lifter, pin, station, two_lifters
from tests.sim.rehearsal.scripted import ByTheRule

UP_AND_DOWN = (Stage("raise", 15 * MM), Stage("hold", time=60.0), Stage("lower", 0.0, leader={"step": 10 * MM}))
LIFTS = {
    "one collar": lift(15 * MM, lifter(collar()), stages=UP_AND_DOWN),
    "two sides and a pin": lift(
        15 * MM, *two_lifters(collar()), station(pin(5 * MM)), gap_limit=4 * MM, stages=UP_AND_DOWN
    ),
}


class DownByTheRule(ByTheRule):
    """Says the words of the way down as soon as the rule does."""

    def lead(self) -> None:
        """The whole lift, stage after stage."""
        r = self.rehearsal
        r.advance(0.0)
        while not r.over:
            if self.lift.asks == CALL and self.lift.at_pace and self.lift.all_ready:
                if not self.look():
                    assert not r.call(self.side_to_call(), self.time)
            elif (self.lift.asks == UP and self.lift.at_pace) or self.lift.asks == ROOM:
                assert not r.call(at=self.time)
            elif self.lift.asks == DOWN:
                self.pass_time(on_grid(self.time + self.scenario.leader.look))
                assert not r.call(at=self.time)
            else:
                self.pass_time(r.due)

    def look(self) -> bool:
        """As the rule looks; the end of a raise is said, and the next stage begins."""
        return super().look() or self.lift.asks != CALL


@pytest.mark.parametrize("name", LIFTS)
def test_a_person_who_says_each_word_when_the_rule_would_leads_the_same_lift(name: str) -> None:
    """To the last row of the record."""
    rehearsal = Rehearsal(LIFTS[name], FixedValues())
    DownByTheRule(rehearsal).lead()
    record = rehearsal.record(0, 0, fixed=True)
    assert (record.outcome, as_csv(record.columns)) == ("lowered", as_csv(simulate_fixed(LIFTS[name]).columns))
    found = score(rehearsal, 0, 0, fixed=True)
    assert found["stages"] == measure(record)["stages"]
    assert found["rehearsal"]["by_the_rule"]["duration_s"] == pytest.approx(record.events["time_s"].iloc[-1])


def led_to_the_hold(scenario: Scenario = LIFTS["one collar"]) -> Rehearsal:
    """Raised and held: two calls, and the end of the raise said once all is caught (7.75 s)."""
    rehearsal = Rehearsal(scenario, FixedValues())
    rehearsal.advance(0.0)
    assert not rehearsal.call(at=0.0) and not rehearsal.call(at=4.0) and not rehearsal.end(7.75)
    return rehearsal


def test_each_word_has_its_turn_and_none_is_taken_before_it() -> None:
    """What is asked for is said; a word that comes while hands are in, or the load moves, is not taken."""
    rehearsal = led_to_the_hold()
    lift = rehearsal.lift
    assert lift.asks == GO_ON
    assert not rehearsal.call(at=20.0) and lift.asks == UP  # 12 s are enough of a hold
    assert not rehearsal.call(at=21.0)
    assert rehearsal.call(at=22.0) == "left lifter still at work"  # being freed until 23.0
    rehearsal.advance(23.0)
    assert lift.asks == ROOM
    assert not rehearsal.call(at=24.0)
    assert rehearsal.call(at=25.0) == "hands are in: left lifter"  # 10 mm at 4 mm/s from 24.25 on
    rehearsal.advance(26.75)
    assert lift.asks == DOWN and lift.point_rise == pytest.approx(30 * MM)
    assert not rehearsal.call(at=27.0)
    rehearsal.advance(40.0)
    assert lift.asks == UP and lift.point_rise == pytest.approx(10 * MM)  # 20 mm down at 5 mm/s


def test_whoever_ends_the_lift_while_it_is_clear_has_stopped_it() -> None:
    """It is said where."""
    rehearsal = led_to_the_hold()
    assert not rehearsal.call(at=20.0) and not rehearsal.call(at=21.0)
    rehearsal.advance(23.0)
    assert not rehearsal.end(24.0)
    record = rehearsal.record(0, 0, fixed=True)
    assert (record.outcome, record.reason) == ("stopped", "the leader ended the lift on its way down")


def test_a_person_draws_the_same_people_on_the_way_down() -> None:
    """Simulated with chance: the same words at the same times give the same record twice."""
    first, again = (Rehearsal(LIFTS["one collar"], Crew(3)) for _ in range(2))
    for each in (first, again):
        DownByTheRule(each).lead()
    assert as_csv(first.record(3).columns) == as_csv(again.record(3).columns)
