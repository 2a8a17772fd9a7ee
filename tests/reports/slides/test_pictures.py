"""Pictures for slides: drawn at the size asked for, with a CSV of what they show, or a plain error."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest

from reports.lift.lanes import lanes_of
from reports.slides import pictures
from reports.slides.pictures import PictureError, write_compare_pictures, write_pictures
from sim.record.measures import measure
from tests.reports.browser import chromium_path
from tests.reports.shapes import shape


@pytest.mark.browser
def test_timeline_gaps_and_drawing_as_png_svg_and_pdf_at_their_size(tmp_path: Path) -> None:
    """And a CSV beside each."""
    chromium_path()  # skips where there is none
    written = write_pictures(shape("pinned with cribbing"), tmp_path / "new", 1280, 720)
    assert {path.name for path in written} == {
        f"{c}.{f}" for c in ("timeline", "gaps", "drawing") for f in ("png", "svg", "pdf", "csv")
    }
    for path in written:
        head = path.read_bytes()
        if path.suffix == ".png":
            assert struct.unpack(">II", head[16:24]) == (1280, 720)
        assert {".png": b"\x89PNG", ".svg": b"<svg", ".pdf": b"%PDF", ".csv": b""}[path.suffix] in head[:200]
        assert len(head) < 400_000


@pytest.mark.browser
def test_the_comparison_is_one_picture(tmp_path: Path) -> None:
    """With the figures of all its panels."""
    chromium_path()
    written = write_compare_pictures([shape("trailer"), shape("pinned with cribbing")], tmp_path, 1024, 600, ["svg"])
    assert [path.name for path in written] == ["compare.svg", "compare.csv"]
    drawing = written[0].read_text(encoding="utf-8")
    assert "pinned with cribbing" in drawing and "rise at the needed point" in drawing


def test_the_tables_hold_what_the_pictures_show() -> None:
    """Every stroke, call and hold; the largest gap."""
    record = shape("trailer")
    summary = measure(record)
    head, *rows = pictures.timeline_table(lanes_of(record))
    whats = [row[head.index("what")] for row in rows]
    assert whats.count("strokes") == sum(summary["pumps"].values())
    assert whats.count("holds") == summary["holds"]
    assert sum(what.startswith("call ") for what in whats) == summary["calls"]
    head, *rows = pictures.gap_table(record)
    first = lanes_of(record).calls[0][0]
    late = [row[head.index("gap_m")] for row in rows if row[head.index("time_s")] >= first]
    assert max(late) <= summary["largest_gap"]["gap_m"] + 1e-12


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"formats": ["gif"]}, '"gif" is not a kind of picture'),
        ({"width": 10}, "a picture of 10 by 900 px"),
        ({"height": 260}, "lanes cannot be read in a picture 260 px high"),
    ],
)
def test_what_cannot_be_drawn_is_said(tmp_path: Path, asked: dict[str, object], said: str) -> None:
    """With what can be, and nothing is written."""
    with pytest.raises(PictureError, match=said) as simulated:
        write_pictures(shape("pinned with cribbing"), tmp_path / "new", **asked)  # type: ignore[arg-type]
    assert "hint: " in str(simulated.value)
    assert not (tmp_path / "new").exists()


def test_without_a_browser_it_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And that the drawing needs none."""
    monkeypatch.setattr(pictures, "find_browser", lambda: "")
    with pytest.raises(PictureError, match="no Chrome or Chromium was found") as simulated:
        write_pictures(shape("one station"), tmp_path)
    assert "apt install chromium" in str(simulated.value) and "needs none" in str(simulated.value)
