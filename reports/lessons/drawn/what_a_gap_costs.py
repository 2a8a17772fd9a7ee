"""The pictures of lesson 3: from gap to energy to peak force, and why no gap at all counts double."""

from __future__ import annotations

from reports.lessons.board import Board
from reports.lessons.panel import DASH, DASHDOT, DOT, LONGDASH, SOLID, WHOLE, Axis, Box
from reports.lessons.picture import Picture, Readout, nearest, rows_of, start
from sim.lessons import Computed
from sim.lessons.lesson import Printed
from sim.lessons.taught.what_a_gap_costs import figures_at
from sim.lessons.words.figures import say
from sim.model.units import Units

LOAD, STOP = "$a", "$c"
STYLES = (
    ("$e", DOT, "circle"),
    ("$a", DASH, "square"),
    ("$b", SOLID, "diamond"),
    ("$c", LONGDASH, "triangle-up"),
    ("$f", DASHDOT, "cross"),
    ("$d", "longdashdot", "x"),
    ("$others", "12px,3px,3px,3px,3px,3px", "star"),
)


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float) -> Board:
    """Peak force over the gap; what both forces do while the stop gives way."""
    board = Board(computed, units, type_px, (5.4, 8.0, 1.8, 5.0), keyed=True)
    peak_panel(board, (0, 1, 0.64, 1), setting, "Peak force on the stop, against the gap")
    work_panel(board, (0, 1, 0, 0.46), setting, "Work of the load, and of the stop that gives way")
    return board


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """Gap, energy, factor, force."""
    say_all = computed.say(units)
    it = say(figures_at(computed.facts["static_N"], setting), units)
    return [
        Readout("standing load on the stop", say_all["standing"]),
        Readout("energy of the fall", it["energy"]),
        Readout("the peak is", f"{it['times']} times", "the standing load"),
        Readout("which is", it["peak"], f"rated load: {say_all['rated']}"),
    ]


def fixed(computed: Computed, units: Units, type_px: float) -> Board:
    """Energy and peak force; the published curve; the double load at no height."""
    board = Board(computed, units, type_px, (5.2, 1.0, 1.9, 6.0), keyed=True)
    setting = start(computed)
    energy_panel(board, (0, 0.25, 0.0, 0.36), "Energy of the fall")
    peak_panel(board, (0, 0.25, 0.56, 1), setting, "Peak force", labels=False)
    curve_panel(board, (0.355, 0.62, 0, 1), "Peak, in standing loads")
    zero = {"gap_m": 0.0, "give_m": setting["give_m"]}
    work_panel(board, (0.735, 1, 0, 1), zero, "Set down suddenly, no gap")
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """Peak force; the published curve; the work of both forces, falling and at no height."""
    f = Printed(units)
    setting, title = start(computed), computed.scenario.title
    it = nearest(computed.tables["peak"], setting)
    gap, give = (f.brief(setting[k]) for k in ("gap_m", "give_m"))
    static = f.force(computed.facts["static_N"])
    peak, curve, double, fall = (
        Board(computed, units, type_px, (5.2, right, 1.9, 5.2 if keyed else 3.6), keyed=keyed)
        for right, keyed in ((8.4, False), (1, True), (1, True), (1, True))
    )
    peak_panel(peak, WHOLE, setting, "Peak force on the stop, against the gap")
    curve_panel(curve, WHOLE, "How many standing loads the peak is")
    zero = {"gap_m": 0.0, "give_m": setting["give_m"]}
    work_panel(double, WHOLE, zero, "Set down suddenly, from no height: the peak is double")
    work_panel(fall, WHOLE, setting, f"Down through {gap}: the peak is {it['factor']:.2f} times the standing load")
    return [
        Picture(
            "peak-force",
            "What a gap costs",
            peak,
            "Lines of peak force against gap, one for each give of the stop. All begin at twice the standing load "
            f"of {static}; the stiffer the stop, the "
            f"steeper. At {gap} onto {give} of give the peak is {f.force(it['peak_N'])}.",
            f"Peak force on a strut that bears {static} standing, against the gap the load comes down through, for "
            "stiff and soft stops (give under the "
            f"standing load). n = 1 + sqrt(1 + 2 gap / give). {title}.",
            computed.tables["peak"],
        ),
        Picture(
            "published-curve",
            "The published curve",
            curve,
            "One curve of peak over standing load against gap over give, from 2 at no gap to 5.58 at ten times the "
            "give, with four published points on it.",
            "n = 1 + sqrt(1 + 2h/d): J. E. Akin, Rice University. Diamonds: Gere, Mechanics of Materials, 7th ed., "
            "problem 9.10-1: 2.00, 3.45, 5.00, 5.58.",
            computed.tables["curve"],
        ),
        Picture(
            "double-at-no-height",
            "Why no gap at all counts double",
            double,
            "Force against give: the load's force is level, the stop's climbs in a straight line. The two areas "
            "are equal where the stop has given twice what it "
            "gives standing; there its force is twice the load.",
            "A load let go all at once on its stop, with no gap: on the way to where it would stand the load does "
            "more work than the stop takes up (hatched "
            "one way); it goes on until the stop has taken up the rest (hatched the other way), at twice the give "
            "and twice the force.",
            rows_of(computed.tables["work"], zero),
        ),
        Picture(
            "work-of-a-fall",
            "Where the peak comes from",
            fall,
            f"Force against give: the load's level force acts over the gap of {gap} and the give, the stop's "
            "climbing force over the give alone; the areas are equal "
            f"at {it['factor']:.2f} times the standing load.",
            f"The load falls through {gap} before it touches, and works all the way; the stop has only its give to "
            "take the work up in, so its force must climb "
            f"to {it['factor']:.2f} times the standing load. {title}.",
            rows_of(computed.tables["work"], setting),
        ),
    ]


# --- panels


def peak_panel(board: Board, box: Box, setting: dict[str, float], title: str, labels: bool = True) -> None:
    """Peak force against gap, one line a give; the setting marked."""
    table = board.tables["peak"]
    gives = sorted(table["give_m"].unique())
    most = float(table.loc[table["give_m"] > gives[0], "peak_N"].max()) * 1.05
    last = float(table["gap_m"].max())
    panel = board.panel(
        box,
        Axis("gap" if labels else "", "length", (0, last), many=6),
        Axis("peak force" if labels else "force", "force", (0, most), many=6),
        title,
    )
    static, rated = board.facts["static_N"], board.facts["rated_N"]
    panel.level(static, "$soft", DOT, "standing load" if labels else "")
    if rated == rated and rated < most:
        panel.level(rated, "$ink", DASH, "rated load as given" if labels else "")
    seen = most * 2
    for give, (colour, dash, _) in zip(gives, STYLES, strict=False):
        own = rows_of(table, {"give_m": give})
        panel.line(own["gap_m"], own["peak_N"], colour, dash, 2.6 if give == setting["give_m"] else 1.8)
        if not labels:
            if give in (gives[0], gives[-1]):
                near = own[own["peak_N"] <= 0.85 * most].iloc[-1]
                anchor = ("right", "bottom") if give == gives[0] else ("right", "top")
                panel.note(
                    "stiff" if give == gives[0] else "soft", near["gap_m"], near["peak_N"], anchor, 0, -0.3, colour
                )
            continue
        end = float(own["peak_N"].iloc[-1])
        said = f"gives {board.f.brief(give)}"
        if end <= most:
            label = min(end, seen - 0.06 * most)
            panel.note(said, last, label, ("left", "middle"), 0, 0.5, colour, bold=give == setting["give_m"])
            seen = label
        else:
            cut = float(own.loc[own["peak_N"] <= most, "gap_m"].max())
            panel.note(said, cut, most, ("left", "top"), -0.4, 0.6, colour, bold=give == setting["give_m"])
    it = nearest(table, setting)
    panel.dots([setting["gap_m"]], [it["peak_N"]], "$ink", "circle", 11, "this setting")


def energy_panel(board: Board, box: Box, title: str) -> None:
    """Energy against gap."""
    table = board.tables["peak"].drop_duplicates("gap_m")
    panel = board.panel(
        box,
        Axis("gap", "length", (0, table["gap_m"].max()), many=5),
        Axis("energy", "energy", (0, table["energy_J"].max() * 1.05), many=4),
        title,
    )
    panel.line(table["gap_m"], table["energy_J"], "$d", wide=2.2)


def curve_panel(board: Board, box: Box, title: str) -> None:
    """The published curve with its points."""
    curve, points = board.tables["curve"], board.tables["published"]
    panel = board.panel(box, Axis("gap / give", "", (0, 12)), Axis("times standing load", "", (0, 6.6), many=8), title)
    panel.level(2, "$soft", DOT, "2: no gap at all")
    panel.level(1, "$soft", DOT, "1: standing")
    panel.line(curve["gap_over_give"], curve["factor"], "$a", wide=2.4, name="1 + sqrt(1 + 2 gap / give)")
    panel.dots(points["gap_over_give"], points["factor"], "$c", "diamond", 13, "published (Gere)")
    for x, y in points.itertuples(index=False):
        panel.note(f"{y:.2f}", x, y, ("left" if x == 0 else "center", "bottom"), 0.7, 0.5 if x == 0 else 0)


def work_panel(board: Board, box: Box, setting: dict[str, float], title: str) -> None:
    """Force against distance: the load works all the way down, the stop only while it gives."""
    own = rows_of(board.tables["work"], setting)
    static, gap, give = board.facts["static_N"], setting["gap_m"], setting["give_m"]
    lowest, most = float(own["down_m"].max()), float(own["stop_N"].max())
    wide = gap + lowest
    panel = board.panel(
        box,
        Axis("way down from touching", "length", (-gap - 0.03 * wide, lowest + 0.05 * wide), many=5),
        Axis("force", "force", (0, most * 1.16), many=6),
        title,
    )
    panel.line([-gap, lowest], [static, static], LOAD, SOLID, 2.2, "the load", "rgba(0,114,178,0.10)", "\\")
    panel.line(own["down_m"], own["stop_N"], STOP, DASH, 2.6, "the stop", "rgba(160,70,138,0.12)", "/")
    panel.upright(0, "$soft", DOT)
    panel.dots([lowest], [most], STOP, "diamond", 12)
    panel.note(f"{most / static:.2f} times", lowest, most, ("right", "bottom"), 0.2, -0.5, bold=True)
    panel.dots([give], [static], "$ink", "circle", 9)
    panel.note("would stand here", give, static, ("left", "top"), -0.45, 0.4, plate=True)
    if gap > 0:
        panel.note("gap", -gap / 2, static, ("center", "bottom"), 0.2, 0)
