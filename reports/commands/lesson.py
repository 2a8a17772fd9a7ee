"""Lessons: listed, and written as pages."""

from __future__ import annotations

from pathlib import Path

from reports.commands.talk import console, known_units, make_folder, say, write_file
from sim.lessons import LESSONS
from sim.written.reading import read


def list_lessons() -> None:
    """The lessons, a line each."""
    from rich.table import Table

    table = Table.grid(padding=(0, 2))
    for one in LESSONS.values():
        table.add_row(str(one.number), one.name, one.aim)
    console().print(table)


def lesson(
    name: str, file: Path | None, out: Path, unit_names: str | None, pictures: bool, answers: bool, seed: int
) -> None:
    """Write a lesson's page, or all of them as a booklet, and their pictures."""
    units = known_units(unit_names)
    from reports.lessons.page import write_booklet, write_lesson, write_lesson_pictures

    scenario = read(file) if file else None
    if name == "all":
        page = write_booklet(scenario, units, answers=answers, seed=seed)
    else:
        page = write_lesson(name, scenario, units, answers=answers, seed=seed)
    make_folder(out)
    target = out / f"{'lessons' if name == 'all' else name}.html"
    write_file(target, page)
    say(f"{target} written")
    for one in (LESSONS if name == "all" else [name]) if pictures else []:
        for picture in write_lesson_pictures(one, scenario, out, units):
            say(f"{picture} written")
