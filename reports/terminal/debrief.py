"""A debrief on the terminal: what happened, the crew's own times, the drills against the plan."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from reports.terminal.check import show_stops
from reports.words.drill import debrief as words
from reports.words.drill import way_down
from reports.words.drill.observed import asked_again
from reports.words.plain import count
from sim.check import CAUTION
from sim.drill.debriefed import Debrief

NAMED = 12  # problems of a log that are printed; the page has them all


def show_debrief(found: Debrief, console: Console) -> None:
    """Print a debrief."""
    units = found.scenario.units
    show_stops(console, found.scenario)
    for drill in found.drills:
        console.print(Text(f"{drill.name}: {words.headline(drill, units)}", style="bold"))
        for problem in drill.problems[:NAMED]:
            console.print(Text(f"  {problem}"))
        if len(drill.problems) > NAMED:
            console.print(Text(f"  and {len(drill.problems) - NAMED} more"))
        for clock in drill.clocks:
            console.print(
                Text(f"  clock of {clock.observer}: {clock.offset:+.2f} s, from {clock.shared} calls both heard")
            )
        if drill.inferred:
            lacks = count(len(drill.inferred), "entry", "entries")
            console.print(Text(f"  {lacks} that the log lacks, inferred from the plan"))
        console.print(_grid(words.happened(drill, units)))
        if drill.down is not None:
            console.print(Text(way_down.sentence(drill.down)))
            console.print(_table(way_down.HEAD, way_down.rows(drill.down)))
        console.print()
    for question in asked_again(found.drills, found.crew.known, units):
        console.print(Text(question, style="bold"))
    console.print(Text(words.COMPUTED))
    console.print(Text("\nThe crew's own times", style="bold"))
    head = ["what", "count", "mean (95 %)", "sd (95 %)", "in the plan", "to be said of it"]
    console.print(_table(head, [words.crew_row(k) for k in found.crew.known]))
    for line in found.crew.lines:
        console.print(Text(words.line_words(line)))
    if found.crew.unknown:
        console.print(Text(f"the plan's values stay for {words.kept_words(found.crew.unknown)}"))
    if found.predicted:
        console.print(Text("\nAgainst the plan", style="bold"))
        head = ["measure", "plan: middle", "nine in ten", *(d.name for d in found.drills)]
        console.print(_table(head, [words.predicted_row(p, units) for p in found.predicted]))
        console.print(Text(words.advice(found, units)))
    if len(found.drills) > 1:
        console.print(Text("\nFrom drill to drill", style="bold"))
        if found.trends:
            head = ["measure", "a drill", "between", "in words"]
            console.print(_table(head, [words.trend_row(t, units) for t in found.trends]))
        else:
            console.print(Text("too few drills to tell a change from chance: it takes four"))
    console.print(Text(f"\n{CAUTION}", style="italic"))


def _grid(rows: Sequence[tuple[str, str]]) -> Table:
    table = Table.grid(padding=(0, 2))
    for name, value in rows:
        table.add_row(Text(f"  {name}"), Text(value))
    return table


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Table:
    table = Table(show_edge=False, pad_edge=False)
    for name in head:
        table.add_column(name)
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    return table
