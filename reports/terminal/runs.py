"""The stored runs, a line each."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from reports.terminal.progress import progress
from reports.words.stages import gap_as_said
from sim.model.units import show
from sim.stored.store import Stored


def show_runs(found: Sequence[Stored], console: Console) -> None:
    """When, title, outcome and the three figures; what is damaged is named and passed over."""
    runs = [s for s in found if s.summary is not None]
    if not runs:
        console.print("nothing is stored here yet; try: liftcadence demo")
    table = Table(show_edge=False, pad_edge=False)
    for column in ("run", "title", "outcome", "largest gap", "pumps", "rise"):
        table.add_column(column)
    for run in runs:
        table.add_row(*(Text(cell) for cell in line(run)))
    if runs:
        console.print(table)
    for run in found:
        if run.summary is None:
            console.print(Text(f"passed over: {run.path.name}: {run.trouble}"))
        elif run.trouble:
            console.print(Text(f"damaged: {run.path.name}: {run.trouble}"))
    for words in progress(found):
        console.print(Text(words))


def line(run: Stored) -> list[str]:
    """One run as the cells of its line; a figure that it lacks reads as a dash."""
    summary = run.summary or {}
    title = " · ".join(part for part in (str(summary["title"]), str(summary.get("variant") or "")) if part)
    cells = [run.path.name, title, str(summary["outcome"])]
    try:
        rise, units = summary["point_rise_m"], summary["units"]
        return [*cells, gap_as_said(summary, units), str(sum(summary["pumps"].values())), show(rise, "length", units)]
    except (LookupError, TypeError, AttributeError, ValueError, ArithmeticError):
        return [*cells, "-", "-", "-"]
