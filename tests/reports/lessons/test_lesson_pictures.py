"""The pictures of the lessons for slides, and the words that go with them."""

from __future__ import annotations

import csv
import struct
from pathlib import Path

import pytest

from reports.lessons.page import PAGE_TYPE, write_lesson_pictures
from reports.lessons.picture import start
from sim.lessons import LESSONS
from tests.builders import lesson as simulated_once
from tests.reports.browser import chromium_path

FIRST = ("between-the-pins", "the-chase", "what-a-gap-costs")


@pytest.mark.browser
def test_each_picture_comes_as_png_svg_pdf_and_csv_with_words_to_paste(tmp_path: Path) -> None:
    """At the size of a slide; captions and alt text for every one."""
    chromium_path()  # skips where there is none
    written = write_lesson_pictures("what-a-gap-costs", None, tmp_path / "slides")
    kinds = {path.suffix for path in written}
    assert kinds == {".png", ".svg", ".pdf", ".csv", ".txt"}
    names = {path.stem for path in written if path.suffix == ".png"}
    assert len(names) >= 3
    for path in written:
        head = path.read_bytes()
        if path.suffix == ".png":
            assert struct.unpack(">II", head[16:24]) == (1280, 720)
        assert len(head) < 2_000_000
    words = written[-1].read_text(encoding="utf-8")
    for name in names:
        assert name in words
    assert words.count("Caption: ") == words.count("Alt text: ") == len(names)
    assert 1.0 in column(tmp_path / "slides", "gap_in")


def column(folder: Path, name: str) -> set[float]:
    """A column of what the picture of the peak force shows."""
    with (folder / "what-a-gap-costs-peak-force.csv").open(encoding="utf-8") as file:
        return {round(float(row[name]), 3) for row in csv.DictReader(file)}


@pytest.mark.browser
def test_the_csv_is_in_the_units_of_the_picture(tmp_path: Path) -> None:
    """gap_m becomes gap_mm, and says so; gap_in above."""
    chromium_path()
    write_lesson_pictures("what-a-gap-costs", None, tmp_path, "si", formats=("svg",))
    assert 25.4 in column(tmp_path, "gap_mm")


@pytest.mark.parametrize("name", list(LESSONS))
def test_every_picture_has_alt_text_and_a_caption_and_figures(name: str) -> None:
    """None of them empty, no name twice, no trace that the page cannot draw."""
    from reports.lessons.page import drawn_by
    from reports.paper.figures import checked

    lesson = LESSONS[name]
    computed = simulated_once(name, "van")
    drawn = drawn_by(lesson)
    for units in ("us", "si"):
        pictures = drawn.pictures(computed, units, 20.0)
        assert len({p.name for p in pictures}) == len(pictures) >= 2
        for picture in pictures:
            assert len(picture.alt) > 60 and len(picture.caption) > 60 and picture.title and len(picture.table)
            checked(picture.board.figure())
        checked(drawn.moving(computed, units, start(computed), PAGE_TYPE).figure())
        checked(drawn.fixed(computed, units, 10.0).figure())


@pytest.mark.parametrize("example", ["van", pytest.param("trailer", marks=pytest.mark.slow)])
@pytest.mark.parametrize("name", list(LESSONS))
def test_no_line_or_bar_is_simulated_apart_by_colour_alone(name: str, example: str) -> None:
    """Within one panel, two lines of one picture differ in dash, symbol or width too; bars in hatch."""
    from reports.lessons.page import drawn_by

    lesson = LESSONS[name]
    computed = simulated_once(name, example)
    for picture in drawn_by(lesson).pictures(computed, "us", 20.0):
        seen: dict[tuple[object, ...], str] = {}
        for trace in picture.board.figure()["data"]:
            marker, line = trace.get("marker", {}), trace.get("line", {})
            colour = line.get("color") or marker.get("line", {}).get("color") or marker.get("color")
            look = (
                trace["xaxis"], trace["type"], trace.get("mode"), line.get("dash"), line.get("width"),
                marker.get("symbol"), marker.get("pattern", {}).get("shape"),
            )  # fmt: skip
            assert seen.setdefault(look, colour) == colour, (picture.name, look)
