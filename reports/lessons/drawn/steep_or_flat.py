"""The pictures of lesson 7: forces over the angle, and the triangle that they make."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, degrees, radians, tan

from reports.lessons.board import Board
from reports.lessons.panel import DASH, DOT, SOLID, WHOLE, Axis, Box
from reports.lessons.picture import Picture, Readout
from sim.lessons import Computed
from sim.lessons.lesson import Printed
from sim.lessons.taught.steep_or_flat import SHOWN, figures_at
from sim.lessons.words.figures import say
from sim.model.units import Units

AXIAL, THRUST, SIDEWAYS = "$a", "$b", "$c"
FORCES = "Force along the strut and thrust at its foot, for one upright load"
ANGLE = Axis("angle from the ground", "angle", (radians(15), radians(90)), many=9)
THREE = [radians(degree) for degree, _, _ in SHOWN]


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float) -> Board:
    """The curves; below, the triangle of forces at this angle."""
    board = Board(computed, units, type_px, (5.0, 1.0, 1.8, 5.2), keyed=True)
    angle = setting["angle"]
    curves_panel(board, (0, 1, 0.56, 1), angle, FORCES)
    triangle_panel(board, (0, 1, 0, 0.40), [angle], f"The forces at {board.f.angle(angle)}, to scale")
    return board


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """The forces at this angle."""
    own, it = computed.say(units), say(figures_at(computed.facts, setting), units)
    return [
        Readout("vertical load", own["upright"], "the side's load on this strut"),
        Readout("along the strut", it["along"], f"{it['times_along']} times"),
        Readout("thrust at the foot, pull in the tie", it["thrust"], f"{it['times_thrust']} times"),
        Readout("working load limit of the tie", own["tie_limit"]),
        Readout("along it, per load pushed sideways", f"{it['times_pushed']} times"),
    ]


def fixed(computed: Computed, units: Units, type_px: float) -> Board:
    """The curves with the published figures, and beside them what a push from the side puts along a strut."""
    board = Board(computed, units, type_px, (4.8, 1.0, 1.9, 7.8), keyed=True)
    curves_panel(board, (0, 0.52, 0, 1), computed.facts["strut_angle"], "For one upright load")
    lean_panel(board, (0.62, 1, 0, 1), "From above, and from the side", words=False)
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """Curves; triangles; why stabilisers lean and lifters stand."""
    f = Printed(units)
    title = computed.scenario.title
    curves = Board(computed, units, type_px, (4.8, 1.0, 1.9, 5.0), keyed=True)
    curves_panel(curves, WHOLE, computed.facts["strut_angle"], FORCES)
    triangles = Board(computed, units, type_px, (1.5, 1.0, 1.9, 1.0))
    triangle_panel(triangles, WHOLE, THREE, "One load, three angles, to scale")
    lean = Board(computed, units, type_px, (4.8, 1.0, 1.9, 5.0), keyed=True)
    lean_panel(lean, WHOLE, "Against an upright load, and against a push from the side")
    strut, lifter = (f.angle(computed.facts[k]) for k in ("strut_angle", "lifter_angle"))
    return [
        Picture(
            "steep-or-flat",
            "Steep or flat",
            fixed(computed, units, type_px * 0.9),
            "Two charts against angle. First: the force along the strut and the thrust at its foot, both the "
            "larger the flatter. Second: the force along it for a load from above falls, "
            "for a push from the side it climbs.",
            "Along the strut V / sin a; thrust, and the pull of a level tie, V cot a; marks: 60 deg 1.155 and 0.577, "
            "45 deg 1.414 and 1.000, 30 deg 2.000 and 1.732. Beside it the same load pushed from the side, 1 / cos a; "
            f"grey: where the scenario sets stabilisers. This strut stands at {strut}. {title}.",
            computed.tables["curve"],
        ),
        Picture(
            "angle-and-force",
            "The flatter, the more",
            curves,
            "Two falling curves against angle: along the strut from over 3 times the load at 15 degrees to 1 "
            "upright; thrust from nearly 4 times to nothing. Published "
            "points at 30, 45 and 60 degrees lie on them.",
            "Along the strut V / sin a; thrust, and the pull of a level tie, V cot a. Marks: 60 deg 1.155 and "
            "0.577, 45 deg 1.414 and 1.000, 30 deg 2.000 and 1.732. "
            f"This strut stands at {strut}. {title}.",
            computed.tables["curve"],
        ),
        Picture(
            "force-triangles",
            "Three angles, one load",
            triangles,
            "Three triangles of forces for the same upright load: the flatter the strut, the longer its side and "
            "the wider the thrust.",
            "Upright load, force along the strut and thrust, to one scale, at 60, 45 and 30 deg, for "
            f"{f.force(computed.facts['upright_N'])} upright. {title}.",
            computed.tables["angles"],
        ),
        Picture(
            "lean-and-stand",
            "Why stabilisers lean and lifters stand",
            lean,
            "Two curves against angle that cross at 45 degrees: what an upright load puts along a strut falls with "
            "the angle, what a sideways push puts along it climbs "
            "steeply. Bands mark where stabilisers and lifters are set.",
            "Along the strut for an upright load (1 / sin a) and for the same load pushed from the side (1 / cos "
            "a). Near 45 deg a strut can do both; a steep one lifts with the least "
            "force and thrust, and can hold nothing sideways. Bands: the scenario's limits. Here the strut stands "
            f"at {strut}, the lifter at {lifter}. {title}.",
            computed.tables["curve"],
        ),
    ]


def curves_panel(board: Board, box: Box, angle: float, title: str) -> None:
    """Axial and thrust per upright load against the angle."""
    curve, points = board.tables["curve"], board.tables["published"]
    panel = board.panel(box, ANGLE, Axis("times the upright load", "", (0, 4), many=6), title)
    panel.line(curve["angle"], curve["axial_N"], AXIAL, SOLID, 2.4, "along the strut")
    panel.line(curve["angle"], curve["thrust_N"], THRUST, DASH, 2.4, "thrust, pull in the tie")
    at = [radians(d) for d in points["degrees"]]
    panel.dots(at, points["axial"], AXIAL, "circle", 11)
    panel.dots(at, points["thrust"], THRUST, "diamond", 12)
    for x, axial, thrust in zip(at, points["axial"], points["thrust"], strict=True):
        panel.note(f"{axial:.3f}", x, axial, ("left", "bottom"), 0.35, 0.3)
        panel.note(f"{thrust:.3f}", x, thrust, ("right", "top"), -0.45, -0.3)
    panel.upright(angle, "$ink", DOT, f"{degrees(angle):.1f} deg", "left" if angle < radians(75) else "right", 0.99)


def triangle_panel(board: Board, box: Box, angles: Sequence[float], title: str) -> None:
    """Upright load down, thrust across, the strut's force between them; several angles share the load. To scale."""
    upright, units, several = board.facts["upright_N"], board.units, len(angles) > 1
    widest = upright / tan(min(angles) if several else radians(20))
    step = 0.17
    below = 0.12 + step * len(angles) if several else 0.30
    panel = board.panel(
        box,
        Axis("", "force", (-0.42 * upright, 1.12 * widest + 0.4 * upright), False),
        Axis("", "force", (-below * upright, 1.1 * upright), False),
        title,
        equal=True,
    )
    for axis in (board.below[f"xaxis{panel.n}"], board.below[f"yaxis{panel.n}"]):
        axis.update(showgrid=False, ticks="", showline=False)
    panel.arrow(0, upright, 0, 0, "$d", 3.5)
    load = f"load<br>{board.computed.say(units)['upright']}"
    panel.note(load, 0, upright / 2, ("right", "middle"), 0, -0.5, "$d")
    for n, angle in enumerate(sorted(angles)):
        across, down = upright / tan(angle), -(0.1 + step * n) * upright if several else 0
        panel.arrow(0, upright, across, 0, AXIAL, 3)
        panel.arrow(0, down, across, down, THRUST, 3)
        it = say(figures_at(board.facts, {"angle": angle}), units)
        strut, thrust = f"{it['angle']}<br>{it['along']}", f"thrust {it['thrust']}"
        low = 0.04 if several else 0.4
        panel.note(strut, across * (1 - low), upright * low, ("left", "bottom"), 0.2, 0.5, AXIAL)
        panel.note(thrust, across, down, ("left", "middle"), 0, 0.6, THRUST, plate=several)


def lean_panel(board: Board, box: Box, title: str, words: bool = True) -> None:
    """1 / sin and 1 / cos, with where stabilisers and lifters are set."""
    curve, facts = board.tables["curve"], board.facts
    panel = board.panel(box, ANGLE, Axis("times the load, along the strut", "", (0, 4.4), many=6), title)
    panel.stretch(facts["strut_low"], facts["strut_high"])
    panel.line(curve["angle"], curve["axial_N"], AXIAL, SOLID, 2.6, "load from above")
    panel.line(curve["angle"], curve["sideways_N"], SIDEWAYS, DASH, 2.6, "push from the side")
    panel.line([facts["lifter_low"], facts["lifter_high"]], [0.12, 0.12], "$ink", SOLID, 5, "where lifters are set")
    if not words:
        return
    panel.note("stabilisers", (facts["strut_low"] + facts["strut_high"]) / 2, 4.3, ("center", "top"), 0, 0)
    panel.upright(facts["strut_angle"], "$ink", DOT, "this strut", "left", 0.88)
    panel.upright(facts["lifter_angle"], "$ink", DASH, "this lifter", "left", 0.88)
    crossing = radians(45)
    panel.dots([crossing], [1 / cos(crossing)], "$ink", "circle", 10)
    panel.note("1.414 either way<br>at 45 deg", crossing, 0.95, ("center", "top"), 0, 0)
