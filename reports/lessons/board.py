"""A board to draw a lesson's pictures on: panels side by side and under each other, figures in the reader's units.

What is put on it is in SI; the board turns it into inches or millimetres, pounds or kilonewtons. The outcome is a plain
figure as `reports/figures.py` has them: colours by name, one size of type throughout. Nothing is told apart by colour
alone: every line has a dash or a symbol of its own, every filled thing a hatch.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from reports.figures import Figure, layout
from sim.units import SHOWN, Units

Box = tuple[float, float, float, float]  # left, right, bottom, top: shares of the board
SOLID, DASH, DOT, DASHDOT, LONGDASH = "solid", "dash", "dot", "dashdot", "longdash"


@dataclass(frozen=True)
class Axis:
    """One side of a panel."""

    title: str = ""
    dimension: str = ""  # a key of `sim.units.SHOWN`; "": a plain number
    ends: tuple[float, float] | None = None  # [SI]
    figures: bool = True  # whether its figures are shown
    ticks: tuple[Sequence[float], Sequence[str]] | None = None  # where, and what is said there [SI]
    many: int = 6  # figures at the most
    log: bool = False

    def size(self, units: Units) -> float:
        """Of the unit that it is shown in [SI]."""
        return SHOWN[self.dimension][units].size if self.dimension else 1.0

    def said(self, units: Units) -> str:
        """The title with its unit."""
        unit = SHOWN[self.dimension][units].unit.strip() if self.dimension else ""
        return f"{self.title} [{unit}]" if unit and self.title else self.title


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


@dataclass
class Panel:
    """One panel of a board; what is put on it is in SI."""

    board: Board
    n: str
    x: Axis
    y: Axis

    def xs(self, values: Iterable[float]) -> list[float | None]:
        """Along, in the units shown."""
        return figures(values, self.x.size(self.board.units))

    def ys(self, values: Iterable[float]) -> list[float | None]:
        """Up, in the units shown."""
        return figures(values, self.y.size(self.board.units))

    def line(
        self,
        x: Iterable[float],
        y: Iterable[float],
        colour: str,
        dash: str = SOLID,
        wide: float = 2.0,
        name: str = "",
        fill: str = "",
        hatch: str = "",
        symbol: str = "",
        symbols_px: float = 7,
        stepped: bool = False,
    ) -> None:
        """A line; NaN breaks it. `fill` is a colour down to zero, `hatch` its pattern."""
        trace: dict[str, Any] = self._trace(x, y, name)
        trace.update(
            mode="lines+markers" if symbol else "lines", line={"color": colour, "dash": dash, "width": self._px(wide)}
        )
        if stepped:
            trace["line"]["shape"] = "hv"
        if symbol:
            trace["marker"] = {
                "symbol": symbol,
                "size": self._px(symbols_px),
                "color": colour,
                "line": {"color": "$paper", "width": self._px(1)},
            }
        if fill:
            trace.update(fill="tozeroy", fillcolor=fill)
            if hatch:
                trace["fillpattern"] = {
                    "shape": hatch,
                    "fgcolor": colour,
                    "bgcolor": fill,
                    "size": self._px(7),
                    "solidity": 0.25,
                }
        self.board.data.append(trace)

    def dots(
        self, x: Iterable[float], y: Iterable[float], colour: str, symbol: str = "circle", px: float = 9, name: str = ""
    ) -> None:
        """Marks with no line between."""
        trace = self._trace(x, y, name)
        hollow = "-open" in symbol or symbol.startswith(("x", "cross", "line"))
        edge = {"color": colour if hollow else "$paper", "width": self._px(2 if hollow else 1)}
        trace.update(mode="markers", marker={"symbol": symbol, "size": self._px(px), "color": colour, "line": edge})
        self.board.data.append(trace)

    def bars(
        self,
        x: Iterable[float],
        y: Iterable[float],
        colour: str,
        hatch: str = "",
        wide: float | None = None,
        name: str = "",
        base: Iterable[float] | None = None,
        flat: bool = False,
        texts: Sequence[str] = (),
    ) -> None:
        """Bars; `flat` lies them down (x their length, y where they stand)."""
        trace = self._trace(x, y, name)
        trace.update(
            type="bar",
            orientation="h" if flat else "v",
            marker={
                "color": "$paper" if hatch else colour,
                "line": {"color": colour, "width": self._px(1.2)},
                **(
                    {
                        "pattern": {
                            "shape": hatch,
                            "fgcolor": colour,
                            "bgcolor": "$paper",
                            "size": self._px(6),
                            "solidity": 0.4,
                        }
                    }
                    if hatch
                    else {}
                ),
            },
        )
        if base is not None:
            trace["base"] = self.xs(base) if flat else self.ys(base)
        if wide is not None:
            trace["width"] = rounded(wide / (self.y if flat else self.x).size(self.board.units))
        if texts:
            trace.update(
                text=list(texts),
                textposition="outside",
                cliponaxis=False,
                textangle=0,
                textfont={"size": round(self.board.type_px * 0.95, 1), "color": "$ink"},
            )
        self.board.data.append(trace)

    def level(
        self, y: float, colour: str = "$ink", dash: str = DASH, text: str = "", at: str = "right", lift: float = 0.0
    ) -> None:
        """A level line right across, with its name."""
        self._shape(
            {"x0": 0, "x1": 1, "xref": f"x{self.n} domain", "y0": self._y(y), "y1": self._y(y), "yref": f"y{self.n}"},
            colour,
            dash,
        )
        if text:
            where = 0.995 if at == "right" else 0.005
            self.board.write(
                text,
                where,
                self._y(y),
                (at, "bottom"),
                lift + 0.1,
                colour=colour,
                share=0.9,
                refs=(f"x{self.n} domain", f"y{self.n}"),
            )

    def upright(
        self, x: float, colour: str = "$ink", dash: str = DASH, text: str = "", side: str = "left", at: float = 1.0
    ) -> None:
        """An upright line from bottom to top, with its name beside it at a share `at` of the height."""
        self._shape(
            {"x0": self._x(x), "x1": self._x(x), "xref": f"x{self.n}", "y0": 0, "y1": 1, "yref": f"y{self.n} domain"},
            colour,
            dash,
        )
        if text:
            self.board.write(
                text,
                self._x(x),
                at,
                (side, "top"),
                0.0,
                0.3 if side == "left" else -0.3,
                colour=colour,
                share=0.9,
                refs=(f"x{self.n}", f"y{self.n} domain"),
            )

    def band(self, low: float, high: float, colour: str = "$band") -> None:
        """A band between two heights, right across, behind everything."""
        self._shape(
            {
                "x0": 0,
                "x1": 1,
                "xref": f"x{self.n} domain",
                "y0": self._y(low),
                "y1": self._y(high),
                "yref": f"y{self.n}",
            },
            fill=colour,
        )

    def stretch(self, begin: float, end: float, colour: str = "$band") -> None:
        """A stretch from one place along to another, from bottom to top, behind everything."""
        self._shape(
            {
                "x0": self._x(begin),
                "x1": self._x(end),
                "xref": f"x{self.n}",
                "y0": 0,
                "y1": 1,
                "yref": f"y{self.n} domain",
            },
            fill=colour,
        )

    def note(
        self,
        text: str,
        x: float,
        y: float,
        anchor: tuple[str, str] = ("left", "middle"),
        lift: float = 0.0,
        shift: float = 0.4,
        colour: str = "$ink",
        share: float = 0.9,
        bold: bool = False,
        plate: bool = False,
    ) -> None:
        """A text at a place in the panel's own figures."""
        self.board.write(
            text, self._x(x), self._y(y), anchor, lift, shift, bold, colour, share, (f"x{self.n}", f"y{self.n}"), plate
        )

    def corner(
        self, text: str, x: float, y: float, anchor: tuple[str, str], colour: str = "$ink", share: float = 0.9
    ) -> None:
        """A text at a share of the panel."""
        self.board.write(
            text, x, y, anchor, 0, 0, colour=colour, share=share, refs=(f"x{self.n} domain", f"y{self.n} domain")
        )

    def arrow(self, x0: float, y0: float, x1: float, y1: float, colour: str, wide: float = 3.0) -> None:
        """An arrow from one place to another."""
        self.board.below.setdefault("annotations", []).append(
            {
                "x": self._x(x1),
                "y": self._y(y1),
                "ax": self._x(x0),
                "ay": self._y(y0),
                "xref": f"x{self.n}",
                "yref": f"y{self.n}",
                "axref": f"x{self.n}",
                "ayref": f"y{self.n}",
                "text": "",
                "showarrow": True,
                "arrowhead": 2,
                "arrowsize": 1,
                "arrowwidth": self._px(wide),
                "arrowcolor": colour,
            }
        )

    def _shape(self, where: dict[str, Any], colour: str = "", dash: str = SOLID, fill: str = "") -> None:
        shape: dict[str, Any] = {"type": "rect" if fill else "line", **where}
        if fill:
            shape.update(fillcolor=fill, line={"width": 0}, layer="below")
        else:
            shape["line"] = {"color": colour, "dash": dash, "width": self._px(1.4)}
        self.board.below.setdefault("shapes", []).append(shape)

    def _trace(self, x: Iterable[float], y: Iterable[float], name: str) -> dict[str, Any]:
        trace: dict[str, Any] = {
            "type": "scatter",
            "x": self.xs(x),
            "y": self.ys(y),
            "xaxis": f"x{self.n}",
            "yaxis": f"y{self.n}",
            "showlegend": False,
        }
        trace.update({"name": name, "hoverinfo": "x+y+name"} if name else {"hoverinfo": "skip"})
        if name:
            trace["hoverlabel"] = {"namelength": -1}
            if self.board.keyed and name not in self.board.named:
                self.board.named.append(name)
                trace["showlegend"] = True
        return trace

    def _px(self, value: float) -> float:
        """A thickness that goes with the type."""
        return round(value * max(0.75, self.board.type_px / 13), 2)

    def _x(self, value: float) -> float:
        return rounded(value / self.x.size(self.board.units))

    def _y(self, value: float) -> float:
        return rounded(value / self.y.size(self.board.units))


def figures(values: Iterable[float], size: float) -> list[float | None]:
    """Values in the units shown, to six figures; NaN becomes a break."""
    return [None if v != v else rounded(v / size) for v in map(float, values)]


def rounded(value: float) -> float:
    """To six figures: more than any screen has, and short to write down."""
    return float(f"{value:.6g}") + 0.0
