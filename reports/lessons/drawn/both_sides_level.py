"""The pictures of lesson 4: a difference that wanders, and what levelling calls make of it."""

from __future__ import annotations

import numpy as np

from reports.lessons.board import Board
from reports.lessons.panel import DASH, DOT, LONGDASH, SOLID, WHOLE, Axis, Box
from reports.lessons.picture import Picture, Readout, rows_of
from sim.lessons import Computed
from sim.lessons.lesson import Printed
from sim.lessons.taught.both_sides_level import NEVER, figures_at
from sim.lessons.words.figures import say
from sim.model.units import Units

WALK, ONE_SD = "$e", "$c"


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float) -> Board:
    """The lifts of one setting; below, one thing gone wrong."""
    board = Board(computed, units, type_px, (5.0, 1.0, 1.8, 5.2), keyed=True)
    title = f"Left less right after each call, {int(board.facts['lifts'])} lifts, {said(board.f, setting)}"
    cases_panel(board, (0, 1, 0.68, 1), "One thing wrong, all else even")
    walks_panel(board, (0, 1, 0, 0.54), setting, title)
    return board


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """Spread at the last call, against the random walk; the most that was seen."""
    wrong = computed.say(units)
    it = say(figures_at(computed.tables["spread"], computed.tables["walks"], setting), units)
    return [
        Readout("one missed call: apart by", wrong["call"], "at once, and it stays"),
        Readout(f"one pump gives {wrong['tenth']} less: apart by", wrong["short"], f"after {wrong['ten']} calls"),
        Readout("the most apart in any lift", it["most"], f"{it['calls']} calls, {said(Printed(units), setting)}"),
        Readout("random walk: sd of the difference", it["walk"], "sqrt(2 n) x s, after the last call"),
        Readout("simulated: the same", it["simulated"]),
    ]


def fixed(computed: Computed, units: Units, type_px: float) -> Board:
    """One thing wrong; free; levelled."""
    board = Board(computed, units, type_px, (4.8, 1.0, 1.9, 7.6), keyed=True)
    free, levelled = two_settings(computed)
    cases_panel(board, (0, 0.27, 0, 1), "One thing wrong", share=0.92)
    walks_panel(board, (0.365, 0.665, 0, 1), free, "No levelling")
    walks_panel(board, (0.70, 1, 0, 1), levelled, said(board.f, levelled).capitalize(), beside=free)
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """The walk, free and levelled; the spread against its square root; one thing wrong."""
    free, levelled = two_settings(computed)
    spread = f"what is delivered has an sd of {100 * free['spread']:g} %"
    both = Board(computed, units, type_px, (4.8, 1.0, 1.9, 5.2), keyed=True)
    walks_panel(both, (0, 0.48, 0, 1), free, "No levelling")
    walks_panel(both, (0.52, 1, 0, 1), levelled, said(both.f, levelled).capitalize(), beside=free)
    roots = Board(computed, units, type_px, (5.0, 1.0, 1.9, 5.2), keyed=True)
    spread_panel(roots, WHOLE, "Spread of the difference after n calls")
    wrong = Board(computed, units, type_px, (4.8, 1.0, 1.9, 5.2), keyed=True)
    cases_panel(wrong, WHOLE, "One thing wrong, all else even")
    lifts = int(computed.facts["lifts"])
    return [
        Picture(
            "both-sides-level",
            "A step, a slope and a walk",
            fixed(computed, units, type_px * 0.9),
            "Three charts against the call number: one missed call makes a step and a short pump a slope; without "
            "levelling many lifts wander apart; with levelling they stay near the limit.",
            "First: everyone gives full strokes, and one thing is wrong. Then left less right after each call in "
            f"{lifts} simulated lifts, without levelling and with it; {spread}. Dashes: one and two sds of the random "
            "walk. "
            f"{computed.scenario.title}, lifters alone, no captures.",
            computed.tables["cases"],
        ),
        Picture(
            "one-thing-wrong",
            "One thing wrong sets the sides apart",
            wrong,
            "Two lines of the difference against call number: a missed call makes one step and stays; a pump that "
            "gives a tenth less climbs call by call.",
            f"Everyone gives full strokes: one call missed, and one pump that gives a tenth less. "
            f"{computed.scenario.title}.",
            computed.tables["cases"],
        ),
        Picture(
            "difference-between-sides",
            "Small differences add up",
            both,
            f"Two charts of the difference between the sides, call by call, {lifts} lifts each. Without levelling "
            "the lines wander apart as the square root of "
            "the calls; with levelling calls they stay within the limit and what one call adds.",
            f"Left less right after each call in {lifts} simulated lifts; {spread}. Dashes: one and two sds of the "
            f"random walk, sqrt(2 n) s. {computed.scenario.title}, "
            "lifters alone, no captures.",
            rows_of(computed.tables["walks"], free),
        ),
        Picture(
            "square-root",
            "It grows with the square root",
            roots,
            "Lines of the spread of the difference against the number of calls, bending as a square root, with the "
            "simulated spread as marks near each line.",
            f"sd of the difference between the sides after n calls: sqrt(2 n) s (lines) and simulated in {lifts} lifts "
            f"(marks), s one side's sd in a call. {computed.scenario.title}.",
            rows_of(computed.tables["spread"], {"limit_m": NEVER}),
        ),
    ]


def walks_panel(
    board: Board, box: Box, setting: dict[str, float], title: str, beside: dict[str, float] | None = None
) -> None:
    """Every lift a thin line; the random walk's one and two sds as dashes; as high as the panel that it is beside."""
    walks, spread = rows_of(board.tables["walks"], setting), rows_of(board.tables["spread"], setting)
    unlevelled = {**(beside or setting), "limit_m": NEVER}
    free, free_walks = rows_of(board.tables["spread"], unlevelled), rows_of(board.tables["walks"], unlevelled)
    most = 1.1 * max(2 * free["sd_m"].max(), free_walks["difference_m"].abs().max())
    last = float(walks["call"].max())
    panel = board.panel(
        box,
        Axis("call", "", (0, last + 0.5), many=6),
        Axis("" if beside else "left less right", "length", (-most, most), not beside, many=7),
        title,
    )
    limit = setting["limit_m"]
    if limit < most:
        panel.band(-limit, limit)
    long = walks.pivot(index="lift", columns="call", values="difference_m")
    calls = [0.0, *map(float, long.columns), np.nan]
    x = np.tile(calls, len(long))
    y = np.concatenate([[0.0, *row, np.nan] for row in long.to_numpy()])
    panel.line(x, y, WALK, SOLID, 1.0, "a lift")
    n = np.concatenate([[0.0], spread["call"].to_numpy(dtype=float)])
    one = np.concatenate([[0.0], spread["sd_m"].to_numpy()])
    for times, dash in ((1, DASH), (2, DOT)):
        name = f"{times} sd of the random walk"
        panel.line(
            np.concatenate([n, [np.nan], n]), times * np.concatenate([one, [np.nan], -one]), ONE_SD, dash, 2.0, name
        )
    if limit < most:
        panel.line(
            [0, last + 0.5, np.nan, 0, last + 0.5],
            [limit, limit, np.nan, -limit, -limit],
            "$ink",
            LONGDASH,
            1.3,
            "levelling limit",
        )


def spread_panel(board: Board, box: Box, title: str) -> None:
    """Closed form and computed, no levelling."""
    table = rows_of(board.tables["spread"], {"limit_m": NEVER})
    most = 1.1 * max(table["sd_m"].max(), table["told_sd_m"].max())
    panel = board.panel(
        box,
        Axis("calls", "", (0, table["call"].max() + 0.5)),
        Axis("sd of the difference", "length", (0, most), many=6),
        title,
    )
    styles = (
        ("$a", SOLID, "circle"),
        ("$b", DASH, "square"),
        ("$c", DOT, "diamond"),
        ("$d", LONGDASH, "triangle-up"),
        ("$f", SOLID, "cross"),
    )
    for spread, (colour, dash, symbol) in zip(sorted(set(table["spread"].tolist())), styles, strict=False):
        own = rows_of(table, {"spread": spread})
        panel.line([0, *own["call"]], [0, *own["sd_m"]], colour, dash, 2.2, f"sd {100 * spread:g} %")
        panel.dots(own["call"], own["told_sd_m"], colour, symbol, 9, f"simulated, {100 * spread:g} %")


def cases_panel(board: Board, box: Box, title: str, share: float = 1.0) -> None:
    """One thing wrong: a step, or a slope."""
    table = board.tables["cases"]
    panel = board.panel(
        box,
        Axis("call", "", (0, table["call"].max() + 0.5), many=6),
        Axis("apart", "length", (0, table["difference_m"].max() * 1.25), many=5),
        title,
        share,
    )
    for (case, own), (colour, dash, symbol) in zip(
        table.groupby("case"), (("$a", SOLID, "square"), ("$b", DASH, "diamond")), strict=True
    ):
        panel.line([0, *own["call"]], [0, *own["difference_m"]], colour, dash, 2.2, str(case), symbol=symbol)


def two_settings(computed: Computed) -> tuple[dict[str, float], dict[str, float]]:
    """The widest spread, free, and with levelling at the scenario's own limit (or the middle one)."""
    spreads, limits = (c.settings for c in computed.controls)
    own = computed.facts["limit_m"]
    limit = own if own in limits else limits[len(limits) // 2]
    return {"spread": spreads[-1], "limit_m": NEVER}, {"spread": spreads[-1], "limit_m": limit}


def said(f: Printed, setting: dict[str, float]) -> str:
    """What levelling there is."""
    limit = setting["limit_m"]
    return "no levelling" if limit == NEVER else f"levelled from {f.brief(limit)}"
