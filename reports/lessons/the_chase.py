"""The pictures of lesson 2: the two clocks, and the gap between them."""

from __future__ import annotations

import pandas as pd

from reports.lessons.board import Board
from reports.lessons.falling_behind import calls_panel, growth_panel, price_panel
from reports.lessons.panel import DASH, DOT, SOLID, Axis, Box, Panel
from reports.lessons.picture import Picture, Readout, start
from sim.lessons import Computed
from sim.lessons.the_chase import slowest_that_keeps_up
from sim.lessons.two_clocks import OTHER, SLOW
from sim.model.units import Units, show, show_up

SLOW_LINE, OTHER_LINE = "$c", "$e"
LANES = {"leader": 3.0, "operator": 2.0, OTHER: 1.0, SLOW: 0.0}
RULE_WORDS = {"keep-pace": "Keep the pace", "stop-until-caught": "Stop until caught"}


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float = 13) -> Board:
    """Both rules under each other: the clocks of the first calls, and the gap over the whole lift."""
    board = Board(units, type_px, (8.4, 1.0, 1.8, 5.2), keyed=True)
    boxes = ((0.80, 1.0), (0.58, 0.78), (0.24, 0.44), (0.0, 0.22))
    for at, rule in enumerate(RULE_WORDS):
        lanes = lanes_panel(
            computed,
            board,
            (0, 1, *boxes[2 * at]),
            setting,
            rule,
            f"{RULE_WORDS[rule]}: {came_to(computed, units, setting, rule)}",
        )
        gap_panel(
            computed,
            board,
            (0, 1, *boxes[2 * at + 1]),
            setting,
            rule,
            lanes,
            x_title="time since the start" if at else "",
        )
    return board


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """What holding costs and saves at this setting, and whether the chase keeps up."""
    kept, held = (run(computed, setting, rule) for rule in RULE_WORDS)
    needs = slowest_that_keeps_up(computed.facts["gained_m"], computed.facts["climb"] / setting["factor"])
    grows = kept["grows_m"]
    return [
        Readout("the slow catcher keeps up from", show(needs, "time", units), "from call to call"),
        Readout("the crew is called every", show(kept["period_s"], "time", units), "if nobody holds"),
        Readout("so the gap grows by", show_up(grows, "length", units), "a call" if grows > 0 else "it keeps up"),
        Readout("stopping until caught costs", show(held["duration_s"] - kept["duration_s"], "time", units)),
        Readout(
            "and saves",
            show(kept["largest_slow_gap_m"] - held["largest_slow_gap_m"], "length", units),
            "of the largest gap",
        ),
    ]


def fixed(computed: Computed, units: Units, type_px: float = 10.5) -> Board:
    """The two rules side by side at the scenario's own pace, and the gap at each call under each other."""
    board = Board(units, type_px, (8.4, 1.2, 1.9, 9.4), keyed=True)
    setting = start(computed)
    for at, rule in enumerate(RULE_WORDS):
        left, right = (0.0, 0.335) if at == 0 else (0.365, 0.70)
        lanes = lanes_panel(computed, board, (left, right, 0.58, 1), setting, rule, RULE_WORDS[rule], at == 0)
        gap_panel(computed, board, (left, right, 0, 0.50), setting, rule, lanes, at == 0, "time since the start")
    calls_panel(computed, board, (0.785, 1, 0, 1), setting["pace_s"], "Gap at each call")
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """The two clocks; where the chase falls behind; the gap call by call; the price of a hold."""
    setting = start(computed)
    kept, held = (run(computed, setting, rule) for rule in RULE_WORDS)
    slow = f"{setting['factor']:g} times as long"
    where = f"{computed.scenario.title}; collars, one catcher takes {slow}; everyone at mean times"
    clocks = Board(units, type_px, (8.4, 0.9, 1.9, 6.4), keyed=True)
    for at, rule in enumerate(RULE_WORDS):
        left, right = (0.0, 0.485) if at == 0 else (0.515, 1.0)
        lanes = lanes_panel(computed, clocks, (left, right, 0.58, 1), setting, rule, RULE_WORDS[rule], at == 0)
        gap_panel(computed, clocks, (left, right, 0, 0.50), setting, rule, lanes, at == 0, "time since the start")
    behind = Board(units, type_px, (4.6, 8.2, 1.9, 3.6))
    growth_panel(computed, behind, (0, 1, 0, 1), "How much the gap grows from call to call")
    calls = Board(units, type_px, (4.6, 9, 1.9, 3.6))
    calls_panel(computed, calls, (0, 1, 0, 1), setting["pace_s"], "The gap at each call, if nobody holds")
    price = Board(units, type_px, (4.8, 1.0, 1.9, 5.0), keyed=True)
    price_panel(computed, price, (0, 1, 0, 1), setting["pace_s"], "What stopping until caught costs, and saves")
    needs = slowest_that_keeps_up(computed.facts["gained_m"], computed.facts["climb"] / setting["factor"])
    runs = computed.tables["runs"]
    return [
        Picture(
            "two-clocks",
            "Stroke and capture are two clocks",
            clocks,
            "Two timelines of the same crew, lanes for leader, operator and two catchers, gap below. Keeping the "
            "pace, the slow catcher never "
            f"stops turning and the gap grows to {show_up(kept['largest_slow_gap_m'], 'length', units)}; stopping "
            "until caught it stays under "
            f"{show_up(held['largest_slow_gap_m'], 'length', units)}.",
            "The first calls of the same lift under two rules. Keeping the pace takes "
            f"{show(kept['duration_s'], 'time', units)} and the gap comes to "
            f"{show_up(kept['largest_slow_gap_m'], 'length', units)}; stopping until caught takes "
            f"{show(held['duration_s'], 'time', units)} and it comes to "
            f"{show_up(held['largest_slow_gap_m'], 'length', units)}. {where}.",
            computed.tables["lanes"],
        ),
        Picture(
            "falling-behind",
            "Below this pace the chase falls behind",
            behind,
            "Lines of growth a call against the time from call to call, one for each slowness. Each falls to zero "
            "where the collar keeps up: at "
            f"{show(needs, 'time', units)} for a catcher who takes {slow}.",
            "Growth a call = what a call gains - climb x time from call to call. Dotted to the left: quicker than "
            "the handle "
            f"({show(computed.facts['cycle_s'], 'time', units)} a call). {where}.",
            computed.tables["growth"],
        ),
        Picture(
            "gap-call-by-call",
            "Gap at each call",
            calls,
            "Lines of gap against call number, one for each slowness: below the pace the gap grows by the same "
            "amount at every call.",
            "The gap that the leader would see at each call, nobody holding, called every "
            f"{show(kept['period_s'], 'time', units)}. {where.split(';')[0]}.",
            computed.tables["at calls"],
        ),
        Picture(
            "price-of-a-hold",
            "What a hold costs and saves",
            price,
            "For each slowness an arrow from keeping the pace to stopping until caught: a little to the right, "
            "which is time, and far down, which is gap.",
            "Each pair is one crew: open mark keeping the pace, filled mark stopping until caught. "
            f"{computed.scenario.title}, pace {show(setting['pace_s'], 'time', units)}.",
            runs[runs["pace_s"] == setting["pace_s"]],
        ),
    ]


# --- panels


def lanes_panel(
    computed: Computed, board: Board, box: Box, setting: dict[str, float], rule: str, title: str, first: bool = True
) -> tuple[float, float]:
    """Who does what in the first calls; returns the stretch of time shown [s]."""
    bars = of(computed.tables["lanes"], setting, rule)
    end = float(bars["until_s"].iloc[0]) * 1.01
    lanes = {name: at for name, at in LANES.items() if (bars["lane"] == name).any()}
    panel = board.panel(
        box,
        Axis("", "time", (-0.02 * end, end), False),
        Axis("", "", (-0.6, 3.75), ticks=(list(lanes.values()), list(lanes) if first else [""] * len(lanes))),
        title,
    )
    hold = bars[bars["what"] == "hold"]
    for begin, finish in zip(hold["from_s"], hold["to_s"], strict=True):
        panel.stretch(begin, min(finish, end))
    styles = (
        ("stroke", "$a", "", "stroke"),
        ("turn", "$b", "/", "turning the collar"),
        ("seat", "$f", "x", "seating it"),
    )
    for what, colour, hatch, name in styles:
        rows = bars[(bars["what"] == what) & (bars["from_s"] < end)]
        until = rows["to_s"].clip(upper=end)
        panel.bars(
            until - rows["from_s"], rows["lane"].map(lanes), colour, hatch, 0.62, name, rows["from_s"], flat=True
        )
    calls = bars[bars["what"] == "call"]
    panel.dots(calls["from_s"], [3.0] * len(calls), "$ink", "triangle-down", 11, "call")
    for n, when in zip(calls["call"], calls["from_s"], strict=True):
        panel.note(str(n), when, 3.0, ("center", "bottom"), 0.35, 0, share=0.85)
    if len(hold):
        longest = hold.assign(seen=hold["to_s"].clip(upper=end) - hold["from_s"]).sort_values("seen").iloc[-1]
        if longest["seen"] > 0.06 * end:
            panel.note(
                "hold",
                (longest["from_s"] + min(longest["to_s"], end)) / 2,
                3.0,
                ("center", "middle"),
                0,
                0,
                "$soft",
                0.85,
            )
    return -0.02 * end, end


def gap_panel(
    computed: Computed,
    board: Board,
    box: Box,
    setting: dict[str, float],
    rule: str,
    stretch: tuple[float, float],
    first: bool = True,
    x_title: str = "",
) -> Panel:
    """The gap of the slow catcher and of the others, in the same stretch of time, with the limit."""
    gaps = computed.tables["gap"]
    same = gaps[
        (gaps["factor"] == setting["factor"]) & (gaps["pace_s"] == setting["pace_s"]) & (gaps["time_s"] <= stretch[1])
    ]
    most = max(computed.facts["limit_m"] * 1.6, float(same["gap_m"].max()) * 1.12)
    panel = board.panel(
        box, Axis(x_title, "time", stretch), Axis("gap" if first else "", "length", (0, most), first, many=5)
    )
    mine = of(gaps, setting, rule)
    for who, colour, dash, wide in ((OTHER, OTHER_LINE, DASH, 2.0), (SLOW, SLOW_LINE, SOLID, 2.2)):
        own = mine[(mine["who"] == who) & (mine["time_s"] <= stretch[1] * 1.2)]
        panel.line(own["time_s"], own["gap_m"], colour, dash, wide, f"gap, {who}")
    if computed.facts["limit_m"] > 0:
        panel.line(stretch, [computed.facts["limit_m"]] * 2, "$ink", DOT, 1.5, "the leader's limit")
    return panel


# --- what is shown


def of(table: pd.DataFrame, setting: dict[str, float], rule: str) -> pd.DataFrame:
    """The rows of one setting under one rule."""
    return table[
        (table["factor"] == setting["factor"]) & (table["pace_s"] == setting["pace_s"]) & (table["rule"] == rule)
    ]


def run(computed: Computed, setting: dict[str, float], rule: str) -> pd.Series:
    """What one lift came to."""
    return of(computed.tables["runs"], setting, rule).iloc[0]


def came_to(computed: Computed, units: Units, setting: dict[str, float], rule: str) -> str:
    """In a few words."""
    it = run(computed, setting, rule)
    return (
        f"{show(it['duration_s'], 'time', units)}, the gap comes to "
        f"{show_up(it['largest_slow_gap_m'], 'length', units)}"
    )
