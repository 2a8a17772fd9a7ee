"""Many lifts of one scenario: a study, and the cadence that a crew can keep."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from reports.commands.talk import console, print_json, tell, tell_stored, try_to
from reports.stored.many import progress_bar, store_cadence, store_study
from sim.batch import why_not
from sim.many.blocks import folder_for
from sim.many.cadence import cadence as find_cadence
from sim.many.study import size_for
from sim.many.study import study as study_lift
from sim.model.errors import Refused
from sim.model.scenario import Scenario
from sim.model.visible import visible
from sim.stored.store import see_that_it_can_be_written
from sim.written.reading import read

MOST = 10**6  # lifts of one study: a few hundred bytes each


def say_if_slow(scenario: Scenario) -> None:
    """Where lifts are told one by one, why: it takes many times as long."""
    if why := why_not(scenario):
        tell(f"these lifts are told one by one, which takes many times as long as together: {why}")


@dataclass(frozen=True)
class Telling:
    """How many lifts are told, and how their result is given out."""

    seed: int = 0
    workers: int = 0  # processes here; 0: one a core
    cluster: str = ""  # address of a dask scheduler
    resume: bool = False
    as_json: bool = False
    out: Path = Path("runs")
    page: bool = True


def study(
    file: Path, n: int, within: float, variant: str, crew_sd: float | None, helps: bool, telling: Telling
) -> bool:
    """Study a scenario, store it and show it.

    Returns
    -------
    bool
        Whether all the lifts that were asked for were told.

    Raises
    ------
    Refused
        The half-width wanted takes more lifts than there may be.
    """
    scenario, seed, workers = read(file, variant), telling.seed, telling.workers
    see_that_it_can_be_written(telling.out)
    say_if_slow(scenario)
    if within > 0:
        with progress_bar("pilot lifts") as progress:
            n = size_for(scenario, seed, within, workers, progress)
        if n > MOST:
            what = f"--within: {within:g} takes {n:,} lifts, and {MOST:,} are the most"
            raise Refused(what, "ten times the half-width takes a hundredth of them")
        tell(f"a pilot fixed it at {n:,} lifts")
    folder = folder_for(scenario, seed, telling.out, telling.resume)
    with progress_bar("lifts") as progress:
        found = study_lift(
            scenario, n, seed, workers=workers, cluster=telling.cluster, folder=folder, crew_sd=crew_sd, helps=helps,
            progress=progress,
        )  # fmt: skip
    stored = try_to(lambda: store_study(found, visible(str(file)), telling.out, page=telling.page))
    if telling.as_json:
        print_json(found.as_json())
    else:
        from reports.terminal.study import show_study

        show_study(found, console(), visible(str(file)))
    tell_stored(stored, "study.html" if telling.page else "")
    if found.n < found.wanted:
        tell(f"stopped: {found.n} of {found.wanted} were finished; the same command with --resume goes on from there")
        return False
    folder_for(scenario, seed, telling.out, resume=False)  # its blocks are not needed any more
    return True


def cadence(file: Path, risk: float, variant: str, telling: Telling) -> bool:
    """Find the cadence, store it and show it.

    Returns
    -------
    bool
        Whether every way was tried.
    """
    scenario, seed = read(file, variant), telling.seed
    see_that_it_can_be_written(telling.out)
    folder = folder_for(scenario, seed, telling.out, telling.resume, "cadence")
    say_if_slow(scenario)
    with progress_bar("lifts") as progress:
        found = find_cadence(
            scenario, risk, seed, workers=telling.workers, cluster=telling.cluster, folder=folder, progress=progress
        )
    stored = try_to(lambda: store_cadence(found, telling.out, page=telling.page))
    if telling.as_json:
        print_json(found.as_json())
    else:
        from reports.terminal.study import show_cadence

        show_cadence(found, console())
    tell_stored(stored, "cadence.html" if telling.page else "")
    if len(found.ways) < found.wanted:
        tell(f"stopped: {len(found.ways)} of {found.wanted} ways were tried; the same command with --resume goes on")
        return False
    folder_for(scenario, seed, telling.out, resume=False, what="cadence")
    return True
