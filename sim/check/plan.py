"""What to lift, and no more: from the rise that is needed to pumps and calls, line by line, to follow with a pencil."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from sim.check.course import Course
from sim.check.lifters import stroke_travel
from sim.model.devices import EXACT
from sim.model.loads import lifter_force
from sim.model.motion import Hinged
from sim.model.pump import ram_travel
from sim.model.scenario import Lifter, Point
from sim.model.units import INCH, show
from sim.record.measures import calls_and_holds

MOST_PUMPS = 100_000


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the reckoning."""

    subject: str
    what: str
    formula: str
    numbers: str  # the formula with the numbers put in, and what comes of it
    value: float  # SI
    unit: str


@dataclass(frozen=True, slots=True)
class Plan:
    """What to lift."""

    point_rise_m: float
    angle_deg: float | None  # None: the load goes straight up
    head_rise_m: dict[str, float]
    ram_travel_m: dict[str, float]
    pumps: dict[str, int | None]  # None: the pump cannot
    calls: int | None
    told_pumps: dict[str, int]  # in the lift at mean values, holds, levelling and all
    told_calls: int
    lines: tuple[Line, ...]


def plan(course: Course) -> Plan:
    """From the rise at the point to pumps and calls."""
    scenario, motion = course.scenario, course.motion
    hinged = isinstance(motion, Hinged)
    heads = {x.name: motion.rise(x.head, course.need) for x in scenario.lifters}
    travel = {x.name: travel_needed(course, x) for x in scenario.lifters}
    pumps = {x.name: pumps_needed(course, x) for x in scenario.lifters}
    known = [n for n in pumps.values() if n is not None]
    calls = -(-max(known) // scenario.leader.strokes) if len(known) == len(pumps) else None
    simulated = calls_and_holds(course.measured)
    return Plan(
        point_rise_m=scenario.need.rise,
        angle_deg=math.degrees(course.need) if hinged else None,
        head_rise_m=heads,
        ram_travel_m=travel,
        pumps=pumps,
        calls=calls,
        told_pumps=simulated["pumps"],
        told_calls=simulated["calls"],
        lines=tuple(_lines(course, pumps, calls)),
    )


def travel_needed(course: Course, lifter: Lifter) -> float:
    """Ram travel up to the need: take-up, and what the lifter's line has to lengthen [m]."""
    return course.scenario.load.take_up + course.motion.line(lifter.head, lifter.base).demand(course.need)


def pumps_needed(course: Course, lifter: Lifter) -> int | None:
    """Pumps up to the need, stroke by stroke, each as full as this operator's mean; None where none moves it."""
    load, motion, line = course.scenario.load, course.motion, course.motion.line(lifter.head, lifter.base)
    need, spent, take_up, fill = travel_needed(course, lifter), 0.0, load.take_up, lifter.operator.fill.mean
    endless = replace(lifter, travel=math.inf)
    for pumps in range(MOST_PUMPS):
        if spent >= need - EXACT:
            return pumps
        u = line.u_at(max(0.0, spent - take_up))
        moved = ram_travel(endless, take_up, lifter_force(lifter, load, motion, u), spent, fill)
        if not moved > EXACT:
            return None
        spent += moved
    return None


def _lines(course: Course, pumps: dict[str, int | None], calls: int | None) -> Iterator[Line]:
    need, pen = course.scenario.need, Pencil(course)
    yield Line("point", "rise needed", "given", pen.length(need.rise), need.rise, "m")
    if isinstance(course.motion, Hinged):
        yield pen.angle()
    for lifter in course.scenario.lifters:
        yield from pen.lifter(lifter, pumps[lifter.name])
    if calls is not None:
        most, strokes = max(n for n in pumps.values() if n is not None), course.scenario.leader.strokes
        numbers = f"{most} / {strokes}, rounded up = {calls}"
        yield Line("leader", "calls", "pumps / strokes a call", numbers, float(calls), "")


class Pencil:
    """Writes a formula with the numbers in it, in the units of the scenario."""

    def __init__(self, course: Course) -> None:
        self.course = course
        self.units = course.scenario.units
        self.one = INCH if self.units == "us" else 1e-3
        self.places = 2 if self.units == "us" else 1

    def length(self, value: float) -> str:
        """With its unit."""
        return show(value, "length", self.units)

    def bare(self, value: float) -> str:
        """Without its unit, for the middle of a formula; in brackets where it is negative."""
        text = f"{round(value / self.one, self.places) + 0.0:.{self.places}f}"
        return f"({text})" if text.startswith("-") else text

    def finer(self, value: float) -> str:
        """The same with four digits, where it has them: small, and divided by."""
        return max(self.bare(value), f"{value / self.one:.4g}", key=len)

    def about_pivot(self, point: Point) -> tuple[float, float]:
        """Ahead of and above the pivot [m]."""
        return point[0], point[2] - self.course.scenario.load.pivot_height

    def angle(self) -> Line:
        """The hinge angle that raises the point by the need."""
        x, z = self.about_pivot(self.course.scenario.need.point)
        r, u = self.course.scenario.need.rise, self.course.need
        radius = math.hypot(x, z)
        numbers = (
            f"R = {self.bare(radius)}; asin(({self.bare(z)} + {self.bare(r)}) / {self.bare(radius)}) "
            f"- atan({self.bare(z)} / {self.bare(x)}) = {math.degrees(u):.2f} deg"
        )
        formula = "asin((z + rise) / R) - atan(z / x); x, z from the pivot, R = sqrt(x^2 + z^2)"
        return Line("load", "hinge angle", formula, numbers, math.degrees(u), "deg")

    def lifter(self, lifter: Lifter, pumps: int | None) -> Iterator[Line]:
        """Rise of the head, ram travel, pumps."""
        motion, u, name = self.course.motion, self.course.need, lifter.name
        rise = motion.rise(lifter.head, u)
        if isinstance(motion, Hinged):
            x, z = self.about_pivot(lifter.head)
            degrees = f"{math.degrees(u):.2f} deg"
            formula = "x sin(angle) - z (1 - cos(angle)); x, z of the head from the pivot"
            numbers = f"{self.bare(x)} sin({degrees}) - {self.bare(z)} (1 - cos({degrees})) = {self.length(rise)}"
            yield Line(name, "rise of its head", formula, numbers, rise, "m")
        else:
            yield Line(name, "rise of its head", "the same", self.length(rise), rise, "m")
        line, take_up = motion.line(lifter.head, lifter.base), self.course.scenario.load.take_up
        travel = travel_needed(self.course, lifter)
        numbers = (
            f"{self.bare(line.start + line.demand(u))} - {self.bare(line.start)} + {self.bare(take_up)} "
            f"= {self.length(travel)}"
        )
        yield Line(name, "ram travel", "length at the need - length now + take-up", numbers, travel, "m")
        yield self.pumps(lifter, travel, pumps)

    def pumps(self, lifter: Lifter, travel: float, pumps: int | None) -> Line:
        """Ram travel over travel per pump; of a pump with stages stroke by stroke."""
        fill = lifter.operator.fill.mean
        if pumps is None:
            numbers = "the pump does not move it: over the relief pressure"
            return Line(lifter.name, "pumps", "ram travel / travel per pump", numbers, math.nan, "")
        if lifter.travel_per_pump is not None:
            each = self.finer(lifter.travel_per_pump)
            numbers = f"{self.bare(travel)} / ({each} x {fill:g}), rounded up = {pumps}"
            formula = "ram travel / (travel per pump x fill)"
            return Line(lifter.name, "pumps", formula, numbers, float(pumps), "")
        assert lifter.pump is not None and lifter.ram_area is not None
        first, second = (v / lifter.ram_area for v in (lifter.pump.first_stage, lifter.pump.second_stage))
        loaded = stroke_travel(self.course, lifter, 0.0)
        numbers = (
            f"first stage {self.bare(first)}, second {self.bare(second)}, x fill {fill:g} "
            f"(under the load {self.bare(loaded)}): stroke by stroke {pumps}"
        )
        return Line(lifter.name, "pumps", "ram travel / (volume a stroke / ram area x fill)", numbers, float(pumps), "")
