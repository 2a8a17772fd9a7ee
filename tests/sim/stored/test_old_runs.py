"""A run that was stored before the record's words were an enum still opens: files hold plain text, as they did."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from sim.model.errors import StoreError
from sim.model.scenario import Mishap, Scenario
from sim.record.columns import as_csv
from sim.record.measures import measure
from sim.record.record import Record
from sim.record.what import Outcome
from sim.stored.store import look_at, record_of
from sim.story.lift import simulate_fixed
from tests.builders import MM, lift, lifter, pin, station

# as it was written on 27 November 2026, by the version before
EVENTS = """\
time_s,call,who,what,station,device,demand_m,captured_before_m,captured_m,gap_m,open,hands,caught,side,u,ram_travel_m,rise_m,note
0.0,0,ram,starts,,,,,,,,,,ram,0.0,0.0,0.0,
0.0,0,,starts,strut,,0.0,0.0,0.0,0.0,False,False,True,,,,,
0.0,1,leader,calls,,,,,,,,,,,,,,ram
0.0,1,ram,reacts,,,,,,,,,,ram,0.0,0.0,0.0,
0.5,1,ram,moves,strut,,0.0,0.0,0.0,0.0,False,False,False,,,,,
0.5,1,ram,strokes,,,,,,,,,,ram,0.0,0.0,0.0,
1.5,1,ram,rests,strut,,0.010000000000000009,0.0,0.0,0.010000000000000009,False,False,False,,,,,
1.5,1,ram,recovers,,,,,,,,,,ram,0.010000000000000009,0.01,0.010000000000000009,
1.5,1,strut pin,reacts,strut,pin,0.010000000000000009,0.0,0.0,0.010000000000000009,False,False,False,,,,,
2.0,1,ram,ready,,,,,,,,,,ram,0.010000000000000009,0.01,0.010000000000000009,
2.0,1,leader,holds,,,,,,,,,,,,,,strut
2.5,1,strut pin,swap,strut,pin,0.010000000000000009,0.0,0.0,0.010000000000000009,True,True,False,,,,,
10.5,1,strut pin,caught,strut,pin,0.010000000000000009,0.0,0.01,8.673617379884035e-18,False,False,True,,,,,
10.75,2,leader,calls,,,,,,,,,,,,,,ram
10.75,2,ram,reacts,,,,,,,,,,ram,0.010000000000000009,0.01,0.010000000000000009,
11.25,2,ram,moves,strut,,0.010000000000000009,0.01,0.01,8.673617379884035e-18,False,False,False,,,,,
11.25,2,ram,strokes,,,,,,,,,,ram,0.010000000000000009,0.01,0.010000000000000009,
12.25,2,ram,rests,strut,,0.020000000000000018,0.01,0.01,0.010000000000000018,False,False,False,,,,,
12.25,2,ram,recovers,,,,,,,,,,ram,0.020000000000000018,0.02,0.020000000000000018,
12.25,2,strut pin,reacts,strut,pin,0.020000000000000018,0.01,0.01,0.010000000000000018,False,False,False,,,,,
12.75,2,ram,ready,,,,,,,,,,ram,0.020000000000000018,0.02,0.020000000000000018,
12.75,2,leader,holds,,,,,,,,,,,,,,strut
13.25,2,strut pin,swap,strut,pin,0.020000000000000018,0.01,0.01,0.010000000000000018,True,True,False,,,,,
15.25,2,ram,falls,,,,,,,,,,ram,0.020000000000000018,0.02,0.020000000000000018,
15.25,2,,falls,strut,,0.020000000000000018,0.01,0.01,0.010000000000000018,True,True,False,,,,,
15.25,2,ram,fell,,,,,,,,,,ram,0.0,0.02,0.0,
15.25,2,,fell,strut,,0.0,0.01,0.01,-0.01,True,False,True,,,,,
15.25,2,leader,pressure-lost,,,,,,,,,,,,,,nothing above the start
15.25,2,ram,lets go,,,,,,,,,,ram,0.0,0.02,0.0,
15.25,2,leader,dropped,,,,,,,,,,,,,,"ram: pressure lost; the side came down, caught by nothing above the start"
"""
SUMMARY = {
    "format": 1, "title": "built in a test", "outcome": "dropped", "seed": 0, "replication": 0, "fixed_values": True,
    "reason": "ram: pressure lost; the side came down, caught by nothing above the start",
}  # fmt: skip


def scenario() -> Scenario:
    """Two strokes of 10 mm beside a pin with a hole every 10 mm; the pressure is lost while the pin is out again."""
    lost = Mishap("pressure-lost", 2, "ram", after=3.0)
    return lift(15 * MM, lifter(name="ram"), station(pin(10 * MM)), mishaps=(lost,))


def opened(folder: Path, events: str = EVENTS, **more: object) -> Record:
    """The record of a run stored so."""
    (folder / "events.csv").write_text(events)
    (folder / "summary.json").write_text(json.dumps(SUMMARY | more))
    return record_of(look_at(folder), scenario())


def test_an_old_run_is_read_as_it_was_written(tmp_path: Path) -> None:
    """Its words and figures come back, and are written the same again."""
    record = opened(tmp_path)
    assert record.outcome is Outcome.DROPPED
    assert as_csv(record.columns) == EVENTS


def test_an_old_run_is_measured_as_ever(tmp_path: Path) -> None:
    """Calls, strokes, captures, the hold and the fall are found by the words that it has."""
    found = measure(opened(tmp_path))
    assert (found["calls"], found["pumps"], found["holds"], found["hold_time_s"]) == (2, {"ram": 2}, 1, 8.75)
    assert found["stations"]["strut"]["captures"] == 1
    assert (found["fall"]["loss"], found["fall"]["call"]) == ("pressure-lost", 2)
    assert found["fall"]["fell_m"] == pytest.approx(20 * MM)


def test_the_same_lift_is_written_the_same_today(tmp_path: Path) -> None:
    """Word for word and figure for figure, but for the gap of a place that the load came down past: it was below 0."""
    assert EVENTS.count(",-0.01,") == 1
    assert as_csv(simulate_fixed(scenario()).columns) == EVENTS.replace(",-0.01,", ",0.0,")


def test_a_word_of_a_device_that_is_not_known_here_is_kept(tmp_path: Path) -> None:
    """A stored run may be of somebody else's device."""
    record = opened(tmp_path, EVENTS.replace(",swap,", ",slide,"))
    assert list(record.events["what"]).count("slide") == 2
    assert measure(record)["stations"]["strut"]["captures"] == 1


def test_an_outcome_that_there_is_not_is_named(tmp_path: Path) -> None:
    """It is said of the summary, and nothing else is made of the run."""
    with pytest.raises(StoreError, match="sideways"):
        opened(tmp_path, outcome="sideways")
