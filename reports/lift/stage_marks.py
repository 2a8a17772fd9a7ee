"""What a chart shows of stages and the way down: bounds, names where there is room, and the gap that is made."""

from __future__ import annotations

from typing import Any

import numpy as np

from reports.paper.figures import CLEAR, LABEL_PX
from reports.words.stages import height
from sim.model.scenario import Scenario
from sim.record.measured import Measured
from sim.record.series import PlaceSeries
from sim.record.stages import StageSpan

STRIP = 0.62  # how high the names stand above the call numbers, in lanes
SHORT = {"raise": "up", "hold": "stand", "lower": "down"}


def bounds(spans: list[StageSpan], yref: str, top: float, bottom: float) -> list[dict[str, Any]]:
    """A line where each stage but the first begins."""
    return [
        {
            "type": "line", "xref": "x", "yref": yref, "x0": round(span.start, 3), "x1": round(span.start, 3),
            "y0": top, "y1": bottom, "line": {"color": "$ink", "width": 1.2, "dash": "dot"},
        }
        for span in spans[1:]
    ]  # fmt: skip


def names(spans: list[StageSpan], scenario: Scenario, y: float) -> dict[str, Any]:
    """What each stage is, in its own stretch of time: in full, in short, or its number alone."""
    return {
        "type": "scatter",
        "mode": "text",
        "x": [round((span.start + span.end) / 2, 3) for span in spans],
        "y": [y] * len(spans),
        "text": [""] * len(spans),
        "textfont": {"size": LABEL_PX, "color": "$ink"},
        "customdata": [[round(span.start, 3), round(span.end, 3), *_said(span, scenario)] for span in spans],
        "cliponaxis": False,
        "hoverinfo": "skip",
        "showlegend": False,
        "meta": {"fit": "within"},
    }


def _said(span: StageSpan, scenario: Scenario) -> list[str]:
    """From the longest to the shortest."""
    stage = scenario.stages[span.number - 1]
    to = "" if span.do == "hold" else f" to {height(stage.to, scenario.units)}"
    return [f"{span.number}. {span.do}{to}", f"{span.number}. {SHORT[span.do]}", f"{span.number}"]


def made_gap(place: PlaceSeries, lift: Measured, line: dict[str, Any]) -> dict[str, Any]:
    """A station's gap while it was made on the way down: hatched, from its line in the chart down to nothing."""
    x: list[float | None] = []
    y: list[float | None] = []
    gap = place.gap()
    for begin, until in lift.made(place):
        ends = np.array([begin, min(until, lift.end)])
        start, end = np.round(ends, 3).tolist()
        first, last = float(gap.just_after(ends[:1])[0]), float(gap.just_before(ends[1:])[0])
        inside = [(a, b) for a, b in zip(line["x"], line["y"], strict=True) if start < a < end]
        shape = [(start, 0.0), (start, first), *inside, (end, last), (end, 0.0), (start, 0.0)]
        x += [*(a for a, _ in shape), None]
        y += [*(max(0.0, b) for _, b in shape), None]
    return {
        "type": "scatter", "mode": "lines", "name": "made on purpose", "x": x, "y": y, "xaxis": "x", "yaxis": "y2",
        "line": {"width": 0, "color": "$gap"}, "fill": "toself", "fillcolor": CLEAR, "hoverinfo": "skip",
        "fillpattern": {"shape": "\\", "fgcolor": "$gap", "bgcolor": CLEAR, "size": 6, "solidity": 0.3},
    }  # fmt: skip
