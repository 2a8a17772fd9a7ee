"""The pictures of lesson 9: the lift from the side and from above with what pushes, and the friction that it needs."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from reports.lessons.board import Board
from reports.lessons.drawn.between_the_pins import column
from reports.lessons.panel import DASH, DASHDOT, DOT, LONGDASH, SOLID, WHOLE, Axis, Box, Panel
from reports.lessons.picture import Picture, Readout, row_of, rows_of, start
from sim.check.figures import times_up
from sim.lessons import Computed
from sim.lessons.lesson import Printed
from sim.lessons.taught.what_wants_to_slide import WAYS, angle, figures_at
from sim.lessons.words.figures import say
from sim.model.scenario import Scenario
from sim.model.units import Units

FOOT, HEAD, PIVOT, LOAD = "$a", "$b", "$c", "$d"
LINES = (
    ("foot", "a lifter's foot", FOOT, SOLID),
    ("head", "its head", HEAD, DASH),
    ("pivot", "the pivot, unchocked", PIVOT, DOT),
)
Setting = Mapping[str, float]  # "lean" and "way"


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float) -> Board:
    """From the side, from above, and the friction needed over the lift."""
    board = Board(computed, units, type_px, (4.2, 1.0, 1.8, 6.6), keyed=True)
    side_panel(board, (0, 1, 0.82, 1), setting, "From the side")
    above_panel(board, (0, 1, 0.38, 0.74), setting, "From above: what is pushed, and how hard")
    needs_panel(board, (0, 1, 0, 0.28), setting, "Friction needed to stay put, as the load goes up")
    return board


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """What this setting needs."""
    case, has = row_of(computed.tables["cases"], setting), computed.say(units)
    it = say(figures_at(case), units)
    return [
        Readout("friction a lifter's foot needs", it["foot"], f"steel on concrete has {has['steel']}"),
        Readout("friction its head needs", it["head"], f"metal on metal has {has['metal']}"),
        Readout("push on the pivot as a whole", it["push"], "ahead" if case["push_N"] > 0 else "back"),
        Readout("push on the busier of its contacts", it["contact"]),
        Readout("friction the pivot needs unchocked", it["pivot"], f"free wheels have {has['rolls']}"),
        Readout("chock the pivot", it["chocks"], "the side that it would roll to"),
    ]


def fixed(computed: Computed, units: Units, type_px: float) -> Board:
    """From above with each way to lean; the friction needed against the lean."""
    board = Board(computed, units, type_px, (4.4, 0.8, 1.9, 8.4), keyed=True)
    above_all(board, 0.72, 0.98)
    lean_panel(board, (0, 1, 0, 0.54), "Friction needed at its worst, against the lean of both lifters")
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """Friction against the lean; from above; from the side."""
    f, facts, title = Printed(units), computed.facts, computed.scenario.title
    setting = start(computed)
    it = say(figures_at(row_of(computed.tables["cases"], setting)), units)
    lean, foot, pivot, last = it["lean"], it["foot"], it["pivot"], computed.tables["curve"].iloc[-1]
    against, above, side = (
        Board(computed, units, type_px, (left, 1.0, 1.9, 6.2), keyed=True) for left in (4.6, 9.6, 4.6)
    )
    lean_panel(against, WHOLE, "Friction needed at its worst, against the lean of both lifters")
    above_all(above, 0.60, 0.97)
    pushes_panel(above, (0, 1, 0, 0.42), "Push on the pivot")
    side_panel(side, (0, 1, 0.62, 1), setting, "From the side, just as the load is lifted")
    needs_panel(side, (0, 1, 0, 0.46), setting, "Friction needed to stay put, as the load goes up")
    return [
        Picture(
            "friction-against-lean",
            "The further the foot, the more friction",
            against,
            f"Three curves against lean, all lowest where the lifters stand upright. At {lean} a lifter's foot needs "
            f"{foot} and the pivot, unchocked, {pivot}; at {angle(last['lean'])} the foot needs "
            f"{times_up(last['foot_needs'])}.",
            "Friction that a foot, a head and the unchocked pivot need at their worst from the start to the need, "
            f"against the lean of both lifters. Level lines: the least published. Here they lean {lean}. {title}.",
            computed.tables["curve"],
        ),
        Picture(
            "from-above",
            "Two that lean against each other turn the load",
            above,
            "The lift from above, three ways: both lifters lean alike, one alone, one each way. Arrows show what feet "
            "and pivot push with. One each way the pushes on the pivot are opposed: it is turned.",
            "Circles: feet; squares: the pivot's contacts; arrows: how each pushes what it stands on, at its worst. "
            f"One each way the sum is next to nothing, and each contact of the pivot is pushed all the same. {title}.",
            computed.tables["spots"],
        ),
        Picture(
            "from-the-side",
            "Where the foot goes",
            side,
            f"The lift from the side: the pivot, the load, a lifter that leans {lean} and a plumb line from its head.",
            f"The lifter's foot stands {f.length(facts['foot_m'])} from under its head, {lean}. Its push has a level "
            f"part; the pivot takes it, away from the foot. {title}.",
            rows_of(computed.tables["spots"], setting),
        ),
    ]


# --- panels


def needs_panel(board: Board, box: Box, setting: Setting, title: str) -> None:
    """The friction that foot, head and pivot need against the rise: of each the contact that needs most."""
    needs = rows_of(board.tables["needs"], setting)
    x = Axis("rise of the needed point", "length", (0, float(needs["rise_m"].max())), many=6)
    panel = _friction(board, box, x, title)
    for kind, name, colour, dash in LINES:
        most = needs[needs["contact"].str.contains(kind)].groupby("rise_m")["needs"].max()
        panel.line(most.index, most, colour, dash, 2.4, name)


def lean_panel(board: Board, box: Box, title: str) -> None:
    """The same at its worst, against the lean."""
    curve = board.tables["curve"]
    x = Axis("lean: foot behind its head, foot ahead", "angle", (curve["lean"].min(), curve["lean"].max()), many=8)
    panel = _friction(board, box, x, title)
    for kind, name, colour, dash in LINES:
        panel.line(curve["lean"], curve[f"{kind}_needs"], colour, dash, 2.4, name)
    own = board.facts["lean"]
    panel.upright(own, "$ink", DOT, f"as planned, {angle(own)}", "left", 0.98)


def _friction(board: Board, box: Box, x: Axis, title: str) -> Panel:
    """An empty panel over friction, with the least that is published."""
    most = 1.1 * max(float(board.tables["cases"][f"{kind}_needs"].max()) for kind, *_ in LINES)
    panel = board.panel(box, x, Axis("friction needed", "", (0, most), many=5), title)
    assert x.ends is not None
    for of, least, dash in (("steel on concrete", "steel_low", DASHDOT), ("metal on metal", "metal_low", LONGDASH)):
        value = board.facts[least]
        panel.line(x.ends, [value, value], "$soft", dash, 1.4, f"{of}: {value:g} at the least")
    return panel


def side_panel(board: Board, box: Box, setting: Setting, title: str) -> None:
    """The load at the start, the lifters under it, a plumb line from the head, the push on the pivot."""
    scenario = board.computed.scenario
    high, up = scenario.lifters[0].head[2], scenario.load.pivot_height
    end, ahead = reach(scenario), scenario.lifters[0].head[0]
    panel = _drawn(board, box, (-0.36 * end, 1.36 * end), (-0.06 * end, max(high, up) + 0.10 * end), title)
    panel.line([-0.36 * end, 1.36 * end], [0, 0], "$edge", SOLID, 1.5)
    panel.line([0, ahead, scenario.need.point[0]], [up, high, high], LOAD, SOLID, 4)
    panel.line([ahead, ahead], [high, 0], "$soft", DOT, 1.6)
    feet = spots(board, setting, "foot")["ahead_m"].tolist()
    for foot, wide in zip(feet, (5.0, 2.5), strict=False):
        panel.line([foot, ahead], [0, high], FOOT, SOLID, wide)
    panel.dots([0], [up], PIVOT, "circle", 14)
    panel.note("pivot", 0, up, ("center", "bottom"), 0.7, 0)
    push = float(row_of(board.tables["cases"], setting)["push_N"])
    _arrow(panel, (0, up), (push, 0.0), 0.16 * end / hardest_push(board.tables["spots"]), PIVOT)
    out = "left" if feet[0] >= ahead else "right"
    panel.note(angle(setting["lean"]), feet[0], 0, (out, "bottom"), 0.3, 0.6 if out == "left" else -0.6)


def above_all(board: Board, low: float, high: float) -> None:
    """From above, for each way to lean, at the lean to begin with."""
    lean, ways = board.facts["lean"], int(board.tables["cases"]["way"].max()) + 1
    hardest = hardest_push(rows_of(board.tables["spots"], {"lean": lean}))
    for way in range(ways):
        left, right = column(way, ways, 0.03)
        above_panel(board, (left, right, low, high), {"way": way, "lean": lean}, WAYS[way].name, 0.84, hardest)


def above_panel(board: Board, box: Box, setting: Setting, title: str, share: float = 1.0, hardest: float = 0.0) -> None:
    """Feet, heads and the pivot's contacts with what each is pushed with; `hardest` [N] goes a third of the way."""
    scenario = board.computed.scenario
    end, wide = reach(scenario), 1.35 * max(abs(y) for y in board.tables["spots"]["left_m"])
    panel = _drawn(board, box, (-0.36 * end, 1.36 * end), (-wide, wide), title, share)
    feet, pivot = (spots(board, setting, kind) for kind in ("foot", "pivot"))
    hardest = hardest or hardest_push(board.tables["spots"])
    panel.line(pivot["ahead_m"], pivot["left_m"], LOAD, SOLID, 4)
    panel.line([0, end], [0, 0], LOAD, SOLID, 2)
    heads = [(x.head[0], x.head[1]) for x in scenario.lifters]
    panel.line([x for x, _ in heads], [y for _, y in heads], LOAD, SOLID, 2.5)
    for (x, y), foot, left in zip(heads, feet["ahead_m"], feet["left_m"], strict=True):
        panel.line([foot, x], [left, y], FOOT, SOLID, 5)
    for rows, colour, symbol in ((feet, FOOT, "circle"), (pivot, PIVOT, "square")):
        panel.dots(rows["ahead_m"], rows["left_m"], colour, symbol, 12)
        for spot in rows[["ahead_m", "left_m", "along_N", "across_N"]].to_numpy(dtype=float).tolist():
            _pushed(panel, spot, 0.33 * end / hardest, colour, share)


def _pushed(panel: Panel, spot: list[float], long: float, colour: str, share: float) -> None:
    """An arrow at a contact, and how hard it is pushed, on the outside of it."""
    x, y, along, across = spot
    _arrow(panel, (x, y), (along, across), long, colour)
    outside = 1.0 if y >= 0 else -1.0
    anchor = ("center", "bottom" if y >= 0 else "top")
    panel.note(panel.board.f.force(abs(along)), x, y, anchor, 0.7 * outside, 0, colour, 0.9 * share)


def pushes_panel(board: Board, box: Box, title: str) -> None:
    """For each way to lean the push on the pivot as a whole, and on the busier of its contacts."""
    cases = rows_of(board.tables["cases"], {"lean": board.facts["lean"]}).iloc[::-1]
    at = list(range(len(cases)))
    names = [WAYS[int(way)].name for way in cases["way"]]
    pushes = cases["push_N"].abs(), cases["contact_N"]
    most = 1.25 * max(float(x.max()) for x in pushes)
    y = Axis("", "", (-0.6, at[-1] + 0.6), ticks=(at, names))
    panel = board.panel(box, Axis("push", "force", (0, most)), y, title)
    bars = (("as a whole", 0.2, PIVOT, ""), ("on the busier of its contacts", -0.2, FOOT, "/"))
    for (name, lift, colour, hatch), push in zip(bars, pushes, strict=True):
        texts = [board.f.force(x) for x in push]
        panel.bars(push, [a + lift for a in at], colour, hatch, 0.36, name, flat=True, texts=texts)


def spots(board: Board, setting: Setting, kind: str) -> pd.DataFrame:
    """The contacts of a kind at a setting."""
    found = rows_of(board.tables["spots"], setting)
    return found[found["contact"].str.contains(kind)]


def reach(scenario: Scenario) -> float:
    """How far ahead the drawing goes [m]."""
    return max(scenario.need.point[0], *(max(x.head[0], x.base[0]) for x in scenario.lifters))


def hardest_push(spots: pd.DataFrame) -> float:
    """The hardest push of any contact [N]; never nothing."""
    return max(1e-6, float(spots["along_N"].abs().max()))


def _arrow(panel: Panel, at: tuple[float, float], push: tuple[float, float], long: float, colour: str) -> None:
    """An arrow from a place, so `long` for each newton [m/N]; none for hardly any push."""
    if long * max(map(abs, push)) > 0.01 * panel.board.computed.scenario.need.point[0]:
        panel.arrow(*at, at[0] + long * push[0], at[1] + long * push[1], colour, 2.2)


def _drawn(
    board: Board, box: Box, x: tuple[float, float], y: tuple[float, float], title: str, share: float = 1.0
) -> Panel:
    """A panel to draw things on to scale."""
    panel = board.panel(box, Axis("", "length", x, False), Axis("", "length", y, False), title, share, equal=True)
    for axis in (board.below[f"xaxis{panel.n}"], board.below[f"yaxis{panel.n}"]):
        axis.update(showgrid=False, ticks="", showline=False)
    return panel
