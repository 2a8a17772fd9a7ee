"""The load from the side, from its end and from above, to one scale, with what can be moved: one drawing, three views.

The view from above stands below the one from the side, so that what is above one another is the same; the one from the
end beside it, at the same heights. What stands where comes from the scenario, the outline from `views.shape`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from reports.desk.look.dimensions import (
    LOW,
    TOP,
    DrawnView,
    ViewFrame,
    write_centre_of_gravity,
    write_dimensions,
    write_point,
)
from reports.sheet.marks import HATCHES, Marks, Spot
from reports.views import shape
from sim.model.devices.protocol import stands_alone
from sim.model.motion import motion_of
from sim.model.scenario import Lifter, Point, Scenario, Station
from sim.model.visible import visible

WIDE, HIGH = 250.0, 152.0  # of the whole drawing, in its own units
LEFT, GAP = 15.0, 20.0  # left of all; from the view from the side to the one from the end
END = 20.0  # right of all and below all
TEXT = 3.7
MOST_HANDLES = 60
PILE = 0.3  # half of how wide a pile is drawn [m]


def draw(scenario: Scenario, movable: frozenset[tuple[str, str]] = frozenset()) -> str:
    """The drawing as an SVG element.

    Parameters
    ----------
    scenario : Scenario
        The lift.
    movable : set of (name, "head" or "base")
        What can be moved.

    Returns
    -------
    str
        SVG; its figures turn with the page's switch of units.
    """
    return Drawing(scenario, movable).drawn()


class Drawing:
    """The drawing being made."""

    def __init__(self, scenario: Scenario, movable: frozenset[tuple[str, str]]) -> None:
        self.scenario, self.movable = scenario, movable
        self.motion = motion_of(scenario.load)
        self.u = self.motion.u_for_rise(scenario.need.point, scenario.need.rise)
        self.body = {n: [tuple(p["at"]) for p in points] for n, points in shape.body(scenario).items()}
        self.stands: list[Lifter | Station] = [*scenario.lifters, *scenario.stations]
        self.paper = Marks(scenario.units)
        self.side, self.end, self.above = self._views()

    def drawn(self) -> str:
        """All of it, what lies behind first."""
        views = (self.side, self.end, self.above)
        top = self.side.at(self.motion.moved(self.scenario.need.point, self.u))
        for view in views:
            self._ground(view)
            self._load(view)
            for each in self.stands:
                self._tie(view, each)
            for each in self.stands:
                self._place(view, each)
            self._points(view)
        write_dimensions(
            DrawnView(self.scenario, self.stands, top, self.paper, self.side, self.end, self.above, self.bounds)
        )
        handles = [self._handle(v, p, e) for v in views for p in self._shown(v) for e in ENDS]
        words = self._words()
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="three" viewBox="0 0 {WIDE:g} {self.high:.1f}" '
            f'role="group" aria-label="{escape(visible(words), quote=True)}" font-size="{TEXT}">'
            f"{HATCHES}{''.join([*self.paper.parts, *handles[:MOST_HANDLES]])}</svg>"
        )

    # --- where things are

    def _views(self) -> tuple[ViewFrame, ViewFrame, ViewFrame]:
        """The three views at the largest scale at which all have room."""
        points: list[Sequence[float]] = [p for outline in self.body.values() for p in outline]
        points += [self.motion.moved((p[0], p[1], p[2]), self.u) for p in list(points)]
        points += [p for each in self.stands for p in (each.head, each.base)]
        points += [p for x in self.scenario.stations if (p := shape.tie_end(x)) is not None]
        piles = [x for x in self.scenario.stations if any(stands_alone(device) for device in x.capture)]
        points += [(x.head[0] + i * PILE, x.head[1] + i * PILE, 0.0) for x in piles for i in (-1, 1)]
        low = [min(p[axis] for p in points) for axis in range(3)]
        top = [max(p[axis] for p in points) for axis in range(3)]
        low[2] = min(0.0, low[2])
        long, wide, high = (max(0.1, b - a) for a, b in zip(low, top, strict=True))
        across, up = WIDE - LEFT - GAP - END, HIGH - TOP - LOW - 8
        scale = min(across / (long + wide), up / (high + wide))
        left = LEFT + (across - scale * (long + wide)) / 2
        floor = TOP + top[2] * scale
        middle = TOP + (high + wide) * scale + LOW
        self.high = middle + 6
        end_x = left + long * scale + GAP + top[1] * scale
        self.bounds = (left, left + long * scale, end_x - top[1] * scale, end_x - low[1] * scale)
        return (
            ViewFrame("side", 0, 1.0, 2, (left - low[0] * scale, floor), scale),
            ViewFrame("end", 1, -1.0, 2, (end_x, floor), scale),
            ViewFrame("above", 0, 1.0, 1, (left - low[0] * scale, middle + low[1] * scale), scale),
        )

    def _shown(self, view: ViewFrame) -> list[Lifter | Station]:
        """Those that can be taken hold of in a view: of several in one line of sight the nearest."""
        if view.name != "side":
            return self.stands
        seen: dict[tuple[float, ...], Lifter | Station] = {}
        for each in sorted(self.stands, key=lambda x: x.head[1]):
            key = tuple(round(x, 1) for p in (each.head, each.base) for x in view.at(p))
            seen.setdefault(key, each)
        return list(seen.values())

    # --- what is drawn

    def _ground(self, view: ViewFrame) -> None:
        if view.name == "above":
            return
        left, right = self.bounds[:2] if view.name == "side" else self.bounds[2:]
        y = view.zero[1]
        self.paper.parts.append(
            f'<rect x="{left - 5:.2f}" y="{y:.2f}" width="{right - left + 10:.2f}" height="2.2" fill="url(#soil)"/>'
        )
        self.paper.line((left - 5, y), (right + 5, y), "ground")

    def _load(self, view: ViewFrame) -> None:
        """Its outline now, and dashed where the need is reached."""
        if view.name == "above":
            near, far = self.body["near"], self.body["far"]
            xs = [p[0] for p in near]
            corners = [(min(xs), near[0][1]), (max(xs), near[0][1]), (max(xs), far[0][1]), (min(xs), far[0][1])]
            self._outline(view, [(x, y, 0.0) for x, y in corners], "load")
            return
        outline = self.body["near" if view.name == "side" else "end"]
        self._outline(view, outline, "load")
        self._outline(view, [self.motion.moved((p[0], p[1], p[2]), self.u) for p in outline], "load then")

    def _outline(self, view: ViewFrame, points: Sequence[Sequence[float]], kind: str) -> None:
        path = " ".join("{:.2f},{:.2f}".format(*view.at(p)) for p in points)
        self.paper.parts.append(f'<polygon class="{kind}" points="{path}"/>')

    def _place(self, view: ViewFrame, each: Lifter | Station) -> None:
        """A lifter or a station from foot to head; a crib as a pile."""
        foot, head = view.at(each.base), view.at(each.head)
        lifter = isinstance(each, Lifter)
        name = escape(visible(each.name), quote=True)
        pile = not lifter and any(stands_alone(device) for device in each.capture)
        self.paper.parts.append(f'<g data-part="{name}">')
        if pile:
            self._pile(view, foot, head)
        if not pile or len(each.capture) > 1:
            self.paper.line(foot, head, "lifter" if lifter else "strut")
        half = 2.4
        if view.name == "above":
            self.paper.parts.append(
                f'<rect class="foot" x="{foot[0] - half / 2:.2f}" y="{foot[1] - half / 2:.2f}" '
                f'width="{half}" height="{half}"/>'
            )
        else:
            self.paper.line((foot[0] - half, foot[1]), (foot[0] + half, foot[1]), "foot")
        self.paper.parts.append("</g>")

    def _pile(self, view: ViewFrame, foot: Spot, head: Spot) -> None:
        half = PILE * view.scale
        high = half * 2 if view.name == "above" else max(0.5, foot[1] - head[1])
        top = head[1] - half if view.name == "above" else head[1]
        self.paper.parts.append(
            f'<rect class="crib" x="{head[0] - half:.2f}" y="{top:.2f}" width="{2 * half:.2f}" height="{high:.2f}" '
            f'fill="url(#timber)"/>'
        )

    def _tie(self, view: ViewFrame, each: Lifter | Station) -> None:
        end = shape.tie_end(each) if isinstance(each, Station) else None
        if end is not None:
            a, b = view.at(each.base), view.at(end)
            lift = 0.0 if view.name == "above" else 0.9
            self.paper.line((a[0], a[1] - lift), (b[0], b[1] - lift), "tie")

    def _points(self, view: ViewFrame) -> None:
        """The hinge line, the centre of gravity, the point that has to rise."""
        load, need = self.scenario.load, self.scenario.need
        if load.motion == "hinged" and view.name != "end":
            x, y = view.at((0.0, 0.0, load.pivot_height))
            if view.name == "side":
                low = view.zero[1]
                self.paper.parts.append(f'<path class="pivot" d="M{x:.2f} {y:.2f}L{x - 2.4:.2f} {low:.2f}h4.8Z"/>')
                self.paper.parts.append(f'<circle class="pivot" cx="{x:.2f}" cy="{y:.2f}" r="1.4"/>')
            else:
                ys = [view.at(p)[1] for p in (self.body["near"][0], self.body["far"][0])]
                self.paper.line((x, min(ys) - 3), (x, max(ys) + 3), "hinge")
        if load.weight_known:
            write_centre_of_gravity(self.paper, view.at(load.cg))
        start = view.at(need.point)
        write_point(self.paper, start)
        if view.name != "above":
            self.paper.arrow(start, view.at(self.motion.moved(need.point, self.u)), "need")

    # --- what can be taken hold of

    def _handle(self, view: ViewFrame, each: Lifter | Station, end: str) -> str:
        """What can be taken hold of: by pointer, and by keyboard in the view from above and from the side."""
        if (each.name, end) not in self.movable:
            return ""
        point: Point = each.head if end == "head" else each.base
        x, y = view.at(point)
        name = escape(visible(each.name), quote=True)
        where = f"{name}, {'head' if end == 'head' else 'foot'}, from {_FROM[view.name]}: arrow keys move it"
        return (
            f'<g class="handle" tabindex="0" role="button" aria-label="{where}" data-place="{name}" '
            f'data-end="{end}" data-view="{view.name}" data-scale="{view.scale:.5f}">'
            f'<circle class="hold" cx="{x:.2f}" cy="{y:.2f}" r="4.2"/>'
            f'<circle class="knob" cx="{x:.2f}" cy="{y:.2f}" r="1.9"/></g>'
        )

    def _words(self) -> str:
        """The drawing in words."""
        lifters = ", ".join(x.name for x in self.scenario.lifters)
        stations = ", ".join(x.name for x in self.scenario.stations) or "nothing"
        return f"The load from the side, the end and above. Lifters: {lifters}. What follows it: {stations}."


ENDS = ("head", "base")
_FROM = {"side": "the side", "end": "the end", "above": "above"}


@dataclass(frozen=True)
class Pull:
    """A head or a foot that is moved in a view, so far to the right and up [m]."""

    place: str
    end: str
    view: str
    right: float
    up: float
    fine: bool = False

    def moved(self, point: Point) -> Point:
        """Where a point comes to."""
        x, y, z = point
        if self.view == "side":
            return x + self.right, y, z + self.up
        if self.view == "end":
            return x, y - self.right, z + self.up
        return x + self.right, y + self.up, z
