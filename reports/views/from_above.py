"""The lift from above in a report: what pushes feet and pivot sideways at the instant that the slider shows.

The picture is drawn here, the arrows are moved by `from_above.js` along what is worked out here: how far each reaches
at several u; the drawing says where u is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from html import escape
from typing import Any

import numpy as np

from reports.words.sheet import friction_said
from sim.check.sideways.bearings import Bearing, from_above
from sim.model.scenario import Scenario
from sim.model.visible import visible
from sim.record.measured import Measured
from sim.record.record import Record

WIDE, HIGH = 900.0, 330.0  # of the picture, in its own units
EDGE, LONGEST = 130.0, 100.0  # kept free around it; the longest arrow
Spot = tuple[float, float]  # on a page
STEPS = 41  # at so many u is worked out how far the arrows reach


@dataclass(frozen=True, slots=True)
class LaidOut:
    """The lift from above on a page, in the page's units: the load's x to the right, its y up."""

    scale: float
    left: float  # of the load [m],
    top: float
    x0: float  # and where that is on the page
    y0: float
    outline: tuple[Spot, ...]  # what the load reaches to, on the page
    hinge: float | None  # x of the line that it turns about, if it does

    def on(self, spot: Sequence[float]) -> Spot:
        """A point of the load's plan [m] on the page."""
        return self.x0 + (spot[0] - self.left) * self.scale, self.y0 + (self.top - spot[1]) * self.scale

    def load(self, margin: float, least: float) -> tuple[float, float, float, float]:
        """The load as a box through its heads and its pivot, so much wider across: x, y, width and height."""
        xs, ys = [x for x, _ in self.outline], [y for _, y in self.outline]
        xs += [] if self.hinge is None else [self.hinge]
        return min(xs), min(ys) - margin, max(max(xs) - min(xs), least), max(ys) - min(ys) + 2 * margin


def laid_out(scenario: Scenario, bearings: Sequence[Bearing], wide: float, high: float, edge: float) -> LaidOut:
    """Everything in the middle of a page of that size, as large as an edge for arrows and words allows."""
    outline = [(p[0], p[1]) for p in (*(x.head for x in scenario.lifters), scenario.need.point)]
    spots = outline + [b.at for b in bearings]
    (left, right), (low, top) = ((min(s[n] for s in spots), max(s[n] for s in spots)) for n in (0, 1))
    scale = min((wide - 2 * edge) / max(0.3, right - left), (high - edge) / max(0.3, top - low))
    x0, y0 = (wide - (right - left) * scale) / 2, (high - (top - low) * scale) / 2
    bare = LaidOut(scale, left, top, x0, y0, (), None)
    hinge = bare.on((0.0, 0.0))[0] if scenario.load.motion == "hinged" else None
    return replace(bare, outline=tuple(bare.on(each) for each in outline), hinge=hinge)


def picture(record: Record) -> tuple[str, dict[str, Any]]:
    """The SVG, and what the script moves its arrows by."""
    scenario, lift = record.scenario, Measured(record)
    top = sum(float(s.after.max()) for s in lift.sides.values()) / len(lift.sides)
    found = from_above(scenario, max(top, 1e-6))
    at = np.linspace(0, len(found.u) - 1, STEPS).round().astype(int)
    laid = laid_out(scenario, found.bearings, WIDE, HIGH, EDGE)
    reach = LONGEST / found.most if found.most else 0.0
    drawn = _outline(laid.load(8, 12), laid.hinge)
    drawn += [_contact(n, b, laid.on(b.at), reach) for n, b in enumerate(found.bearings, 1)]
    words = "From above: how the load pushes feet and pivot sideways"
    svg = f'<svg viewBox="0 0 {WIDE:g} {HIGH:g}" class="above" role="img" aria-label="{words}">{"".join(drawn)}</svg>'
    data = {
        "u": found.u[at].round(9).tolist(),
        "contacts": [
            {
                "along": (b.along[at] * reach).round(3).tolist(), "across": (-b.across[at] * reach).round(3).tolist(),
                "needs": [friction_said(b, n) for n in at],
            }
            for b in found.bearings
        ],
    }  # fmt: skip
    return svg, data


def _outline(load: tuple[float, float, float, float], hinge: float | None) -> list[str]:
    """The load through its heads, and the line that it turns about."""
    x, y, wide, high = load
    drawn = [f'<rect class="load" x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{high:.1f}"/>']
    if hinge is not None:
        drawn.append(f'<path class="hinge" d="M{hinge:.1f} {y - 12:.1f}V{y + high + 12:.1f}"/>')
        drawn.append(f'<text x="{hinge:.1f}" y="{y - 18:.1f}" text-anchor="middle">pivot</text>')
    return drawn


def _contact(number: int, bearing: Bearing, at: tuple[float, float], reach: float) -> str:
    """A numbered mark, dashed how far its push reaches at the worst, and an arrow and words for the script."""
    worst, (x, y) = bearing.worst, (round(at[0], 1), round(at[1], 1))
    ends = x + float(bearing.along[worst]) * reach, y - float(bearing.across[worst]) * reach
    beside = y - 16 if bearing.at[1] >= 0 else y + 26
    name = escape(visible(bearing.name))
    at_pivot = bearing.name.startswith("pivot")  # whose words stand clear of the line that the load turns about
    where = f'x="{x + 14}" text-anchor="start"' if at_pivot else f'x="{x}" text-anchor="middle"'
    return (
        f'<g data-contact="{number - 1}" data-x="{x}" data-y="{y}"><title>{name}</title>'
        f'<path class="worst" d="M{x} {y}L{ends[0]:.1f} {ends[1]:.1f}"/>'
        f'<path class="push" d="M{x} {y}"/><path class="tip" d=""/><circle cx="{x}" cy="{y}" r="9"/>'
        f'<text x="{x}" y="{y + 4.5:.1f}" text-anchor="middle" class="number">{number}</text>'
        f'<text {where} y="{beside:.1f}" class="needs"></text></g>'
    )
