"""Ways to do a lift, side by side: a scenario and its variants, or several scenarios."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from reports.commands.talk import console, print_json, say, say_stored, try_to
from reports.many.compare import label
from reports.stored.run import compare_files
from reports.terminal.bar import progress_bar
from reports.terminal.check import show_stops
from reports.terminal.compared import show_comparison, show_many
from sim.many.blocks import clear, folder_for
from sim.many.cluster import known_cluster
from sim.many.compared import Compared
from sim.many.compared import compare as compare_ways
from sim.model.errors import Refused, StoreError
from sim.model.scenario import Scenario
from sim.stored.store import save, see_that_it_can_be_written
from sim.story.lift import simulate_fixed
from sim.written.reading import read, variants

Ways = dict[str, Scenario]


def compare(
    files: Sequence[Path],
    n: int,
    seed: int,
    workers: int,
    cluster: str,
    as_json: bool,
    out: Path,
    page: bool,
    pictures: Path | None,
    resume: bool,
) -> None:
    """Compare them at mean values and over many lifts, store it and show it."""
    ways = ways_of(files)
    named = list(ways.items()) if len(files) > 1 else [(label(s), s) for s in ways.values()]
    first = named[0][1]
    see_that_it_can_be_written(out)
    known_cluster(cluster)
    if pictures is not None:
        from reports.slides.pictures import browser_to_draw_with

        browser_to_draw_with()
    blocks = folder_for(first, seed, out, resume, "compare")
    try:
        with progress_bar("lifts") as progress:
            many = compare_ways(named, n, seed, workers, cluster, blocks, progress)
    except KeyboardInterrupt:
        if blocks.is_dir():
            say("stopped before all were simulated; the same command with --resume goes on from there")
        raise
    summaries, stored = simulate_and_store(ways, out, page, many)
    if as_json:
        print_json(summaries)
    else:
        units = named[0][1].units
        show_stops(console(), *ways.values())
        console().print("Everyone at their mean times:", style="bold")
        show_comparison(summaries, units, console())
        show_many(many, units, console())
    say_stored(stored, "compare.html" if page else "")
    clear(blocks)
    if pictures is not None:
        write_pictures(ways, pictures)


def ways_of(files: Sequence[Path]) -> Ways:
    """What is put side by side: a scenario and its variants, or several scenarios by the names of their files.

    Raises
    ------
    Refused
        A file is named twice, or the only one has no variants.
    """
    if len(files) == 1:
        return with_variants(read(files[0]))
    names = [file.stem for file in files]
    ways = {stem if names.count(stem) == 1 else str(f): read(f) for stem, f in zip(names, files, strict=True)}
    if len(ways) < len(files):
        raise Refused("FILE...: the same file is named twice", "name each scenario once")
    return ways


def with_variants(scenario: Scenario) -> Ways:
    """A scenario and its variants by name.

    Raises
    ------
    Refused
        It has none.
    """
    if not scenario.variants:
        raise Refused(
            f"{scenario.title}: has no [[variant]]",
            "add one, for example: name, replace = {...} or leader = {...}; or name several scenarios",
        )
    return {s.variant or "as written": s for s in (scenario, *variants(scenario))}


def compare_and_store(ways: Ways, out: Path, page: bool) -> tuple[dict[str, dict[str, Any]], Path]:
    """Simulate every way at mean values; measure them and store them, with the page."""
    summaries, stored = simulate_and_store(ways, out, page)
    if isinstance(stored, StoreError):
        raise stored
    return summaries, stored


def simulate_and_store(
    ways: Ways, out: Path, page: bool, many: Compared | None = None
) -> tuple[dict[str, dict[str, Any]], Path | StoreError]:
    """The same; if it cannot be stored, the summaries nevertheless."""
    first = next(iter(ways.values()))
    records = [(name, simulate_fixed(s)) for name, s in ways.items()]
    summaries, files = compare_files(records, page, many)
    return summaries, try_to(lambda: save(f"{first.title} compared", files, out))


def write_pictures(ways: Ways, folder: Path) -> None:
    """The comparison's pictures."""
    from reports.slides.pictures import write_compare_pictures

    first = next(iter(ways.values()))
    several = () if first.variants and len({s.text for s in ways.values()}) == 1 else tuple(ways)
    for picture in write_compare_pictures([simulate_fixed(s) for s in ways.values()], folder, names=several):
        say(f"{picture} written")
