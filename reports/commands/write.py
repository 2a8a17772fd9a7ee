"""Scenarios written for a person: the nine questions, and a full commented one."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from reports.commands.lift import run
from reports.commands.talk import (
    already_there,
    console,
    is_there,
    known_units,
    print_json,
    quoted,
    say,
    see_that_it_can_be_written,
    write_file,
)
from reports.terminal import ask as ask_terminal
from sim.examples import STARTS, example
from sim.model.errors import Refused
from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from sim.written.reading import read


def ask(
    file: Path,
    answers: Mapping[str, str],
    units: str | None,
    enter: bool,
    force: bool,
    and_run: bool | None,
    out: Path,
) -> bool:
    """Ask what the answers given leave open, write the scenario, show what it takes; run it if wanted.

    Returns
    -------
    bool
        Whether the lift was raised, if it was run.
    """
    asked_in = known_units(units)
    if is_there(file) and not force:
        raise already_there(file)
    see_that_it_can_be_written(file)
    text = ask_terminal.ask(file, {key: said for key, said in answers.items() if said}, asked_in, enter)
    try:
        write_file(file, text, force)
    except Refused:
        print(text)  # what was asked for is not lost with the file
        raise
    ask_terminal.forget(file)
    scenario = read(file)
    ask_terminal.show_asked(file, scenario, measure(simulate_fixed(scenario)), console())
    if and_run or (and_run is None and not enter and ask_terminal.wants_run()):
        return run(file, out=out)
    say(f"next: liftcadence check {quoted(file)}, then liftcadence run {quoted(file)}")
    return True


def new(file: Path | None, units: str, force: bool) -> None:
    """Write a scenario to start from.

    Raises
    ------
    Refused
        No file is named, or the units are not ours.
    """
    if file is None:
        raise Refused("FILE: no file named", 'write, for example, "liftcadence new my-lift.toml"')
    write_file(file, example(STARTS[known_units(units) or "us"]), force)
    say(f"{file} written; next: liftcadence check {quoted(file)}, then liftcadence run {quoted(file)}")


def print_schema() -> None:
    """The JSON schema of scenarios, for editors."""
    from sim.written.keys.tables import schema

    print_json(schema())
