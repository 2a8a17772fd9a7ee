"""A strut's line and what is held of it, the gap between them and the drop, each in a panel of its own over time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pandas as pd

from reports.lessons.board import Board
from reports.lessons.drawn.against_rise import RisePlace
from reports.lessons.panel import DASH, DOT, SOLID, Axis, Panel
from reports.lessons.picture import row_of, rows_of
from sim.model.units import SHOWN

LOAD, HOLDS, GAP, DROP = "$a", "$b", "$c", "$d"
Setting = Mapping[str, float]  # of every slider of the lesson


def way_panel(board: Board, place: RisePlace, setting: Setting) -> Panel:
    """The load's line and how much of it is held; shaded where nothing is."""
    way = board.tables["way"]
    lowest, most = float(way["held_m"].min()), float(way["line_m"].max())
    panel = _panel(board, place, Axis("line", "length", (min(0.0, lowest * 1.3), most * 1.08), many=6), setting)
    own = rows_of(way, setting)
    panel.line(own["time_s"], own["line_m"], LOAD, SOLID, 2, "the load")
    panel.line(own["time_s"], own["held_m"], HOLDS, DASH, 2.2, "what is held of it")
    return panel


def gap_panel(board: Board, place: RisePlace, setting: Setting, level: float) -> Panel:
    """The gap while anything is held, and a level to hold it against [m]."""
    most = float(board.tables["way"]["gap_m"].max()) * 1.12
    panel = _panel(board, place, Axis("gap", "length", (0, most), many=4), setting)
    own = rows_of(board.tables["way"], setting)
    panel.line(own["time_s"], own["gap_m"].where(~own["open"]), GAP, SOLID, 1.8, "gap")
    panel.level(level, "$ink", DOT)
    return panel


def drop_panel(board: Board, place: RisePlace, setting: Setting) -> Panel:
    """The drop; marked where the pin is out."""
    most = float(board.tables["drop"]["drop_m"].max()) * 1.12
    panel = _panel(board, place, Axis("drop", "length", (0, most), many=4), setting)
    own = rows_of(board.tables["drop"], setting)
    held = own.assign(drop_m=own["drop_m"].where(~own["open"])).drop_duplicates(["time_s", "drop_m"])
    panel.line(held["time_s"], held["drop_m"], DROP, SOLID, 1.8, "drop")
    out = own[own["open"]].drop_duplicates(["time_s", "drop_m"])
    if len(out):
        panel.dots(out["time_s"], out["drop_m"], HOLDS, "diamond-open", 10, "drop, pin out")
    return panel


def _panel(board: Board, place: RisePlace, y: Axis, setting: Setting) -> Panel:
    """An empty panel over the time; shaded where nothing is held."""
    ends = float(row_of(board.tables["cases"], setting)["duration_s"]) * 1.01
    x = Axis(place.x_title, "time", (0, ends), place.figures, many=5)
    if not place.first:
        y = replace(y, title="", figures=False)
    panel = board.panel(place.box, x, y, place.title, place.share)
    for begin, end in out_of(rows_of(board.tables["way"], setting)):
        panel.stretch(begin, end)
    return panel


def out_of(way: pd.DataFrame) -> list[tuple[float, float]]:
    """From when to when nothing is held [s]."""
    out = way[way["open"]]
    run = (out.index.to_series().diff() != 1).cumsum()
    return [(float(part["time_s"].min()), float(part["time_s"].max())) for _, part in out.groupby(run)]


def under(board: Board, title: str, lift: float) -> None:
    """The title of all the axes along."""
    unit = SHOWN["time"][board.units].unit.strip()
    board.write(f"{title} [{unit}]", 0.5, 0, ("center", "top"), lift=lift, share=0.96)
