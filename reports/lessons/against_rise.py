"""Gap, time open and drop of one device, each in a panel of its own against the rise of the needed point."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pandas as pd

from reports.lessons.board import Board
from reports.lessons.panel import DASH, DOT, Axis, Box, Panel
from sim.lessons import Computed

PASSING, STANDING, OUT, DROP, LEFT = "$a", "$c", "$b", "$d", "$soft"
POINT = "rise of the needed point"


@dataclass(frozen=True)
class Place:
    """Where a panel stands on the board, and what is written around it."""

    box: Box
    title: str = ""
    first: bool = True  # of its row: with figures and a title at its upright axis
    figures: bool = True  # along
    x_title: str = ""
    share: float = 1.0  # size of the title's type


def gap_panel(computed: Computed, board: Board, place: Place, case: float, strokes: float) -> Panel:
    """Gap against rise: passing as a line, standing as dots, what would be left as dashes."""
    panel = _panel(computed, board, place, Axis("gap", "length", (0, tallest(computed, "gap", "gap_m")), many=6))
    left = computed.tables["left over"]
    left = thinned(left[left["case"] == case], "left_m")
    panel.line(left["rise_m"], left["left_m"], LEFT, DOT, 1.5, "what would be left")
    line = of(computed.tables["gap"], case, strokes)
    panel.line(line["rise_m"], line["gap_m"], PASSING, wide=1.8, name="passing gap")
    still = line[line["standing"]].drop_duplicates(["rise_m", "gap_m"])
    panel.dots(still["rise_m"], still["gap_m"], STANDING, "circle", 8, "standing gap")
    panel.level(computed.facts["an_inch_m"], "$ink", DOT)
    mean = row(computed, case, strokes)["mean_left_m"]
    if mean > 1e-6:
        panel.line([0, along(computed)], [mean, mean], STANDING, DASH, 1.6, "left on average")
    return panel


def out_panel(computed: Computed, board: Board, place: Place, case: float, strokes: float) -> bool:
    """For how long its pin was out, where the load stood; whether it was at all."""
    most = max(1.0, computed.tables["pin out"].groupby(["case", "strokes", "rise_m"])["out_s"].sum().max() * 1.2)
    panel = _panel(computed, board, place, Axis("pin out", "time", (0, most), many=3))
    out = of(computed.tables["pin out"], case, strokes)
    seconds = out.groupby(out["rise_m"].round(6))["out_s"].sum()
    panel.bars(seconds.index, seconds, OUT, "/", along(computed) * 0.04, "pin out")
    return not out.empty


def drop_panel(computed: Computed, board: Board, place: Place, case: float, strokes: float) -> Panel:
    """Drop against rise; marked where the pin is out."""
    panel = _panel(computed, board, place, Axis("drop", "length", (0, tallest(computed, "drop", "drop_m")), many=5))
    fall = of(computed.tables["drop"], case, strokes)
    held = fall.assign(drop_m=fall["drop_m"].where(~fall["open"])).drop_duplicates(["rise_m", "drop_m"])
    panel.line(held["rise_m"], held["drop_m"], DROP, wide=1.8, name="drop")
    out = fall[fall["open"]].drop_duplicates(["rise_m", "drop_m"])
    panel.dots(out["rise_m"], out["drop_m"], OUT, "diamond-open", 10, "drop, pin out")
    return panel


def _panel(computed: Computed, board: Board, place: Place, y: Axis) -> Panel:
    """An empty panel over the rise; grey beyond what is needed."""
    x = Axis(place.x_title, "length", (0, along(computed)), place.figures, many=5)
    if not place.first:
        y = replace(y, title="", figures=False)
    panel = board.panel(place.box, x, y, place.title, place.share)
    panel.stretch(computed.facts["need_m"], along(computed))
    return panel


def row(computed: Computed, case: float, strokes: float) -> pd.Series:
    """What one device at one number of strokes a call came to."""
    return of(computed.tables["cases"], case, strokes).iloc[0]


def of(table: pd.DataFrame, case: float, strokes: float) -> pd.DataFrame:
    """The rows of one device at one number of strokes a call."""
    return table[(table["case"] == case) & (table["strokes"] == strokes)]


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
