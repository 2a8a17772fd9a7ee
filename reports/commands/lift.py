"""One lift, simulated, stored and shown; and what else it can be written as."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from pathlib import Path

from reports.commands.talk import console, print_json, say, say_stored, try_to, write_file
from reports.stored.run import LiftResult, result_of, run_files
from reports.words.plain import clock
from sim.model.errors import Refused
from sim.model.scenario import Scenario
from sim.record.record import Record
from sim.record.what import DONE
from sim.stored.store import save
from sim.story.lift import simulate, simulate_fixed
from sim.written.reading import read
from sim.written.work import LONG, MOST_WORK, work_of


@dataclass(frozen=True)
class Extras:
    """What else a lift is to be written as, and where."""

    captions: Path | None = None
    audio: Path | None = None
    pictures: Path | None = None
    size: str = "1600x900"  # of the pictures [px]


def run(
    file: Path,
    variant: str = "",
    seed: int = 0,
    replication: int = 0,
    fixed: bool = False,
    as_json: bool = False,
    out: Path = Path("runs"),
    page: bool = True,
    extras: Extras = Extras(),
) -> bool:
    """Simulate one lift of a scenario, store it and show it.

    Returns
    -------
    bool
        Whether it was raised.
    """
    scenario = read(file, variant)
    say_if_long(scenario)
    record = simulate_lift(scenario, seed, replication, fixed)
    lift = result_of(record)
    stored = try_to(lambda: _store(lift, out, page))
    if as_json:
        print_json(lift.summary)
    else:
        print_result(lift)
    say_stored(stored, "report.html" if page else "")
    write_extras(record, extras)
    return record.outcome in DONE


def say_if_long(scenario: Scenario) -> None:
    """Before a lift that takes long, how long; `README.md` has the bounds."""
    work = sum(work_of(scenario))
    if work > LONG:
        share = work / MOST_WORK
        say(
            f"this lift is long: up to {work:,} strokes at places and steps of work, of {MOST_WORK:,} allowed; "
            f"it may take {clock(5 * ceil(20 * share))} and {max(0.3, 1.3 * share):.1f} GB of memory"
        )


def simulate_lift(scenario: Scenario, seed: int, replication: int, fixed: bool) -> Record:
    """One lift: with these people, or with everyone at their mean."""
    return simulate_fixed(scenario) if fixed else simulate(scenario, seed, replication)


def store_lift(record: Record, out: Path, page: bool) -> tuple[LiftResult, Path]:
    """Measure and check a lift and store it whole: scenario, events, summary, page."""
    lift = result_of(record)
    return lift, _store(lift, out, page)


def _store(lift: LiftResult, out: Path, page: bool) -> Path:
    scenario = lift.record.scenario
    title = f"{scenario.title} {scenario.variant}" if scenario.variant else scenario.title
    return save(title, run_files(lift, page), out)


def print_result(lift: LiftResult) -> None:
    """The lift on the terminal, with the stops and cautions of its check on top."""
    from reports.terminal.check import show_findings
    from reports.terminal.lift import show_lift

    show_findings(lift.sheet, console())
    show_lift(lift.summary, lift.record.scenario, console())


def write_extras(record: Record, extras: Extras) -> None:
    """What else a lift can be written as: captions, a call track, pictures."""
    if extras.captions is not None:
        from reports.views.captions import webvtt

        write_file(extras.captions, webvtt(record))
        say(f"{extras.captions} written")
    if extras.audio is not None:
        from reports.views.captions import wav

        write_file(extras.audio, wav(record))
        say(f"{extras.audio} written")
    if extras.pictures is not None:
        from reports.slides.pictures import write_pictures

        for picture in write_pictures(record, extras.pictures, *width_and_height(extras.size)):
            say(f"{picture} written")


def width_and_height(size: str) -> tuple[int, int]:
    """A picture's size as written, such as 1600x900 [px].

    Raises
    ------
    Refused
        It is not written like that.
    """
    width, cross, height = size.lower().partition("x")
    if not (cross and width.isdecimal() and height.isdecimal()):
        raise Refused(f'--size: "{size}" is not a width and a height', "write them in px, such as 1600x900")
    return int(width), int(height)
