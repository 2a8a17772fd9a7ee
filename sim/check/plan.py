"""What to lift, and no more: from the rise that is needed to pumps and calls, line by line, to follow with a pencil."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import takewhile
from operator import itemgetter
from typing import Any, NamedTuple

from sim.check.course import Course, Descent
from sim.check.figures import as_json
from sim.check.lifters import stroke_travel
from sim.model.devices import EXACT
from sim.model.loads import lifter_force
from sim.model.motion import Hinged
from sim.model.pump import ram_travel
from sim.model.scenario import Lifter, Point, Stage
from sim.model.sentences import InFormula, Part, Sentence, near
from sim.model.units import Units
from sim.record.measures import calls_and_holds
from sim.written.stages import stage_place

MOST_PUMPS = 100_000


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One line of the reckoning."""

    subject: str
    what: str
    formula: str
    numbers: Sentence  # the formula with the numbers put in, and what comes of it
    value: float  # SI
    unit: str


class Calls(NamedTuple):
    """The calls of a stage that raises, or of the whole lift."""

    subject: str
    pumps: int  # needed by its end, at the lifter that needs most
    before: int  # that the stages before it have made
    strokes: int  # a call

    @property
    def number(self) -> int:
        """So many."""
        return max(0, -(-(self.pumps - self.before) // self.strokes))


@dataclass(frozen=True, slots=True)
class Plan:
    """What to lift."""

    point_rise_m: float
    angle_deg: float | None  # None: the load goes straight up
    head_rise_m: dict[str, float]
    ram_travel_m: dict[str, float]
    pumps: dict[str, int | None]  # None: the pump cannot
    calls: int | None
    told_pumps: dict[str, int]  # in the lift at mean values, holds, levelling and the way down, all of it
    told_calls: int
    told_pumps_down: dict[str, int]  # of these, those to free the load on the way down
    told_calls_down: int
    lines: tuple[PlanLine, ...]


def plan(course: Course) -> Plan:
    """From the rise at the point to pumps and calls."""
    scenario, motion = course.scenario, course.motion
    hinged = isinstance(motion, Hinged)
    heads = {x.name: motion.rise(x.head, course.need) for x in scenario.lifters}
    travel = {x.name: travel_needed(course, x) for x in scenario.lifters}
    pumps = {x.name: pumps_needed(course, x) for x in scenario.lifters}
    calls = None if None in pumps.values() else calls_needed(course)
    simulated, down = calls_and_holds(course.measured), [calls_and_holds(each.lift) for each in course.descents]
    return Plan(
        point_rise_m=scenario.need.rise,
        angle_deg=math.degrees(course.need) if hinged else None,
        head_rise_m=heads,
        ram_travel_m=travel,
        pumps=pumps,
        calls=None if calls is None else sum(each.number for each in calls),
        told_pumps=simulated["pumps"],
        told_calls=simulated["calls"],
        told_pumps_down={x.name: sum(each["pumps"][x.name] for each in down) for x in scenario.lifters},
        told_calls_down=sum(each["calls"] for each in down),
        lines=tuple(_lines(course, pumps, calls)),
    )


def plan_json(found: Plan, units: Units) -> dict[str, Any]:
    """The plan as plain data, the numbers of its lines in these units."""
    lines = tuple(replace(line, numbers=line.numbers.words(units)) for line in found.lines)  # type: ignore[arg-type]
    data: dict[str, Any] = as_json(replace(found, lines=lines))
    return data


def travel_needed(course: Course, lifter: Lifter) -> float:
    """Ram travel up to the need: take-up, and what the lifter's line has to lengthen [m]."""
    return course.scenario.load.take_up + course.motion.line(lifter.head, lifter.base).demand(course.need)


def moved_by_start(course: Course, lifter: Lifter) -> float:
    """Ram travel of a lift that begins half-way, by then; else none [m]."""
    start, line = course.scenario.start, course.motion.line(lifter.head, lifter.base)
    if not start > 0:
        return 0.0
    return course.scenario.load.take_up + line.demand(course.motion.u_for_rise(course.scenario.need.point, start))


def calls_needed(course: Course) -> list[Calls]:
    """Calls up to the need: of each stage that raises towards it as it is led, or of the whole lift."""
    scenario, found, made = course.scenario, list[Calls](), 0
    stages = [(stage_place(n), stage) for n, stage in enumerate(scenario.stages, 1)]
    up = [(where, stage) for where, stage in takewhile(lambda each: each[1].do != "lower", stages) if stage.to > 0]
    for where, stage in up or [("leader", Stage("raise", scenario.need.rise))]:
        u = course.motion.u_for_rise(scenario.need.point, min(stage.to, scenario.need.rise))
        pumps = max(pumps_needed(course, lifter, u) or 0 for lifter in scenario.lifters)
        found.append(Calls(where, pumps, made, stage.led(scenario.leader).strokes))
        made += found[-1].number * found[-1].strokes
    return found


def pumps_needed(course: Course, lifter: Lifter, u_end: float | None = None) -> int | None:
    """Pumps up to the need, or to u [rad or m], stroke by stroke, each as full as this operator's mean.

    None where none moves it.
    """
    load, motion, line = course.scenario.load, course.motion, course.motion.line(lifter.head, lifter.base)
    take_up, fill = load.take_up, lifter.operator.fill.mean
    need = take_up + line.demand(course.need if u_end is None else u_end)
    spent = moved_by_start(course, lifter)
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


def _lines(course: Course, pumps: dict[str, int | None], calls: list[Calls] | None) -> Iterator[PlanLine]:
    need = course.scenario.need
    yield PlanLine("point", "rise needed", "given", _result("{result}", need.rise), need.rise, "m")
    if isinstance(course.motion, Hinged):
        yield _angle(course)
    for lifter in course.scenario.lifters:
        yield from _of_lifter(course, lifter, pumps[lifter.name])
    for each in calls or ():
        form = "({most} - {made})" if each.before else "{most}"
        numbers = Sentence(
            form + " / {strokes}, rounded up = {calls}",
            most=each.pumps, made=each.before, strokes=each.strokes, calls=each.number,
        )  # fmt: skip
        formula = "pumps" if not each.before else "(pumps - made before)"
        yield PlanLine(each.subject, "calls", f"{formula} / strokes a call", numbers, float(each.number), "")
    for descent in course.descents:
        yield from _calls_down(course, descent)


def _calls_down(course: Course, descent: Descent) -> Iterator[PlanLine]:
    """How much the line that shortens most does so, over the step: of collars and the like, which go down by just that.

    Each such call has a stroke to free the load.
    """
    room = descent.stage.led(course.scenario.leader).room
    lines = [
        (line.demand(descent.begins(x)) - line.demand(descent.ends(x)), place)
        for x in course.scenario.lifters
        for place in course.scenario.places
        if place.side == x.side and any(device.chases for device in place.capture)
        for line in [course.motion.line(place.head, place.base)]
    ]
    if lines:
        shorter, place = max(lines, key=itemgetter(0))
        count = math.ceil(shorter / room - EXACT)
        numbers = Sentence(
            "{shorter} / {room}, rounded up = {calls}",
            shorter=InFormula(shorter), room=InFormula(room, finer=True), calls=count,
        )  # fmt: skip
        formula = f"what the line of {place.name} shortens / step"
        yield PlanLine(descent.subject, "calls down", formula, numbers, float(count), "")


def _result(form: str, length: float, **parts: Part) -> Sentence:
    """A formula with its numbers, and the length that comes out [m]."""
    return Sentence(form, **parts, result=near(length, "length"))


def _about_pivot(course: Course, point: Point) -> tuple[float, float]:
    """Ahead of and above the pivot [m]."""
    return point[0], point[2] - course.scenario.load.pivot_height


def _angle(course: Course) -> PlanLine:
    """The hinge angle that raises the point by the need."""
    x, z = _about_pivot(course, course.scenario.need.point)
    numbers = Sentence(
        "R = {radius}; asin(({z} + {rise}) / {radius}) - atan({z} / {x}) = {angle} deg",
        radius=InFormula(math.hypot(x, z)), x=InFormula(x), z=InFormula(z), rise=InFormula(course.scenario.need.rise),
        angle=f"{math.degrees(course.need):.2f}",
    )  # fmt: skip
    formula = "asin((z + rise) / R) - atan(z / x); x, z from the pivot, R = sqrt(x^2 + z^2)"
    return PlanLine("load", "hinge angle", formula, numbers, math.degrees(course.need), "deg")


def _of_lifter(course: Course, lifter: Lifter, pumps: int | None) -> Iterator[PlanLine]:
    """Rise of the head, ram travel, pumps."""
    motion, u, name = course.motion, course.need, lifter.name
    rise = motion.rise(lifter.head, u)
    formula, numbers = "the same", _result("{result}", rise)
    if isinstance(motion, Hinged):
        x, z = _about_pivot(course, lifter.head)
        formula = "x sin(angle) - z (1 - cos(angle)); x, z of the head from the pivot"
        form, angle = "{x} sin({angle}) - {z} (1 - cos({angle})) = {result}", f"{math.degrees(u):.2f} deg"
        numbers = _result(form, rise, x=InFormula(x), z=InFormula(z), angle=angle)
    yield PlanLine(name, "rise of its head", formula, numbers, rise, "m")
    line, take_up, travel = (
        motion.line(lifter.head, lifter.base),
        course.scenario.load.take_up,
        travel_needed(course, lifter),
    )
    then, now = InFormula(line.start + line.demand(u)), InFormula(line.start)
    numbers = _result("{then} - {now} + {take_up} = {result}", travel, then=then, now=now, take_up=InFormula(take_up))
    yield PlanLine(name, "ram travel", "length at the need - length now + take-up", numbers, travel, "m")
    yield _pumps(course, lifter, travel, pumps)


def _pumps(course: Course, lifter: Lifter, travel: float, pumps: int | None) -> PlanLine:
    """Ram travel over travel per pump; of a pump with stages stroke by stroke."""
    if pumps is None:
        numbers = Sentence("the pump does not move it: over the relief pressure")
        return PlanLine(lifter.name, "pumps", "ram travel / travel per pump", numbers, math.nan, "")
    fill = f"{lifter.operator.fill.mean:g}"
    moved = moved_by_start(course, lifter)
    if lifter.travel_per_pump is not None:
        numbers = Sentence(
            ("({travel} - {moved})" if moved else "{travel}") + " / ({each} x {fill}), rounded up = {pumps}",
            travel=InFormula(travel), moved=InFormula(moved), fill=fill, pumps=pumps,
            each=InFormula(lifter.travel_per_pump, finer=True),
        )  # fmt: skip
        formula = "(ram travel - what it has moved by the start)" if moved else "ram travel"
        return PlanLine(lifter.name, "pumps", f"{formula} / (travel per pump x fill)", numbers, float(pumps), "")
    assert lifter.pump is not None and lifter.ram_area is not None
    first, second = (InFormula(v / lifter.ram_area) for v in (lifter.pump.first_stage, lifter.pump.second_stage))
    numbers = Sentence(
        "first stage {first}, second {second}, x fill {fill} (under the load {loaded}): stroke by stroke {pumps}",
        first=first, second=second, fill=fill, loaded=InFormula(stroke_travel(course, lifter, 0.0)), pumps=pumps,
    )  # fmt: skip
    return PlanLine(lifter.name, "pumps", "ram travel / (volume a stroke / ram area x fill)", numbers, float(pumps), "")
