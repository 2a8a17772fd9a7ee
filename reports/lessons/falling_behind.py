"""How far the chase falls behind, for each slowness of the slow catcher, and what a hold costs and saves then."""

from __future__ import annotations

import pandas as pd

from reports.lessons.board import Board
from reports.lessons.panel import DASH, DASHDOT, DOT, SOLID, Axis, Box, Panel
from sim.lessons import Computed
from sim.lessons.the_chase import FACTORS, slowest_that_keeps_up
from sim.model.units import show

STYLES = (("$e", DOT, "circle"), ("$a", DASH, "square"), ("$b", DASHDOT, "diamond"), ("$c", SOLID, "triangle-up"))


def calls_panel(computed: Computed, board: Board, box: Box, pace: float, title: str) -> Panel:
    """The gap at each call, one line a slowness; nobody holds."""
    calls = computed.tables["at calls"]
    calls = calls[(calls["pace_s"] == pace) & (calls["rule"] == "keep-pace")]
    most, last = float(calls["gap_m"].max()) * 1.1 or 0.01, int(calls["call"].max())
    panel = board.panel(box, Axis("call", "", (0.5, last + 0.5)), Axis("gap", "length", (0, most), many=6), title, 0.9)
    shown = 0.0
    for factor, (colour, dash, symbol) in zip(FACTORS, STYLES, strict=True):
        own = calls[calls["factor"] == factor]
        panel.line(own["call"], own["gap_m"], colour, dash, 2, f"{factor:g} x as long", symbol=symbol, symbols_px=8)
        end = own.iloc[-1]
        label = max(end["gap_m"], shown)
        if board.margin[1] > 4:
            panel.note(
                f"{factor:g} times as long" if factor > 1 else "the usual time",
                last,
                label,
                ("left", "middle"),
                0,
                1.0,
                colour,
            )
            shown = label + 0.07 * most
    return panel


def growth_panel(computed: Computed, board: Board, box: Box, title: str) -> Panel:
    """Growth a call against the time from call to call; dots: simulated lifts."""
    table = computed.tables["growth"]
    cycle, gained = computed.facts["cycle_s"], computed.facts["gained_m"]
    last = float(table["period_s"].max())
    panel = board.panel(
        box,
        Axis("time from call to call", "time", (0, last)),
        Axis("growth a call", "length", (0, gained * 1.15), many=6),
        title,
    )
    panel.stretch(0, cycle)
    panel.corner("quicker than the handle", min(cycle / last, 1) / 2, 0.985, ("center", "top"), "$soft")
    panel.upright(max(computed.facts["pace_s"], cycle), "$ink", DASH, "called so often", "left", 0.9)
    crossings = 0
    for factor, (colour, dash, symbol) in reversed(list(zip(FACTORS, STYLES, strict=True))):
        own = table[table["factor"] == factor]
        panel.line(own["period_s"], own["grows_m"], colour, dash, 2.2)
        seen = simulated_growth(computed, factor)
        panel.dots(seen["period_s"], seen["grows_m"], colour, symbol, 11, f"simulated, {factor:g} times as long")
        needs = slowest_that_keeps_up(gained, computed.facts["climb"] / factor)
        who = "usual time" if factor == 1 else f"{factor:g} times as long"
        if needs <= last * 0.75:
            panel.note(
                f"{who}: keeps up from {show(needs, 'time', board.units)}",
                needs,
                0,
                ("left", "bottom"),
                0.7 + 1.5 * crossings,
                0,
                colour,
                plate=True,
            )
            crossings += 1
        else:
            panel.note(who, last, own["grows_m"].iloc[-1], ("left", "middle"), 0, 0.8, colour)
    return panel


def simulated_growth(computed: Computed, factor: float) -> pd.DataFrame:
    """By how much the gap grew a call in the simulated lifts, over the later half of the calls."""
    calls, rows = computed.tables["at calls"], []
    for period, pace in computed.tables["runs"].groupby("period_s")["pace_s"].min().items():
        own = calls[(calls["factor"] == factor) & (calls["pace_s"] == pace) & (calls["rule"] == "keep-pace")]
        late = own.iloc[len(own) // 2 :]
        if len(late) > 1:
            grows = (late["gap_m"].iloc[-1] - late["gap_m"].iloc[0]) / (len(late) - 1)
            rows.append({"period_s": period, "grows_m": max(0.0, grows)})
    return pd.DataFrame(rows, columns=["period_s", "grows_m"])


def price_panel(computed: Computed, board: Board, box: Box, pace: float, title: str) -> Panel:
    """Duration against largest gap, from one rule to the other."""
    runs = computed.tables["runs"]
    runs = runs[runs["pace_s"] == pace]
    ends = runs["duration_s"].min() * 0.9, runs["duration_s"].max() * 1.05
    panel = board.panel(
        box,
        Axis("the lift takes", "time", ends),
        Axis("largest gap, slow catcher", "length", (0, runs["largest_slow_gap_m"].max() * 1.12), many=6),
        title,
    )
    for factor, (colour, dash, symbol) in zip(FACTORS, STYLES, strict=True):
        own = runs[runs["factor"] == factor].set_index("rule")[["duration_s", "largest_slow_gap_m"]].T.to_dict()
        kept, held = own["keep-pace"], own["stop-until-caught"]
        panel.line(
            [kept["duration_s"], held["duration_s"]],
            [kept["largest_slow_gap_m"], held["largest_slow_gap_m"]],
            colour,
            dash,
            2,
        )
        said = "usual time" if factor == 1 else f"{factor:g} times as long"
        panel.dots([kept["duration_s"]], [kept["largest_slow_gap_m"]], colour, f"{symbol}-open", 13, "keeping the pace")
        panel.dots([held["duration_s"]], [held["largest_slow_gap_m"]], colour, symbol, 13, "stopping until caught")
        costs = held["duration_s"] - kept["duration_s"]
        saves = kept["largest_slow_gap_m"] - held["largest_slow_gap_m"]
        words = f"{said}:<br>{costs:.0f} s more,<br>{show(saves, 'length', board.units)} less open"
        late = kept["duration_s"] > sum(ends) / 2
        panel.note(
            words,
            kept["duration_s"],
            kept["largest_slow_gap_m"],
            ("right" if late else "left", "middle"),
            1.6 if factor == 1 else 0,
            -0.9 if late else 0.9,
            colour,
        )
    return panel
