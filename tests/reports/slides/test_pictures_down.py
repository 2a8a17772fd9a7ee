"""The pictures of a lift that comes down again: made gaps, stages and a pressed stand, as on its page."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest

from reports.lift.lanes import lanes_of
from reports.slides.pictures import timeline_table, write_compare_pictures, write_pictures
from tests.reports.shapes import shape

pytestmark = pytest.mark.browser


def test_a_lift_that_comes_down_is_drawn_with_its_stages_and_true_times(tmp_path: Path) -> None:
    """Every picture is there; the timeline names its stages, and its axis goes on from before the stand to after it."""
    record = shape("down again, pinned with cribbing")
    written = write_pictures(record, tmp_path, 1600, 900, ["svg"])
    assert {path.name for path in written} >= {"timeline.svg", "gaps.svg", "drawing.svg"}
    drawn = (tmp_path / "timeline.svg").read_text("utf-8")
    assert all(words in drawn for words in ("1. raise", "2. raise to 5.00 in", "4. lower to the start"))
    times = [int(t.replace(",", "")) for t in re.findall(r">([\d,]+) s<", drawn)]
    assert times == sorted(times) and max(b - a for a, b in pairwise(times)) > 500
    assert "made in call" in re.sub(r"<[^>]+>", "", (tmp_path / "gaps.svg").read_text("utf-8"))


def test_the_table_beside_it_has_the_blocks_of_the_way_down() -> None:
    """Valves, devices let down, and the leader making room."""
    said = {str(row[1]) for row in timeline_table(lanes_of(shape("down again, pinned with cribbing")))}
    assert {"opens the valve: the load comes down", "moves the pin down"} <= said
    assert "making room: waits until all hands are out" in said


def test_ways_that_come_down_are_drawn_side_by_side(tmp_path: Path) -> None:
    """One picture, one table."""
    records = [shape("down again"), shape("down again, pinned with cribbing")]
    names = sorted(path.name for path in write_compare_pictures(records, tmp_path, 1280, 720, ["svg"]))
    assert names == ["compare.csv", "compare.svg"]
