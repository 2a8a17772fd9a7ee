"""What is stored: listed, shown again, opened, and written in other forms."""

from __future__ import annotations

import webbrowser
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

from reports.commands.lift import Extras, simulate_lift, write_extras
from reports.commands.talk import console, print_json, quoted, say, say_stored, write_file
from reports.words.plain import count
from sim.model.errors import Refused, StoreError
from sim.model.scenario import Scenario
from sim.record.record import Record
from sim.rehearsal.kept import left_logs
from sim.stored.plain import read_plain
from sim.stored.store import RUNS, SUMMARY, Stored, damaged, file_of, find, look_for, record_of, stored
from sim.stored.sums import EVENTS, SCENARIO, stored_sums, what_is_wrong, wrong_files
from sim.written.reading import read


def list_runs(as_json: bool, out: Path) -> None:
    """Every stored run, a line each."""
    found = [looked_through(run) for run in stored(out)]
    if as_json:
        print_json([{"path": str(s.path), "trouble": s.trouble, "summary": s.summary} for s in found])
    else:
        from reports.terminal.runs import show_runs

        show_runs(found, console())
    say_what_was_broken_off(out)


def looked_through(run: Stored) -> Stored:
    """A stored run, with what is wrong with the files beside its summary."""
    if run.summary is None:
        return run
    return replace(run, trouble="; ".join(wrong_files(run.path, run.summary)))


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
def reading(run: Stored, of: str = SUMMARY) -> Iterator[None]:
    """What goes wrong in here is the stored run's: a file of it that lacks something, or has it otherwise.

    Raises
    ------
    StoreError
        In place of whatever went wrong.
    """
    try:
        yield
    except KeyError as error:
        raise damaged(
            run, f'{of} cannot be used as it is: it lacks "{error.args[0] if error.args else error}"'
        ) from None
    except (LookupError, TypeError, AttributeError, ValueError, ArithmeticError, AssertionError):
        raise damaged(run, f"{of} cannot be used as it is: it holds what no run of this version holds") from None


def open_run(name: str, out: Path) -> None:
    """Open a stored run's page in the browser.

    Raises
    ------
    Refused
        It has none.
    """
    run = look_for(name, out)
    pages = sorted(p for p in run.path.glob("*.html") if p.is_file())
    if not pages:
        raise Refused(f"{run.path}: holds no page", "it was stored with --no-page; run the scenario again without it")
    known = pages[-1].name in (stored_sums(run.path) or {})
    for trouble in (run.trouble, known and what_is_wrong(run.path, pages[-1].name, read_plain(pages[-1]))):
        if trouble:
            say(f"{run.path}: {trouble}")
    if not webbrowser.open(pages[-1].resolve().as_uri()):
        say(f"no browser here; open {pages[-1]}")


def write_call_sheet(name: str, page: Path | None, out: Path) -> None:
    """Write a stored lift's call sheet."""
    from reports.lift.call_sheet import sheet

    run, summary = find_run(name, out)
    target = page or run.path / "call-sheet.html"
    record = simulate_again(run, summary)
    with reading(run, EVENTS):
        page_of_it = sheet(record)
    write_file(target, page_of_it)
    say(f"{target} written; it prints on one page")


def write_run_pictures(name: str, folder: Path, size: str, out: Path) -> None:
    """Write a stored lift's pictures."""
    run, summary = find_run(name, out)
    record = simulate_again(run, summary)
    with reading(run, EVENTS):
        write_extras(record, Extras(pictures=folder, size=size))


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
    file_of(run, SCENARIO)
    return read(run.path / SCENARIO, str(summary.get("variant") or ""))


def simulate_again(run: Stored, summary: dict[str, Any]) -> Record:
    """A stored lift, simulated again from its scenario and seed; a rehearsal is read from its events."""
    scenario = scenario_of(run, summary)
    if summary.get("kind") == "rehearsal":
        return record_of(run, scenario)
    if EVENTS in (stored_sums(run.path) or {}):
        file_of(run, EVENTS)
    with reading(run):
        return simulate_lift(scenario, summary["seed"], summary["replication"], summary["fixed_values"])
