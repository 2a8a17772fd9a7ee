"""A lift that a person calls: the same story as `run` simulates, wherever the person calls as the rule does."""

from __future__ import annotations

from importlib.resources import files

import pytest
from hypothesis import HealthCheck, assume, given, settings

from sim.model.chance import FixedValues
from sim.model.scenario import Mishap, Scenario
from sim.record.measures import measure
from sim.record.record import Record
from sim.rehearsal.led import Rehearsal
from sim.rehearsal.wall_clock import WallClock
from sim.story.lift import simulate, simulate_fixed
from sim.written.reading import parse, variants
from tests.builders import MM, collar, leaders, lift, lifter, operator, two_lifters
from tests.random_lifts import lifts
from tests.sim.rehearsal.scripted import rehearsed_by_the_rule

EXAMPLES = ("trailer", "van")


def shipped(name: str) -> list[Scenario]:
    """An example and its variants."""
    scenario = parse((files("sim.examples") / f"{name}.toml").read_text(encoding="utf-8"), name)
    return [scenario, *variants(scenario)]


def same(one: Record, other: Record) -> bool:
    """Two records are the same to the byte."""
    return (one.outcome, one.reason, one.events.to_csv()) == (other.outcome, other.reason, other.events.to_csv())


def worked_lift(need: float = 15 * MM, **rest: object) -> Scenario:
    """The worked lift of the design: one lifter, one collar."""
    return lift(need, lifter(collar()), **rest)


def rehearsal_of(scenario: Scenario) -> Rehearsal:
    """With everyone at their mean times."""
    return Rehearsal(scenario, FixedValues())


def ended(rehearsal: Rehearsal) -> Record:
    """What came of it, once all is caught."""
    rehearsal.advance(1000.0)
    return rehearsal.record(0, 0, fixed=True)


# --- the engine is the story's


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_person_who_calls_by_the_rule_gets_the_record_that_run_gives(name: str) -> None:
    """Every example and variant, three crews: to the byte."""
    for scenario in shipped(name):
        for seed in range(3):
            simulated = simulate(scenario, seed, replication=1)
            rehearsed = rehearsed_by_the_rule(scenario, seed, replication=1)
            assert same(rehearsed.record(seed, 1), simulated), (scenario.variant, seed)


@given(lifts())
@settings(max_examples=15, suppress_health_check=list(HealthCheck))
def test_so_does_one_who_leads_a_lift_drawn_at_random(scenario: Scenario) -> None:
    """Mishaps and re-sets included; but for a stop, which this person's own clock would not stand still in."""
    assume(all(m.kind != "stop" for m in scenario.mishaps))
    assert same(rehearsed_by_the_rule(scenario, fixed=True).record(0, 0, fixed=True), simulate_fixed(scenario))


def test_the_worked_lift_by_hand() -> None:
    """Calls at 0 and 4.00, the end at 7.75: the table of the design, hold and all."""
    r = rehearsal_of(worked_lift())
    assert r.call(at=0.0) == "" and r.call(at=4.0) == ""
    r.advance(7.75)
    assert r.end(at=7.75) == "" and r.over
    assert leaders(r.record(0)) == [(0.0, "calls"), (2.0, "holds"), (4.0, "calls"), (6.0, "holds"), (7.75, "raised")]


# --- calling


def test_a_call_that_comes_early_is_counted_over_the_limit() -> None:
    """At 2.5 s a gap of 3 mm stands open over a limit of 0: the person calls, before the rule has even looked."""
    r = rehearsal_of(worked_lift(pace=3.0))
    r.call(at=0.0)
    assert r.call(at=2.5) == ""
    r.end(at=10.0)
    summary = measure(ended(r))
    assert summary["over_limit_calls"] == 1 and summary["holds"] == 0 and summary["calls"] == 2


def test_nobody_hears_a_call_while_an_operator_is_at_work() -> None:
    """The operator of the worked lift is ready at 2 s, not before; what is not heard leaves no trace."""
    r = rehearsal_of(worked_lift())
    r.call(at=0.0)
    assert "left lifter" in r.call(at=1.9)
    assert leaders(ended_at(r, 20.0)) == [(0.0, "calls"), (2.0, "holds"), (20.0, "stopped")]


def ended_at(rehearsal: Rehearsal, time: float) -> Record:
    """The person says it is enough."""
    rehearsal.end(at=time)
    return ended(rehearsal)


def test_a_call_to_one_side_moves_that_side_alone() -> None:
    """The other stays where it was; a side that is not there is not called."""
    r = rehearsal_of(lift(50 * MM, *two_lifters(collar())))
    assert r.call("right lifter", at=0.0) == "" and "no top" in r.call("top", at=5.0)
    record = ended_at(r, 10.0)
    assert measure(record)["pumps"] == {"left lifter": 0, "right lifter": 1}
    assert (0.0, "levels") in leaders(record)


def test_a_person_may_call_faster_than_the_pace() -> None:
    """The pace is the rule's; the crew hears whoever calls once it is ready."""
    r = rehearsal_of(worked_lift(pace=30.0))
    r.call(at=0.0)
    assert r.call(at=3.0) == ""
    assert measure(ended_at(r, 20.0))["calls"] == 2


def test_the_person_judges_when_it_is_enough() -> None:
    """Short of the need: stopped. At it, what can be caught is caught first, and then it is raised."""
    r = rehearsal_of(worked_lift())
    r.call(at=0.0)
    short = ended_at(r, 1.0)
    assert short.outcome == "stopped" and "short of the needed rise" in short.reason
    r = rehearsal_of(worked_lift())
    r.call(at=0.0)
    r.call(at=4.0)
    raised = ended_at(r, 6.0)
    assert raised.outcome == "raised" and measure(raised)["duration_s"] == pytest.approx(7.75)


def test_a_lost_lifter_ends_the_lift_whatever_the_person_does() -> None:
    """The scenario's own mishaps come as they would in `run`."""
    r = rehearsal_of(worked_lift(mishaps=(Mishap("pressure-lost", 1, "left lifter", after=1.0),)))
    r.call(at=0.0)
    assert ended(r).outcome == "dropped" and r.call(at=1001.0) == "the lift is over"


# --- stop


def test_stop_freezes_everybody_until_the_leader_has_said_what_was_seen() -> None:
    """Stopped at 1 s in mid-stroke for 7 s: nothing moves meanwhile, and all after it comes 7 s later."""
    r = rehearsal_of(worked_lift())
    r.call(at=0.0)
    assert r.stop(at=1.0) == ""
    assert r.call(at=3.0) == "everybody is frozen" and r.due == float("inf")
    assert r.seen("gap", "left lifter", at=8.0) == ""
    r.call(at=11.0)
    record = ended_at(r, 13.0)
    assert measure(record)["duration_s"] == pytest.approx(14.75)
    assert measure(record)["largest_gap"]["gap_m"] == pytest.approx(7 * MM)
    rows = record.events[(record.events["time_s"] > 1.0) & (record.events["time_s"] < 8.0)]
    assert rows.empty
    frozen = record.events[record.events["what"].isin(["freezes", "resumes"]) & (record.events["side"] != "")]
    assert frozen["u"].tolist() == pytest.approx([5 * MM, 5 * MM])
    assert frozen["rise_m"].tolist() == pytest.approx([5 * MM, 5 * MM])


def test_stop_twice_is_stop_once() -> None:
    """Who calls stop while all are frozen changes nothing; nor does saying what was seen without a stop."""
    r = rehearsal_of(worked_lift())
    r.call(at=0.0)
    assert r.seen("gap", "") != ""
    assert r.stop(at=1.0) == "" and r.stop(at=2.0) != ""
    r.seen("nothing", "", at=3.0)
    assert [(s.time, s.seconds) for s in r.stops] == [(1.0, 2.0)]


# --- the wall clock


def test_the_lift_goes_so_many_times_as_fast_as_the_wall_clock_and_stands_still_when_paused() -> None:
    """Four times as fast for 2 s, still for 5 s, and on again."""
    wall = 100.0
    clock = WallClock(4.0, lambda: wall)
    assert clock.time() == 0.0 and clock.until(1.0) is None
    clock.go()
    wall += 2.0
    assert clock.time() == pytest.approx(8.0) and clock.until(10.0) == pytest.approx(0.5)
    clock.pause()
    wall += 5.0
    clock.go()
    assert clock.time() == pytest.approx(8.0) and clock.until(float("inf")) is None


def test_a_stall_of_the_machine_is_no_time_of_the_lift() -> None:
    """Read every second it runs; 7 s between two readings are a pause, and are kept; 2 s are none yet."""
    wall = 0.0
    clock = WallClock(4.0, lambda: wall)
    clock.go()
    for _ in range(3):
        wall += 1.0
        clock.time()
    wall += 7.0
    assert clock.time() == pytest.approx(12.0) and clock.stalled == [7.0]
    wall += 2.0
    assert clock.time() == pytest.approx(20.0) and clock.stalled == [7.0]


def test_an_operator_who_misses_a_call_can_hear_the_next() -> None:
    """A missed call leaves the operator ready at once."""
    r = rehearsal_of(lift(15 * MM, lifter(collar(), operator=operator(miss=1.0))))
    assert r.call(at=0.0) == "" and r.call(at=0.5) == ""
