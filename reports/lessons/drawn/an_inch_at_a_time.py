"""The pictures of lesson 10: load and cribbing call by call, and the time of the lift against the gap of a call."""

from __future__ import annotations

from reports.lessons.board import Board
from reports.lessons.drawn.against_rise import RisePlace
from reports.lessons.drawn.against_time import Setting, gap_panel, under, way_panel
from reports.lessons.drawn.between_the_pins import column
from reports.lessons.panel import DASH, DOT, LONGDASH, SOLID, WHOLE, Axis, Box
from reports.lessons.picture import Picture, Readout, row_of, rows_of, start
from sim.lessons import Computed
from sim.lessons.taught.an_inch_at_a_time import figures_at
from sim.lessons.words.figures import say
from sim.model.units import Units

STYLES = (("$e", DOT, "circle"), ("$a", SOLID, "square"), ("$b", LONGDASH, "diamond"))  # quick, as written, slow
TIME = "time from the first call"


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float) -> Board:
    """Load and cribbing, the gap between them, and what the lift takes against the gap."""
    board = Board(computed, units, type_px, (4.6, 1.0, 1.8, 5.2), keyed=True)
    inch = board.facts["inch_m"]
    way_panel(board, RisePlace((0, 1, 0.70, 1), "How far the load is up, and how far the cribbing holds it"), setting)
    between = RisePlace((0, 1, 0.44, 0.57), "The gap between the two", x_title=TIME)
    gap = gap_panel(board, between, setting, inch)
    gap.corner(f"dotted: {board.f.brief(inch)}", 0.995, 0.99, ("right", "top"))
    trade_panel(board, (0, 1, 0, 0.27), "Time of the lift against its largest gap", setting)
    return board


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """The figures of this setting."""
    it = say(figures_at(row_of(computed.tables["cases"], setting)), units)
    return [
        Readout("largest gap", it["gap"], "open until the timber is in"),
        Readout("largest drop, lifter lost", it["drop"], "if the cribbing holds"),
        Readout("the lift takes", it["lasts"]),
        Readout("the leader waits", it["waits"], "for the cribbing"),
        Readout("calls", it["calls"], f"wedges driven {it['wedges']} times"),
        Readout("lifted past the need", it["over"]),
    ]


def fixed(computed: Computed, units: Units, type_px: float) -> Board:
    """The three stops side by side; the time against the gap."""
    board = Board(computed, units, type_px, (4.6, 0.8, 1.9, 7.6), keyed=True)
    three(board, 0.62, 1.0, 0.86, 0.46)
    trade_panel(board, (0, 1, 0, 0.28), "Time of the lift against its largest gap", start(computed))
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """Time against gap; load and cribbing at the three stops; the drop against the strokes."""
    it, title = computed.say(units), computed.scenario.title
    trade, calls, drop = (Board(computed, units, type_px, (4.8, 1.0, 1.9, 5.0), keyed=True) for _ in range(3))
    trade_panel(trade, WHOLE, "Time of the lift against its largest gap", start(computed))
    three(calls, 0.0, 1.0, 1.0)
    drops_panel(drop, WHOLE, "How far the lifting point would drop, the lifter lost")
    return [
        Picture(
            "time-against-gap",
            "Where longer calls stop paying",
            trade,
            "Three lines of time against the largest gap, for quick and slow people at the timber. Each falls steeply "
            f"and then levels off; marked: {it['strokes_2']} strokes a call, {it['lasts_2']} and {it['gap_2']}.",
            f"Each point is a number of strokes a call. Upright line: {it['an_inch']}. With {it['strokes_1']} a call "
            f"the lift takes {it['lasts_1']}, with {it['strokes_2']} {it['lasts_2']}, with {it['strokes_3']} "
            f"{it['lasts_3']}. {title}, on cribbing, everyone at mean times.",
            computed.tables["cases"],
        ),
        Picture(
            "call-by-call",
            "The load goes up, then the timber",
            calls,
            f"Three charts of line against time, with {it['strokes_1']}, {it['strokes_2']} and {it['strokes_3']} "
            "strokes a call: the load's line climbs in stairs, the cribbing's follows after each stair. The longer the "
            "call, the wider the gap between them.",
            "Solid: how far the load is up over the cribbing. Dashes: how far the cribbing holds it. Between them is "
            f"the gap: up to {it['gap_1']}, {it['gap_2']} and {it['gap_3']}. {title}.",
            computed.tables["way"],
        ),
        Picture(
            "drop-against-strokes",
            "What a longer call opens",
            drop,
            "Drop and gap against the strokes a call, both climbing in nearly straight lines: with "
            f"{it['strokes_1']} the drop is {it['drop_1']}, with {it['strokes_3']} {it['drop_3']}.",
            "The largest gap, and how far the lifting point would drop were the lifter lost at the worst moment, if "
            f"the cribbing holds, against the strokes a call. {title}.",
            rows_of(computed.tables["cases"], {"factor": 1.0}),
        ),
    ]


def three(board: Board, low: float, high: float, share: float, gap_low: float | None = None) -> None:
    """Load and cribbing at the three stops, side by side; from `gap_low` on the gap under each."""
    for at, stop in enumerate(board.computed.stops):
        left, right = column(at, 3, 0.03)
        name = f"{stop['strokes']:g} stroke{'s' * (stop['strokes'] != 1)} a call"
        way_panel(board, RisePlace((left, right, low, high), name, at == 0, gap_low is None, share=share), stop)
        if gap_low is not None:
            place = RisePlace((left, right, gap_low, low - 0.04), "", at == 0)
            gap_panel(board, place, stop, board.facts["inch_m"])
    if gap_low is None:
        under(board, TIME, -1.8)


def trade_panel(board: Board, box: Box, title: str, setting: Setting) -> None:
    """The time of the lift against its largest gap; a point for each number of strokes, a line for each crew."""
    cases, control = board.tables["cases"], board.computed.controls[1]
    panel = board.panel(
        box,
        Axis("largest gap", "length", (0, float(cases["gap_m"].max()) * 1.05), many=6),
        Axis("time", "time", (0, float(cases["duration_s"].max()) * 1.08), many=5),
        title,
    )
    panel.upright(board.facts["inch_m"], "$ink", DOT, board.f.brief(board.facts["inch_m"]))
    for factor, (colour, dash, symbol) in zip(control.settings, STYLES, strict=True):
        own = rows_of(cases, {"factor": factor})
        name = f"{control.say(factor, board.units)} a piece"
        panel.line(own["gap_m"], own["duration_s"], colour, dash, 2, name, symbol=symbol)
    it = row_of(cases, setting)
    panel.dots([it["gap_m"]], [it["duration_s"]], "$ink", "circle-open", 16, "this setting")


def drops_panel(board: Board, box: Box, title: str) -> None:
    """The largest gap and drop against the strokes a call."""
    own = rows_of(board.tables["cases"], {"factor": 1.0})
    panel = board.panel(
        box,
        Axis("strokes a call", "", (0, float(own["strokes"].max()) * 1.04), many=10),
        Axis("length", "length", (0, float(own[["gap_m", "drop_m"]].max().max()) * 1.08), many=7),
        title,
    )
    panel.line(own["strokes"], own["drop_m"], "$d", SOLID, 2.4, "drop, the lifter lost", symbol="square")
    panel.line(own["strokes"], own["gap_m"], "$c", DASH, 2.4, "gap", symbol="circle")
    panel.level(board.facts["inch_m"], "$soft", DOT, board.f.brief(board.facts["inch_m"]))
