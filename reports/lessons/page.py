"""Lessons as pages, as a booklet, and as pictures for slides.

    html = write_lesson("between-the-pins", read("trailer.toml"), answers=True, seed=3)
    html = write_booklet(answers=True)
    paths = write_lesson_pictures("the-chase", None, Path("slides"))

A page has the picture twice: one with sliders, whose every setting was computed beforehand, and a fixed one for print.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from importlib import import_module
from importlib.resources import files
from itertools import product
from pathlib import Path
from typing import Any

import pandas as pd

from reports.lessons.board import Board
from reports.lessons.picture import Picture, Readout, start
from reports.paper.figures import Figure
from reports.paper.lesson_prose import prose, stops
from reports.paper.page import render
from reports.slides.pictures import write_charts as write_charts
from reports.words.stops import stops_of
from sim.lessons import LESSONS, Computed, Lesson, questions
from sim.lessons.own_texts import with_own_texts
from sim.lessons.words.prose import SYSTEMS, words_used
from sim.model.errors import Problem, ScenarioError, nearest
from sim.model.scenario import Scenario
from sim.model.units import SHOWN, Units
from sim.stored.whole import write_whole
from sim.written.reading import parse

SLIDE_PX = (1280, 720)
SLIDE_TYPE, PAGE_TYPE, PRINT_TYPE = 20.0, 13.0, 11.6
EXAMPLE = "trailer.toml"


def write_lesson(
    name: str,
    scenario: Scenario | None = None,
    units: Units | None = None,
    answers: bool = False,
    seed: int = 0,
    texts: Path | None = None,
) -> str:
    """One lesson as a page.

    Parameters
    ----------
    name : str
        A key of `sim.lessons.LESSONS`.
    scenario : Scenario, optional
        The writer's own lift; by default the trailer that ships.
    units : "us" or "si", optional
        What the figures are in until the reader switches; by default the scenario's.
    answers : bool
        Whether a second page has the worked answers.
    seed : int
        Rolls the questions: another seed, other numbers from the same scenario.
    texts : Path, optional
        A folder with the writer's own texts (`sim/lessons/own_texts.py`).

    Returns
    -------
    str
        HTML, one file that needs nothing from outside.

    Raises
    ------
    ScenarioError
        There is no such lesson, the scenario lacks what it teaches with, or a text names a figure that it has not.
    """
    scenario = scenario or example()
    lesson = with_own_texts(lesson_named(name), texts)
    part = _part(lesson, lesson.compute(scenario), seed)
    return _page(
        f"Lesson {lesson.number}: {lesson.title}", [part], scenario, units, booklet=False, answers=answers, seed=seed
    )


def write_booklet(
    scenario: Scenario | None = None,
    units: Units | None = None,
    answers: bool = False,
    seed: int = 0,
    names: Iterable[str] = (),
    texts: Path | None = None,
) -> str:
    """All lessons (or those named) in one page, with contents; parameters as in `write_lesson`.

    A lesson that the scenario cannot teach is simulated on the trailer that ships, and says so.
    """
    scenario = scenario or example()
    parts = []
    for lesson, computed, instead in each_computed(scenario, texts, names):
        parts.append(_part(lesson, computed, seed, instead))
    words = words_used(" ".join(_said(part) for part in parts))
    title = f"Lessons: {scenario.title}"
    return _page(title, parts, scenario, units, booklet=True, answers=answers, seed=seed, glossary=words)


def write_lesson_pictures(
    name: str,
    scenario: Scenario | None = None,
    folder: Path | str = ".",
    units: Units | None = None,
    formats: Iterable[str] = ("png", "svg", "pdf"),
) -> list[Path]:
    """The pictures of one lesson for slides: PNG, SVG and PDF, a CSV of what each shows, and words to paste.

    Returns
    -------
    list of Path
        What was written; the last is `NAME-captions.txt`, with title, caption and alt text of each picture.

    Raises
    ------
    ScenarioError
        As `write_lesson`.
    PictureError
        There is no Chrome or Chromium to draw with.
    """
    scenario = scenario or example()
    lesson, folder = lesson_named(name), Path(folder)
    units = units or scenario.units
    pictures: list[Picture] = drawn_by(lesson).pictures(lesson.compute(scenario), units, SLIDE_TYPE)
    charts, tables = {}, {}
    for picture in pictures:
        charts[_file(lesson, picture)] = on_paper(picture.board)
        tables[_file(lesson, picture)] = table_for_people(picture.table, units)
    written = write_charts(charts, tables, folder, units, *SLIDE_PX, tuple(formats))
    words = folder / f"{lesson.name}-captions.txt"
    write_whole(words, "\n\n".join(_caption(lesson, p) for p in pictures) + "\n")
    return [*written, words]


def on_paper(board: Board) -> Figure:
    """The figure of a board on paper of its own, without a heading."""
    figure = board.figure()
    figure["layout"]["paper_bgcolor"] = "$paper"
    figure["layout"].setdefault("meta", {})["heading"] = ""
    return figure


def lesson_named(name: str) -> Lesson:
    """The lesson of that name; ScenarioError with the nearest one if there is none.

    Raises
    ------
    ScenarioError
        There is none of that name.
    """
    if name in LESSONS:
        return LESSONS[name]
    raise ScenarioError([Problem(f'lesson "{name}"', "there is no such lesson", nearest(name, LESSONS))])


def each_computed(
    scenario: Scenario, texts: Path | None = None, names: Iterable[str] = ()
) -> Iterator[tuple[Lesson, Computed, str]]:
    """All lessons (or those named) with the writer's texts, computed on her scenario, or on ours and why."""
    for name in names or LESSONS:
        lesson = with_own_texts(lesson_named(name), texts)
        yield lesson, *computed_or_instead(lesson, scenario)


def computed_or_instead(lesson: Lesson, scenario: Scenario) -> tuple[Computed, str]:
    """A lesson computed on a scenario; or, if that cannot teach it, on the trailer that ships, and why."""
    try:
        return lesson.compute(scenario), ""
    except ScenarioError as lacks:
        why = f"{lacks.problems[0].what}; it is simulated on the trailer that ships"
        return lesson.compute(example()), why


@cache
def example() -> Scenario:
    """The trailer that ships."""
    return parse((files("sim") / "examples" / EXAMPLE).read_text(encoding="utf-8"), EXAMPLE)


# --- what the page is made of


def _page(title: str, parts: list[dict[str, Any]], scenario: Scenario, units: Units | None, **said: Any) -> str:
    """The page of one lesson, or of several."""
    found: dict[str, Any] = {"title": title, "parts": parts, "scenario": scenario, "charts": _charts(parts)}
    return render("lesson.html", units=units or scenario.units, stops=stops_of(scenario), **found, **said)


def _part(lesson: Lesson, computed: Computed, seed: int, instead: str = "") -> dict[str, Any]:
    """One lesson as the template takes it; everything that has figures in both units."""
    drawn = drawn_by(lesson)
    return {
        "lesson": lesson,
        "computed": computed,
        "instead": instead,
        "prose": prose(lesson, computed),
        "stops": stops(lesson, computed),
        "controls": [
            {
                "name": c.name,
                "label": c.label,
                "start": c.start,
                "last": len(c.settings) - 1,
                "said": {u: [c.say(s, u) for s in c.settings] for u in SYSTEMS},
            }
            for c in computed.controls
        ],
        "questions": {u: questions(lesson, computed, u, seed) for u in SYSTEMS},
        "pictures": {u: drawn.pictures(computed, u, SLIDE_TYPE)[0] for u in SYSTEMS},
        "moving": {u: _moving(drawn, computed, u) for u in SYSTEMS},
        "fixed": {u: drawn.fixed(computed, u, PRINT_TYPE).figure() for u in SYSTEMS},
        "rows": {u: figures_at_each_setting(drawn, computed, u) for u in SYSTEMS},
    }


def _said(part: dict[str, Any]) -> str:
    """What one lesson says in words."""
    texts = [text.striptags() for by_units in part["prose"].values() for text in by_units.values()]
    asked = [f"{q.ask} {q.formula} {q.result}" for q in part["questions"]["us"]]
    return " ".join([*texts, *(stop["text"]["us"].striptags() for stop in part["stops"]), *asked])


def _moving(drawn: Any, computed: Computed, units: Units) -> dict[str, Any]:
    """Every setting of the sliders: the first figure whole, of the others what differs; and the figures read out."""
    first = drawn.moving(computed, units, start(computed), PAGE_TYPE).figure()
    frames, readouts = {}, {}
    for places in product(*(range(len(c.settings)) for c in computed.controls)):
        setting = {c.name: c.settings[n] for c, n in zip(computed.controls, places, strict=True)}
        key = ",".join(map(str, places))
        frames[key] = difference(first, drawn.moving(computed, units, setting, PAGE_TYPE).figure())
        readouts[key] = [[r.label, r.figure, r.note] for r in drawn.readout(computed, units, setting)]
    return {"first": first, "frames": frames, "readouts": readouts}


def difference(first: Figure, other: Figure) -> dict[str, Any]:
    """What has to be laid over one figure to have the other: trace by trace, and of the layout."""
    if len(first["data"]) != len(other["data"]):
        return {"data": other["data"], "layout": _differs(first["layout"], other["layout"])}
    pairs = zip(first["data"], other["data"], strict=True)
    return {"over": [_differs(a, b) for a, b in pairs], "layout": _differs(first["layout"], other["layout"])}


def _differs(a: dict[str, Any], b: dict[str, Any]) -> dict[str, Any]:
    gone = {key: None for key in a if key not in b}
    return {**gone, **{key: value for key, value in b.items() if a.get(key) != value}}


def figures_at_each_setting(drawn: Any, computed: Computed, units: Units) -> dict[str, Any]:
    """The figures read out, for every setting of the first slider: the table under the picture."""
    control = computed.controls[0]
    at_start = start(computed)
    rows = []
    for setting in control.settings:
        readouts: list[Readout] = drawn.readout(computed, units, {**at_start, control.name: setting})
        rows.append([control.say(setting, units), *(r.figure for r in readouts)])
        head = [control.label, *(r.label for r in readouts)]
    return {"head": head, "rows": rows}


def _charts(parts: list[dict[str, Any]]) -> dict[str, Any]:
    """What the script of the page draws."""
    return {
        part["lesson"].name: {
            "fixed": part["fixed"],
            "moving": part["moving"],
            "controls": {c["name"]: c["said"] for c in part["controls"]},
        }
        for part in parts
    }


def drawn_by(lesson: Lesson) -> Any:
    """The module that draws a lesson: `moving`, `readout`, `fixed`, `pictures`."""
    return import_module(f"reports.lessons.drawn.{lesson.name.replace('-', '_')}")


# --- what goes with the pictures


def _file(lesson: Lesson, picture: Picture) -> str:
    return picture.name if picture.name == lesson.name else f"{lesson.name}-{picture.name}"


def _caption(lesson: Lesson, picture: Picture) -> str:
    return f"{_file(lesson, picture)}\n{picture.title}\nCaption: {picture.caption}\nAlt text: {picture.alt}"


def table_for_people(table: pd.DataFrame, units: Units) -> list[list[Any]]:
    """A table in the units that people read, its columns ending in them: gap_m becomes gap_in or gap_mm."""
    endings = {"_m": "length", "_N": "force", "_J": "energy"}
    head, columns = [], []
    for name, column in table.items():
        dimension = next((d for ending, d in endings.items() if str(name).endswith(ending)), None)
        if dimension is None:
            head.append(str(name))
            columns.append(column.tolist())
            continue
        shown = SHOWN[dimension][units]
        head.append(f"{str(name).rsplit('_', 1)[0]}_{shown.unit.strip().replace('-', '_')}")
        columns.append([float(f"{v / shown.size:.6g}") for v in column])
    return [head, *([*row] for row in zip(*columns, strict=True))]
