"""A drill put through the model: the log of a lift gives back that lift; what is missing is inferred, and said."""

from __future__ import annotations

import random
import time
from dataclasses import replace

import pytest

from sim.drill.drilled import Drill, drilled
from sim.drill.log.lines import parse_log
from sim.examples import example
from sim.model.draw import Draw
from sim.model.scenario import Mishap, Scenario
from sim.record.measures import measure
from sim.record.record import Record
from sim.story.lift import simulate, simulate_fixed
from sim.written.reading import parse
from tests.builders import MM, collar, crib, leaders, lift, lifter, pin, station, timetable, two_lifters
from tests.drills import Keep, as_log

LIFTS = [("trailer", ""), ("trailer", "pinned"), ("trailer", "pinned with cribbing"), ("trailer", "no holds"),
         ("van", ""), ("new-us", "")]  # fmt: skip


def even(scenario: Scenario) -> Scenario:
    """As planned, but every stroke a mean one: what a stroke raises is not in a log."""
    lifters = (replace(x, operator=replace(x.operator, fill=Draw(x.operator.fill.mean))) for x in scenario.lifters)
    return replace(scenario, lifters=tuple(lifters), mishaps=())


def drill_of(record: Record, tick: float = 0.1, keep: Keep = lambda who, what: True) -> Drill:
    return drilled([parse_log(as_log(record, tick, keep), "d.csv")], record.scenario)


@pytest.mark.parametrize(("name", "variant"), LIFTS)
@pytest.mark.parametrize("tick", [0.001, 0.1])
def test_the_log_of_a_simulated_lift_gives_back_its_measures(name: str, variant: str, tick: float) -> None:
    """Calls, holds, times, gaps, drops and rises, to what the clock was read to."""
    scenario = even(parse(example(name), f"{name}.toml", variant))
    for seed in range(2):
        record = simulate(scenario, seed)
        simulated, seen = measure(record), drill_of(record, tick).summary
        for key in ("calls", "holds", "pumps", "levelling_calls"):
            assert seen[key] == simulated[key]
        # the end of a lift is its last capture; the look after it that finds nothing to do is in no log
        assert seen["duration_s"] == pytest.approx(simulated["duration_s"], abs=scenario.leader.look + 2 * tick)
        assert seen["hold_time_s"] == pytest.approx(simulated["hold_time_s"], abs=2 * tick * max(1, simulated["holds"]))
        assert seen["settled_rise_m"] == pytest.approx(simulated["settled_rise_m"], abs=1e-6)
        near = 6 * tick * MM + 1e-6  # a load that rises 5 mm/s on a clock read to a tick
        for key, what in (("largest_gap", "gap_m"), ("largest_drop_lifter_lost", "drop_m")):
            assert seen[key][what] == pytest.approx(simulated[key][what], abs=near)
        assert seen["largest_level_difference_m"] == pytest.approx(simulated["largest_level_difference_m"], abs=near)


WORKED = {
    "the worked lift": lift(15 * MM, lifter(collar(), catcher="hand")),
    "a thread that ends": lift(15 * MM, lifter(collar(reach=12 * MM), catcher="hand"), max_calls=2),
    "a layer of two": lift(15 * MM, lifter(crib(4 * MM, 9 * MM, place=1.0, layer=2), catcher="hand"), max_calls=2),
    "a swap": lift(35 * MM, lifter(crib(4 * MM, 11 * MM, place=1.0, swap_up=True), catcher="hand"), max_calls=3),
}


@pytest.mark.parametrize("scenario", WORKED.values(), ids=WORKED)
def test_a_worked_lift_comes_back_instant_by_instant(scenario: Scenario) -> None:
    """The worked lift of the design, and others by the same people, from their log alone."""
    record = simulate_fixed(scenario)
    seen = drill_of(record, 0.01).record
    said, then = ([row for row in leaders(r)[:-1] if row[1] != "uncapturable"] for r in (seen, record))
    assert said == then, "a gap that stays is in no log: it is told at the call after it"
    bends = ("meets", "ends")
    want = [row for row in timetable(record, "left lifter") if row[1] not in bends]
    assert [row for row in timetable(seen, "left lifter") if row[1] not in bends] == [
        (pytest.approx(t, abs=1e-5), what, pytest.approx(demand, abs=1e-3), pytest.approx(held, abs=1e-3))
        for t, what, demand, held in want
    ]


@pytest.mark.parametrize("name", ["trailer", "new-us"])
def test_with_a_tenth_of_the_entries_missing_the_calls_and_times_still_stand(name: str) -> None:
    """Strokes and captures that nobody logged are inferred, and marked; the calls are all there."""
    scenario = even(parse(example(name), f"{name}.toml"))
    for seed in range(3):
        record, chance = simulate(scenario, seed), random.Random(seed)
        drill = drill_of(record, 0.1, lambda who, what, c=chance: what == "call" or c.random() > 0.1)  # type: ignore[misc]
        simulated, seen = measure(record), drill.summary
        assert drill.inferred
        assert seen["calls"] == simulated["calls"]
        assert sum(seen["pumps"].values()) >= 0.95 * sum(simulated["pumps"].values())
        assert seen["duration_s"] == pytest.approx(simulated["duration_s"], rel=0.1)


def test_calls_and_caught_alone_are_enough() -> None:
    """Strokes are then the plan's, after each call, and the output says that they are."""
    scenario = even(parse(example("trailer"), "trailer.toml"))
    record = simulate(scenario, 1)
    drill = drill_of(record, 0.1, lambda who, what: what in ("call", "caught"))
    assert drill.summary["pumps"] == measure(record)["pumps"]
    assert drill.summary["outcome"] == "raised"
    assert any("all strokes" in i.what for i in drill.inferred)


def test_a_stop_freezes_everything_and_takes_its_time() -> None:
    """From stop to resume nothing is captured and nothing rises."""
    scenario = lift(15 * MM, lifter(collar(), catcher="hand"), mishaps=(Mishap("stop", 1, after=0.5, time=7.0),))
    record = simulate_fixed(scenario)
    log = parse_log(as_log(record, 0.01), "d.csv")
    assert [e.what for e in log.entries].count("stop") == [e.what for e in log.entries].count("resume") == 1
    seen = drilled([log], scenario)
    assert seen.course.seen.stops == [(2.0, 7.0)]
    assert seen.summary["duration_s"] == pytest.approx(measure(record)["duration_s"], abs=0.02)


def test_a_missed_call_moves_nothing() -> None:
    """The lifter that was seen to miss stays where it is."""
    text = "time_s,who,what\n0,leader,call\n0,right lifter,missed\n"
    text += "0.5,left lifter,stroke start\n1.5,left lifter,stroke end\n"
    scenario = lift(50 * MM, *two_lifters(collar()))
    drill = drilled([parse_log(text, "d.csv")], scenario)
    assert drill.summary["pumps"] == {"left lifter": 1, "right lifter": 0}
    assert drill.summary["head_rise_m"] == pytest.approx({"left lifter": 0.010, "right lifter": 0.0})
    assert drill.summary["outcome"] == "not-reached"


def test_one_person_at_two_stations_is_followed_by_the_note() -> None:
    """ "caught" of a shared catcher ends the work at the station named; the other's comes after."""
    scenario = lift(
        40 * MM, lifter(), station(pin(10 * MM), name="front", catcher="hand"),
        station(pin(10 * MM), name="rear", catcher="hand"), strokes=2, pace=60.0,
    )  # fmt: skip
    text = (
        "time_s,who,what,note\n0,leader,call,\n.5,left lifter,stroke start,\n1.5,left lifter,stroke end,\n"
        "2,left lifter,stroke start,\n3,left lifter,stroke end,\n9,hand,caught,front\n20,hand,caught,rear\n"
    )
    for written in (text, text.replace(",front", ",").replace(",rear", ",")):
        drill = drilled([parse_log(written, "d.csv")], scenario)
        assert [(w.spot[0], w.end) for w in drill.replayed.works] == [
            ("front", pytest.approx(9)),
            ("rear", pytest.approx(20)),
        ]


def test_measured_gaps_and_rises_stand_beside_the_computed_ones() -> None:
    """At the moment they were measured."""
    text = as_log(simulate_fixed(lift(15 * MM, lifter(collar(), catcher="hand"))), 0.01)
    text += "2.0,left lifter,gap,6 mm\n8,,rise,21 mm\n9,left lifter,gap,6\n"
    drill = drilled([parse_log(text, "d.csv")], lift(15 * MM, lifter(collar(), catcher="hand")))
    assert [(b.what, b.measured) for b in drill.beside] == [("gap", 0.006), ("rise", 0.021)]
    assert drill.beside[0].computed == pytest.approx(0.005, abs=1e-6)
    assert drill.beside[1].computed == pytest.approx(0.020)
    assert any('"6" has no unit' in str(p) for p in drill.problems)


def test_a_stopwatch_or_a_time_of_day_starts_the_lift_at_its_first_call() -> None:
    """What the clock showed before does not count as lifting."""
    scenario = lift(15 * MM, lifter(collar(), catcher="hand"))
    log = parse_log("time_s,who,what\n14:03:20,leader,call\n14:03:23,left lifter,caught\n", "d.csv")
    drill = drilled([log], scenario)
    assert drill.summary["duration_s"] == pytest.approx(3.0)


@pytest.mark.slow
def test_a_drill_of_a_hundred_thousand_lines_takes_seconds() -> None:
    """Ours: 5 s on a small machine, read, replayed and measured."""
    rows, now, chance = ["time_s,who,what,note"], 0.0, random.Random(0)
    while len(rows) < 100_000:
        rows.append(f"{now:.1f},leader,call,")
        for side in ("left lifter", "right lifter"):
            for k in range(3):
                rows.append(f"{now + 0.5 + 1.7 * k:.1f},{side},stroke start,")
                rows.append(f"{now + 1.7 + 1.7 * k:.1f},{side},stroke end,")
        for who in ("left lifter", "right lifter", "left strut", "right strut"):
            rows.append(f"{now + chance.uniform(6, 12):.1f},{who},caught,")
        now += 13
    began = time.process_time()
    drilled([parse_log("\n".join(rows), "d.csv")], parse(example("trailer"), "trailer.toml"))
    assert time.process_time() - began < 30
