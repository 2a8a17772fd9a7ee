"""Ways that come down again, side by side: what the way down took, and the largest gap that was made on it."""

from __future__ import annotations

import io

import pytest
from rich.console import Console

from reports.many.compare import compare_figure, path_of, sentences, turn_of, write_compare_page
from reports.terminal.compared import show_comparison
from reports.words.plain import clock
from reports.words.stages import ways_down
from sim.model.units import show_up
from sim.record.measures import measure
from sim.record.record import Record
from tests.reports.shapes import shape

NAMES = ("threaded", "pinned with cribbing")


@pytest.fixture(scope="module")
def records() -> list[Record]:
    """The same lift, up and down, with collars and with pins and cribbing."""
    return [shape("down again"), shape("down again, pinned with cribbing")]


def test_one_line_says_what_the_way_down_took_and_its_largest_made_gap(records: list[Record]) -> None:
    """For each way, on the terminal and on the page; none for lifts that only go up."""
    summaries = [measure(record) for record in records]
    (line,) = ways_down(NAMES, summaries, "us")
    for name, summary in zip(NAMES, summaries, strict=True):
        down, made = summary["stages"][3], summary["largest_made_gap"]
        gap = f"{show_up(made['gap_m'], 'length', 'us')} at the {made['station']}, call {made['call']}"
        assert f"{clock(down['duration_s'])} in {down['calls']} calls, its largest made gap {gap} ({name})" in line
    assert sentences(NAMES, summaries, "us")[2] == line
    up = [measure(shape("trailer")), measure(shape("pinned with cribbing"))]
    assert ways_down(NAMES, up, "us") == [] and len(sentences(NAMES, up, "us")) == 2


def test_the_terminal_has_rows_for_the_way_down_only_where_there_is_one(records: list[Record]) -> None:
    """The made gap, the time, hands in on the rams alone; and the kind of the largest gap."""
    said = printed(dict(zip(NAMES, map(measure, records), strict=True)))
    assert all(row in said for row in ("made, on the way down", "the way down", "hands in on the rams alone"))
    assert "0.40 in made" in said
    assert "way down" not in printed({name: measure(shape("trailer")) for name in NAMES})


def printed(summaries: dict[str, dict[str, object]]) -> str:
    """What the terminal shows."""
    console = Console(file=io.StringIO(), width=160)
    show_comparison(summaries, "us", console)
    return console.file.getvalue()  # type: ignore[attr-defined]


def test_the_way_down_is_a_line_of_its_own_in_the_picture(records: list[Record]) -> None:
    """Dotted, from the top back to the start; the filled line ends where the load begins to come down."""
    figure = compare_figure(records, NAMES)
    up = [t for t in figure["data"] if t["name"] == "widest gap"]
    down = [t for t in figure["data"] if t["name"] == "widest gap on the way down"]
    assert len(up) == len(down) == 2
    for record, rises, falls in zip(records, up, down, strict=True):
        rise, _, _ = path_of(record)
        assert rises["x"] + falls["x"] == pytest.approx(rise.tolist(), abs=1e-5)
        assert falls["x"][-1] == pytest.approx(0.0, abs=1e-5) and falls["x"][0] == pytest.approx(
            max(rises["x"]), abs=2e-3
        )
        assert max(falls["y"]) == pytest.approx(measure(record)["largest_made_gap"]["gap_m"], abs=1e-5)
    only_up = compare_figure([shape("trailer")], ["trailer"])
    assert not [t for t in only_up["data"] if t["name"] == "widest gap on the way down"]
    assert turn_of(shape("trailer")) >= len(path_of(shape("trailer"))[0])


def test_the_page_has_the_way_down_in_its_answer_and_in_its_figures(records: list[Record]) -> None:
    """One row for the made gap, one for the time."""
    summaries = [measure(record) for record in records]
    page = write_compare_page(records, summaries, NAMES)
    assert "The way down took 5 min" in page.replace("\xa0", " ")
    assert "largest gap made on the way down" in page and "the way down</th>" in page
    assert "way down" not in write_compare_page([shape("trailer")], [measure(shape("trailer"))], ["up"])
