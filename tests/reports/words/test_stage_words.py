"""How a lift with stages is said: what was done in order, which kind a gap was, what the way down took."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from reports.terminal.ask import _figures
from reports.terminal.lift import figures
from reports.terminal.runs import line
from reports.words.answer import answer, why
from reports.words.plain import clock
from reports.words.stages import HEADS, kind_of_largest, plan_words, rows, way_down
from sim.model.scenario import Mishap
from sim.model.units import show, show_up
from sim.record.measures import measure
from sim.stored.store import Stored
from sim.story.lift import simulate_fixed
from sim.written.reading import parse
from tests.reports.shapes import shape
from tests.staged import STAGES, UP_AND_DOWN, staged


@pytest.fixture(params=["down again", "down again, pinned with cribbing"])
def name(request: pytest.FixtureRequest) -> str:
    """A lift with stages."""
    return str(request.param)


def test_the_answer_says_what_was_done_in_order_and_names_the_kind_of_each_gap(name: str) -> None:
    """Never that 0 in of the 5 in needed were raised; each figure is the summary's."""
    record = shape(name)
    summary = measure(record)
    said = answer(summary, record.scenario)
    raised = show(summary["stages"][1]["end_rise_m"], "length", "us")
    assert said.startswith(f"Raised {raised}, held 10 min, let down to the start, in {clock(summary['duration_s'])} (")
    made = summary["largest_made_gap"]
    assert f"made was {show_up(made['gap_m'], 'length', 'us')}, at the {made['station']} in call {made['call']}" in said
    assert "needed" not in said and why(summary) == ""


def test_stages_that_go_the_same_way_are_said_as_one() -> None:
    """Down to half an inch, up again, and down."""
    scenario = parse(staged(STAGES), "staged.toml")
    said = answer(measure(simulate_fixed(scenario)), scenario)
    assert said.startswith("Raised 5.23 in, held 10 min, let down to 0.")
    assert ", raised to 2." in said and ", let down to the start, in " in said


def test_a_lift_that_ends_early_says_in_which_stage_and_where_the_load_is() -> None:
    """Too few calls for the way down."""
    scenario = parse(staged(UP_AND_DOWN), "staged.toml")
    scenario = replace(scenario, leader=replace(scenario.leader, max_calls=25))
    summary = measure(simulate_fixed(scenario))
    rise = show(summary["stages"][-1]["end_rise_m"], "length", "us")
    said = answer(summary, scenario)
    assert said.startswith(f"Not reached at {rise}, in stage 4 (lowering to the start), in ")
    assert "max_calls" in why(summary)


def test_a_load_that_is_lost_is_said_to_be_dropped() -> None:
    """As of a lift without stages."""
    lost = Mishap("pressure-lost", 25, "left lifter", after=1.0)
    scenario = replace(parse(staged(UP_AND_DOWN), "staged.toml"), mishaps=(lost,))
    assert answer(measure(simulate_fixed(scenario)), scenario).startswith("Dropped in call 25")


def test_a_row_of_the_table_is_its_stage_of_the_summary(name: str) -> None:
    """Time, calls, the three gaps and the result."""
    summary = measure(shape(name))
    table = rows(summary, "us")
    assert [row[0] for row in table] == [
        "1. raise to 1.00 in",
        "2. raise to 5.00 in",
        "3. hold",
        "4. lower to the start",
    ]
    for row, stage in zip(table, summary["stages"], strict=True):
        cells = dict(zip(HEADS, row, strict=True))
        assert cells["time"] == clock(stage["duration_s"]) and cells["calls"] == str(stage["calls"])
        for kind in ("passing", "standing", "made"):
            gap = stage[f"largest_{kind}_gap"]
            said = show_up(gap["gap_m"], "length", "us") if gap["station"] else "none"
            assert cells[f"{kind} gap"] == said
        assert cells["result"] == stage["outcome"]


def test_the_way_down_is_one_line_of_its_stages(name: str) -> None:
    """Its time and calls are those of the stages that lower, its gap the largest made one."""
    summary = measure(shape(name))
    down = summary["stages"][3]
    made = show_up(summary["largest_made_gap"]["gap_m"], "length", "us")
    assert way_down(summary, "us").startswith(f"{clock(down['duration_s'])} in {down['calls']} calls, ")
    assert f"its largest made gap {made} at the {summary['largest_made_gap']['station']}" in way_down(summary, "us")


def test_a_lift_without_stages_says_nothing_of_them() -> None:
    """No kind, no way down, no row."""
    summary: dict[str, Any] = measure(shape("trailer"))
    assert (kind_of_largest(summary), way_down(summary, "us"), rows(summary, "us")) == ("", "", [])
    assert not [row for row in figures(summary, shape("trailer").scenario) if "made" in row[0] or "hands" in row[0]]


def test_the_terminal_has_the_made_gap_beside_the_others(name: str) -> None:
    """And how long hands were in on the rams alone, and how high the load was at the most."""
    record = shape(name)
    summary = measure(record)
    said = dict(figures(summary, record.scenario))
    assert show_up(summary["largest_made_gap"]["gap_m"], "length", "us") in said["  made, on the way down"]
    assert said["hands in on the rams alone"] == "never"
    assert kind_of_largest(summary) in said["largest gap"]
    assert said["rise"].startswith(show(summary["needed_rise_m"] + summary["overshoot_m"], "length", "us"))


def test_a_stage_of_the_plan_in_words() -> None:
    """As the call sheet has them."""
    stages = parse(staged(STAGES), "staged.toml").stages
    assert [plan_words(stage, "us") for stage in stages[:4]] == [
        "raise to 1.00 in", "raise to 5.00 in", "hold 10 min", "lower to 0.50 in",
    ]  # fmt: skip


def test_wherever_one_largest_gap_is_said_its_kind_is_said(name: str) -> None:
    """The list of runs, what is said after the questions, and the strip of the desk."""
    record = shape(name)
    summary = measure(record)
    gap = show_up(summary["largest_gap"]["gap_m"], "length", "us")
    kind = kind_of_largest(summary)
    assert line(Stored(Path("a-run"), summary))[3] == f"{gap} {kind}"
    asked = dict(_figures(record.scenario, summary))["largest gap"]
    assert asked.startswith(gap) and asked.endswith(f"({kind})")
    up = measure(shape("trailer"))
    assert line(Stored(Path("a-run"), up))[3] == show_up(up["largest_gap"]["gap_m"], "length", "us")
