"""One lift, told, stored and shown; and what else it can be written as."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from reports.commands.talk import console, print_json, tell, tell_stored, try_to, write_file
from reports.stored.run import Told, run_files, told
from sim.model.errors import Refused
from sim.model.scenario import Scenario
from sim.record.record import Record
from sim.stored.store import save
from sim.story.lift import tell as tell_with_chance
from sim.story.lift import tell_fixed
from sim.written.reading import read


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
    """Tell one lift of a scenario, store it and show it.

    Returns
    -------
    bool
        Whether it was raised.
    """
    record = tell_lift(read(file, variant), seed, replication, fixed)
    lift = told(record)
    stored = try_to(lambda: _store(lift, out, page))
    if as_json:
        print_json(lift.summary)
    else:
        show_told(lift)
    tell_stored(stored, "report.html" if page else "")
    write_extras(record, extras)
    return record.outcome == "raised"


def tell_lift(scenario: Scenario, seed: int, replication: int, fixed: bool) -> Record:
    """One lift: with these people, or with everyone at their mean."""
    return tell_fixed(scenario) if fixed else tell_with_chance(scenario, seed, replication)


def store_lift(record: Record, out: Path, page: bool) -> tuple[Told, Path]:
    """Measure and check a lift and store it whole: scenario, events, summary, page."""
    lift = told(record)
    return lift, _store(lift, out, page)


def _store(lift: Told, out: Path, page: bool) -> Path:
    scenario = lift.record.scenario
    title = f"{scenario.title} {scenario.variant}" if scenario.variant else scenario.title
    return save(title, run_files(lift, page), out)


def show_told(lift: Told) -> None:
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
        tell(f"{extras.captions} written")
    if extras.audio is not None:
        from reports.views.captions import wav

        write_file(extras.audio, wav(record))
        tell(f"{extras.audio} written")
    if extras.pictures is not None:
        from reports.slides.pictures import write_pictures

        for picture in write_pictures(record, extras.pictures, *width_and_height(extras.size)):
            tell(f"{picture} written")


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
