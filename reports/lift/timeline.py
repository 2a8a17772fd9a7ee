"""The pump-and-capture timeline: a lane for each person, read like a score.

Blocks stand on the lane's line, each kind of its own height as well as colour. The line is thick while all that a
catcher keeps up is caught. Thin lines through all lanes are the calls, numbered on top; bands are the holds.
"""

from __future__ import annotations

from typing import Any

from reports.lift import stage_marks
from reports.lift.lane_names import lane_name
from reports.lift.lanes import LaneBlock, Lanes, lanes_of
from reports.paper.figures import LABEL_PX, NARROW, Figure, as_text, axis, checked, layout, time_axis
from sim.model.units import Units, show_up
from sim.record.record import Record

LINE = 0.93  # where in its lane a person's line runs, from the top
TOP = 0.6  # the strip of call numbers above the lanes
HANDS = 0.72  # how high over a line the dots are that say that hands are in, in lanes
LANE_PX = {"wide": 34, "narrow": 48}
MARGIN = {"l": 188, "r": 14, "t": 6, "b": 38}
NARROW_MARGIN = {"l": 10, "r": 10, "t": 6, "b": 38}

# kind: name in the key, height in lanes, how it is filled
KINDS: dict[str, tuple[str, float, dict[str, Any]]] = {
    "stroke": ("stroke", 0.64, {"color": "$stroke"}),
    "recover": ("recover", 0.24, {"color": "$recover"}),
    "react": ("reacts, walks", 0.1, {"color": "$react"}),
    "work": ("captures", 0.52, {"color": "$work"}),
    "follow": ("stays with the load", 0.3, {"color": "$paper", "pattern": ("|", "$work")}),
    "seat": ("seats, drives wedges", 0.52, {"color": "$paper", "pattern": ("x", "$seat")}),
    "lower": ("valve open: comes down", 0.64, {"color": "$paper", "pattern": ("-", "$stroke")}),
    "makes": ("lets a device down: the gap is made", 0.52, {"color": "$paper", "pattern": ("\\", "$work")}),
    "open": ("open: holds nothing", 0.64, {"color": "$paper", "pattern": ("/", "$open")}),
    "hold": ("hold", 0.5, {"color": "$band"}),
    "other": ("stop, re-set, room, last wait", 0.5, {"color": "$paper"}),
}


def timeline_figure(record: Record, lanes: Lanes | None = None) -> Figure:
    """The timeline of one lift, before units, colours and width are filled in (see figures.py)."""
    shown = lanes or lanes_of(record)
    count = len(shown.lanes)
    traces = [_lines(shown), _call_lines(shown, count)]
    traces += [_bars(kind, [b for b in shown.blocks if b.kind == kind], shown) for kind in KINDS if kind != "hold"]
    traces += [_holds(shown), _caught(shown), _hands(shown), _calls(shown), _call_numbers(shown), _words(shown)]
    traces += [stage_marks.names(shown.stages, record.scenario, -TOP - stage_marks.STRIP / 2)]
    return checked({"data": [trace for trace in traces if trace["x"]], "layout": _layout(shown, count)})


def height(lanes: int, width: int, staged: bool = False) -> int:
    """How high a timeline of so many lanes stands, with a strip for the names of stages where there are any [px]."""
    margin = MARGIN["t"] + MARGIN["b"]
    return round(margin + (lanes + top_of(staged)) * LANE_PX["narrow" if width < NARROW else "wide"])


def top_of(staged: bool) -> float:
    """How high the strip over the lanes is, in lanes: of call numbers, and of stages where there are any."""
    return TOP + stage_marks.STRIP * staged


def _lines(shown: Lanes) -> dict[str, Any]:
    """Each person's line."""
    x: list[float | None] = []
    y: list[float | None] = []
    for lane in range(len(shown.lanes)):
        x += [0.0, shown.end, None]
        y += [lane + LINE, lane + LINE, None]
    line = {"color": "$rule", "width": 1}
    return {"type": "scatter", "mode": "lines", "x": x, "y": y, "line": line, "hoverinfo": "skip", "showlegend": False}


def _call_lines(shown: Lanes, count: int) -> dict[str, Any]:
    """The calls, through all lanes."""
    x: list[float | None] = []
    y: list[float | None] = []
    for time, _ in shown.calls:
        x += [time, time, None]
        y += [-0.5, count, None]
    line = {"color": "$edge", "width": 0.7}
    return {"type": "scatter", "mode": "lines", "x": x, "y": y, "line": line, "hoverinfo": "skip", "showlegend": False,
            "meta": {"crowded": {"visible": False}}}  # fmt: skip


def _bars(kind: str, blocks: list[LaneBlock], shown: Lanes) -> dict[str, Any]:
    """All blocks of one kind."""
    name, high, fill = KINDS[kind]
    return {
        "type": "bar",
        "orientation": "h",
        "name": name,
        "base": [round(b.start, 3) for b in blocks],
        "x": [round(b.end - b.start, 3) for b in blocks],
        "y": [round(b.lane + LINE - high / 2, 3) for b in blocks],
        "width": high,
        "marker": _marker(kind, fill),
        "customdata": [_said(b, shown) for b in blocks],
        "meta": {
            "hover": {"us": _HOVER.format(3), "si": _HOVER.format(4)},
            "crowded": {"marker": {"line": {"width": 0}}},
        },
    }


_HOVER = "<b>%{{customdata[0]}}</b><br>%{{customdata[1]}}<br>%{{customdata[2]}}%{{customdata[{}]}}<extra></extra>"


def _marker(kind: str, fill: dict[str, Any]) -> dict[str, Any]:
    marker: dict[str, Any] = {"color": fill["color"], "line": {"width": 0}}
    if "pattern" in fill:
        shape, ink = fill["pattern"]
        solidity = {"/": 0.35, "\\": 0.35, "x": 0.42, "|": 0.34, "-": 0.34}[shape]
        marker["pattern"] = {"shape": shape, "fgcolor": ink, "bgcolor": fill["color"], "size": 5, "solidity": solidity}
        marker["line"] = {"width": 1, "color": ink}
    if kind == "recover":
        marker["line"] = {"width": 1, "color": "$stroke"}
    if kind == "other":
        marker["line"] = {"width": 1, "color": "$ink"}
    return marker


def _said(block: LaneBlock, shown: Lanes) -> list[str]:
    """Who, what, how long, and the gap in both units."""
    who, what = as_text(shown.lanes[block.lane].name), as_text(block.what)
    when = f"{block.end - block.start:.1f} s, from {block.start:.1f} s, call {block.call}"
    return [who, what, when, _gap(block, "us"), _gap(block, "si")]


def _gap(block: LaneBlock, units: Units) -> str:
    if block.gap_start is None:
        return ""
    at = "<br>at the " + as_text(block.where)
    start = show_up(max(0.0, block.gap_start), "length", units)
    if block.gap_end is None:
        return f"{at}: gap {start}"
    return f"{at}: gap {start}, then {show_up(max(0.0, block.gap_end), 'length', units)}"


def _holds(shown: Lanes) -> dict[str, Any]:
    """The holds, in the leader's lane; their bands are shapes of the layout."""
    _, high, fill = KINDS["hold"]
    return {
        "type": "bar",
        "orientation": "h",
        "name": "hold",
        "base": [round(h.start, 3) for h in shown.holds],
        "x": [round(h.end - h.start, 3) for h in shown.holds],
        "y": [LINE - high / 2] * len(shown.holds),
        "width": high,
        "marker": {"color": fill["color"], "line": {"width": 1, "color": "$soft"}},
        "customdata": [[as_text(h.station), f"{h.end - h.start:.1f} s, from {h.start:.1f} s"] for h in shown.holds],
        "meta": {"crowded": {"marker": {"line": {"width": 0}}}},
        "hovertemplate": "<b>leader holds</b><br>waits for the %{customdata[0]}<br>%{customdata[1]}<extra></extra>",
    }


def _caught(shown: Lanes) -> dict[str, Any]:
    """A thick line while all is caught."""
    x: list[float | None] = []
    y: list[float | None] = []
    for lane, start, end in shown.caught:
        x += [round(start, 3), round(end, 3), None]
        y += [lane + LINE, lane + LINE, None]
    line = {"color": "$caught", "width": 3.5}
    return {"type": "scatter", "mode": "lines", "name": "caught", "x": x, "y": y, "line": line, "hoverinfo": "skip"}


def _hands(shown: Lanes) -> dict[str, Any]:
    """A row of dots over a block while hands are in: at a pin, a link, a piece or a wedge, on the way down."""
    x: list[float | None] = []
    y: list[float | None] = []
    for b in shown.blocks:
        if b.hands:
            x += [round(b.start, 3), round(b.end, 3), None]
            y += [b.lane + LINE - HANDS, b.lane + LINE - HANDS, None]
    line = {"color": "$ink", "width": 3, "dash": "3px,3px"}
    return {"type": "scatter", "mode": "lines", "name": "hands in", "x": x, "y": y, "line": line, "hoverinfo": "skip"}


def _calls(shown: Lanes) -> dict[str, Any]:
    """Each call, in the leader's lane."""
    return {
        "type": "scatter",
        "mode": "markers",
        "name": "call",
        "x": [round(time, 3) for time, _ in shown.calls],
        "y": [LINE - 0.25] * len(shown.calls),
        "marker": {
            "symbol": [f"triangle-{'down' if down else 'right'}" for down in shown.down],
            "size": 9,
            "color": "$call",
        },
        "customdata": [[n, as_text(who), f"{time:.1f} s"] for n, (time, who) in enumerate(shown.calls, 1)],
        "meta": {"crowded": {"marker": {"symbol": "line-ns-open", "size": 10}}},
        "hovertemplate": "<b>call %{customdata[0]}</b><br>%{customdata[1]}<br>at %{customdata[2]}<extra></extra>",
    }


def _call_numbers(shown: Lanes) -> dict[str, Any]:
    """The numbers of the calls, as many as there is room for."""
    times = [round(time, 3) for time, _ in shown.calls]
    return {
        "type": "scatter",
        "mode": "text",
        "x": times,
        "y": [-0.3] * len(times),
        "text": [""] * len(times),
        "textposition": "middle right",
        "textfont": {"size": LABEL_PX, "color": "$ink"},
        "customdata": [[t, t, str(n)] for n, t in enumerate(times, 1)],
        "cliponaxis": False,
        "hoverinfo": "skip",
        "showlegend": False,
        "meta": {"fit": "beside"},
    }


def _words(shown: Lanes) -> dict[str, Any]:
    """Whom a hold waits for, and what else the leader's lane shows, where there is room."""
    said = [(h.start, h.end, h.station) for h in shown.holds]
    said += [(b.start, b.end, _SHORT.get(b.what.split()[0], b.what)) for b in shown.blocks if b.lane == 0]
    return {
        "type": "scatter",
        "mode": "text",
        "x": [round((start + end) / 2, 3) for start, end, _ in said],
        "y": [LINE - KINDS["hold"][1] / 2] * len(said),
        "text": [""] * len(said),
        "textfont": {"size": 11, "color": "$ink"},
        "customdata": [[start, end, as_text(words)] for start, end, words in said],
        "hoverinfo": "skip",
        "showlegend": False,
        "meta": {"fit": "within"},
    }


_SHORT = {
    "stop": "stop", "re-set": "re-set", "packing": "packing out", "waits": "last wait", "making": "room",
    "stands:": "stands",
}  # fmt: skip


def _layout(shown: Lanes, count: int) -> dict[str, Any]:
    staged = bool(shown.stages)
    lines = stage_marks.bounds(shown.stages, "y", -top_of(staged), count)
    bands = [
        {
            "type": "rect", "xref": "x", "yref": "y", "x0": round(h.start, 3), "x1": round(h.end, 3), "y0": -0.5,
            "y1": count,
            "fillcolor": "$band", "line": {"width": 0}, "layer": "below",
        }
        for h in shown.holds
    ]  # fmt: skip
    names = [lane_name(lane.name, lane.role, "wide") for lane in shown.lanes]
    above = [
        {
            "xref": "paper", "x": 0, "xanchor": "left", "yref": "y", "y": lane + 0.03, "yanchor": "top",
            "showarrow": False,
            "text": lane_name(who.name, who.role, "narrow"), "font": {"size": 11, "color": "$ink"}, "bgcolor": "$paper",
            "borderpad": 0,
            "opacity": 0.92,
        }
        for lane, who in enumerate(shown.lanes)
    ]  # fmt: skip
    return layout(
        barmode="overlay",
        bargap=0,
        margin=dict(MARGIN),
        height=height(count, 1000, staged),
        xaxis=time_axis(shown.end),
        yaxis=axis(
            range=[count, -top_of(staged)], fixedrange=True, showgrid=False, showline=False, ticks="",
            tickvals=[n + 0.62 for n in range(count)],
            ticktext=names,
        ),
        shapes=bands + lines,
        annotations=[],
        meta={
            "narrow": {
                "height": height(count, 390, staged),
                "margin": dict(NARROW_MARGIN),
                "yaxis": {"showticklabels": False},
                "xaxis": {"nticks": 6},
                "annotations": above,
            },
            "calls": [round(time, 3) for time, _ in shown.calls],
            "end": shown.end,
        },
    )  # fmt: skip
