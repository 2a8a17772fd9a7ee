"""Ways to make a lift side by side on the terminal: each at mean times, then many lifts of each."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from rich.console import Console
from rich.text import Text

from reports.terminal.beside import print_side_by_side
from reports.words.compared import rows, sentences, tables
from reports.words.drops import how_far, if_it_does_not
from reports.words.plain import clock
from reports.words.stages import gap_as_said, hands_alone, lowers, ways_down
from reports.words.study import SIMULATION_ONLY
from sim.many.compared import Compared
from sim.model.units import Units, show, show_up


def show_comparison(summaries: dict[str, dict[str, Any]], units: Units, console: Console) -> None:
    """Print the variants of a scenario side by side."""
    staged = any(summary.get("stages") for summary in summaries.values())
    asked = COMPARED | STAGED if staged else COMPARED
    rows = [(label, [value(summary, units) for summary in summaries.values()]) for label, value in asked.items()]
    print_side_by_side(list(summaries), rows, console)
    for line in ways_down(list(summaries), list(summaries.values()), units):
        console.print(Text(line))


COMPARED: dict[str, Callable[[dict[str, Any], Units], str]] = {
    "outcome": lambda s, units: s["outcome"],
    "largest gap": gap_as_said,
    "left after capture": lambda s, units: show_up(s["largest_standing_gap"]["gap_m"], "length", units),
    "a station open": lambda s, units: f"{sum(x['open_time_s'] for x in s['stations'].values()):.0f} s",
    "drop, lifter lost, if the station holds": lambda s, units: how_far(s["largest_drop_lifter_lost"]).words(units),
    "the same, if that station does not": lambda s, units: if_it_does_not(s["largest_drop_lifter_lost"]).words(units),
    "calls": lambda s, units: str(s["calls"]),
    "pumps": lambda s, units: str(sum(s["pumps"].values())),
    "settled rise": lambda s, units: show(s["settled_rise_m"], "length", units),
    "time": lambda s, units: clock(s["duration_s"]),
    "holds": lambda s, units: f"{s['holds']} ({s['hold_time_s']:.0f} s)",
    "calls over the limit": lambda s, units: str(s["over_limit_calls"]),
}


STAGED: dict[str, Callable[[dict[str, Any], Units], str]] = {  # the way down, where one of the ways comes down
    "highest rise": lambda s, units: show(s["needed_rise_m"] + s["overshoot_m"], "length", units),
    "largest passing": lambda s, units: show_up(s["largest_passing_gap"]["gap_m"], "length", units),
    "made, on the way down": lambda s, units: show_up(s["largest_made_gap"]["gap_m"], "length", units),
    "the way down": lambda s, units: clock(sum(x["duration_s"] for x in lowers(s))) if lowers(s) else "none",
    "hands in on the rams alone": lambda s, units: hands_alone(s),
}


def show_many(compared: Compared, units: Units, console: Console) -> None:
    """Print the ways side by side, each simulated many times."""
    console.print()
    for line in sentences(compared, units):
        console.print(Text(line))
    for title, ways in tables(compared):
        found = [(said, [cell.replace("; ", "\n") for cell in cells]) for said, cells in rows(ways, units, short=True)]
        print_side_by_side([way.name for way in ways], found, console, f"\n{title}")
    console.print(Text(f"After the mean: the difference from {compared.as_asked[0].name}. {SIMULATION_ONLY}"))
