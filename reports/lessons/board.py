"""A board to draw a lesson's pictures on: panels side by side and under each other, figures in the reader's units.

What is put on it is in SI; the board turns it into inches or millimetres, pounds or kilonewtons. The outcome is a plain
figure as `reports/paper/figures.py` has them: colours by name, one size of type throughout.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from reports.lessons.panel import Axis, Box, DrawnSoFar, Panel, rounded
from reports.paper.figures import Figure, layout


@dataclass
class Board(DrawnSoFar):
    """A picture being drawn, panel by panel."""

    panels: int = 0

    def panel(self, box: Box, x: Axis, y: Axis, title: str = "", share: float = 1.0, equal: bool = False) -> Panel:
        """A panel with its two axes and its title above it."""
        self.panels += 1
        n = "" if self.panels == 1 else str(self.panels)
        left, right, bottom, top = box
        for way, axis, domain, other in (("x", x, (left, right), "y"), ("y", y, (bottom, top), "x")):
            self.below[f"{way}axis{n}"] = self._axis(axis, domain, f"{other}{n}")
        if equal:  # an inch up is as long as an inch along
            self.below[f"yaxis{n}"].update(scaleanchor=f"x{n}", scaleratio=1, constraintoward="bottom")
            self.below[f"xaxis{n}"].update(constraintoward="left")
        panel = Panel(self, n, x, y)
        if title:
            self.write(title, left, top, anchor=("left", "bottom"), lift=0.35, bold=True, share=share)
        return panel

    def _axis(self, axis: Axis, domain: tuple[float, float], anchor: str) -> dict[str, Any]:
        size = axis.size(self.units)
        drawn: dict[str, Any] = {
            "domain": [round(d, 4) for d in domain],
            "anchor": anchor,
            "zeroline": False,
            "gridcolor": "$rule",
            "linecolor": "$edge",
            "showline": True,
            "ticks": "outside",
            "ticklen": round(self.type_px * 0.3, 1),
            "tickcolor": "$edge",
            "tickfont": {"size": self.sized(0.92), "color": "$soft"},
            "nticks": axis.many,
            "fixedrange": True,
            "showticklabels": axis.figures,
            "title": {
                "text": axis.said(self.units),
                "font": {"size": self.sized(0.96), "color": "$ink"},
                "standoff": round(self.type_px * 0.5, 1),
            },
        }
        if axis.log:
            drawn["type"] = "log"
        if axis.ends is not None:
            drawn["range"] = [self._end(e, size, axis.log) for e in axis.ends]
        if axis.ticks is not None:
            drawn.update(
                tickmode="array", tickvals=[rounded(v / size) for v in axis.ticks[0]], ticktext=list(axis.ticks[1])
            )
        return drawn

    @staticmethod
    def _end(end: float, size: float, log: bool) -> float:
        return rounded(float(np.log10(end / size)) if log else end / size)

    def figure(self) -> Figure:
        """The plain figure."""
        left, right, top, bottom = (round(m * self.type_px) for m in self.margin)
        base = layout(
            margin={"l": left, "r": right, "t": top, "b": bottom}, dragmode=False, bargap=0.35, barmode="overlay"
        )
        base["font"]["size"] = self.type_px
        base["hoverlabel"]["font"]["size"] = 13
        if self.keyed:
            base["showlegend"] = True
            base["legend"] = {
                "orientation": "h",
                "x": 0,
                "xanchor": "left",
                "yref": "container",
                "y": 0.004,
                "yanchor": "bottom",
                "font": {"size": self.sized(0.92), "color": "$ink"},
                "bgcolor": "rgba(0,0,0,0)",
                "itemclick": False,
                "itemdoubleclick": False,
                "itemwidth": 30,
                "tracegroupgap": 0,
            }
            more = round(
                1.5 * self.type_px * max(0, len(self.named) - 1)
            )  # where there is little width, the key has a row each
            base["meta"] = {"narrow": {"margin": {"b": bottom + more}}, "more": more}
        return {"data": self.data, "layout": {**base, **self.below}}
