"""Lessons as notebooks: what the page says, and cells that compute it anew from the scenario.

    text = notebook_text(handout("between-the-pins"), Path("lessons"))

A notebook imports from here what shows a lesson: `picture`, `table`, `figures`, `changed`. Its texts have the figures
of the scenario that it was written with; its last cell says which of them are others on another scenario.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from os.path import relpath
from pathlib import Path
from typing import Any

import pandas as pd

from reports.lessons.handouts.handout import Handout, plain
from reports.lessons.page import PAGE_TYPE, drawn_by, figures_at_each_setting, lesson_named, on_paper
from reports.paper.figures import finished
from sim.lessons import Computed
from sim.lessons.words.prose import places
from sim.model.cautions import CAUTION
from sim.model.units import Units

PICTURE_PX = (900, 620)
ROWS = 8  # of a table, at first
EXAMPLE = "trailer"


def notebook_text(given: Handout, folder: Path, scenario: Path | None = None) -> str:
    """A lesson as a notebook, not yet run.

    Parameters
    ----------
    given : Handout
        The lesson.
    folder : Path
        Where the notebook is to stand: from there it finds the scenario.
    scenario : Path, optional
        The file that it was computed on; by default the trailer that ships.

    Returns
    -------
    str
        The file.
    """
    shipped = scenario is None or bool(given.instead)
    named = EXAMPLE if shipped else Path(relpath(scenario or "", folder)).as_posix()
    return json.dumps(notebook(given, named), indent=1, ensure_ascii=False) + "\n"


def notebook(given: Handout, scenario: str) -> dict[str, Any]:
    """A lesson as a notebook; `scenario` is what `sim.load` takes."""
    opening = f"# {given.title}\n\n{harmless(plain(given.what))}\n\n{CAUTION}"
    cells: list[dict[str, Any]] = [_text(opening), *_computing(given, scenario)]
    for passage in given.passages:
        heading = f"## {passage.heading}\n\n" if passage.heading else ""
        cells.append(_text(heading + harmless(passage.markdown)))
        cells += [_code(line) for line in _shown_with(given, passage.name)]
    cells += [
        _text(
            "## The numbers themselves\n\n"
            "Every table of the lesson in SI, its columns ending in their unit: the first rows."
        ),
        *(_code(f'computed.tables["{name}"].head({ROWS}).round(4)') for name in given.computed.tables),
        _text(
            "## Another lift\n\nPut the name of a file of your own into `sim.load` above and run all cells. The tables "
            "and the picture are computed anew; the texts keep the figures that they were written with. Those that "
            "are others now are listed here, none where the list is empty."
        ),
        _code(_compared(given)),
    ]
    about = {
        "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
        "language_info": {"name": "python"},
    }
    numbered = [{"id": f"cell-{n}", **cell} for n, cell in enumerate(cells, start=1)]
    return {"cells": numbered, "metadata": about, "nbformat": 4, "nbformat_minor": 5}


def _computing(given: Handout, scenario: str) -> Iterable[dict[str, Any]]:
    """Read the scenario, compute the lesson."""
    name = json.dumps(given.lesson.name)
    yield _code("import sim\nfrom reports.lessons.handouts.notebook import changed, figures, picture, table")
    file = json.dumps(scenario, ensure_ascii=False)
    yield _code(f"scenario = sim.load({file})  # or the file of a lift of your own\nscenario.title")
    yield _code(f"NAME, UNITS = {name}, {json.dumps(given.units)}\ncomputed = sim.lesson(NAME, scenario)")


def _shown_with(given: Handout, passage: str) -> Iterable[str]:
    """The code that goes with a passage."""
    if passage == "picture":
        yield "picture(NAME, computed, UNITS)"
    elif passage == "table":
        yield "table(NAME, computed, UNITS)"
    elif passage == "explanation":
        yield "figures(computed, UNITS)  # every figure that the texts can name"


def _compared(given: Handout) -> str:
    """The figures that the texts print, against those computed now."""
    printed = given.computed.say(given.units)
    named = dict.fromkeys(place for text in given.lesson.texts.values() for place in places(text))
    lines = [f"    {json.dumps(name)}: {json.dumps(printed[name], ensure_ascii=False)}," for name in named]
    before = "\n".join(["written = {", *lines, "}"])
    return f"{before}\nchanged(written, computed, UNITS)"


def harmless(markdown: str) -> str:
    """Markdown that shows in a notebook what it shows on the page: no HTML, no pictures from elsewhere, no formulas."""
    bare = markdown.replace("\\<", "<").replace("\\$", "$")
    return bare.replace("<", "&lt;").replace("![", "!\\[").replace("$", "\\$")


def _text(markdown: str) -> dict[str, Any]:
    return {"cell_type": "markdown", "metadata": {}, "source": _lines(markdown)}


def _code(code: str) -> dict[str, Any]:
    return {"cell_type": "code", "execution_count": None, "metadata": {}, "outputs": [], "source": _lines(code)}


def _lines(text: str) -> list[str]:
    """As notebooks have their texts: a line an entry, each with its end but the last."""
    return text.strip().splitlines(keepends=True)


# --- what a notebook shows


def picture(name: str, computed: Computed, units: Units = "us") -> Any:
    """The picture of a lesson, to be looked at and zoomed."""
    from plotly.graph_objects import Figure as Shown

    board = drawn_by(lesson_named(name)).fixed(computed, units, PAGE_TYPE)
    return Shown(finished(on_paper(board), units, *PICTURE_PX)).update_layout(width=PICTURE_PX[0], height=PICTURE_PX[1])


def table(name: str, computed: Computed, units: Units = "us") -> pd.DataFrame:
    """What the page reads out, a row for each setting of its first slider."""
    rows = figures_at_each_setting(drawn_by(lesson_named(name)), computed, units)
    return pd.DataFrame(rows["rows"], columns=rows["head"]).set_index(rows["head"][0])


def figures(computed: Computed, units: Units = "us") -> pd.Series:
    """The figures of a lesson as its texts print them, by name."""
    return pd.Series(computed.say(units), name="figure", dtype="object")


def changed(written: dict[str, str], computed: Computed, units: Units = "us") -> pd.DataFrame:
    """The figures that were written otherwise than they are now; what a lesson no longer has is blank."""
    now = figures(computed, units)
    both = {name: (said, now.get(name, "")) for name, said in written.items() if now.get(name) != said}
    return pd.DataFrame.from_dict(both, orient="index", columns=["written", "now"])
