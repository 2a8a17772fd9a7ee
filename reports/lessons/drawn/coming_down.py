"""The pictures of lesson 8: the load's line and what the device holds on the way down, the gap made, the drop."""

from __future__ import annotations

from reports.lessons.board import Board
from reports.lessons.drawn.against_rise import RisePlace
from reports.lessons.drawn.against_time import Setting, drop_panel, gap_panel, under, way_panel
from reports.lessons.drawn.between_the_pins import column
from reports.lessons.panel import DASH, DASHDOT, DOT, LONGDASH, SOLID, Axis
from reports.lessons.picture import Picture, Readout, Said, row_of, rows_of, said, start
from sim.lessons import Computed
from sim.lessons.lesson import Printed
from sim.lessons.taught.coming_down import COLLAR, CRIBBED, PINS, figures_at
from sim.lessons.words.figures import say
from sim.model.units import Units

STYLES = (
    ("$e", DOT, "circle"),
    ("$a", DASH, "square"),
    ("$b", DASHDOT, "diamond"),
    ("$f", LONGDASH, "triangle-up"),
    ("$d", "longdashdot", "cross"),
    ("$c", SOLID, "star"),
)
TIME = "time from the first call down"


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float) -> Board:
    """One device by one step: load and device, the gap between them, the drop; three panels over the same time."""
    board = Board(computed, units, type_px, (4.6, 1.0, 1.8, 5.2), keyed=True)
    way_panel(board, RisePlace((0, 1, 0.60, 1), "Where the load is, and how far the device holds it"), setting)
    gap = gap_panel(board, RisePlace((0, 1, 0.31, 0.47), "The gap between the two"), setting, opens(board, setting))
    gap.corner(f"dotted: step and freeing stroke, {board.f.up(opens(board, setting))}", 0.995, 0.99, ("right", "top"))
    drop_panel(
        board,
        RisePlace((0, 1, 0, 0.18), "How far the lifting point would drop, the lifter lost", x_title=TIME),
        setting,
    )
    return board


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """The figures of this setting."""
    it = say(figures_at(row_of(computed.tables["cases"], setting)), units)
    limit = computed.say(units)["limit"]
    return [
        Readout("largest gap made at the strut", it["made"], "from a call to its landing"),
        Readout("calls down", it["calls"], f"{it['pumps']} strokes, to free the load each time"),
        Readout("time down", it["lasts"]),
        Readout("the strut holds nothing", it["out"], "its pin is out"),
        Readout("hands in on the rams alone", it["hands"], f"nothing else within {limit}"),
        Readout("largest drop, lifter lost", it["drop"], "if the station holds"),
    ]


def fixed(computed: Computed, units: Units, type_px: float) -> Board:
    """Pins, pins with cribbing and the collar side by side, at the step to begin with."""
    board = Board(computed, units, type_px, (4.6, 0.8, 1.9, 7.4), keyed=True)
    shown = side_by_side(computed)
    for at, (setting, name) in enumerate(shown):
        left, right = column(at, len(shown), 0.02)
        first = at == 0
        way_panel(board, RisePlace((left, right, 0.56, 1), name(units), first, figures=False, share=0.9), setting)
        gap_panel(board, RisePlace((left, right, 0.28, 0.50), "", first, figures=False), setting, opens(board, setting))
        drop_panel(board, RisePlace((left, right, 0, 0.22), "", first), setting)
    under(board, TIME, -1.9)
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """Load and device on the way down; the gap made and the time against the step; the drop."""
    f = Printed(units)
    cases, begin = computed.tables["cases"], start(computed)
    step = f.brief(begin["step_m"])
    mine = rows_of(cases, {"step_m": begin["step_m"]})
    own = {kind: mine[(mine["kind"] == kind) & mine["spacing_m"].isin((0.0, computed.facts["spacing_m"]))].iloc[0]
           for kind in (PINS, CRIBBED, COLLAR)}  # fmt: skip
    pins, cribbed, collar = (f.up(own[kind]["made_m"]) for kind in (PINS, CRIBBED, COLLAR))
    where = f"{computed.scenario.title}, let down by {step} a call, everyone at mean times"
    return [
        Picture(
            "way-down",
            "Up a stroke, room, hands out, down",
            grid(computed, units, type_px, "way"),
            "Charts of the strut's line against time for pins, pins with cribbing and a collar. The load climbs a "
            "stroke and comes down a step at each call; the collar goes down before it each time, the pin by whole "
            "spacings.",
            "Solid: the strut's line beyond its start. Dashes: how much of it the device holds; the rest is the gap. "
            f"Shaded: the pin is out, and the strut holds nothing. {where}.",
            computed.tables["way"],
        ),
        Picture(
            "gap-against-step",
            "A collar opens what the step says, a pin a whole spacing",
            against_step(computed, units, type_px),
            "Two charts against the step. Left: the largest gap made; the collar's climbs with the step, a pin's "
            f"begins above its spacing. At {step}: pins {pins}, pins with cribbing {cribbed}, collar {collar}. Right: "
            "the time down, the longer the smaller the step.",
            f"Left: largest gap made at the strut against the step, one line a device. At {step} a call: pins every "
            f"{f.brief(computed.facts['spacing_m'])} {pins}, with cribbing beside them {cribbed}, collar {collar}. "
            f"Right: the time down. {computed.scenario.title}, everyone at mean times.",
            cases,
        ),
        Picture(
            "drop-coming-down",
            "How far the load would drop meanwhile",
            grid(computed, units, type_px, "drop"),
            "Charts of drop against time for pins, pins with cribbing and a collar: with pins up to "
            f"{f.up(own[PINS]['largest_drop_m'])}, with cribbing {f.up(own[CRIBBED]['largest_drop_m'])}, with a collar "
            f"{f.up(own[COLLAR]['largest_drop_m'])}.",
            "How far the lifting point would drop at every moment of the way down, were the lifter lost: if the "
            f"station holds. Open diamonds: the pin is out. {where}.",
            computed.tables["drop"],
        ),
    ]


def grid(computed: Computed, units: Units, type_px: float, what: str) -> Board:
    """The three devices side by side."""
    board = Board(computed, units, type_px, (4.4, 0.8, 1.9, 5.2), keyed=True)
    draw = {"way": way_panel, "drop": drop_panel}[what]
    shown = side_by_side(computed)
    for at, (setting, name) in enumerate(shown):
        left, right = column(at, len(shown), 0.03)
        draw(board, RisePlace((left, right, 0, 1), name(units), at == 0), setting)
    under(board, TIME, -1.8)
    return board


def against_step(computed: Computed, units: Units, type_px: float) -> Board:
    """The largest gap made, and the time down, against the step."""
    board = Board(computed, units, type_px, (4.8, 1.0, 1.9, 5.2), keyed=True)
    cases, control = computed.tables["cases"], computed.controls[0]
    most = float(cases["step_m"].max()) * 1.06
    panels = (
        ((0, 0.46, 0, 1), "made_m", Axis("gap made", "length", (0, cases["made_m"].max() * 1.1)), "Largest gap made"),
        ((0.56, 1, 0, 1), "duration_s", Axis("time", "time", (0, cases["duration_s"].max() * 1.1)), "Time down"),
    )
    for box, key, axis, title in panels:
        panel = board.panel(box, Axis("step", "length", (0, most)), axis, title)
        for case, (colour, dash, symbol) in zip(control.settings, STYLES, strict=False):
            own = rows_of(cases, {"case": case})
            panel.line(own["step_m"], own[key], colour, dash, 2, said(control, case)(units), symbol=symbol)
    return board


def opens(board: Board, setting: Setting) -> float:
    """What freeing stroke and step come to: the gap that a collar makes at this step [m]."""
    return float(row_of(board.tables["cases"], {"kind": COLLAR, "step_m": setting["step_m"]})["made_m"])


def side_by_side(computed: Computed) -> list[tuple[dict[str, float], Said]]:
    """The scenario's own pins, those with cribbing and the collar, at the step to begin with."""
    control, step, cases = computed.controls[0], start(computed)["step_m"], computed.tables["cases"]
    own = cases[(cases["kind"] != PINS) | (cases["spacing_m"] == computed.facts["spacing_m"])]
    return [({"case": case, "step_m": step}, said(control, case)) for case in sorted(own["case"].unique())]
