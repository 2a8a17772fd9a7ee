"""The pictures of lesson 2: the two clocks, and the gap between them."""

from __future__ import annotations

from reports.lessons.board import Board
from reports.lessons.drawn.falling_behind import calls_panel, growth_panel, price_panel
from reports.lessons.panel import DASH, DOT, SOLID, WHOLE, Axis, Box
from reports.lessons.picture import Picture, Readout, row_of, rows_of, start
from sim.lessons import Computed
from sim.lessons.lesson import Printed
from sim.lessons.taught.the_chase import figures_at, slowest_that_keeps_up
from sim.lessons.taught.two_clocks import OTHER, SLOW
from sim.lessons.words.figures import say
from sim.model.units import Units

SLOW_LINE, OTHER_LINE = "$c", "$e"
LANES = {"leader": 3.0, "operator": 2.0, OTHER: 1.0, SLOW: 0.0}
RULE_WORDS = {"keep-pace": "Keep the pace", "stop-until-caught": "Stop until caught"}
SINCE = "time since the start"


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float) -> Board:
    """Both rules under each other: the clocks of the first calls, and the gap over the whole lift."""
    board = Board(computed, units, type_px, (8.4, 1.0, 1.8, 5.2), keyed=True)
    boxes = ((0.80, 1.0), (0.58, 0.78), (0.24, 0.44), (0.0, 0.22))
    for at, (rule, words) in enumerate(RULE_WORDS.items()):
        it = row_of(board.tables["runs"], {**setting, "rule": rule})
        title = f"{words}: {board.f.time(it['duration_s'])}, the gap reaches {board.f.up(it['largest_slow_gap_m'])}"
        lanes = lanes_panel(board, (0, 1, *boxes[2 * at]), setting, rule, title)
        gap_panel(board, (0, 1, *boxes[2 * at + 1]), setting, rule, lanes, x_title=SINCE if at else "")
    return board


def side_by_side(board: Board, setting: dict[str, float], columns: tuple[tuple[float, float], ...]) -> None:
    """The two rules beside each other: the clocks of the first calls, the gap below."""
    for (rule, words), (left, right) in zip(RULE_WORDS.items(), columns, strict=True):
        first = left == 0
        lanes = lanes_panel(board, (left, right, 0.58, 1), setting, rule, words, first)
        gap_panel(board, (left, right, 0, 0.50), setting, rule, lanes, first, SINCE)


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """What holding costs and saves at this setting, and whether the chase keeps up."""
    it = say(figures_at(computed.tables["runs"], computed.facts, setting), units)
    kept = row_of(computed.tables["runs"], {**setting, "rule": "keep-pace"})
    return [
        Readout("the slow catcher keeps up from", it["keeps_up"], "from call to call"),
        Readout("time between calls", it["period"], "without holds"),
        Readout("so the gap grows by", it["grows"], "a call" if kept["grows_m"] > 0 else "it keeps up"),
        Readout("largest gap, keeping the pace", it["reaches"]),
        Readout("largest gap, stopping until caught", it["held_to"], f"{it['saves']} less"),
        Readout("which costs", it["costs"]),
    ]


def fixed(computed: Computed, units: Units, type_px: float) -> Board:
    """The two rules side by side at the scenario's own pace, and the gap at each call under each other."""
    board = Board(computed, units, type_px, (8.4, 1.2, 1.9, 11.2), keyed=True)
    setting = start(computed)
    side_by_side(board, setting, ((0.0, 0.335), (0.365, 0.70)))
    calls_panel(board, (0.785, 1, 0, 1), setting["pace_s"], "Gap at each call")
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """The two clocks; where the chase falls behind; the gap call by call; the price of a hold."""
    f = Printed(units)
    setting = start(computed)
    kept, held = (row_of(computed.tables["runs"], {**setting, "rule": rule}) for rule in RULE_WORDS)
    slow = f"{setting['factor']:g} times as long"
    where = f"{computed.scenario.title}; collars, one catcher takes {slow}; everyone at mean times"
    clocks = Board(computed, units, type_px, (8.4, 0.9, 1.9, 6.4), keyed=True)
    side_by_side(clocks, setting, ((0.0, 0.485), (0.515, 1.0)))
    behind = Board(computed, units, type_px, (4.6, 8.2, 1.9, 3.6))
    growth_panel(behind, WHOLE, "How much the gap grows from call to call")
    calls = Board(computed, units, type_px, (4.6, 9, 1.9, 3.6))
    calls_panel(calls, WHOLE, setting["pace_s"], "The gap at each call, without holds")
    price = Board(computed, units, type_px, (4.8, 1.0, 1.9, 5.0), keyed=True)
    price_panel(price, WHOLE, setting["pace_s"], "What stopping until caught costs, and saves")
    needs = slowest_that_keeps_up(computed.facts["gained_m"], computed.facts["climb"] / setting["factor"])
    return [
        Picture(
            "two-clocks",
            "Stroke and capture are two clocks",
            clocks,
            "Two timelines of the same crew, lanes for leader, operator and two catchers, gap below. Keeping the "
            f"pace, the slow catcher never stops turning and the gap grows to {f.up(kept['largest_slow_gap_m'])}; "
            f"stopping until caught it stays under {f.up(held['largest_slow_gap_m'])}.",
            f"The first calls of the same lift under two rules. Keeping the pace takes {f.time(kept['duration_s'])} "
            f"and the gap reaches {f.up(kept['largest_slow_gap_m'])}; stopping until caught takes "
            f"{f.time(held['duration_s'])} and it reaches {f.up(held['largest_slow_gap_m'])}. {where}.",
            computed.tables["lanes"],
        ),
        Picture(
            "falling-behind",
            "Below this pace the chase falls behind",
            behind,
            "Lines of growth a call against the time from call to call, one for each slowness. Each falls to zero "
            f"where the collar keeps up: at {f.time(needs)} for a catcher who takes {slow}.",
            "Growth a call = what a call gains - climb x time from call to call. Dotted to the left: quicker than "
            f"the handle ({f.time(computed.facts['cycle_s'])} a call). {where}.",
            computed.tables["growth"],
        ),
        Picture(
            "gap-call-by-call",
            "Gap at each call",
            calls,
            "Lines of gap against call number, one for each slowness: below the pace the gap grows by the same "
            "amount at every call.",
            "The gap that the leader would see at each call, nobody holding, called every "
            f"{f.time(kept['period_s'])}. {where.split(';')[0]}.",
            computed.tables["at calls"],
        ),
        Picture(
            "price-of-a-hold",
            "What a hold costs and saves",
            price,
            "For each slowness an arrow from keeping the pace to stopping until caught: a little to the right, "
            "which is time, and far down, which is gap.",
            "Each pair is one crew: open mark keeping the pace, filled mark stopping until caught. "
            f"{computed.scenario.title}, pace {f.time(setting['pace_s'])}.",
            rows_of(computed.tables["runs"], {"pace_s": setting["pace_s"]}),
        ),
    ]


# --- panels


def lanes_panel(
    board: Board, box: Box, setting: dict[str, float], rule: str, title: str, first: bool = True
) -> tuple[float, float]:
    """Who does what in the first calls; returns the stretch of time shown [s]."""
    bars = rows_of(board.tables["lanes"], {**setting, "rule": rule})
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
            middle = (longest["from_s"] + min(longest["to_s"], end)) / 2
            panel.note("hold", middle, 3.0, ("center", "middle"), 0, 0, "$soft", 0.85)
    return -0.02 * end, end


def gap_panel(
    board: Board,
    box: Box,
    setting: dict[str, float],
    rule: str,
    stretch: tuple[float, float],
    first: bool = True,
    x_title: str = "",
) -> None:
    """The gap of the slow catcher and of the others, in the same stretch of time, with the limit."""
    gaps = board.tables["gap"]
    same = rows_of(gaps, setting)
    same = same[same["time_s"] <= stretch[1]]
    most = max(board.facts["limit_m"] * 1.6, float(same["gap_m"].max()) * 1.12)
    panel = board.panel(
        box, Axis(x_title, "time", stretch), Axis("gap" if first else "", "length", (0, most), first, many=5)
    )
    mine = rows_of(gaps, {**setting, "rule": rule})
    for who, colour, dash, wide in ((OTHER, OTHER_LINE, DASH, 2.0), (SLOW, SLOW_LINE, SOLID, 2.2)):
        own = mine[(mine["who"] == who) & (mine["time_s"] <= stretch[1] * 1.2)]
        panel.line(own["time_s"], own["gap_m"], colour, dash, wide, f"gap, {who}")
    if board.facts["limit_m"] > 0:
        panel.line(stretch, [board.facts["limit_m"]] * 2, "$ink", DOT, 1.5, "the leader's limit")
