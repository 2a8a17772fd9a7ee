"""The shape that a drawing gives to a load, invented from the points that the scenario knows.

A scenario says where the heads, the needed point, the centre of gravity and the pivot are, and nothing of what lies
between: the body drawn is the plainest one through them. Every point carries the weights with which the sides' u move
it: the load is rigid, so a point between the two heads moves with both.

The drawing is made twice from this, moving in the page (`assets/drawing*.js`) and standing still (`still.py`);
`tests/reports/views/test_script_mirrors_python.py` holds the two to each other.
"""

from __future__ import annotations

import math
from typing import Any

from sim.model.motion import motion_of
from sim.model.scenario import Lifter, Point, Scenario, Station

Weighted = dict[str, Any]  # {"at": [x, y, z], "w": [weight of each side's u]}
TIMES = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)  # how many times the drawing's scale a gap may be drawn
MOST_ROOM = 1.08  # of the largest thing to be drawn, what a magnified picture leaves room for


def body(scenario: Scenario) -> dict[str, list[Weighted]]:
    """The load's outlines: seen from its right side (the near one and, behind it, the far one) and from its end."""
    bottom = _bottom(scenario)
    first, last = bottom[0], bottom[-1]
    left, right = _across(scenario)
    top = _top(scenario, bottom)
    profile = [*bottom, (last[0], top), (first[0], top)]
    end = min((z for x, z in bottom if x >= last[0] - 0.35 * (last[0] - first[0])), default=last[1])
    corners = [(left, end), (right, end), (right, top), (left, top)]
    return {
        "near": [weighted(scenario, (x, right, z)) for x, z in profile],
        "far": [weighted(scenario, (x, left, z)) for x, z in profile],
        "end": [weighted(scenario, (_end_x(scenario), y, z)) for y, z in corners],
    }


def ghosts(scenario: Scenario) -> dict[str, list[tuple[str, int]]]:
    """The dashed outlines of each view: which of the outlines, and the number of the side that has come down."""
    sides = [x.side for x in scenario.lifters]
    far = "left" if len(sides) > 1 else None  # seen from the right
    return {
        "side": [("far" if side == far else "near", n) for n, side in enumerate(sides)],
        "end": [("end", n) for n in range(len(sides))],
    }


def weighted(scenario: Scenario, point: Point) -> Weighted:
    """A point of the load, and how much of each side's u moves it: by the lever rule, as the sides share the load."""
    lifters = scenario.lifters
    if len(lifters) == 1:
        return {"at": list(point), "w": [1.0]}
    a, b = lifters[0].head, lifters[1].head
    dx = 0.0 if scenario.load.motion == "hinged" else b[0] - a[0]
    dy = b[1] - a[1]
    square = dx * dx + dy * dy
    along = 0.5 if square < 1e-9 else ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / square
    return {"at": list(point), "w": [round(1 - along, 6), round(along, 6)]}


def head_of(scenario: Scenario, place: Lifter | Station) -> Weighted:
    """The head of a lifter or a station: it moves with its own side, or with the mean of both."""
    mine = [x for x in scenario.lifters if place.side in (x.side, "both")]
    return {"at": list(place.head), "w": [1 / len(mine) if x in mine else 0.0 for x in scenario.lifters]}


def tie_end(station: Station) -> Point | None:
    """Where the far end of a station's tie is: as written; or level with the foot, on the load's side of it."""
    if station.tie is None:
        return None
    if station.tie.anchor is not None:
        return station.tie.anchor
    dx, dy = station.head[0] - station.base[0], station.head[1] - station.base[1]
    across = math.hypot(dx, dy)
    if across < 1e-6:
        return None
    far = min(station.tie.length or 1.5 * across, 2.5 * across) / across
    return station.base[0] + dx * far, station.base[1] + dy * far, station.base[2]


def extent(scenario: Scenario, outlines: dict[str, list[Weighted]], most_u: float) -> dict[str, list[float]]:
    """What a drawing has to leave room for, from the ground to the load at its highest [m]."""
    motion = motion_of(scenario.load)
    stands: list[Lifter | Station] = [*scenario.lifters, *scenario.stations]
    still = [p for x in stands for p in (x.head, x.base)]
    still += [p for x in scenario.stations if (p := tie_end(x)) is not None] + [(0.0, 0.0, 0.0), scenario.need.point]
    if scenario.load.motion == "hinged":
        still.append((-scenario.load.pivot_height, 0.0, 0.0))
    outline = [tuple(p["at"]) for points in outlines.values() for p in points]
    all_of_them = still + outline + [motion.moved(p, most_u) for p in outline]
    if scenario.load.motion == "straight":
        all_of_them.remove((0.0, 0.0, 0.0))  # there is no pivot to leave room for
        all_of_them.append((scenario.lifters[0].base[0], scenario.lifters[0].base[1], 0.0))
    return {
        axis: [round(min(p[n] for p in all_of_them), 4), round(max(p[n] for p in all_of_them), 4)]
        for n, axis in enumerate("xyz")
    }


def _bottom(scenario: Scenario) -> list[tuple[float, float]]:
    """The underside, from behind the pivot to ahead of the foremost point: x and z."""
    lowest: dict[float, float] = {}
    for x, _, z in [*(lifter.head for lifter in scenario.lifters), scenario.need.point]:
        lowest[round(x, 2)] = min(z, lowest.get(round(x, 2), math.inf))
    if scenario.load.motion == "hinged":
        lowest.setdefault(0.0, scenario.load.pivot_height)
    line = sorted(lowest.items())
    reach = [p[0] for p in _points(scenario)]
    span = max(max(reach) - line[0][0], 0.4 * line[0][1], 0.4)
    left, right = _across(scenario)
    behind = 0.06 * max(span, left - right)
    if scenario.load.motion == "hinged":
        behind = max(1.2 * scenario.load.pivot_height, 0.08 * span)
    least = min(min(reach), line[0][0]) if scenario.load.motion == "straight" else line[0][0]
    ahead = max(max(reach), line[-1][0]) + max(0.05 * span, 0.5 * behind)
    return [(least - behind, line[0][1]), *line, (ahead, line[-1][1])]


def _top(scenario: Scenario, bottom: list[tuple[float, float]]) -> float:
    mean = sum(z for _, z in bottom) / len(bottom)
    tops = [p[2] for p in _points(scenario)] + [z for _, z in bottom]
    if scenario.load.weight_known:
        tops.append(scenario.load.cg[2] + 0.6 * max(0.0, scenario.load.cg[2] - mean))
    left, right = _across(scenario)
    return max(max(tops), mean + 0.18 * max(bottom[-1][0] - bottom[0][0], left - right))


def _across(scenario: Scenario) -> tuple[float, float]:
    """The load's left and right edges: y, the left one the larger."""
    ys = [p[1] for p in _points(scenario)]
    wide = max(ys) - min(ys)
    if wide < 0.05:
        wide = max(0.4, 0.3 * max(p[2] for p in _points(scenario)))
        return max(ys) + wide / 2, min(ys) - wide / 2
    return max(ys) + 0.02 * wide, min(ys) - 0.02 * wide


def _end_x(scenario: Scenario) -> float:
    """Which cut of the load the view from its end shows: the one through the lifters."""
    return sum(x.head[0] for x in scenario.lifters) / len(scenario.lifters)


def _points(scenario: Scenario) -> list[Point]:
    known = [scenario.load.cg] if scenario.load.weight_known else []
    heads = [*(x.head for x in scenario.lifters), *(x.head for x in scenario.stations)]
    return [*heads, scenario.need.point, *known]
