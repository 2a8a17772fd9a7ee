"""Lessons: listed, and written as pages, documents and notebooks."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from reports.commands.talk import console, known_units, make_folder, say, write_file
from sim.lessons import LESSONS
from sim.written.reading import read

if TYPE_CHECKING:
    from reports.lessons.handouts.handout import Handout


def list_lessons() -> None:
    """The lessons, a line each."""
    from rich.table import Table

    table = Table.grid(padding=(0, 2))
    for one in LESSONS.values():
        table.add_row(str(one.number), one.name, one.aim)
    console().print(table)


def write_texts(name: str, file: Path | None, folder: Path) -> None:
    """Our texts of a lesson, or of all, as files for the writer to change; never over one that is there."""
    from reports.lessons.page import example, lesson_named
    from sim.lessons.own_texts import to_begin_from

    scenario = read(file) if file else example()
    for one in LESSONS if name == "all" else [name]:
        lesson = lesson_named(one)
        own = folder / one if name == "all" else folder
        make_folder(own)
        for file_name, text in to_begin_from(lesson, lesson.compute(scenario)).items():
            write_file(own / file_name, text, force=False)
        say(f"{own}: texts written; change them, then liftcadence lesson {name} --texts {folder}")


def lesson(
    name: str,
    file: Path | None,
    out: Path,
    unit_names: str | None,
    pictures: bool,
    answers: bool,
    seed: int,
    texts: Path | None = None,
    docx: bool = False,
    notebook: bool = False,
) -> None:
    """Write a lesson's page, or all of them as a booklet; beside it what else is asked for, a file a lesson."""
    units = known_units(unit_names)
    from reports.lessons.page import write_booklet, write_lesson, write_lesson_pictures

    scenario = read(file) if file else None
    if name == "all":
        page = write_booklet(scenario, units, answers=answers, seed=seed, texts=texts)
    else:
        page = write_lesson(name, scenario, units, answers=answers, seed=seed, texts=texts)
    make_folder(out)
    target = out / f"{'lessons' if name == 'all' else name}.html"
    write_file(target, page)
    say(f"{target} written")
    for one in (LESSONS if name == "all" else [name]) if pictures else []:
        for picture in write_lesson_pictures(one, scenario, out, units):
            say(f"{picture} written")
    if docx or notebook:
        from reports.lessons.handouts.handout import handout, handouts

        if name == "all":
            given = handouts(scenario, units, answers, seed, texts)
        else:
            given = [handout(name, scenario, units, answers, seed, texts)]
        if docx:
            _write_documents(given, out)
        if notebook:
            _write_notebooks(given, out, file)


def _write_documents(given: list[Handout], out: Path) -> None:
    """Documents to edit, with their pictures where a browser draws them."""
    from reports.lessons.handouts.document import document, drawn_pictures

    pictures, why = drawn_pictures(given)
    for each in given:
        target = out / f"{each.lesson.name}.docx"
        write_file(target, document(each, pictures.get(each.lesson.name), why))
        say(f"{target} written" + (f" without its picture: {why}" if why else ""))


def _write_notebooks(given: list[Handout], out: Path, file: Path | None) -> None:
    """Notebooks, which find the scenario from where they are."""
    from reports.lessons.handouts.notebook import notebook_text

    for each in given:
        target = out / f"{each.lesson.name}.ipynb"
        write_file(target, notebook_text(each, out, file))
        say(f"{target} written")
