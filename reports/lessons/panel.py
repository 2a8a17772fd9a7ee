"""One panel of a board: lines, dots, bars, levels and notes, put on it in SI.

Nothing is told apart by colour alone: every line has a dash or a symbol of its own, every filled thing a hatch.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from sim.lessons import Computed
from sim.lessons.lesson import Printed
from sim.model.units import SHOWN, Units

Box = tuple[float, float, float, float]  # left, right, bottom, top: shares of the board
WHOLE: Box = (0, 1, 0, 1)
SMALLEST_PX = 10.7  # type on a picture: 8 points on paper
SOLID, DASH, DOT, DASHDOT, LONGDASH = "solid", "dash", "dot", "dashdot", "longdash"


@dataclass(frozen=True)
class Axis:
    """One side of a panel."""

    title: str = ""
    dimension: str = ""  # a key of `sim.model.units.SHOWN`; "": a plain number
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
class DrawnSoFar:
    """What has been drawn of a picture so far; a panel puts its own on it."""

    computed: Computed  # what it is a picture of
    units: Units
    type_px: float  # size of the type
    margin: tuple[float, float, float, float]  # left, right, top, bottom, in type sizes
    keyed: bool = False  # whether a key under the picture says what each named line or mark is
    data: list[dict[str, Any]] = field(default_factory=list)
    below: dict[str, Any] = field(default_factory=dict)
    named: list[str] = field(default_factory=list)

    @property
    def facts(self) -> dict[str, float]:
        """The figures of the lesson [SI]."""
        return self.computed.facts

    @property
    def tables(self) -> dict[str, pd.DataFrame]:
        """Its tables [SI]."""
        return self.computed.tables

    @property
    def f(self) -> Printed:
        """Figures in words."""
        return Printed(self.units)

    def sized(self, share: float) -> float:
        """Type of this share of the usual size, never too small to read on paper [px]."""
        return max(round(self.type_px * share, 1), SMALLEST_PX)

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
            "font": {"size": self.sized(share), "color": colour},
            "align": anchor[0],
            "yshift": round(lift * self.type_px, 1),
            "xshift": round(shift * self.type_px, 1),
        }
        if plate:
            note.update(bgcolor="$paper", borderpad=1)
        self.below.setdefault("annotations", []).append(note)


@dataclass
class Panel:
    """One panel of a board; what is put on it is in SI."""

    board: DrawnSoFar
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
    ) -> None:
        """A line; NaN breaks it. `fill` is a colour down to zero, `hatch` its pattern."""
        trace: dict[str, Any] = self._trace(x, y, name)
        trace.update(
            mode="lines+markers" if symbol else "lines", line={"color": colour, "dash": dash, "width": self._px(wide)}
        )
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
                trace["fillpattern"] = self._hatch(hatch, colour, fill, 7, 0.25)
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
        marker = {"color": "$paper" if hatch else colour, "line": {"color": colour, "width": self._px(1.2)}}
        if hatch:
            marker["pattern"] = self._hatch(hatch, colour, "$paper", 6, 0.4)
        trace.update(type="bar", orientation="h" if flat else "v", marker=marker)
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
                textfont={"size": self.board.sized(0.95), "color": "$ink"},
            )
        self.board.data.append(trace)

    def level(self, y: float, colour: str = "$ink", dash: str = DASH, text: str = "") -> None:
        """A level line right across, with its name."""
        self._shape(self._across(y, y), colour, dash)
        if text:
            place, refs = (0.995, self._y(y)), (f"x{self.n} domain", f"y{self.n}")
            self.board.write(text, *place, ("right", "bottom"), 0.1, colour=colour, share=0.9, refs=refs)

    def upright(
        self, x: float, colour: str = "$ink", dash: str = DASH, text: str = "", side: str = "left", at: float = 1.0
    ) -> None:
        """An upright line from bottom to top, with its name beside it at a share `at` of the height."""
        self._shape(self._upwards(x, x), colour, dash)
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

    def band(self, low: float, high: float) -> None:
        """A band between two heights, right across, behind everything."""
        self._shape(self._across(low, high), fill="$band")

    def stretch(self, begin: float, end: float) -> None:
        """A stretch from one place along to another, from bottom to top, behind everything."""
        self._shape(self._upwards(begin, end), fill="$band")

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

    def corner(self, text: str, x: float, y: float, anchor: tuple[str, str], colour: str = "$ink") -> None:
        """A text at a share of the panel."""
        refs = (f"x{self.n} domain", f"y{self.n} domain")
        self.board.write(text, x, y, anchor, 0, 0, colour=colour, share=0.9, refs=refs)

    def arrow(self, x0: float, y0: float, x1: float, y1: float, colour: str, wide: float = 3.0) -> None:
        """An arrow from one place to another."""
        self.board.below.setdefault("annotations", []).append(
            {
                "x": self._x(x1), "y": self._y(y1), "ax": self._x(x0), "ay": self._y(y0),
                "xref": f"x{self.n}", "yref": f"y{self.n}", "axref": f"x{self.n}", "ayref": f"y{self.n}",
                "text": "", "showarrow": True, "arrowhead": 2, "arrowsize": 1, "arrowwidth": self._px(wide),
                "arrowcolor": colour,
            }
        )  # fmt: skip

    def _across(self, low: float, high: float) -> dict[str, Any]:
        """From one height to another, over the whole width."""
        x, y = f"x{self.n} domain", f"y{self.n}"
        return {"x0": 0, "x1": 1, "xref": x, "y0": self._y(low), "y1": self._y(high), "yref": y}

    def _upwards(self, begin: float, end: float) -> dict[str, Any]:
        """From one place along to another, over the whole height."""
        x, y = f"x{self.n}", f"y{self.n} domain"
        return {"x0": self._x(begin), "x1": self._x(end), "xref": x, "y0": 0, "y1": 1, "yref": y}

    def _hatch(self, shape: str, colour: str, behind: str, px: float, solidity: float) -> dict[str, Any]:
        return {"shape": shape, "fgcolor": colour, "bgcolor": behind, "size": self._px(px), "solidity": solidity}

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
    """A number to six figures: more than any screen has, and short to write down."""
    return float(f"{value:.6g}") + 0.0
