"""The comparison: one panel a variant, the same scales, the same figures as the summaries."""

from __future__ import annotations

from importlib.resources import files

import numpy as np
import plotly.graph_objects as go
import pytest

from reports.many.compare import compare_figure, label, path_of, sentences, write_compare_page
from reports.paper.figures import finished
from sim.record.measures import measure
from sim.record.record import Record
from sim.story.lift import simulate
from sim.written.reading import parse, variants


@pytest.fixture(scope="module")
def records() -> list[Record]:
    """The trailer and its variants, with the same people."""
    scenario = parse((files("sim") / "examples" / "trailer.toml").read_text(encoding="utf-8"), "trailer.toml")
    return [simulate(each, 1) for each in (scenario, *variants(scenario))]


def test_the_widest_gap_of_each_panel_is_the_measure(records: list[Record]) -> None:
    """And it ends at the rise of the summary."""
    for record in records:
        rise, gap, opens = path_of(record)
        summary = measure(record)
        assert gap.max() == pytest.approx(summary["largest_gap"]["gap_m"])
        assert rise[-1] == pytest.approx(summary["point_rise_m"])
        open_s = sum(station["open_time_s"] for station in summary["stations"].values())
        assert sum(seconds for _, seconds in opens) == pytest.approx(open_s)


def test_all_panels_have_the_same_scales(records: list[Record]) -> None:
    """Or a small gap would look as large as a large one."""
    figure = compare_figure(records)["layout"]
    for letter in "xy":
        ranges = [tuple(figure[f"{letter}axis{n or ''}"]["range"]) for n in [0, *range(2, len(records) + 1)]]
        assert len(set(ranges)) == 1


@pytest.mark.parametrize("width", [390, 1024, 1920])
def test_plotly_knows_every_key(records: list[Record], width: int) -> None:
    """And panels do not overlap, side by side or one under the other."""
    figure = finished(compare_figure(records), "si", width, 900)
    go.Figure(figure)
    letter = "y" if width < 640 else "x"
    domains = sorted(figure["layout"][f"{letter}axis{n or ''}"]["domain"] for n in [0, *range(2, len(records) + 1)])
    assert np.all(np.diff(np.array(domains).ravel()) > 0)


def test_two_sentences_say_what_the_picture_shows(records: list[Record]) -> None:
    """Each variant with its largest gap, and with its time."""
    names = [label(record.scenario) for record in records]
    assert names == ["as written: threaded", "pinned", "pinned with cribbing", "no holds"]
    said = sentences(names, [measure(record) for record in records], "us")
    assert len(said) == 2
    assert all(f"({name})" in sentence for name in names for sentence in said)


def test_the_page_is_one_file_with_all_variants(records: list[Record]) -> None:
    """Under 1.5 MB, a column for each."""
    html = write_compare_page(records, [measure(record) for record in records])
    assert len(html) < 1_500_000
    assert html.count('<th scope="col">pinned with cribbing</th>') == 2
