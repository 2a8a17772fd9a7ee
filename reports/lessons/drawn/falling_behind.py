"""How far the chase falls behind, for each slowness of the slow catcher, and what a hold costs and saves then."""

from __future__ import annotations

import pandas as pd

from reports.lessons.board import Board
from reports.lessons.panel import DASH, DASHDOT, DOT, SOLID, Axis, Box
from reports.lessons.picture import rows_of
from sim.lessons import Computed
from sim.lessons.taught.the_chase import FACTORS, slowest_that_keeps_up

STYLES = (("$e", DOT, "circle"), ("$a", DASH, "square"), ("$b", DASHDOT, "diamond"), ("$c", SOLID, "triangle-up"))


def calls_panel(board: Board, box: Box, pace: float, title: str) -> None:
    """The gap at each call, one line a slowness; nobody holds."""
    calls = rows_of(board.tables["at calls"], {"pace_s": pace, "rule": "keep-pace"})
    most, last = float(calls["gap_m"].max()) * 1.1 or 0.01, int(calls["call"].max())
    panel = board.panel(box, Axis("call", "", (0.5, last + 0.5)), Axis("gap", "length", (0, most), many=6), title, 0.9)
    shown = 0.0
    for factor, (colour, dash, symbol) in zip(FACTORS, STYLES, strict=True):
        own = rows_of(calls, {"factor": factor})
        panel.line(own["call"], own["gap_m"], colour, dash, 2, f"{factor:g} x as long", symbol=symbol, symbols_px=8)
        end = own.iloc[-1]
        label = max(end["gap_m"], shown)
        if board.margin[1] > 4:
            who = f"{factor:g} times as long" if factor > 1 else "the usual time"
            panel.note(who, last, label, ("left", "middle"), 0, 1.0, colour)
            shown = label + 0.07 * most


def growth_panel(board: Board, box: Box, title: str) -> None:
    """Growth a call against the time from call to call; dots: simulated lifts."""
    table = board.tables["growth"]
    cycle, gained = board.facts["cycle_s"], board.facts["gained_m"]
    last = float(table["period_s"].max())
    panel = board.panel(
        box,
        Axis("time from call to call", "time", (0, last)),
        Axis("growth a call", "length", (0, gained * 1.15), many=6),
        title,
    )
    panel.stretch(0, cycle)
    panel.corner("quicker than the handle", min(cycle / last, 1) / 2, 0.985, ("center", "top"), "$soft")
    panel.upright(max(board.facts["pace_s"], cycle), "$ink", DASH, "called so often", "left", 0.9)
    crossings = 0
    for factor, (colour, dash, symbol) in reversed(list(zip(FACTORS, STYLES, strict=True))):
        own = rows_of(table, {"factor": factor})
        panel.line(own["period_s"], own["grows_m"], colour, dash, 2.2)
        seen = simulated_growth(board.computed, factor)
        panel.dots(seen["period_s"], seen["grows_m"], colour, symbol, 11, f"simulated, {factor:g} times as long")
        needs = slowest_that_keeps_up(gained, board.facts["climb"] / factor)
        who = "usual time" if factor == 1 else f"{factor:g} times as long"
        if needs <= last * 0.75:
            words = f"{who}: keeps up from {board.f.time(needs)}"
            panel.note(words, needs, 0, ("left", "bottom"), 0.7 + 1.5 * crossings, 0, colour, plate=True)
            crossings += 1
        else:
            panel.note(who, last, own["grows_m"].iloc[-1], ("left", "middle"), 0, 0.8, colour)


def simulated_growth(computed: Computed, factor: float) -> pd.DataFrame:
    """By how much the gap grew a call in the simulated lifts, over the later half of the calls."""
    calls, rows = computed.tables["at calls"], []
    for period, pace in computed.tables["runs"].groupby("period_s")["pace_s"].min().items():
        own = rows_of(calls, {"factor": factor, "pace_s": pace, "rule": "keep-pace"})
        late = own.iloc[len(own) // 2 :]
        if len(late) > 1:
            grows = (late["gap_m"].iloc[-1] - late["gap_m"].iloc[0]) / (len(late) - 1)
            rows.append({"period_s": period, "grows_m": max(0.0, grows)})
    return pd.DataFrame(rows, columns=["period_s", "grows_m"])


def price_panel(board: Board, box: Box, pace: float, title: str) -> None:
    """Duration against largest gap, from one rule to the other."""
    runs = rows_of(board.tables["runs"], {"pace_s": pace})
    ends = runs["duration_s"].min() * 0.9, runs["duration_s"].max() * 1.05
    panel = board.panel(
        box,
        Axis("the lift takes", "time", ends),
        Axis("largest gap, slow catcher", "length", (0, runs["largest_slow_gap_m"].max() * 1.12), many=6),
        title,
    )
    for factor, (colour, dash, symbol) in zip(FACTORS, STYLES, strict=True):
        own = rows_of(runs, {"factor": factor}).set_index("rule")[["duration_s", "largest_slow_gap_m"]].T.to_dict()
        (t_kept, g_kept), (t_held, g_held) = (own[rule].values() for rule in ("keep-pace", "stop-until-caught"))
        panel.line([t_kept, t_held], [g_kept, g_held], colour, dash, 2)
        said = "usual time" if factor == 1 else f"{factor:g} times as long"
        panel.dots([t_kept], [g_kept], colour, f"{symbol}-open", 13, "keeping the pace")
        panel.dots([t_held], [g_held], colour, symbol, 13, "stopping until caught")
        words = f"{said}:<br>{t_held - t_kept:.0f} s more,<br>{board.f.length(g_kept - g_held)} less open"
        anchor, shift = ("right", -0.9) if t_kept > sum(ends) / 2 else ("left", 0.9)
        panel.note(words, t_kept, g_kept, (anchor, "middle"), 1.6 if factor == 1 else 0, shift, colour)
