"""What is stored: listed, shown again, opened, and written in other forms."""

from __future__ import annotations

import webbrowser
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from reports.commands.lift import Extras, simulate_lift, write_extras
from reports.commands.talk import console, print_json, quoted, say, say_stored, write_file
from reports.words.plain import count
from sim.model.errors import Refused, StoreError
from sim.model.scenario import Scenario
from sim.record.record import Record
from sim.rehearsal.kept import left_logs
from sim.stored.store import RUNS, Stored, damaged, find, record_of, stored
from sim.written.reading import read


def list_runs(as_json: bool, out: Path) -> None:
    """Every stored run, a line each."""
    found = list(stored(out))
    if as_json:
        print_json([{"path": str(s.path), "trouble": s.trouble, "summary": s.summary} for s in found])
    else:
        from reports.terminal.runs import show_runs

        show_runs(found, console())
    say_what_was_broken_off(out)


def say_what_was_broken_off(out: Path) -> None:
    """Rehearsals that were killed, and what can be done; nothing where there are none."""
    if left := left_logs(out):
        what = "a rehearsal was" if len(left) == 1 else f"{len(left)} rehearsals were"
        where = "" if out == RUNS else f" --out {quoted(out)}"
        say(f"{what} broken off without being stored; liftcadence runs pick-up{where} stores what was run of it")


def pick_up_rehearsals(out: Path) -> None:
    """Store what was run of rehearsals that were killed.

    Raises
    ------
    StoreError
        One of them cannot be read or stored; the others are.
    """
    from reports.live.picked_up import pick_up

    left, trouble = left_logs(out), []
    for log in left:
        try:
            found = pick_up(log, out)
        except StoreError as error:
            trouble.append(error)
            continue
        if found is None:
            say(f"{log}: there was no call in it; it is removed")
            continue
        if found.trouble:
            say(f"{log}: {found.trouble}")
        say(f"picked up as far as it was written down: {count(found.calls, 'call')}")
        say_stored(found.folder, "report.html")
    if not left:
        say(f"no rehearsal was left behind in {out}")
    for each in trouble[1:]:
        say(f"{each}\n")
    if trouble:
        raise trouble[0]


def show_run(name: str, as_json: bool, out: Path) -> None:
    """One stored run's summary."""
    run, summary = find_run(name, out)
    with reading(run):
        if as_json:
            print_json(summary)
        elif "said" in summary:  # a study, a cadence or a comparison
            for line in (summary["title"], *summary["said"]):
                console().print(line, markup=False)
        else:
            from reports.terminal.lift import show_lift

            show_lift(summary, scenario_of(run, summary), console())


@contextmanager
def reading(run: Stored) -> Iterator[None]:
    """What goes wrong in here is the stored run's: a summary that lacks something, or has it otherwise.

    Raises
    ------
    StoreError
        In place of whatever went wrong.
    """
    try:
        yield
    except (LookupError, TypeError, AttributeError, ValueError, ArithmeticError) as error:
        raise damaged(run, f"summary.json cannot be used as it is: {type(error).__name__}: {error}") from None


def open_run(name: str, out: Path) -> None:
    """Open a stored run's page in the browser.

    Raises
    ------
    Refused
        It has none.
    """
    run, _ = find_run(name, out)
    pages = sorted(run.path.glob("*.html"))
    if not pages:
        raise Refused(f"{run.path}: holds no page", "it was stored with --no-page; run the scenario again without it")
    if not webbrowser.open(pages[-1].resolve().as_uri()):
        say(f"no browser here; open {pages[-1]}")


def write_call_sheet(name: str, page: Path | None, out: Path) -> None:
    """Write a stored lift's call sheet."""
    from reports.lift.call_sheet import sheet

    run, summary = find_run(name, out)
    target = page or run.path / "call-sheet.html"
    write_file(target, sheet(simulate_again(run, summary)))
    say(f"{target} written; it prints on one page")


def write_run_pictures(name: str, folder: Path, size: str, out: Path) -> None:
    """Write a stored lift's pictures."""
    write_extras(simulate_again(*find_run(name, out)), Extras(pictures=folder, size=size))


def find_run(name: str, out: Path) -> tuple[Stored, dict[str, Any]]:
    """A stored run and its summary."""
    run = find(name, out)
    assert run.summary is not None  # `find` refuses what has none
    return run, run.summary


def scenario_of(run: Stored, summary: dict[str, Any]) -> Scenario:
    """The scenario of a stored lift.

    Raises
    ------
    Refused
        It is a study, a cadence or a comparison.
    """
    if "seed" not in summary:
        raise Refused(
            f"{run.path}: is not one lift that can be simulated again", f"open its page: runs open {run.path.name}"
        )
    return read(run.path / "scenario.toml", str(summary.get("variant") or ""))


def simulate_again(run: Stored, summary: dict[str, Any]) -> Record:
    """A stored lift, simulated again from its scenario and seed; a rehearsal is read from its events."""
    scenario = scenario_of(run, summary)
    if summary.get("kind") == "rehearsal":
        return record_of(run, scenario)
    with reading(run):
        return simulate_lift(scenario, summary["seed"], summary["replication"], summary["fixed_values"])
