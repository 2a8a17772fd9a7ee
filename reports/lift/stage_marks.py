"""The stages of a lift along the top of its charts: a line at each bound, and what each is, where there is room."""

from __future__ import annotations

from typing import Any

from reports.lift.lanes import StageSpan
from reports.paper.figures import LABEL_PX
from reports.words.stages import height
from sim.model.scenario import Scenario

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
