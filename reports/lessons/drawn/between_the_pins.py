"""The pictures of lesson 1: gap, time open and drop. Three things, never in one panel."""

from __future__ import annotations

from reports.lessons.board import Board
from reports.lessons.drawn.against_rise import (
    OUT,
    PASSING,
    POINT,
    STANDING,
    RisePlace,
    Setting,
    drop_panel,
    gap_panel,
    out_panel,
)
from reports.lessons.panel import Axis
from reports.lessons.picture import Picture, Readout, Said, row_of, rows_of
from reports.lessons.picture import said as setting_said
from sim.lessons import Computed
from sim.lessons.lesson import Printed
from sim.lessons.taught.between_the_pins import left_of
from sim.lessons.words.figures import said
from sim.model.units import SHOWN, Units


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float) -> Board:
    """One device at one number of strokes a call: three panels under each other."""
    board = Board(computed, units, type_px, (4.4, 1.0, 1.8, 5.2), keyed=True)
    f, inch = board.f, board.facts["wide_m"]
    gap = gap_panel(board, RisePlace((0, 1, 0.62, 1), "Gap at the strut, against the rise"), setting)
    gap.note(f.brief(inch), 0, inch, ("left", "bottom"), 0.05)
    gap.corner("beyond the needed rise: what would be left", 0.995, 0.98, ("right", "top"), "$soft")
    it = row_of(board.tables["cases"], setting)
    mean = it["mean_left_m"]
    if mean > 1e-6:
        left = said(left_of(it, board.facts["slack_m"]), units)
        gap.note(f"left on average: {left}", 0, mean, ("left", "bottom"), 0.05, 4, STANDING)
    pins = RisePlace((0, 1, 0.36, 0.50), "How long its pin is out, and where: a time, not a gap")
    if not out_panel(board, pins, setting):
        board.write("no pin is out", 0.01, 0.43, ("left", "middle"), colour="$soft")
    fall = RisePlace((0, 1, 0, 0.25), "How far the lifting point would drop, the lifter lost", x_title=POINT)
    drop_panel(board, fall, setting)
    return board


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """The figures of this setting."""
    f = Printed(units)
    it = row_of(computed.tables["cases"], setting)
    inch = f.brief(computed.facts["wide_m"])
    holes = {0.0: "none"} if it["kind"].startswith("pins") else {it["hole_m"]: "no holes"}
    hole = holes.get(it["hole_m"], f.length(it["hole_m"]))
    left = said(left_of(it, computed.facts["slack_m"]), units)
    return [
        Readout("left on average, if the load stops anywhere", left, "half the spacing, and the slack"),
        Readout(f"standing with more than {inch} open", f.time(it["standing_over_s"]), "all caught, nobody at work"),
        Readout(f"passing through more than {inch}", f.time(it["passing_over_s"]), "going up and being captured"),
        Readout("pin out", f.time(it["out_s"]), "the strut holds nothing"),
        Readout("highest hole that comes up", hole, f"the line gets {f.length(it['line_m'])} longer"),
        Readout("largest drop, lifter lost", f.up(it["largest_drop_m"]), "if the station holds"),
        Readout("the lift takes", f.time(it["duration_s"])),
    ]


def fixed(computed: Computed, units: Units, type_px: float) -> Board:
    """Every device side by side: gap above, time open below it, drop at the bottom."""
    board = Board(computed, units, type_px, (4.6, 0.8, 2.9, 7.6), keyed=True)
    shown = side_by_side(computed)
    for at, (setting, name) in enumerate(shown):
        left, right = column(at, len(shown), 0.018)
        first = at == 0
        title = name(units).replace("pins with ", "pins with<br>").replace("threaded ", "threaded<br>")
        top = RisePlace((left, right, 0.56, 1), title, first, figures=False, share=0.92)
        gap_panel(board, top, setting)
        out_panel(board, RisePlace((left, right, 0.35, 0.50), "", first, figures=False), setting)
        drop_panel(board, RisePlace((left, right, 0, 0.29), "", first), setting)
    under(board, -1.9)
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """Gap, time open, drop: a slide each; and all of it together."""
    f = Printed(units)
    need = f.brief(computed.facts["need_m"])
    inch = f.brief(computed.facts["wide_m"])
    strokes = own_strokes(computed)
    mine = rows_of(computed.tables["cases"], {"strokes": strokes})
    where = f"{computed.scenario.title}, raised {need}, {strokes:g} strokes a call, everyone at mean times"
    worst = mine.iloc[mine["largest_standing_m"].argmax()]
    collar = mine.iloc[-1]
    return [
        Picture(
            "gap-against-rise",
            "What lies open between the pins",
            grid(computed, units, type_px, "gap"),
            "Small charts of gap against rise, one a device. With pins the gap climbs like the teeth of a saw, the "
            f"taller the wider the holes are apart, up to {f.up(worst['largest_standing_m'])} standing; with "
            "cribbing and wedges beside the pin, or with a threaded collar, no gap is left after capture.",
            "Gap at the strut against rise. Line: the gap while the load goes up and is captured. Dots: what "
            "stands open once all is "
            "caught. Dashes: what would be left if the load stopped there. Level dashes: left on average, half "
            f"the spacing and the slack. {where}.",
            computed.tables["gap"],
        ),
        Picture(
            "time-open",
            "Time with a wide gap, and time with the pin out, are two things",
            times(computed, units, type_px),
            f"Bars for each device, in two charts. First: seconds with more than {inch} open, standing and passing "
            "apart. Second: "
            "seconds with the pin out, when the strut holds nothing at all.",
            f"Above: seconds of the lift with more than {inch} open at the strut, standing (all caught) and "
            "passing (going up and being "
            f"captured). Below: seconds in which its pin is out. A pin that is out is no small gap. {where}.",
            mine,
        ),
        Picture(
            "drop-lifter-lost",
            "How far the load would come down",
            grid(computed, units, type_px, "drop"),
            "Small charts of drop against rise, one a device: with pins the lifting point could drop up to "
            f"{f.up(mine['largest_drop_m'].max())}; while a pin is out it would drop all the way to the start. With "
            f"the collar the most is {f.up(collar['largest_drop_m'])}.",
            "How far the lifting point would drop at every moment, were the lifter lost: if the station holds. "
            f"Open diamonds: while the pin is out. {where}.",
            computed.tables["drop"],
        ),
        Picture(
            "between-the-pins",
            "Gap, time open, drop",
            fixed(computed, units, type_px * 0.8),
            "For each device three charts under each other: gap, seconds with the pin out, and drop with the "
            "lifter lost, all against the rise.",
            "Gap at the strut (line: passing; dots: standing), seconds with the pin out, and the drop were the "
            f"lifter lost. {where}.",
            computed.tables["left over"],
        ),
    ]


def grid(computed: Computed, units: Units, type_px: float, what: str) -> Board:
    """The devices in two rows of three."""
    board = Board(computed, units, type_px, (4.2, 0.8, 1.9, 5.0), keyed=True)
    shown = side_by_side(computed)
    across = -(-len(shown) // 2)
    draw = {"gap": gap_panel, "drop": drop_panel}[what]
    for at, (setting, name) in enumerate(shown):
        down, over = divmod(at, across)
        left, right = column(over, across, 0.03)
        bottom = 0.58 if down == 0 else 0.0
        place = RisePlace((left, right, bottom, bottom + 0.42), name(units), over == 0, down == 1)
        panel = draw(board, place, setting)
        if what == "gap" and at == 0:
            inch = board.facts["wide_m"]
            panel.note(board.f.brief(inch), 0, inch, ("left", "bottom"), 0.1, 0.3, share=0.85)
    under(board, -1.8)
    return board


def times(computed: Computed, units: Units, type_px: float) -> Board:
    """Seconds with more than an inch open, standing and passing; below, and apart, seconds with the pin out."""
    shown = side_by_side(computed)[::-1]
    names = [name(units) for _, name in shown]
    rows = [row_of(computed.tables["cases"], setting) for setting, _ in shown]
    at = list(range(len(rows)))
    board = Board(computed, units, type_px, (11, 1.5, 1.9, 3.4))
    inch = board.f.brief(computed.facts["wide_m"])
    ends, ticks = (-0.6, at[-1] + 0.6), (at, names)
    most = 1.3 * max(1.0, *(max(r["passing_over_s"], r["standing_over_s"]) for r in rows))
    wide = board.panel(
        (0, 0.62, 0, 1), Axis("time", "time", (0, most)), Axis("", "", ends, ticks=ticks), f"More than {inch} open"
    )
    for lift, key, colour, hatch in ((0.2, "standing_over_s", STANDING, ""), (-0.2, "passing_over_s", PASSING, "\\")):
        word = key.split("_")[0]
        texts = [f"{word} {r[key]:.0f} s" if r[key] > 0 else f"{word} 0" for r in rows]
        wide.bars([r[key] for r in rows], [a + lift for a in at], colour, hatch, 0.36, flat=True, texts=texts)
    most = 1.45 * max(1.0, *(r["out_s"] for r in rows))
    out = board.panel(
        (0.70, 1, 0, 1), Axis("time", "time", (0, most), many=4), Axis("", "", ends, False, ticks=ticks), "Pin out"
    )
    texts = [f"{r['out_s']:.0f} s" if r["out_s"] else "never" for r in rows]
    out.bars([r["out_s"] for r in rows], at, OUT, "/", 0.5, flat=True, texts=texts)
    return board


def under(board: Board, lift: float) -> None:
    """The title of all the axes along, and what the grey is."""
    unit = SHOWN["length"][board.units].unit.strip()
    board.write(f"{POINT} [{unit}]; grey: beyond what is needed", 0.5, 0, ("center", "top"), lift=lift, share=0.96)


# --- what is shown


def side_by_side(computed: Computed) -> list[tuple[Setting, Said]]:
    """The devices of the fixed pictures, at the own strokes a call: every spacing, pins with cribbing, the collar."""
    control, strokes = computed.controls[0], own_strokes(computed)
    return [
        ({"case": case, "strokes": strokes}, setting_said(control, case))
        for case in control.settings
        if "no wedges" not in control.names[int(case)]
    ]


def own_strokes(computed: Computed) -> float:
    """The number of strokes a call, as the scenario has it."""
    return computed.controls[1].settings[computed.controls[1].start]


def column(at: int, across: int, between: float) -> tuple[float, float]:
    """Where one of several panels side by side begins and ends."""
    wide = (1 - between * (across - 1)) / across
    return at * (wide + between), at * (wide + between) + wide
