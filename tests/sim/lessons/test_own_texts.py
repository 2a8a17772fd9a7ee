"""The writer's own texts: in place of ours or after them, with figures that are computed anew."""

from __future__ import annotations

from html import unescape
from pathlib import Path

import pytest

import sim
from reports.lessons.page import write_booklet, write_lesson
from sim.lessons import LESSONS
from sim.lessons.own_texts import read_texts, to_begin_from, with_own_texts
from sim.model.errors import ScenarioError
from tests.builders import lesson
from tests.commands import run

PINS = "between-the-pins"


def put(folder: Path, **texts: str) -> Path:
    """Texts as files; `leaves_out` becomes leaves-out.md."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        (folder / f"{name.replace('_', '-')}.md").write_text(text, encoding="utf-8")
    return folder


def test_a_text_replaces_a_part_another_adds_to_one_and_the_rest_stays(tmp_path: Path) -> None:
    """Figures in both units, from the scenario at hand."""
    folder = put(tmp_path / "mine", belief="My crew: {{ spacing }} apart.", drill_more="Then *rest*.")
    page = write_lesson(PINS, texts=folder)
    assert "My crew: 2 in apart." in page and "My crew: 50.8 mm apart." in page
    assert "Most people believe that a pinned strut" not in page
    assert "one pinned strut, cribbing and wedges" in page and "Then <em>rest</em>." in page
    again = write_lesson(PINS, sim.load("van"), texts=folder)
    assert "My crew: 50 mm apart." in again


def test_without_a_folder_the_lesson_is_ours() -> None:
    """The same object."""
    assert with_own_texts(LESSONS[PINS], None) is LESSONS[PINS]


def test_a_booklet_takes_the_folder_of_each_lesson(tmp_path: Path) -> None:
    """And leaves the others as they are."""
    put(tmp_path / PINS, aim="See what {{ slack }} of slack does.")
    page = write_booklet(names=[PINS, "steep-or-flat"], texts=tmp_path)
    assert page.count("See what 0.5 in of slack does.") == 2  # contents and lesson
    assert LESSONS["steep-or-flat"].aim in page and "{{" not in page.split("<script")[0]


def test_what_is_wrong_is_said_with_its_file_and_what_to_do(tmp_path: Path) -> None:
    """No folder, no such part, no such figure, stops that are not three, no text at all."""
    with pytest.raises(ScenarioError, match="there is no such folder"):
        write_lesson(PINS, texts=tmp_path / "nowhere")
    with pytest.raises(ScenarioError, match=r'beleif\.md: is no part of a lesson\s+hint: did you mean "belief"'):
        read_texts(put(tmp_path / "a", beleif="x"))
    with pytest.raises(ScenarioError, match=r'explanation\.md, line 1: the lesson has no figure "spacin"'):
        write_lesson(PINS, texts=put(tmp_path / "b", explanation="{{ spacin }}"))
    with pytest.raises(ScenarioError, match="does not have three items"):
        read_texts(put(tmp_path / "c", stops="1. one\n2. two\n"))
    (put(tmp_path / "d") / "drill.md").write_bytes(b"\xff\xfe")
    with pytest.raises(ScenarioError, match="is not UTF-8"):
        read_texts(tmp_path / "d")


def test_cautions_stay_whatever_the_writer_replaces(tmp_path: Path) -> None:
    """No part of hers is theirs."""
    every = dict.fromkeys(("aim", "belief", "explanation", "drill", "leaves_out", "sources", "instructor"), "mine")
    page = unescape(write_lesson(PINS, answers=True, texts=put(tmp_path, **every)))
    assert all(caution in page for caution in LESSONS[PINS].cautions)


def test_hostile_texts_bring_nothing_that_runs(tmp_path: Path) -> None:
    """Markup shows as text, braces run nothing."""
    page = write_lesson(PINS, texts=put(tmp_path, belief="<script>alert(1)</script> [x](javascript:alert(2))"))
    assert "<script>alert(1)" not in page and 'href="javascript' not in page
    with pytest.raises(ScenarioError, match="no named place"):
        write_lesson(PINS, texts=put(tmp_path, belief="{{ cycler.__init__.__globals__ }}"))


def test_what_is_written_to_begin_from_makes_the_same_page(tmp_path: Path) -> None:
    """By the command, never over what is there; `figures.txt` names every figure."""
    made = run(tmp_path, "lesson", PINS, "--write-texts", "mine")
    assert made.returncode == 0 and "--texts mine" in made.stderr
    assert write_lesson(PINS, texts=tmp_path / "mine") == write_lesson(PINS)
    named = (tmp_path / "mine" / "figures.txt").read_text(encoding="utf-8")
    assert all(f"{{{{ {name} }}}}" in named for name in lesson(PINS).figures)
    assert "2 in = 50.8 mm" in named
    (tmp_path / "mine" / "aim.md").write_text("Mine.\n", encoding="utf-8")
    again = run(tmp_path, "lesson", PINS, "--write-texts", "mine")
    assert again.returncode != 0 and (tmp_path / "mine" / "aim.md").read_text(encoding="utf-8") == "Mine.\n"
    written = run(tmp_path, "lesson", PINS, "--texts", "mine")
    assert written.returncode == 0
    assert "<p>Mine.</p>" in (tmp_path / "lessons" / f"{PINS}.html").read_text(encoding="utf-8")


def test_every_lesson_can_be_begun_from() -> None:
    """A file a part, and the figures."""
    for name, ours in LESSONS.items():
        assert len(to_begin_from(ours, lesson(name))) == 9
