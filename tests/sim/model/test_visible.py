"""Text that only stands there: what a terminal, a spreadsheet or the eye would be led by is written out."""

from __future__ import annotations

import csv
import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.model.visible import guarded, seen, unguarded, visible

SCRIPTS = ["left strut", "Stütze links", "支柱", "دعامة", "עמוד", "सहारा", "🚒 strut", "a\u200cb\u200dc\u200e"]


@pytest.mark.parametrize("name", SCRIPTS)
def test_names_of_every_script_stay_as_they_are(name: str) -> None:
    """Joiners and direction marks, which such names need, are left alone."""
    assert visible(name) == seen(name) == guarded(name) == name


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("\x1b[31mred", r"\u001b[31mred"),
        ("\x1b]0;title\x07", r"\u001b]0;title\u0007"),
        ("one\rtwo\nthree\t", r"one\rtwo\nthree\t"),
        ("\x9b31m", r"\u009b31m"),
        ("a\u202eb\u2066c\u2028d", r"a\u202eb\u2066c\u2028d"),
        ("file\udc80", r"file\udc80"),
    ],
)
def test_what_cannot_be_seen_is_written_out(written: str, shown: str) -> None:
    """Escapes, bells, returns, C1 controls, overrides, line separators, half a surrogate pair."""
    assert visible(written) == shown
    assert visible(shown) == shown
    assert not re.search(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]", seen(written))


def test_line_ends_may_stay() -> None:
    """In a text of several lines."""
    assert visible("a\nb\x07", keep="\n") == "a\nb\\u0007"


CELLS = st.text("';=+-@\t\r\n ax9é,\"＝－", max_size=8) | st.text(max_size=5)


@given(CELLS)
def test_a_guarded_cell_comes_back_as_it_was(cell: str) -> None:
    """Whatever is in it, apostrophes of its own too."""
    assert unguarded(guarded(cell)) == cell


@given(st.lists(CELLS, min_size=1, max_size=4))
def test_no_guarded_cell_begins_like_a_formula(cells: list[str]) -> None:
    """Neither where cells are parted by commas, nor where by semicolons or tabs."""
    written = io.StringIO()
    csv.writer(written).writerow([guarded(cell) for cell in cells])
    for mark in ",;\t":
        for row in csv.reader(io.StringIO(written.getvalue(), newline=""), delimiter=mark):
            assert not any(re.match(r"[\t\r\n]*[=+\-@＝＋－＠]", cell) for cell in row), row


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "=cmd|' /C calc'!A0", "x;=1;y"])
def test_formulas_are_guarded(cell: str) -> None:
    """By an apostrophe, as a person would type one."""
    assert "'" in guarded(cell) and guarded(cell) != cell
