"""A drill that was timed: debriefed; and the page that times one."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from reports.commands.talk import (
    already_there,
    console,
    is_there,
    print_json,
    quoted,
    say,
    say_stored,
    try_to,
    write_file,
)
from reports.terminal.bar import progress_bar
from reports.words.stops import stops_json
from sim.model.errors import Refused
from sim.model.scenario import Scenario
from sim.stored.store import see_that_it_can_be_written
from sim.written.reading import read

if TYPE_CHECKING:
    from sim.drill.debriefed import Debrief


def debrief(
    files: Sequence[Path],
    variant: str,
    one_drill: bool,
    plan: bool,
    seed: int,
    write: Path | None,
    force: bool,
    as_json: bool,
    out: Path,
    page: bool,
) -> None:
    """Measure drills, set them against the plan, store that and show it.

    Raises
    ------
    Refused
        No log stands before the scenario; or the file to write is there already.
    """
    *logs, file = files
    if not logs:
        raise Refused(f"{file}: no drill log named before it", f"liftcadence debrief my-drill.csv {quoted(file)}")
    scenario = read(file, variant)
    see_that_it_can_be_written(out)
    if write is not None and is_there(write) and not force:
        raise already_there(write)
    from reports.stored.drill import store_debrief

    found = read_and_debrief(logs, scenario, file.name, one_drill, plan, seed)
    stored = try_to(lambda: store_debrief(found, logs, out, page))
    if as_json:
        print_json({"stops": stops_json(scenario), **found.as_json()})
    else:
        from reports.terminal.debrief import show_debrief

        show_debrief(found, console())
    if write is not None:
        from sim.drill.debriefed import text_with_crew

        write_file(write, text_with_crew(found), force)
        say(f"{write} written, with {len(found.crew.fitted)} of the crew's own times in it")
    say_stored(stored, "report.html" if page else "")


def read_and_debrief(
    files: Sequence[Path], scenario: Scenario, name: str, one_drill: bool, plan: bool, seed: int
) -> Debrief:
    """Read the logs and debrief them."""
    from sim.drill import debriefed

    logs = debriefed.read_logs(files)
    if not plan:
        return debriefed.debrief(logs, scenario, name, one_drill=one_drill, plan=False, seed=seed)
    with progress_bar("lifts") as progress:
        return debriefed.debrief(logs, scenario, name, one_drill=one_drill, seed=seed, progress=progress)


def write_timer_page(files: Sequence[Path], variant: str, page: Path | None, force: bool) -> None:
    """Write the observer's timer for a scenario.

    Raises
    ------
    Refused
        More than the scenario is named.
    """
    from reports.drill.timer import write_timer

    *logs, file = files
    if logs:
        raise Refused("--timer: takes the scenario alone", f"liftcadence debrief --timer {quoted(file)}")
    target = page or Path(f"{file.stem}-timer.html")
    write_file(target, write_timer(read(file, variant)), force)
    say(f"{target} written; send it to the observer's phone and open it there: it needs no network")
