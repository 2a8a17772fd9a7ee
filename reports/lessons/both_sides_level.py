"""The pictures of lesson 4: a difference that wanders, and what levelling calls make of it."""

from __future__ import annotations

import numpy as np
import pandas as pd

from reports.lessons.board import Board
from reports.lessons.panel import DASH, DOT, LONGDASH, SOLID, Axis, Box, Panel
from reports.lessons.picture import Picture, Readout
from sim.lessons import Computed
from sim.lessons.both_sides_level import NEVER
from sim.lessons.lesson import brief
from sim.model.units import Units, show, show_up

WALK, ONE_SD = "$e", "$c"


def moving(computed: Computed, units: Units, setting: dict[str, float], type_px: float = 13) -> Board:
    """The lifts of one setting; below, one thing gone wrong."""
    board = Board(units, type_px, (5.0, 1.0, 1.8, 5.2), keyed=True)
    level = said(computed, units, setting["limit_m"])
    walks_panel(
        computed,
        board,
        (0, 1, 0.42, 1),
        setting,
        f"Left less right after each call, {int(computed.facts['lifts'])} lifts, {level}",
    )
    cases_panel(computed, board, (0, 1, 0, 0.28), "No chance, one thing wrong")
    return board


def readout(computed: Computed, units: Units, setting: dict[str, float]) -> list[Readout]:
    """Spread at the last call, against the random walk; the most that was seen."""
    own = of(computed.tables["spread"], setting)
    walks = of(computed.tables["walks"], setting)
    last = own.iloc[-1]
    return [
        Readout("calls simulated", f"{last['call']:.0f}"),
        Readout(
            "random walk: sd of the difference",
            show(last["sd_m"], "length", units),
            "sqrt(2 n) x s, after the last call",
        ),
        Readout(
            "simulated: the same", show(last["told_sd_m"], "length", units), said(computed, units, setting["limit_m"])
        ),
        Readout("the most apart in any lift", show_up(walks["difference_m"].abs().max(), "length", units)),
    ]


def fixed(computed: Computed, units: Units, type_px: float = 10.5) -> Board:
    """Free; levelled; one thing wrong."""
    board = Board(units, type_px, (4.8, 1.0, 1.9, 7.6), keyed=True)
    free, levelled = two_settings(computed)
    walks_panel(computed, board, (0, 0.30, 0, 1), free, "No levelling", figures=True)
    walks_panel(
        computed,
        board,
        (0.335, 0.635, 0, 1),
        levelled,
        said(computed, units, levelled["limit_m"]).capitalize(),
        first=False,
        like=free,
    )
    cases_panel(computed, board, (0.735, 1, 0, 1), "No chance, one thing wrong", share=0.92)
    return board


def pictures(computed: Computed, units: Units, type_px: float) -> list[Picture]:
    """The walk, free and levelled; the spread against its square root; one thing wrong."""
    free, levelled = two_settings(computed)
    spread = f"what is delivered has an sd of {100 * free['spread']:g} %"
    both = Board(units, type_px, (4.8, 1.0, 1.9, 5.2), keyed=True)
    walks_panel(computed, both, (0, 0.48, 0, 1), free, "No levelling")
    walks_panel(
        computed,
        both,
        (0.52, 1, 0, 1),
        levelled,
        said(computed, units, levelled["limit_m"]).capitalize(),
        first=False,
        like=free,
    )
    roots = Board(units, type_px, (5.0, 1.0, 1.9, 5.2), keyed=True)
    spread_panel(computed, roots, (0, 1, 0, 1), "Spread of the difference after n calls")
    wrong = Board(units, type_px, (4.8, 1.0, 1.9, 5.2), keyed=True)
    cases_panel(computed, wrong, (0, 1, 0, 1), "No chance, one thing wrong")
    lifts = int(computed.facts["lifts"])
    return [
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
            of(computed.tables["walks"], free),
        ),
        Picture(
            "square-root",
            "It grows with the square root",
            roots,
            "Lines of the spread of the difference against the number of calls, bending as a square root, with the "
            "simulated spread as marks near each line.",
            f"sd of the difference between the sides after n calls: sqrt(2 n) s (lines) and simulated in {lifts} lifts "
            f"(marks), s one side's sd in a call. {computed.scenario.title}.",
            computed.tables["spread"][computed.tables["spread"]["limit_m"] == NEVER],
        ),
        Picture(
            "one-thing-wrong",
            "Not a random walk: one thing wrong",
            wrong,
            "Two lines of the difference against call number: a missed call makes one step and stays; a pump that "
            "gives a tenth less climbs call by call.",
            f"Everyone at the mean: one call missed, and one pump that gives a tenth less. {computed.scenario.title}.",
            computed.tables["cases"],
        ),
    ]


def walks_panel(
    computed: Computed,
    board: Board,
    box: Box,
    setting: dict[str, float],
    title: str,
    first: bool = True,
    figures: bool = True,
    like: dict[str, float] | None = None,
) -> Panel:
    """Every lift a thin line; the random walk's one and two sds as dashes."""
    walks, spread = of(computed.tables["walks"], setting), of(computed.tables["spread"], setting)
    free = of(computed.tables["spread"], {**(like or setting), "limit_m": NEVER})
    free_walks = of(computed.tables["walks"], {**(like or setting), "limit_m": NEVER})
    most = 1.1 * max(2 * free["sd_m"].max(), free_walks["difference_m"].abs().max())
    last = float(walks["call"].max())
    panel = board.panel(
        box,
        Axis("call", "", (0, last + 0.5), many=6),
        Axis("left less right" if first else "", "length", (-most, most), first, many=7),
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
    return panel


def spread_panel(computed: Computed, board: Board, box: Box, title: str) -> Panel:
    """Closed form and computed, no levelling."""
    table = computed.tables["spread"]
    table = table[table["limit_m"] == NEVER]
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
        own = table[table["spread"] == spread]
        panel.line([0, *own["call"]], [0, *own["sd_m"]], colour, dash, 2.2, f"sd {100 * spread:g} %")
        panel.dots(own["call"], own["told_sd_m"], colour, symbol, 9, f"simulated, {100 * spread:g} %")
    return panel


def cases_panel(computed: Computed, board: Board, box: Box, title: str, share: float = 1.0) -> Panel:
    """One thing wrong: a step, or a slope."""
    table = computed.tables["cases"]
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
    return panel


def two_settings(computed: Computed) -> tuple[dict[str, float], dict[str, float]]:
    """The widest spread, free, and with levelling at the scenario's own limit (or the middle one)."""
    spreads, limits = (c.settings for c in computed.controls)
    own = computed.facts["limit_m"]
    limit = own if own in limits else limits[len(limits) // 2]
    return {"spread": spreads[-1], "limit_m": NEVER}, {"spread": spreads[-1], "limit_m": limit}


def said(computed: Computed, units: Units, limit: float) -> str:
    """What levelling there is."""
    return "no levelling" if limit == NEVER else f"levelled from {brief(limit, 'length', units)}"


def of(table: pd.DataFrame, setting: dict[str, float]) -> pd.DataFrame:
    """The rows of one setting."""
    return table[(table["spread"] == setting["spread"]) & (table["limit_m"] == setting["limit_m"])]
