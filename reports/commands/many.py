"""Many lifts of one scenario: a study, and the cadence that a crew can keep."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from reports.commands.talk import console, print_json, say, say_stored, try_to
from reports.stored.many import store_cadence, store_study
from reports.terminal.bar import progress_bar
from reports.words.stops import stops_json
from sim.batch import why_not
from sim.many.blocks import clear, folder_for
from sim.many.cadence import cadence as find_cadence
from sim.many.cluster import known_cluster
from sim.many.study import size_for
from sim.many.study import study as study_lift
from sim.model.errors import Refused
from sim.model.scenario import Scenario
from sim.model.visible import visible
from sim.stored.store import see_that_it_can_be_written
from sim.written.reading import read

MOST = 10**6  # lifts of one study: a few hundred bytes each


def say_if_slow(scenario: Scenario) -> None:
    """Where lifts are simulated one by one, why: it takes many times as long."""
    if why := why_not(scenario):
        say(f"these lifts are simulated one by one, which takes many times as long as together: {why}")


@dataclass(frozen=True)
class Options:
    """How many lifts are simulated, and how their result is given out."""

    seed: int = 0
    workers: int = 0  # processes here; 0: one a core
    cluster: str = ""  # address of a dask scheduler
    resume: bool = False
    as_json: bool = False
    out: Path = Path("runs")
    page: bool = True


def study(
    file: Path, n: int, within: float, variant: str, crew_sd: float | None, helps: bool, options: Options
) -> bool:
    """Study a scenario, store it and show it.

    Returns
    -------
    bool
        Whether all the lifts that were asked for were simulated.

    Raises
    ------
    Refused
        The half-width wanted takes more lifts than there may be.
    """
    scenario, seed, workers = read(file, variant), options.seed, options.workers
    see_that_it_can_be_written(options.out)
    known_cluster(options.cluster)
    say_if_slow(scenario)
    if within > 0:
        with progress_bar("pilot lifts") as progress:
            n = size_for(scenario, seed, within, workers, progress)
        if n > MOST:
            what = f"--within: {within:g} takes {n:,} lifts, and {MOST:,} are the most"
            raise Refused(what, "ten times the half-width takes a hundredth of them")
        say(f"a pilot fixed it at {n:,} lifts")
    folder = folder_for(scenario, seed, options.out, options.resume)
    with progress_bar("lifts") as progress:
        found = study_lift(
            scenario, n, seed, workers=workers, cluster=options.cluster, folder=folder, crew_sd=crew_sd, helps=helps,
            progress=progress,
        )  # fmt: skip
    stored = try_to(lambda: store_study(found, visible(str(file)), options.out, page=options.page))
    if options.as_json:
        print_json({"stops": stops_json(scenario), **found.as_json()})
    else:
        from reports.terminal.study import show_study

        show_study(found, console(), visible(str(file)))
    say_stored(stored, "study.html" if options.page else "")
    if found.n < found.wanted:
        say(f"stopped: {found.n} of {found.wanted} were finished; the same command with --resume goes on from there")
        return False
    clear(folder)
    return True


def cadence(file: Path, risk: float, looser: bool, variant: str, options: Options) -> bool:
    """Find the cadence, store it and show it.

    Returns
    -------
    bool
        Whether every way was tried.
    """
    scenario, seed = read(file, variant), options.seed
    see_that_it_can_be_written(options.out)
    known_cluster(options.cluster)
    folder = folder_for(scenario, seed, options.out, options.resume, "cadence")
    say_if_slow(scenario)
    with progress_bar("lifts") as progress:
        found = find_cadence(
            scenario,
            risk,
            seed,
            looser=looser,
            workers=options.workers,
            cluster=options.cluster,
            folder=folder,
            progress=progress,
        )
    stored = try_to(lambda: store_cadence(found, options.out, page=options.page))
    if options.as_json:
        print_json({"stops": stops_json(scenario), **found.as_json()})
    else:
        from reports.terminal.study import show_cadence

        show_cadence(found, console())
    say_stored(stored, "cadence.html" if options.page else "")
    if len(found.ways) < found.wanted:
        say(f"stopped: {len(found.ways)} of {found.wanted} ways were tried; the same command with --resume goes on")
        return False
    clear(folder)
    return True
