"""The sheet of a check on the terminal: what was found, the plan line by line, then the tables."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from reports.words import sheet as words
from reports.words import sheet_sides as sides
from reports.words.plain import whose
from reports.words.stops import do_not, stops_of
from sim.check import CAUTION, Sheet
from sim.model.scenario import Scenario
from sim.model.sentences import words as worded

MOST_ROWS = 12  # of one table
MARKS = {"stop": "STOP   ", "caution": "caution", "note": "note   "}


def show(sheet: Sheet, console: Console) -> None:
    """Print a sheet: findings first."""
    units = sheet.units
    console.print(Text(words.tally(sheet), style="bold"))
    show_findings(sheet, console, least="note")
    console.print(Text("\nLift plan", style="bold"))
    for line in sides.plan_lines(sheet.need.lines):
        console.print(Padding(Text(f"{line.subject}: {line.what} = {line.formula}"), (0, 0, 0, 2)))
        console.print(Padding(Text(line.numbers.words(units)), (0, 0, 0, 6)))
    least = f"{sheet.limits.design_factor:g} is {whose(sheet.limits, 'design_factor')}"
    console.print(Text(f"\nLifters (a margin is what may be carried over what is; {least})", style="bold"))
    _table(console, ("", *sheet.lifters), [[name, *values] for name, values in words.lifter_rows(sheet, units)])
    for title, heads, rows in (
        (words.STATIONS, words.STATION_HEADS, words.station_rows(sheet, units)),
        (words.STRUTS, words.STRUT_HEADS, words.strut_rows(sheet, units)),
        (words.TIES, words.TIE_HEADS, words.tie_rows(sheet, units)),
        ("Cribs", words.CRIB_HEADS, words.crib_rows(sheet, units)),
        ("Ground", words.GROUND_HEADS, words.ground_rows(sheet, units)),
    ):
        if rows:
            console.print(Text(f"\n{title}", style="bold"))
            if len(rows) > MOST_ROWS:
                others = f"{MOST_ROWS} of {len(rows)}, those that carry most; --page and --json have all of them"
                console.print(Padding(Text(others), (0, 0, 0, 2)))
            _sideways(console, heads, _foremost(sheet, rows))
    console.print(Text("\nDrops, pivot, quick estimates", style="bold"))
    _table(console, (), [[name, *values] for name, values in words.quick_rows(sheet, units)])
    if sheet.assumed:
        console.print(Text("\nWhat is assumed", style="bold"))
        for sentence in sheet.assumed:
            console.print(Padding(Text(worded(sentence, units)), (0, 0, 0, 2)))
    console.print(Text(f"\n{CAUTION}", style="italic"))


def show_stops(console: Console, *scenarios: Scenario) -> None:
    """Print what stops a lift, before anything else that is said of it."""
    stops = stops_of(*scenarios)
    if not stops:
        return
    console.print(Text(do_not(stops), style="bold reverse"))
    for said in stops:
        console.print(Text(f"  {said.subject}: {said.what.words(scenarios[0].units)}"))
    console.print()


def show_findings(sheet: Sheet, console: Console, least: str = "caution") -> None:
    """Print what was found, down to the level `least`: `run` shows stops and cautions on top of its summary."""
    shown = list(MARKS)[: list(MARKS).index(least) + 1]
    if sheet.stopped and least == "caution":
        console.print(Text(do_not(sides.gathered(sheet.of_level("stop"))), style="bold reverse"))
    for said in sides.gathered(sheet.findings):
        if said.level in shown:
            line = Text.assemble(
                (MARKS[said.level], "bold"),
                f"  {said.subject}: {said.what.words(sheet.units)} ",
                (f"[{said.source}]", "dim"),
            )
            console.print(line)
    if sheet.stopped and least == "caution":
        console.print(Text("A stop does not forbid a run: what goes wrong is worth rehearsing.\n"))


def _foremost(sheet: Sheet, rows: Sequence[list[str]]) -> Sequence[list[str]]:
    """Of very many rows those of the stations that carry most, in the order of the file."""
    if len(rows) <= MOST_ROWS:
        return rows
    carried = {name: station.static_worst for name, station in sheet.stations.items()}
    carried |= {name: lifter.axial_worst for name, lifter in sheet.lifters.items()}
    heaviest = sorted(rows, key=lambda row: -carried.get(row[0].partition(": ")[0], 0.0))[:MOST_ROWS]
    return [row for row in rows if any(row is one for one in heaviest)]


def _sideways(console: Console, heads: Sequence[str], rows: Sequence[Sequence[str]], most: int = 3) -> None:
    """A table on its side, so many rows of it next to each other: a terminal is narrow."""
    for start in range(0, len(rows), most):
        some = rows[start : start + most]
        _table(
            console, [row[0] for row in (heads, *some)], list(zip(heads[1:], *(row[1:] for row in some), strict=True))
        )


def _table(console: Console, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    table = Table(show_edge=False, pad_edge=False, show_header=bool(heads), box=None, padding=(0, 2, 0, 0))
    for head in heads or [""] * len(rows[0]):
        table.add_column(Text(head), overflow="fold")
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    console.print(Padding(table, (0, 0, 0, 2)))
