"""The cadence a crew can keep: the fastest way to call within the risk, and who sets the pace."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest

from sim.many.blocks import folder_for
from sim.many.cadence import cadence
from sim.model.devices import Collar
from sim.model.draw import Draw
from sim.model.scenario import Leader, Lifter, Limits, Load, Need, Operator, Scenario, Station
from sim.written.reading import parse

INCH = 0.0254


def one_strut(**limits: float) -> Scenario:
    """The lift worked by hand in the design: 10 mm a call; the collar climbs 4 mm/s, reacts 0.25 s, seats 0.5 s."""
    collar = Collar("collar", 0.002, turns=Draw(2.0), react=Draw(0.25), seat=Draw(0.5))
    operator = Operator("steady", stroke=Draw(1.0, 0.1), react=Draw(0.5), recover=Draw(0.5))
    lifter = Lifter("ram", "left", (0.0, 0.0, 1.0), (0.0, 0.0, 0.0), 1.0, operator, 1.0, travel_per_pump=0.01)
    station = Station("strut", "left", (0.0, 0.0, 1.0), (0.0, 0.0, 0.0), (collar,), ("strut",))
    return Scenario(
        "one strut", "si", Load(1e4, "straight", (0.0, 0.0, 1.0)), Need((0.0, 0.0, 1.0), 0.095),
        Leader(look=0.25), replace(Limits(), **limits), (lifter,), (station,),
    )  # fmt: skip


def test_who_sets_the_pace_in_closed_form() -> None:
    """The collar needs 0.25 + 10/4 + 0.5 = 3.25 s for what a call gives; the operator 0.5 + 1 + 0.5 = 2 s a call."""
    found = cadence(one_strut(), n=60, paces=(0.0,), limits=(0.005,), workers=1)
    assert found.busy[0].seconds == pytest.approx(3.25)
    assert found.operators == pytest.approx(2.0)
    assert found.busy[0].utilisation == pytest.approx(3.25 / 2)
    assert found.keeps_up_from == pytest.approx(3.25)


def test_without_holds_the_gap_grows_below_that_pace_and_not_above() -> None:
    """Faster than every 3.25 s the strut falls behind call by call; slower it is caught each time."""
    found = cadence(one_strut(gap=0.009), n=100, paces=(0.0, 4.0), limits=(0.5,), looser=True, workers=1)
    fast, slow = (next(w for w in found.ways if w.rule == "keep-pace" and w.pace == p) for p in (0.0, 4.0))
    assert fast.over_gap == 1
    assert slow.over_gap == 0
    assert found.best is not None
    assert found.best.pace == 4.0


def test_the_answer_keeps_within_the_risk_on_fresh_people() -> None:
    """Simulated again with people it was not chosen on; a smaller limit is slower and closer."""
    found = cadence(one_strut(gap=0.0085), n=100, paces=(0.0,), limits=(0.0, 0.002, 0.02), looser=True, workers=1)
    assert found.best is not None
    assert found.best.n >= 2000
    assert found.best.within(0.05)
    assert found.best.gap_limit in (0.0, 0.002)
    times = [w.time.value for w in found.frontier]
    assert times == sorted(times)


def test_the_answer_is_never_looser_than_the_files_own_limit_unless_asked() -> None:
    """The file holds at 2 mm: 20 mm, or never to hold, is tried and shown, and is no answer."""
    scenario = one_strut(gap=0.5, drop=0.5)
    scenario = replace(scenario, leader=replace(scenario.leader, gap_limit=0.002))
    found = cadence(scenario, n=100, paces=(0.0,), limits=(0.001, 0.002, 0.02), workers=1)
    assert {w.gap_limit for w in found.ways} == {0.001, 0.002, 0.02, None}
    assert found.best is not None and found.best.gap_limit in (0.001, 0.002)
    asked = cadence(scenario, n=100, paces=(0.0,), limits=(0.001, 0.002, 0.02), looser=True, workers=1)
    assert asked.best is not None and asked.best.time.value <= found.best.time.value


def test_of_ways_that_take_no_longer_the_smaller_limit_is_the_answer() -> None:
    """The collar is caught before the operator is ready at either limit: the same time, and the closer of the two."""
    collar = Collar("collar", 0.002, turns=Draw(50.0), react=Draw(0.0), seat=Draw(0.0))
    plain = one_strut(gap=0.5, drop=0.5)
    scenario = replace(plain, stations=(replace(plain.stations[0], capture=(collar,)),))
    found = cadence(scenario, n=100, paces=(0.0,), limits=(0.002, 0.004), looser=True, workers=1)
    times = {w.gap_limit: w.time.value for w in found.ways}
    assert times[0.002] == times[0.004]
    assert found.best is not None and found.best.gap_limit == 0.002


def test_where_no_pace_meets_the_risk_it_says_so() -> None:
    """Pins two inches apart leave more than an inch open however they are called; nothing a fifth better cures that."""
    text = (files("sim.examples") / "trailer.toml").read_text(encoding="utf-8")
    found = cadence(parse(text, "trailer", "pinned"), n=60, paces=(0.0,), limits=(INCH / 4,), workers=1)
    assert found.best is None
    assert found.would_meet == []
    assert all(w.gap_risk == 1 for w in found.ways)


def test_a_small_risk_asks_for_enough_replications_to_show_it() -> None:
    """None of n shows a risk under r only where (1 - r)^n is 5 % at most: 299 for 1 %."""
    found = cadence(one_strut(), risk=0.01, n=10, paces=(0.0,), limits=(0.0,), workers=1)
    assert {w.n for w in found.ways} == {299}


def test_an_interrupted_cadence_goes_on_from_its_blocks(tmp_path: Path) -> None:
    """What lies on disk is not simulated again, and the answer is the same."""
    scenario = parse((files("sim.examples") / "trailer.toml").read_text(encoding="utf-8"), "trailer")
    grid = {"paces": (0.0, 8.0), "limits": (0.0127,), "n": 60, "workers": 1}

    def stop(done: int, of: int) -> None:
        if done >= 120:
            raise KeyboardInterrupt

    folder = folder_for(scenario, 0, tmp_path, resume=False, what="cadence")
    stopped = cadence(scenario, **grid, folder=folder, progress=stop)  # type: ignore[arg-type]
    assert (len(stopped.ways), stopped.wanted) == (2, 4)
    assert len(list(folder.glob("*.parquet"))) == 2
    again = folder_for(scenario, 0, tmp_path, resume=True, what="cadence")
    whole = cadence(scenario, **grid, folder=again)  # type: ignore[arg-type]
    assert whole.ways == cadence(scenario, **grid).ways  # type: ignore[arg-type]
    assert whole.wanted == len(whole.ways) == 4
