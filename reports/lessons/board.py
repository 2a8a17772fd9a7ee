"""A board to draw a lesson's pictures on: panels side by side and under each other, figures in the reader's units.

What is put on it is in SI; the board turns it into inches or millimetres, pounds or kilonewtons. The outcome is a plain
figure as `reports/paper/figures.py` has them: colours by name, one size of type throughout.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from reports.lessons.panel import Axis, Box, Panel, rounded
from reports.paper.figures import Figure, layout
from sim.model.units import Units


@dataclass
class Board:
    """A picture being drawn."""

    units: Units
    type_px: float = 13  # size of the type
    margin: tuple[float, float, float, float] = (4.4, 1.0, 2.6, 3.6)  # left, right, top, bottom, in type sizes
    data: list[dict[str, Any]] = field(default_factory=list)
    below: dict[str, Any] = field(default_factory=dict)
    panels: int = 0
    keyed: bool = False  # whether a key under the picture says what each named line or mark is
    named: list[str] = field(default_factory=list)

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
            "tickfont": {"size": round(self.type_px * 0.92, 1), "color": "$soft"},
            "nticks": axis.many,
            "fixedrange": True,
            "showticklabels": axis.figures,
            "title": {
                "text": axis.said(self.units),
                "font": {"size": round(self.type_px * 0.96, 1), "color": "$ink"},
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

    def write(
        self,
        text: str,
        x: float,
        y: float,
        anchor: tuple[str, str] = ("left", "top"),
        lift: float = 0.0,
        shift: float = 0.0,
        bold: bool = False,
        colour: str = "$ink",
        share: float = 1.0,
        refs: tuple[str, str] = ("paper", "paper"),
        plate: bool = False,
    ) -> None:
        """A text: at a share of the board, or in a panel's own figures (`refs`); `lift` and `shift` in type sizes."""
        note: dict[str, Any] = {
            "text": f"<b>{text}</b>" if bold else text,
            "x": rounded(x),
            "y": rounded(y),
            "xref": refs[0],
            "yref": refs[1],
            "xanchor": anchor[0],
            "yanchor": anchor[1],
            "showarrow": False,
            "font": {"size": round(self.type_px * share, 1), "color": colour},
            "align": anchor[0] if anchor[0] != "center" else "center",
            "yshift": round(lift * self.type_px, 1),
            "xshift": round(shift * self.type_px, 1),
        }
        if plate:
            note.update(bgcolor="$paper", borderpad=1)
        self.below.setdefault("annotations", []).append(note)

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
                "font": {"size": round(self.type_px * 0.92, 1), "color": "$ink"},
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
