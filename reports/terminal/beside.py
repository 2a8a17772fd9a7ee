"""Ways side by side: a table where there is room for one; on a narrow terminal one way under the other, nothing cut."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.console import Console
from rich.measure import Measurement
from rich.table import Table
from rich.text import Text


def print_side_by_side(
    names: Sequence[str], rows: Iterable[tuple[str, Sequence[str]]], console: Console, title: str | None = None
) -> None:
    """A column a way, a row a figure; or a block a way.

    Parameters
    ----------
    names : sequence of str
        The ways.
    rows : iterable of (str, sequence of str)
        What each figure is, and its value of each way.
    console : Console
        Where to.
    title : str, optional
        Over all of it.
    """
    rows = list(rows)
    table = Table(show_edge=False, pad_edge=False, title=title, title_justify="left")
    table.add_column("")
    for name in names:
        table.add_column(Text(name))
    for label, cells in rows:
        table.add_row(Text(label), *map(Text, cells))
    roomy = console.options.update(max_width=10_000)  # else it says that it can be as narrow as it has to be
    if Measurement.get(console, roomy, table).minimum <= console.width:
        console.print(table)
        return
    if title:
        console.print(Text(title.strip(), style="italic"))
    for n, name in enumerate(names):
        console.print(Text(f"\n{name}", style="bold"))
        block = Table.grid(padding=(0, 2))
        for _ in range(2):
            block.add_column(overflow="fold")
        for label, cells in rows:
            block.add_row(Text(label), Text(cells[n]))
        console.print(block)
