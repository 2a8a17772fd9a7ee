"""Lessons as documents to edit, read back: headings, texts, tables, questions, pictures."""

from __future__ import annotations

import re
import struct
from dataclasses import replace
from functools import cache
from html import unescape
from io import BytesIO
from pathlib import Path
from typing import Any

import docx
import pytest
from docx.oxml.ns import qn

import sim
from reports.lessons.handouts.document import document, drawn_pictures
from reports.lessons.handouts.handout import Handout, put_together
from reports.lessons.handouts.paragraphs import Writer
from reports.lessons.page import drawn_by, figures_at_each_setting, write_lesson
from reports.paper.lesson_prose import prose
from reports.slides import pictures as slides
from sim.lessons import LESSONS, questions
from sim.lessons.words.prose import SYSTEMS, items, places
from sim.model.sentences import words
from tests.builders import lesson
from tests.commands import run
from tests.reports.browser import chromium_path

PINS = "between-the-pins"
OTHERS = {"us": r"\d (mm|kN|J)\b", "si": r"\d (in|lb|ft-lb)\b"}


@cache
def given(name: str, units: Any = "us", answers: bool = True) -> Handout:
    """A lesson on the trailer."""
    return put_together(LESSONS[name], lesson(name), units, answers, 0)


def read_back(file: bytes) -> Any:
    """As a word processor opens it."""
    return docx.Document(BytesIO(file))


@cache
def opened(name: str, units: Any = "us", answers: bool = True) -> Any:
    """A lesson's document, without its picture."""
    return read_back(document(given(name, units, answers), None, "no browser"))


def texts_of(made: Any) -> list[str]:
    """Every paragraph, those in tables too."""
    return ["".join(each.text or "" for each in p.iter(qn("w:t"))) for p in made.element.body.iter(qn("w:p"))]


def squeezed(text: str) -> str:
    """A text without white space: lines break where they like."""
    return re.sub(r"\s+", "", text)


@pytest.mark.parametrize("units", SYSTEMS)
@pytest.mark.parametrize("name", list(LESSONS))
def test_the_document_says_what_the_page_says_in_the_same_digits(name: str, units: Any) -> None:
    """Every part of the prose, every question with its answer, every caution, every figure of the table."""
    ours, computed = LESSONS[name], lesson(name)
    text = squeezed(" ".join(texts_of(opened(name, units))))
    for part, by_units in prose(ours, computed).items():
        for line in by_units[units].striptags().splitlines():
            assert squeezed(unescape(line)) in text, part
    for asked in questions(ours, computed, units, 0):
        for line in (asked.ask, asked.formula, asked.put_in, asked.result):
            assert squeezed(line) in text
    assert all(squeezed(line) in text for line in (*ours.cautions, *(words(each, units) for each in computed.assumed)))
    printed = computed.say(units)
    for place in [p for part in ours.texts.values() for p in places(part)]:
        assert squeezed(printed[place]) in text, place


@pytest.mark.parametrize("units", SYSTEMS)
@pytest.mark.parametrize("name", list(LESSONS))
def test_no_place_is_left_open_and_no_figure_is_in_the_other_units(name: str, units: Any) -> None:
    """Neither braces nor marks of Markdown; sources quote theirs."""
    made = opened(name, units)
    texts = texts_of(made)
    assert [t for t in texts if re.search(r"\{\{|\}\}|\{%|\*\*|\\[.()+-]|\| ---", t)] == []
    sources = squeezed(prose(LESSONS[name], lesson(name))["sources"][units].striptags())
    ours = [t for t in texts if squeezed(t) not in sources and t != given(name, units).what]
    title = lesson(name).scenario.title
    assert [t for t in ours if re.search(OTHERS[units], t.replace(title, ""))] == []


@pytest.mark.parametrize("name", list(LESSONS))
def test_the_table_is_a_table_with_the_figures_read_out_on_the_page(name: str) -> None:
    """Row by row; its head is repeated on another page."""
    rows = figures_at_each_setting(drawn_by(LESSONS[name]), lesson(name), "us")
    table = opened(name).tables[0]
    assert [[cell.text for cell in row.cells] for row in table.rows] == [rows["head"], *rows["rows"]]
    assert [row._tr.trPr.find(qn("w:tblHeader")) is not None for row in table.rows].index(False) == 1


def test_the_headings_of_the_page_are_styles_and_every_line_with_a_number_stands_there() -> None:
    """In the order of the page, which is written on its own."""
    page = write_lesson(PINS, units="us", answers=True).split("<script")[0]
    made = opened(PINS)
    headings = [p.text for p in made.paragraphs if p.style.name == "Heading 1"]
    assert [h for h in headings if h not in ("The picture", "The same as a table", "Answers")] == [
        unescape(h) for h in re.findall(r"<h3>(.*?)</h3>", page)
    ]
    assert [p.text for p in made.paragraphs if p.style.name == "Title"] == ["Lesson 1: Between the pins"]
    shown = squeezed(unescape(re.sub(r"<[^>]+>", "", page)))
    lines = [t.removeprefix("Formula: ").removeprefix("Numbers: ") for t in texts_of(made) if re.search(r"\d", t)]
    assert [t for t in lines if squeezed(t) not in shown] == []
    assert len(lines) > 50


def test_answers_and_the_instructor_s_page_only_where_asked_for() -> None:
    """On a page of their own."""
    without = squeezed(" ".join(texts_of(opened(PINS, answers=False))))
    asked = questions(LESSONS[PINS], lesson(PINS), "us")
    assert all(squeezed(q.ask) in without and squeezed(q.formula) not in without for q in asked)
    assert "Fortheinstructor" not in without and "Watchfor" not in without
    (answers,) = [p for p in opened(PINS).paragraphs if p.text == "Answers"]
    assert answers.paragraph_format.page_break_before


def test_each_numbered_list_begins_at_one() -> None:
    """Stops, drill, questions and answers have numbers of their own, in one style."""
    made = opened(PINS)
    numbered = [p for p in made.paragraphs if p.style.name == "List Number"]
    lists = dict.fromkeys(p._p.pPr.numPr.numId.val for p in numbered)
    assert len(lists) == 4
    stops = len(items(LESSONS[PINS].texts["stops"]))
    assert [p._p.pPr.numPr.numId.val for p in numbered[: stops + 1]].count(next(iter(lists))) == stops
    for number in lists:
        (override,) = made.part.numbering_part.element.num_having_numId(number).lvlOverride_lst
        assert override.startOverride.val == 1


@pytest.mark.parametrize(("units", "inches", "language"), [("us", (8.5, 11), "en-US"), ("si", (8.27, 11.69), "en-GB")])
def test_the_paper_the_language_and_the_foot_are_those_of_the_reader(units: Any, inches: Any, language: str) -> None:
    """Letter or A4; the caution stands on every page; nobody's name is in it."""
    made = opened(PINS, units)
    section = made.sections[0]
    assert (section.page_width.inches, section.page_height.inches) == pytest.approx(inches, abs=0.01)
    assert "Never work under a load held only by a jack." in section.footer.paragraphs[0].text
    about = made.core_properties
    assert (about.title, about.language, about.author) == ("Lesson 1: Between the pins", language, "")
    sizes = [e.val.pt for e in made.element.body.iter(qn("w:sz"))] + [s.font.size.pt for s in made.styles if used(s)]
    assert min(sizes) >= 8


def used(style: Any) -> bool:
    """Whether a style has a size of its own, and is one of ours."""
    return style.name in ("Normal", "Title", "Subtitle", "Heading 1", "Caption") and style.font.size is not None


def test_without_a_browser_the_document_says_where_its_picture_would_be(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And how to get it; the command says it too, and writes the document."""
    monkeypatch.setattr(slides, "find_browser", lambda: "")
    done = run(tmp_path, "lesson", "steep-or-flat", "--docx", "--units", "si")
    assert done.returncode == 0
    assert "steep-or-flat.docx written without its picture: no Chrome or Chromium was found" in done.stderr
    made = docx.Document(str(tmp_path / "lessons" / "steep-or-flat.docx"))
    (said,) = [p.text for p in made.paragraphs if "would stand here" in p.text]
    assert given("steep-or-flat").picture.title in said and "install Chrome or Chromium" in said
    assert len(made.inline_shapes) == 0


@pytest.mark.browser
def test_the_picture_is_in_the_document_sharp_and_with_words_for_who_cannot_see_it() -> None:
    """As wide as on the printed page, so that its type is no smaller: 8 points."""
    chromium_path()
    pictures, why = drawn_pictures([given(PINS, "si")])
    assert why == ""
    made = read_back(document(given(PINS, "si"), pictures[PINS]))
    (shape,) = made.inline_shapes
    about = shape._inline.docPr
    assert about.get("descr") == given(PINS, "si").picture.alt and len(about.get("descr")) > 60
    (part,) = [p for p in made.part.package.iter_parts() if str(p.partname).endswith(".png")]
    dots = struct.unpack(">II", part.blob[16:24])
    assert dots[0] / shape.width.inches > 200
    sizes = [note["font"]["size"] for note in given(PINS, "si").board.figure()["layout"]["annotations"]]
    assert min(sizes) * shape.width.pt / (dots[0] / 3) >= 8
    at = [p.text for p in made.paragraphs]
    assert at[at.index("The picture") + 2].startswith("Gap at the strut against rise.")


def test_a_lift_that_the_check_stops_is_headed_by_that() -> None:
    """As everything that is made of it."""
    trailer = sim.load("trailer")
    weak = replace(trailer, lifters=tuple(replace(lifter, rated_load=10.0) for lifter in trailer.lifters))
    computed = replace(lesson(PINS), scenario=weak)
    made = read_back(document(put_together(LESSONS[PINS], computed, "us", False, 0), None, ""))
    assert next(p.text for p in made.paragraphs if p.style.name == "Heading 1").startswith("Do not lift like this: ")
    assert "Do not lift like this" not in " ".join(texts_of(opened(PINS)))


def test_what_cannot_be_seen_or_would_be_markup_stands_there_as_text() -> None:
    """From a text of the writer's own: control characters, HTML, pictures from elsewhere."""
    made = docx.Document()
    Writer(made).write(
        "a\x1b[31m <b>x</b> ![y](http://example.org/y.png) [go](javascript:alert(1)) [to](http://e.org/)"
    )
    (paragraph,) = made.paragraphs
    assert paragraph.text.startswith("a\\u001b[31m <b>x</b> !y")
    assert "to (http://e.org/)" in paragraph.text and not made.inline_shapes


def test_all_that_markdown_can_do_finds_its_style() -> None:
    """Headings, quotes, lists in lists, code, a rule, bold and italic."""
    made = docx.Document()
    Writer(made).write("# A\n\n> q\n\n- one\n  - two\n\n    more\n\n```\ncode\n```\n\n---\n\n**b** *i* plain\nagain")
    styles = [(p.style.name, p.text) for p in made.paragraphs]
    assert styles == [
        ("Heading 2", "A"),
        ("Quote", "q"),
        ("List Bullet", "one"),
        ("List Bullet 2", "two"),
        ("List Continue 2", "more"),
        ("Normal", "code"),
        ("Normal", "b i plain again"),
    ]
    assert [(r.text, r.bold, r.italic) for r in made.paragraphs[-1].runs] == [
        ("b", True, None),
        (" ", None, None),
        ("i", None, True),
        (" plain again", None, None),
    ]
