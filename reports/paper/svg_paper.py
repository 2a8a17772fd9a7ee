"""A sheet of SVG to draw on from Python: shapes, lines and texts, and texts cut to the room there is."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from html import escape

from reports.paper.palette import LIGHT
from sim.model.visible import visible


class Paper:
    """What has been drawn so far, in order."""

    def __init__(self) -> None:
        self.parts: list[str] = []

    def shape(self, tag: str, kind: str, **attributes: object) -> None:
        """Any element; `kind` is its class, and an underscore in a name stands for a hyphen."""
        written = "".join(f' {k.replace("_", "-")}="{_number(v)}"' for k, v in attributes.items())
        self.parts.append(f'<{tag} class="{kind}"{written}/>')

    def line(self, a: Sequence[float], b: Sequence[float], stroke: str, wide: float, dashes: str = "none") -> None:
        """From one point to another."""
        ends = {"x1": a[0], "y1": a[1], "x2": b[0], "y2": b[1]}
        self.shape("line", "line", **ends, stroke=stroke, stroke_width=wide, stroke_dasharray=dashes)

    def text(self, x: float, y: float, text: str, size: int, bold: bool = False, anchor: str = "start") -> None:
        """Words, in ink."""
        weight = ' font-weight="700"' if bold else ""
        where = f'x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}"'
        self.parts.append(f'<text {where}{weight} fill="{LIGHT["ink"]}">{escape(visible(text))}</text>')

    def document(self, width: int, height: int, title: str) -> str:
        """The whole, on white."""
        size = f'width="{width}" height="{height}" viewBox="0 0 {width} {height}"'
        head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" font-family="sans-serif">'
        ground = '<rect width="100%" height="100%" fill="#ffffff"/>'
        return f"{head}<title>{escape(visible(title))}</title>{ground}{''.join(self.parts)}</svg>"


def spread(wanted: list[float], low: float, high: float, apart: float) -> list[float]:
    """Places as near as can be to those wanted (in rising order), `apart` from each other, between low and high."""
    groups: list[list[float]] = []  # of what stands side by side: its first place, summed, and how many
    for n, place in enumerate(wanted):
        groups.append([place - n * apart, 1.0])
        while len(groups) > 1 and groups[-2][0] / groups[-2][1] > groups[-1][0] / groups[-1][1]:
            total, count = groups.pop()
            groups[-1][0] += total
            groups[-1][1] += count
    firsts = [total / count for total, count in groups for _ in range(int(count))]
    most = high - (len(wanted) - 1) * apart
    return [min(max(first, low), most) + n * apart for n, first in enumerate(firsts)]


def cut(text: str, room: float, size: float) -> str:
    """As much of a text as fits, measured generously: there is no browser here to measure it."""
    used = 0.0
    for n, letter in enumerate(text):
        used += size * (1.02 if unicodedata.east_asian_width(letter) in "WF" else 0.6)
        if used > room:
            return text[: max(1, n - 1)] + "…"
    return text


def _number(value: object) -> str:
    return f"{value:.2f}" if isinstance(value, float) else escape(str(value))
