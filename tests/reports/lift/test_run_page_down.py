"""The page of a lift that comes down again: what was done, which gap was which, a table of stages."""

from __future__ import annotations

import html
import re

import pytest

from reports.lift.lanes import lanes_of
from reports.lift.run_page import gap_alt, timeline_alt, write_run_page
from reports.words.answer import answer
from reports.words.stages import HEADS, rows
from sim.model.units import show_up
from sim.record.measures import measure
from tests.reports.shapes import shape


def words_of(page: str) -> str:
    """What a reader sees."""
    seen = re.sub(r"<(style|script)\b.*?</\1>", " ", page, flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", seen)).replace("\xa0", " "))


@pytest.mark.parametrize("name", ["down again", "down again, pinned with cribbing"])
def test_the_page_has_every_figure_of_the_stages_and_names_the_made_gap(name: str) -> None:
    """The answer, the figures under it, the table, the sentence on the cut axis: each as the summary has it."""
    record = shape(name)
    summary = measure(record)
    words = words_of(write_run_page(record, summary, drawing_html=""))
    assert answer(summary, record.scenario) in words
    made = show_up(summary["largest_made_gap"]["gap_m"], "length", "us")
    assert f"Largest gap, made {made}" in words and "made on purpose" in words
    assert "Hands in on the rams alone never" in words
    for row in rows(summary, "us"):
        assert " ".join(row) in words
    assert all(head in words for head in HEADS)
    assert "The time axis is cut: 10 min in which nothing moves" in words
    assert f"Highest rise {show_up(0.0, 'length', 'us')}" not in words
    assert "in 4 stages" in timeline_alt(lanes_of(record), summary) and "made on the way down" in gap_alt(summary)


def test_a_lift_that_only_goes_up_has_none_of_it() -> None:
    """No table of stages, no made gap."""
    record = shape("trailer")
    words = words_of(write_run_page(record, measure(record), drawing_html=""))
    assert "Stages" not in words and "made on" not in words and "axis is cut" not in words
