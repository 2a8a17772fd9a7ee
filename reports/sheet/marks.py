"""Marks on the paper of a view, in millimetres: lines, arrows, words, hatches. `sheet.css` gives them their ink."""

from __future__ import annotations

import math
from collections.abc import Iterable
from html import escape

from reports.words.sheet import figure
from sim.model.units import Units
from sim.model.visible import visible

FONT = 2.55  # [mm]
TIP = 1.8  # an arrow's head [mm]
Spot = tuple[float, float]
HATCHES = (
    '<defs><pattern id="soil" width="2.4" height="2.4" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<line class="hatch" x1="0" y1="0" x2="0" y2="2.4"/></pattern>'
    '<pattern id="timber" width="1.6" height="1.6" patternUnits="userSpaceOnUse" patternTransform="rotate(-30)">'
    '<line class="hatch" x1="0" y1="0" x2="0" y2="1.6"/></pattern></defs>'
)


class Marks:
    """What has been drawn so far, in order."""

    def __init__(self, units: Units) -> None:
        self.units = units
        self.parts: list[str] = []

    def line(self, a: Spot, b: Spot, kind: str) -> None:
        """From one point to another; `kind` is its class."""
        self.parts.append(f'<line class="{kind}" x1="{a[0]:.2f}" y1="{a[1]:.2f}" x2="{b[0]:.2f}" y2="{b[1]:.2f}"/>')

    def arrow(self, a: Spot, b: Spot, kind: str) -> None:
        """With its head drawn out: a marker would not take the colour of its line everywhere."""
        length = math.dist(a, b)
        if not length > 0.3:
            return
        ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
        tip = min(TIP, length * 0.7)
        back = (b[0] - ux * tip, b[1] - uy * tip)
        self.line(a, back, kind)
        wings = " ".join(f"{back[0] + s * uy * 0.8:.2f},{back[1] - s * ux * 0.8:.2f}" for s in (1, -1))
        self.parts.append(f'<polygon class="{kind} tip" points="{b[0]:.2f},{b[1]:.2f} {wings}"/>')

    def text(self, at: Spot, text: str | tuple[str, str], anchor: str, bold: bool = False) -> None:
        """Words; of a pair the one in the sheet's units, and the page's switch turns it into the other."""
        where = f'x="{at[0]:.2f}" y="{at[1]:.2f}" text-anchor="{anchor}"' + (' class="who"' if bold else "")
        if isinstance(text, str):
            self.parts.append(f"<text {where}>{escape(visible(text))}</text>")
            return
        us, si = (escape(visible(each), quote=True) for each in text)
        shown = si if self.units == "si" else us
        self.parts.append(f'<text {where} data-us="{us}" data-si="{si}">{shown}</text>')


def pair(texts: Iterable[str]) -> tuple[str, str]:
    """A text in the one units and in the other."""
    us, si = texts
    return us, si


def figures(word: str, value: float, dimension: str) -> tuple[str, str]:
    """A word and its figure, in the one units and in the other."""
    both: tuple[Units, Units] = ("us", "si")
    return pair(f"{word} {figure(value, dimension, units)}" for units in both)
