"""The view from above on a printed sheet: what pushes sideways at feet and pivot, at rest and at its worst.

Arrows are to one scale: full at the worst instant, dashed at rest. Beside each stands the friction that it needs.
"""

from __future__ import annotations

from reports.sheet.marks import FONT, Marks, Spot
from reports.views.from_above import LaidOut, laid_out
from reports.words.plain import NOT_KNOWN
from reports.words.sheet import friction_needed, friction_said
from sim.check.sideways.bearings import Bearing, over_the_need
from sim.model.scenario import Scenario
from sim.model.units import Units, show_up

HEADS = (
    "where it bears", "push, worst", "friction it needs", "push at rest", "friction at rest",
    "what holds it, in the file",
)  # fmt: skip
HIGH = 74.0  # of the picture [mm]
EDGE = 30.0  # kept free around what is drawn, for arrows and words [mm]
LONGEST = 22.0  # arrow [mm]


def above(scenario: Scenario, wide: float) -> str:
    """The picture, an SVG element as wide as that [mm]."""
    found = over_the_need(scenario)
    paper = Marks(scenario.units)
    laid = laid_out(scenario, found.bearings, wide, HIGH, EDGE)
    _load(paper, laid)
    for n, bearing in enumerate(found.bearings, 1):
        _bearing(paper, n, bearing, laid.on(bearing.at), LONGEST / found.most if found.most else 0.0)
    size = f'width="{wide:.1f}mm" height="{HIGH:.1f}mm" viewBox="0 0 {wide:.1f} {HIGH:.1f}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="view" {size} role="img" font-size="{FONT}">'
        f"<title>From above: what pushes sideways</title>{''.join(paper.parts)}</svg>"
    )


def _load(paper: Marks, laid: LaidOut) -> None:
    """The load's outline through its heads, and the line that it turns about."""
    x, y, wide, high = laid.load(2.0, 4.0)
    paper.parts.append(f'<rect class="load" x="{x:.2f}" y="{y:.2f}" width="{wide:.2f}" height="{high:.2f}"/>')
    if laid.hinge is not None:
        paper.line((laid.hinge, y - 3.0), (laid.hinge, y + high + 3.0), "need")
        paper.text((laid.hinge, y - 4.2), "pivot", "middle")


def _bearing(paper: Marks, number: int, bearing: Bearing, at: Spot, mm_a_newton: float) -> None:
    """A numbered mark, its push at rest and at its worst, and the friction that it needs then."""
    for kind, n in (("force lost", 0), ("force", bearing.worst)):
        end = at[0] + float(bearing.along[n]) * mm_a_newton, at[1] - float(bearing.across[n]) * mm_a_newton
        paper.arrow(at, end, kind)
    paper.parts.append(f'<circle class="pivot" cx="{at[0]:.2f}" cy="{at[1]:.2f}" r="1.9"/>')
    paper.text((at[0], at[1] + 0.9), str(number), "middle", bold=True)
    outward = -1 if bearing.at[1] < 0 else 1
    beside = at[1] - outward * 3.4 + 0.9
    if bearing.name.startswith("pivot"):  # clear of the line that the load turns about
        paper.text((at[0] + 3.0, beside), friction_said(bearing, bearing.worst), "start")
    else:
        paper.text((at[0], beside), friction_said(bearing, bearing.worst), "middle")


def rows(scenario: Scenario, units: Units) -> list[list[str]]:
    """A row a contact: its number and name, push and friction at its worst and at rest, and what holds it."""
    found = over_the_need(scenario)
    return [
        [
            f"{n} {each.name}",
            show_up(each.push(each.worst), "force", units), friction_needed(each, each.worst),
            show_up(each.push(0), "force", units), friction_needed(each, 0),
            held(scenario, each, units),
        ]
        for n, each in enumerate(found.bearings, 1)
    ]  # fmt: skip


def held(scenario: Scenario, bearing: Bearing, units: Units) -> str:
    """What the file says holds it."""
    if bearing.name.startswith("pivot"):
        pivot = scenario.pivot
        said = [] if pivot.held is None else [pivot.held.replace("-", " ")]
        said += [] if pivot.holds is None else [show_up(pivot.holds, "force", units)]
        said += _grip(pivot.friction)
        return ", ".join(said) or NOT_KNOWN
    lifter = next(x for x in scenario.lifters if bearing.name.startswith(f"{x.name}, "))
    said = [] if lifter.tie is None else [f"a tie to the {lifter.tie.to}"]
    return ", ".join(said + _grip(lifter.friction)) or NOT_KNOWN


def _grip(friction: tuple[float, float] | None) -> list[str]:
    return [] if friction is None else [f"friction {friction[0]:g} to {friction[1]:g}"]


def chock_words(scenario: Scenario) -> str:
    """Where something has to hold the pivot, in a sentence; empty where nothing pushes it."""
    found = over_the_need(scenario)
    if not found.chocks:
        return ""
    where = " and ".join({"ahead": "ahead of it", "behind": "behind it"}[way] for way in found.chocks)
    return f"The lifters push the pivot: chock it {where}."
