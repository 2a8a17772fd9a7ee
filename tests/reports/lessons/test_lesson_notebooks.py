"""Lessons as notebooks: they run from top to bottom, and say what the page says."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import nbformat
import pytest

import sim
from reports.lessons.handouts import notebook as written
from reports.lessons.handouts.handout import Handout, put_together
from reports.lessons.page import drawn_by, figures_at_each_setting
from reports.paper.figures import finished
from sim.lessons import LESSONS
from sim.lessons.words.prose import SYSTEMS, places
from sim.model.cautions import CAUTION
from tests.builders import lesson
from tests.commands import run

QUICKEST = "steep-or-flat"


@cache
def given(name: str, units: Any = "us", answers: bool = False) -> Handout:
    """A lesson on the trailer."""
    return put_together(LESSONS[name], lesson(name), units, answers, 0)


def texts(cells: Any) -> str:
    """The texts of a notebook."""
    return "\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")


def executed(file: Path) -> Any:
    """The notebook, every cell run in a fresh kernel where it stands."""
    nbclient = pytest.importorskip("nbclient")
    book = nbformat.read(file, as_version=4)
    nbclient.NotebookClient(book, timeout=600, resources={"metadata": {"path": str(file.parent)}}).execute()
    return book


def shown(book: Any, code: str, kind: str = "text/plain") -> Any:
    """What the cell with this code showed."""
    (cell,) = [c for c in book.cells if c.cell_type == "code" and code in c.source]
    return cell.outputs[0]["data"][kind]


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=[] if name == QUICKEST else [pytest.mark.slow]) for name in LESSONS]
)
def test_every_notebook_runs_and_computes_the_figures_of_the_page(tmp_path: Path, name: str) -> None:
    """Figures, table and picture; and none of the figures in its texts is another than the one computed there."""
    file = tmp_path / f"{name}.ipynb"
    file.write_text(written.notebook_text(given(name, "si"), tmp_path), encoding="utf-8")
    book = executed(file)
    assert [o for c in book.cells if c.cell_type == "code" for o in c.outputs if o.output_type == "error"] == []
    assert "Empty DataFrame" in shown(book, "changed(written")
    rows = figures_at_each_setting(drawn_by(LESSONS[name]), lesson(name), "si")
    html = shown(book, "table(NAME", "text/html")
    assert all(f"<td>{figure}</td>" in html for figure in rows["rows"][0][1:])
    drawn = shown(book, "picture(NAME", "application/vnd.plotly.v1+json")
    assert [t["x"] for t in drawn["data"] if "x" in t] == [t["x"] for t in expected(name)["data"] if "x" in t]
    for table in lesson(name).tables:
        assert "<table" in shown(book, f'computed.tables["{table}"]', "text/html")


def expected(name: str) -> dict[str, Any]:
    """The picture as the page prints it, in SI."""
    figure = drawn_by(LESSONS[name]).fixed(lesson(name), "si", 13.0).figure()
    return json.loads(json.dumps(finished(figure | {"layout": {"meta": {}} | figure["layout"]}, "si", 900, 620)))


@pytest.mark.parametrize("units", SYSTEMS)
@pytest.mark.parametrize("name", list(LESSONS))
def test_a_notebook_has_every_passage_and_is_one(name: str, units: Any) -> None:
    """Valid, its texts those of the document, with every figure named in them, and none left open."""
    book = json.loads(written.notebook_text(given(name, units, answers=True), Path()))
    nbformat.validate(nbformat.from_dict(book))
    text = texts(book["cells"])
    assert CAUTION in text and "{{" not in text
    for passage in given(name, units, answers=True).passages:
        assert written.harmless(passage.markdown).strip() in text
        assert passage.heading in text
    named = {place for part in LESSONS[name].texts.values() for place in places(part)}
    (code,) = ["".join(c["source"]) for c in book["cells"] if "changed(written" in "".join(c["source"])]
    said: dict[str, Any] = {}
    exec(code.rsplit("\n", 1)[0], said)
    assert said["written"] == {place: lesson(name).say(units)[place] for place in named}


def test_answers_only_where_asked_for() -> None:
    """And the instructor's page with them."""
    without = texts(json.loads(written.notebook_text(given(QUICKEST), Path()))["cells"])
    with_them = texts(json.loads(written.notebook_text(given(QUICKEST, answers=True), Path()))["cells"])
    for heading in ("## Answers", "## For the instructor"):
        assert heading not in without and heading in with_them
    assert "Formula:" not in without


def test_the_command_writes_a_notebook_that_finds_the_writer_s_own_lift(tmp_path: Path) -> None:
    """From the folder that it stands in, in the units asked for."""
    (tmp_path / "mine.toml").write_text(sim.load("van").text.replace("\r", ""), encoding="utf-8")
    asked = ("--scenario", "mine.toml", "--out", "for/class", "--notebook", "--units", "us")
    done = run(tmp_path, "lesson", QUICKEST, *asked)
    assert done.returncode == 0 and "steep-or-flat.ipynb written" in done.stderr
    file = tmp_path / "for" / "class" / f"{QUICKEST}.ipynb"
    book = executed(file)
    assert 'sim.load("../../mine.toml")' in file.read_text(encoding="utf-8").replace('\\"', '"')
    assert sim.load("van").title in shown(book, "sim.load")
    assert "Empty DataFrame" in shown(book, "changed(written")
    assert not (tmp_path / "for" / "class" / f"{QUICKEST}.docx").exists()


def test_figures_that_another_lift_changes_are_listed() -> None:
    """Each with what was written and what it is now; what is not there any more is blank."""
    computed = lesson("between-the-pins")
    table = written.changed({"spacing": "2 in", "slack": "9 in", "gone": "1 in"}, computed, "us")
    assert table.to_dict("index") == {
        "slack": {"written": "9 in", "now": "0.5 in"},
        "gone": {"written": "1 in", "now": ""},
    }


def test_no_text_brings_html_a_picture_or_a_formula_into_a_notebook() -> None:
    """A text of the writer's own, and the title of her lift."""
    hostile = "<script>alert(1)</script> ![x](http://example.org/x.png) $\\href{javascript:alert(1)}{x}$"
    ours = replace(LESSONS[QUICKEST], texts={**LESSONS[QUICKEST].texts, "belief": hostile.replace("{", "(")})
    odd = replace(lesson(QUICKEST), scenario=replace(sim.load("trailer"), title="<img src=x> $x$ \x1b[31m"))
    text = texts(json.loads(written.notebook_text(put_together(ours, odd, "us", False, 0), Path()))["cells"])
    assert "<script" not in text and "<img" not in text and "![" not in text and "\x1b" not in text
    assert text.count("$") == text.count("\\$")
