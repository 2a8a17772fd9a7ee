"""A study, or a cadence, on the terminal: the answer first, then the figures, each with how sure it is."""

from __future__ import annotations

from rich.console import Console
from rich.table import Table
from rich.text import Text

from reports.terminal.check import show_stops
from reports.words import cadence as cadences
from reports.words import doubt as doubts
from reports.words import study as words
from reports.words.doubt import percent
from reports.words.plain import clock
from sim.check import CAUTION
from sim.many.cadence import Cadence
from sim.many.judged import measures_of
from sim.many.studied import Study
from sim.model.units import show_up


def show_study(study: Study, console: Console, file: str) -> None:
    """Print a study."""
    show_stops(console, study.scenario)
    console.print(Text(words.headline(study, study.scenario.units), style="bold"))
    if study.n < study.wanted:
        console.print(Text(f"Stopped early: {study.n:,} of {study.wanted:,} lifts were finished and count here."))
    beside = doubts.beside(study, study.scenario.units)
    console.print(Text(f"Simulated by {study.told_by}. {words.SIMULATION_ONLY}{beside}"))
    console.print()
    console.print(_measures(study))
    console.print()
    console.print(_answers(study))
    console.print()
    for line in doubts.sentences(study, study.scenario.units):
        console.print(Text(line))
    console.print()
    if study.doubt and study.doubt.marked and study.doubt.values:
        console.print(_assumed(study))
        console.print()
    for line in words.waits(study):
        console.print(Text(line))
    console.print()
    if study.helps:
        console.print(_helps(study))
        console.print()
    for named in study.named:
        gap = show_up(named.gap, "length", study.scenario.units)
        console.print(Text(f"{named.which}: {gap}, {clock(named.time)}: {study.command(named, file)}"))
    console.print(Text(f"\n{CAUTION}", style="italic"))


def _measures(study: Study) -> Table:
    units = study.scenario.units
    table = Table(show_edge=False, pad_edge=False)
    for head in ("", "mean", "spread", "1 in 20 below", "middle", "1 in 20 above", "(between)"):
        table.add_column(head, justify="left" if not head else "right")
    for name, (said, dimension) in measures_of(study.scenario).items():
        s = study.spreads[name]
        high = s.quantiles[0.95]
        values = (s.mean.value, s.sd, s.quantiles[0.05].value, s.quantiles[0.5].value, high.value)
        table.add_row(
            Text(said), *(words.figure(x, dimension, units) for x in values), words.between(high, dimension, units),
        )  # fmt: skip
    return table


def _answers(study: Study) -> Table:
    """Each answer with its two doubts, apart."""
    units = study.scenario.units
    table = Table(show_edge=False, pad_edge=False)
    table.add_column("")
    table.add_column("simulated (simulation error only)", justify="right")
    table.add_column(doubts.assumed_head(study.doubt), justify="right")
    crews = study.doubt is not None and bool(study.doubt.crews)
    if crews:
        table.add_column("over other crews", justify="right")
    for answer in doubts.answers(study):
        row = [doubts.called(answer, study)(units), doubts.simulated(answer, study, units)]
        row.append(doubts.over_assumed(answer, study, units))
        row += [doubts.over_crews(answer, study, units)] if crews else []
        table.add_row(*map(Text, row))
    return table


def _assumed(study: Study) -> Table:
    """What the answers hang on, the widest first."""
    units = study.scenario.units
    table = Table(
        show_edge=False,
        pad_edge=False,
        title="what the answers hang on, the widest by time first",
        title_justify="left",
    )
    for head in (
        "value",
        "low",
        "high",
        "mean time at low, high",
        "mean largest gap",
        "chance of a gap over the limit",
    ):
        table.add_column(head, justify="left" if head == "value" else "right")
    for path, low, high, cells in doubts.rows(study, units):
        table.add_row(*map(Text, (path, low, high, *cells)))
    return table


def _helps(study: Study) -> Table:
    table = Table(show_edge=False, pad_edge=False)
    table.add_column("what would help: one change, the same people")
    for head in ("time (between)", "largest gap (between)"):
        table.add_column(head, justify="right")
    for change in study.helps:
        table.add_row(*map(Text, (change.change, *words.changed(change, study.scenario.units))))
    return table


# --- the cadence


def show_cadence(found: Cadence, console: Console) -> None:
    """Print a cadence."""
    show_stops(console, found.scenario)
    units = found.scenario.units
    console.print(Text(cadences.answer(found, units), style="bold"))
    for line in cadences.cadence_lines(found, units):
        console.print(Text(line))
    console.print()
    table = Table(
        show_edge=False,
        pad_edge=False,
        title="of the lifts it was chosen on: no other is both faster and closer",
        title_justify="left",
    )
    for head in ("how", "mean time", "95th percentile of the gap", "chance over, under", "drop over, under"):
        table.add_column(head, justify="left" if head == "how" else "right")
    for way in found.frontier:
        table.add_row(
            Text(cadences.way_words(way, units)), clock(way.time.value), show_up(way.gap, "length", units),
            percent(way.gap_risk), percent(way.drop_risk),
        )  # fmt: skip
    console.print(table)
    console.print(Text(f"\n{CAUTION}", style="italic"))
