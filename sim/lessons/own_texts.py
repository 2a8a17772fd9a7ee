"""The writer's own texts: a folder of Markdown files that replace parts of a lesson, or add to them.

    explanation.md         instead of ours
    explanation-more.md    after ours, or after hers

Figures are named places as in ours, so that her words stay when the numbers are computed anew. For several lessons the
folder holds one of each lesson's name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from sim.lessons.lesson import Computed, Lesson
from sim.lessons.words.figures import Figures, said
from sim.lessons.words.prose import PARTS, SYSTEMS, items
from sim.model.errors import Problem, ScenarioError, nearest
from sim.written.reading import text_of

MORE = "-more"
HINT = "give a folder of Markdown files, as --write-texts makes one"


def with_own_texts(lesson: Lesson, folder: Path | None) -> Lesson:
    """The lesson with the writer's texts in place of ours, or after them; without a folder as it is.

    Raises
    ------
    ScenarioError
        There is no such folder, or a file in it that is no part of a lesson or cannot be read.
    """
    if folder is None:
        return lesson
    if not folder.is_dir():
        raise ScenarioError([Problem(str(folder), "there is no such folder", HINT)])
    own = folder / lesson.name
    return replace(lesson, texts=joined(lesson.texts, read_texts(own if own.is_dir() else folder)))


def read_texts(folder: Path) -> dict[str, str]:
    """The Markdown files of a folder, by name without its ending.

    Raises
    ------
    ScenarioError
        A name that is no part, a file that cannot be read, or stops that are not three.
    """
    known = {name for part in PARTS for name in (part, part + MORE)} - {"aim" + MORE, "stops" + MORE}
    written = sorted(folder.glob("*.md"))
    problems = [
        Problem(str(file), "is no part of a lesson", nearest(file.stem, known))
        for file in written
        if file.stem not in known
    ]
    if problems:
        raise ScenarioError(problems)
    texts = {file.stem: text_of(file, HINT) for file in written}
    if "stops" in texts and len(items(texts["stops"])) != 3:
        hint = "number three items, 1. to 3., one for each position of the sliders"
        raise ScenarioError([Problem(str(folder / "stops.md"), "does not have three items", hint)])
    return texts


def joined(ours: Mapping[str, str], own: Mapping[str, str]) -> dict[str, str]:
    """Each part as it is to be printed."""
    parts = {part: own.get(part, ours.get(part, "")) for part in PARTS}
    more = {part: own[part + MORE] for part in PARTS if part + MORE in own}
    return parts | {part: f"{parts[part].rstrip()}\n\n{text}" for part, text in more.items()}


def to_begin_from(lesson: Lesson, computed: Computed) -> dict[str, str]:
    """Our texts as files to change, by file name; and what may be named in them, with its figures now."""
    files = {f"{part}.md": text for part, text in lesson.texts.items()}
    return files | {"figures.txt": names_of(computed.figures)}


def names_of(figures: Figures) -> str:
    """A line for each figure: how it is named in a text, and what it is in either units."""
    wide = max((len(name) for name in figures), default=0)
    lines = [
        f"{{{{ {name} }}}}{' ' * (wide - len(name))}  {' = '.join(dict.fromkeys(said(figure, u) for u in SYSTEMS))}"
        for name, figure in figures.items()
    ]
    head = "What may be named in the texts, and what it is on this scenario. A number at the end is that of the stop."
    return "\n".join([head, "", *lines, ""])
