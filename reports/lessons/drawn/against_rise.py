"""Gap, time open and drop of one device, each in a panel of its own against the rise of the needed point."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pandas as pd

from reports.lessons.board import Board
from reports.lessons.panel import DASH, DOT, Axis, Box, Panel
from reports.lessons.picture import row_of, rows_of
from sim.lessons import Computed

PASSING, STANDING, OUT, DROP, LEFT = "$a", "$c", "$b", "$d", "$soft"
POINT = "rise of the needed point"
Setting = dict[str, float]  # "case", a device; "strokes" a call


@dataclass(frozen=True)
class RisePlace:
    """Where a panel stands on the board, and what is written around it."""

    box: Box
    title: str = ""
    first: bool = True  # of its row: with figures and a title at its upright axis
    figures: bool = True  # along
    x_title: str = ""
    share: float = 1.0  # size of the title's type


def gap_panel(board: Board, place: RisePlace, setting: Setting) -> Panel:
    """Gap against rise: passing as a line, standing as dots, what would be left as dashes."""
    panel = _panel(board, place, Axis("gap", "length", (0, tallest(board.computed, "gap", "gap_m")), many=6))
    left = thinned(rows_of(board.tables["left over"], {"case": setting["case"]}), "left_m")
    panel.line(left["rise_m"], left["left_m"], LEFT, DOT, 1.5, "what would be left")
    line = rows_of(board.tables["gap"], setting)
    panel.line(line["rise_m"], line["gap_m"], PASSING, wide=1.8, name="passing gap")
    still = line[line["standing"]].drop_duplicates(["rise_m", "gap_m"])
    panel.dots(still["rise_m"], still["gap_m"], STANDING, "circle", 8, "standing gap")
    panel.level(board.facts["wide_m"], "$ink", DOT)
    mean = row_of(board.tables["cases"], setting)["mean_left_m"]
    if mean > 1e-6:
        panel.line([0, along(board.computed)], [mean, mean], STANDING, DASH, 1.6, "left on average")
    return panel


def out_panel(board: Board, place: RisePlace, setting: Setting) -> bool:
    """For how long its pin was out, where the load stood; whether it was at all."""
    most = max(1.0, board.tables["pin out"].groupby(["case", "strokes", "rise_m"])["out_s"].sum().max() * 1.2)
    panel = _panel(board, place, Axis("pin out", "time", (0, most), many=3))
    out = rows_of(board.tables["pin out"], setting)
    seconds = out.groupby(out["rise_m"].round(6))["out_s"].sum()
    panel.bars(seconds.index, seconds, OUT, "/", along(board.computed) * 0.04, "pin out")
    return not out.empty


def drop_panel(board: Board, place: RisePlace, setting: Setting) -> Panel:
    """Drop against rise; marked where the pin is out."""
    panel = _panel(board, place, Axis("drop", "length", (0, tallest(board.computed, "drop", "drop_m")), many=5))
    fall = rows_of(board.tables["drop"], setting)
    held = fall.assign(drop_m=fall["drop_m"].where(~fall["open"])).drop_duplicates(["rise_m", "drop_m"])
    panel.line(held["rise_m"], held["drop_m"], DROP, wide=1.8, name="drop")
    out = fall[fall["open"]].drop_duplicates(["rise_m", "drop_m"])
    panel.dots(out["rise_m"], out["drop_m"], OUT, "diamond-open", 10, "drop, pin out")
    return panel


def _panel(board: Board, place: RisePlace, y: Axis) -> Panel:
    """An empty panel over the rise; grey beyond what is needed."""
    x = Axis(place.x_title, "length", (0, along(board.computed)), place.figures, many=5)
    if not place.first:
        y = replace(y, title="", figures=False)
    panel = board.panel(place.box, x, y, place.title, place.share)
    panel.stretch(board.facts["need_m"], along(board.computed))
    return panel


def along(computed: Computed) -> float:
    """How far the axes along go [m]."""
    return float(computed.tables["left over"]["rise_m"].max()) * 1.01


def tallest(computed: Computed, name: str, what: str) -> float:
    """A height that every setting fits under [m]."""
    return float(computed.tables[name][what].max()) * 1.12


def thinned(table: pd.DataFrame, what: str) -> pd.DataFrame:
    """A sawtooth with its corners only: rows where the slope stays the same are left out."""
    slope = table[what].diff() / table["demand_m"].diff()
    same = (slope - slope.shift(-1)).abs() < 1e-6
    return table[~same.fillna(False)]
