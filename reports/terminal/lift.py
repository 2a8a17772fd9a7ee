"""A lift on the terminal: the answer in one sentence, the figures that matter, the caution."""

from __future__ import annotations

from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from reports.terminal.beside import print_side_by_side
from reports.words import drops
from reports.words.answer import answer, why
from reports.words.plain import clock
from reports.words.stages import HEADS, hands_alone, kind_of_largest, rise_words, rows
from sim.check import CAUTION
from sim.model.scenario import Scenario
from sim.model.sentences import words
from sim.model.units import Units, show, show_up

RISES = ("point", "settled", "needed")


def show_lift(summary: dict[str, Any], scenario: Scenario, console: Console) -> None:
    """Print one lift: what came of it, then what it took."""
    console.print(Text(answer(summary, scenario), style="bold"))
    reason = why(summary)
    if reason:
        console.print(Text(reason))
    console.print()
    table = Table.grid(padding=(0, 2))
    for name, value in figures(summary, scenario):
        table.add_row(Text(name), Text(value))
    console.print(table)
    if summary.get("stages"):
        console.print()
        show_stages(summary, scenario.units, console)
    if scenario.assumed:
        console.print(Text("\nWhat is assumed:", style="bold"))
        for sentence in scenario.assumed:
            console.print(Text(f"  {words(sentence, scenario.units)}"))
    console.print(Text(f"\n{CAUTION}", style="italic"))


def show_stages(summary: dict[str, Any], units: Units, console: Console) -> None:
    """Print the stages, a column each: what each took and what came of it."""
    columns = rows(summary, units)
    print_side_by_side(
        [row[0] for row in columns],
        [(head, [row[n] for row in columns]) for n, head in enumerate(HEADS) if n],
        console,
    )


def figures(summary: dict[str, Any], scenario: Scenario) -> list[tuple[str, str]]:
    """Name and value of the figures that matter, the largest gap, the pumps and the rise first."""
    units, staged, kind = scenario.units, bool(summary.get("stages")), kind_of_largest(summary)

    def up(metres: float) -> str:
        return show_up(metres, "length", units)

    rows = [
        ("largest gap", gap_words(summary["largest_gap"], units) + (f" ({kind})" if kind else "")),
        ("  passing, not caught yet", gap_words(summary["largest_passing_gap"], units)),
        ("  left after capture", gap_words(summary["largest_standing_gap"], units)),
        *([("  made, on the way down", gap_words(summary["largest_made_gap"], units))] if staged else []),
        ("pumps", ", ".join(f"{n} at the {name}" for name, n in summary["pumps"].items())),
        ("rise", rise_words(summary, units) if staged else _settled(summary, units)),
        ("calls", f"{summary['calls']} in {clock(summary['duration_s'])}"),
        ("holds", holds_words(summary)),
        ("calls over the limit", str(summary["over_limit_calls"])),
        ("drop, pressure lost", drops.in_full(summary["largest_drop_pressure_lost"]).words(units)),
        ("drop, lifter lost", drops.in_full(summary["largest_drop_lifter_lost"]).words(units)),
        ("on the rams alone", clock(summary["ram_only_s"]) if summary["ram_only_s"] else "never"),
        *([("hands in on the rams alone", hands_alone(summary))] if staged else []),
        ("level difference", f"{up(summary['largest_level_difference_m'])} at most"),
    ]
    if "fall" in summary:
        fall = summary["fall"]
        words = f"{up(fall['fell_m'])}, {show(fall['energy_J'], 'energy', units)}, caught by {fall['caught_by']}"
        rows.insert(0, ("fell", words))
    return rows


def _settled(summary: dict[str, Any], units: Units) -> str:
    point, settled, needed = (show(summary[f"{each}_rise_m"], "length", units) for each in RISES)
    return f"{point} at the needed point, {settled} once settled (needed: {needed})"


def gap_words(gap: dict[str, Any], units: Units) -> str:
    """A gap with its station and call."""
    if gap["station"] is None:
        return "none"
    call = f"call {gap['call']}" if gap["call"] else "before the first call"
    return f"{show_up(gap['gap_m'], 'length', units)} at the {gap['station']}, {call}"


def holds_words(summary: dict[str, Any]) -> str:
    """How many holds, how long, and for whom."""
    if not summary["holds"]:
        return "none"
    longest = sorted(summary["waited_for_s"].items(), key=lambda item: -item[1])
    waited = ", ".join(f"{station} {seconds:.1f} s" for station, seconds in longest[:3])
    return f"{summary['holds']}, {summary['hold_time_s']:.1f} s in all; waited for {waited}"
