"""Figures and words on the drawing: how far along, across and up, and what each mark means."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from reports.sheet.marks import Marks, Spot, pair
from sim.model.devices.protocol import stands_alone
from sim.model.scenario import Lifter, Scenario, Station
from sim.model.sentences import spelled
from sim.model.units import Units, show

LETTER, ROWS = 2.1, 3  # how wide one is; of figures below one another
TOP, LOW = 13.0, 25.0  # above all; from the view from the side to the one from above
BOTH: tuple[Units, Units] = ("us", "si")


@dataclass(frozen=True)
class ViewFrame:
    """One of the three: which axes it shows, and where on the drawing."""

    name: str
    across: int  # the axis that goes to the right
    sign: float
    up: int  # the axis that goes up
    zero: Spot  # where the origin of the two axes is on the drawing
    scale: float  # of the drawing's units a metre

    def at(self, point: Sequence[float]) -> Spot:
        """A point on the drawing."""
        x, y = self.sign * point[self.across], point[self.up]
        return self.zero[0] + x * self.scale, self.zero[1] - y * self.scale


@dataclass
class DrawnView:
    """The drawing that is being made: the lift, its three views, the paper."""

    scenario: Scenario
    stands: list[Lifter | Station]
    top: Spot  # on the drawing, where the needed point comes to
    paper: Marks
    side: ViewFrame
    end: ViewFrame
    above: ViewFrame
    bounds: tuple[float, float, float, float]  # left and right of the view from the side, and of the one from the end


def dim(metres: float, units: Units) -> str:
    """A length beside the drawing: no zeros that say nothing, no tenths of a millimetre."""
    if units == "si":
        return f"{round(metres * 1e3):,} mm"
    figure, _, unit = show(metres, "length", units).rpartition(" ")
    return f"{figure.rstrip('0').rstrip('.') if '.' in figure else figure} {unit}"


def dims(word: str, metres: float) -> tuple[str, str]:
    """A word and its length, in either units."""
    us, si = (f"{word} {dim(metres, units)}".strip() for units in BOTH)
    return us, si


def write_dimensions(it: DrawnView) -> None:
    """Along the load from the hinge line, across it, and how high the point comes; each view's name."""
    names = (
        ("Side", it.side, it.bounds[0]),
        ("End", it.end, it.bounds[2]),
        ("Above", it.above, it.bounds[0]),
    )
    for name, view, x in names:
        y = TOP - 7 if view is not it.above else it.side.zero[1] + LOW - 2.6
        it.paper.text((x - 4, y), name, "start", bold=True)
    need = it.scenario.need
    x, y = it.top
    anchor = "end" if x > (it.bounds[0] + it.bounds[1]) / 2 else "start"
    it.paper.text((x, TOP - 2.2), dims("needed: up", need.rise), anchor)
    it.paper.line((x, y - 1), (x, TOP - 1.2), "lead")
    if it.scenario.load.motion == "hinged":
        _along(it)
    _across(it)
    _heights(it)
    _key(it)


def _along(it: DrawnView) -> None:
    """From the hinge line to what stands there, in a chain of its own below the ground."""
    marks = sorted({round(x, 4) for x in (*(s.head[0] for s in it.stands), it.scenario.need.point[0])})
    y, zero = it.side.zero[1] + 6.2, it.side.zero[0]
    ends = [zero - 6.0] * ROWS  # of the last figure in each row
    for x in [0.0, *marks]:
        at = it.side.at((x, 0.0, 0.0))[0]
        it.paper.line((at, y - 1.3), (at, y + 1.3), "ruler")
        room = LETTER * max(map(len, dims("", x)))
        row = next((n for n, end in enumerate(ends) if x == 0.0 or at - end > room), None)
        if row is not None:
            it.paper.text((at, y + 4.6 + 4.2 * row), dims("", x) if x else "hinge", "middle")
            ends[row] = at
    it.paper.line((zero, y), (it.side.at((max(marks), 0.0, 0.0))[0], y), "ruler")


def _across(it: DrawnView) -> None:
    """How far apart lifters and feet stand."""
    y = it.end.zero[1] + 6.2
    sides = {x.side: x for x in it.scenario.lifters}
    if len(sides) == 2:
        a, b = (it.end.at(sides[side].head)[0] for side in ("left", "right"))
        apart = abs(sides["left"].head[1] - sides["right"].head[1])
        it.paper.line((a, y), (b, y), "ruler")
        for at in (a, b):
            it.paper.line((at, y - 1.3), (at, y + 1.3), "ruler")
        it.paper.text(((a + b) / 2, y + 4.6), dims("lifters", apart), "middle")


def _heights(it: DrawnView) -> None:
    """How high the heads are, beside the view from the end."""
    x, last = it.bounds[3] + 2.5, math.inf
    for z in sorted({round(each.head[2], 4) for each in it.stands}):
        y = it.end.zero[1] - z * it.end.scale
        it.paper.line((x - 1.3, y), (x + 1.3, y), "ruler")
        if last - y > 3.8:
            it.paper.text((x + 2.2, y + 1.2), dims("", z), "start")
            last = y
    it.paper.line((x, it.end.zero[1]), (x, y), "ruler")


def _key(it: DrawnView) -> None:
    """What each mark means, where no view stands."""
    x, y = it.bounds[2], it.side.zero[1] + LOW + 3
    devices = {stands_alone(device) for each in it.scenario.stations for device in each.capture}
    rows = [("lifter", "a lifter: a ram with its pump")]
    rows += [("strut", "what follows the load")] if False in devices else []
    rows += [("tie", "a tie")] if any(each.tie for each in it.scenario.stations) else []
    rows += [("then", "the load where the need is reached")]
    if True in devices:
        it.paper.parts.append(
            f'<rect class="crib" x="{x:.1f}" y="{y - 2.4:.1f}" width="7" height="3" fill="url(#timber)"/>'
        )
        it.paper.text((x + 9.5, y + 0.3), "cribbing", "start")
        y += 5.4
    for kind, words in rows:
        it.paper.line((x, y - 1), (x + 7, y - 1), kind)
        it.paper.text((x + 9.5, y + 0.3), words, "start")
        y += 5.4
    write_point(it.paper, (x + 3.5, y - 1))
    it.paper.text((x + 9.5, y + 0.3), "the point that has to come up", "start")
    if it.scenario.load.weight_known:
        write_centre_of_gravity(it.paper, (x + 3.5, y + 4.4))
        it.paper.text((x + 9.5, y + 5.7), pair(spelled("the centre of gravity", u) for u in BOTH), "start")


def write_centre_of_gravity(paper: Marks, at: Spot) -> None:
    """Its mark, in a view and in the key: a circle, two quarters of it full."""
    x, y = at
    paper.parts.append(
        f'<circle class="cg" cx="{x:.2f}" cy="{y:.2f}" r="1.9"/><path class="cg full" d="M{x:.2f} {y:.2f}v-1.9'
        f'a1.9 1.9 0 0 1 1.9 1.9ZM{x:.2f} {y:.2f}v1.9a1.9 1.9 0 0 1 -1.9 -1.9Z"/>'
    )


def write_point(paper: Marks, at: Spot) -> None:
    """The mark of the point that has to come up, in a view and in the key."""
    paper.parts.append(f'<circle class="need" cx="{at[0]:.2f}" cy="{at[1]:.2f}" r="1"/>')
