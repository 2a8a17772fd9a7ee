"""A chart of a lift in which a long stand is drawn shorter than it is, so that it does not squeeze the rest.

Everything on the time axis moves: what is drawn stays one straight line, for nothing happens in what is pressed
together. The axis says true times; `assets/pressed_time.js` turns them back and forth as `PressedTime` does.
"""

from __future__ import annotations

import copy
from typing import Any

from reports.paper.figures import Figure
from reports.views.stands import PressedTime


def pressed(figure: Figure, time: PressedTime) -> Figure:
    """The same chart with its times moved, and told to say true ones."""
    if not time.stretches:
        return figure
    figure = copy.deepcopy(figure)
    layout, meta = figure["layout"], figure["layout"]["meta"]
    for trace in figure["data"]:
        _press(trace, time)
    marks = [*layout["shapes"], *meta.get("notes", ()), *meta.get("peaks", {}).values()]
    for mark in {id(mark): mark for mark in marks}.values():  # the chosen station's note stands among both
        if mark.get("xref") == "x":
            mark |= {key: time.at(mark[key]) for key in ("x", "x0", "x1") if key in mark}
    layout["shapes"] += [_cut(time, *stretch) for stretch in time.stretches]
    end = time.at(meta["end"])
    layout["xaxis"] |= {"range": [-0.012 * end, 1.012 * end]}
    meta |= {
        "calls": [time.at(t) for t in meta["calls"]], "end": end, "pressed": [list(each) for each in time.stretches],
    }  # fmt: skip
    return figure


def _press(trace: dict[str, Any], time: PressedTime) -> None:
    if trace["type"] == "bar":
        starts, ends = trace["base"], [b + x for b, x in zip(trace["base"], trace["x"], strict=True)]
        trace["base"] = [time.at(t) for t in starts]
        trace["x"] = [time.at(end) - time.at(start) for start, end in zip(starts, ends, strict=True)]
        return
    if "%{x}" in trace.get("hovertemplate", ""):
        trace["customdata"] = [None if t is None else f"{t:.1f} s" for t in trace["x"]]
        trace["hovertemplate"] = trace["hovertemplate"].replace("%{x}", "%{customdata}")
    trace["x"] = [None if t is None else time.at(t) for t in trace["x"]]
    if "fit" in trace.get("meta", {}):
        trace["customdata"] = [[time.at(begin), time.at(end), *said] for begin, end, *said in trace["customdata"]]


def _cut(time: PressedTime, start: float, end: float, shown: float) -> dict[str, Any]:
    """Two strokes through the axis, where it is cut."""
    at = time.at(start) + shown / 2
    return {
        "type": "path", "xref": "x", "yref": "paper", "xsizemode": "pixel", "ysizemode": "pixel", "xanchor": at,
        "yanchor": 0, "path": "M -7 -6 L -1 6 M 1 -6 L 7 6", "line": {"color": "$ink", "width": 1.6},
    }  # fmt: skip
