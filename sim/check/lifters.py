"""What each lifter carries over the whole lift, how it stands, and what is left of its rating and its travel."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from sim.check.course import Course
from sim.check.figures import ASSUMED, MAKER, Finding, Level, margin, of
from sim.model.devices import EXACT
from sim.model.loads import axial_force, effort, lifter_force
from sim.model.pump import ram_pressure, ram_travel
from sim.model.scenario import Lifter
from sim.model.units import Units, show_down, show_up
from sim.record.series import Array

RATED = f"{MAKER}; 29 CFR 1910.244(a)(1)"
ANGLE_SOURCE = "limits.lifter_angle (common practice where it is not written)"


@dataclass(frozen=True, slots=True, kw_only=True)
class LifterLoad:
    """One lifter. Thrusts are what its foot pushes the ground with: ahead and left are positive."""

    side: str
    share: float
    axial_start: float = of("N")
    axial_end: float = of("N")
    axial_worst: float = of("N")
    rise_at_worst: float = of("m")  # of its head
    rated_load: float | None = of("N")
    margin: float | None  # rated over worst
    angle_start: float = of("deg")
    angle_end: float = of("deg")
    angle_least: float = of("deg")
    thrust_along: float = of("N")
    thrust_across: float = of("N")
    foot_force: float = of("N")  # straight down, the most; below 0 where it is pulled up
    alone: float = of("N")  # axial, if this side carried all of it, the most
    travel: float = of("m")
    travel_needed: float = of("m")  # take-up and the line's lengthening up to the need
    travel_left: float = of("m")  # at the need; below 0 where it does not reach
    travel_per_pump: float = of("m")  # under the load, full strokes of this operator, where it is the least
    rise_per_pump_start: float = of("m")  # of its head, once take-up is spent
    rise_per_pump_end: float = of("m")
    pressure_start: float | None = of("Pa")
    pressure_end: float | None = of("Pa")
    pressure_worst: float | None = of("Pa")
    stage_start: int | None  # of the pump: 1 or 2
    stage_worst: int | None
    handle_stroke: float | None = of("m")
    handle_force: float | None = of("N")  # at worst, without friction


def lifter_load(course: Course, lifter: Lifter) -> LifterLoad:
    """What one lifter carries, from the start to the furthest its side goes."""
    load, motion, u = course.scenario.load, course.motion, course.sweep(lifter)
    force = lifter_force(lifter, load, motion, u)
    worst = int(np.argmax(np.abs(force)))  # a pull where its share is below 0
    along, across, up = course.direction(lifter.head, lifter.base, u)
    angle = np.arcsin(up)
    alone = axial_force(effort(load, motion, u), 1.0, motion.arm(lifter.head, lifter.base, u))
    needed = load.take_up + motion.line(lifter.head, lifter.base).demand(course.need)
    steps = [stroke_at(course, lifter, at) for at in (0.0, course.need)]
    least = stroke_travel(course, lifter, float(u[worst]))
    start, end, most = float(force[0]), float(force[-1]), float(force[worst])
    area = lifter.ram_area
    pressures = [None if area is None else ram_pressure(each, area) for each in (start, end, most)]
    hand = lifter.handle_stroke
    return LifterLoad(
        side=lifter.side,
        share=lifter.share,
        axial_start=start,
        axial_end=end,
        axial_worst=most,
        rise_at_worst=motion.rise(lifter.head, float(u[worst])),
        rated_load=lifter.rated_load,
        margin=margin(lifter.rated_load, most),
        angle_start=float(angle[0]),
        angle_end=float(angle[-1]),
        angle_least=float(angle.min()),
        thrust_along=largest(-force * along),
        thrust_across=largest(-force * across),
        foot_force=largest(force * up),
        alone=float(alone.max()),
        travel=lifter.travel,
        travel_needed=needed,
        travel_left=lifter.travel - needed,
        travel_per_pump=least,
        rise_per_pump_start=steps[0],
        rise_per_pump_end=steps[1],
        pressure_start=pressures[0],
        pressure_end=pressures[1],
        pressure_worst=pressures[2],
        stage_start=stage(lifter, pressures[0]),
        stage_worst=stage(lifter, pressures[2]),
        handle_stroke=hand,
        handle_force=None if hand is None or most < 0 else most * least / hand,
    )


def stage(lifter: Lifter, pressure: float | None) -> int | None:
    """Which stage of a pump of two works at this pressure: the second from the shift pressure on."""
    if lifter.pump is None or pressure is None or lifter.pump.shift_pressure == math.inf:
        return None
    return 2 if pressure >= lifter.pump.shift_pressure else 1


def stroke_travel(course: Course, lifter: Lifter, u: float) -> float:
    """Ram travel of one stroke as this operator delivers it, at u, were the ram endless [m]."""
    endless = replace(lifter, travel=math.inf)
    take_up = course.scenario.load.take_up
    spent = take_up + course.motion.line(lifter.head, lifter.base).demand(u)
    force = lifter_force(lifter, course.scenario.load, course.motion, u)
    return ram_travel(endless, take_up, force, spent, lifter.operator.fill.mean)


def stroke_at(course: Course, lifter: Lifter, u: float) -> float:
    """Rise of the head with one stroke begun at u [m]."""
    line = course.motion.line(lifter.head, lifter.base)
    then = line.u_at(line.demand(u) + stroke_travel(course, lifter, u))
    return course.motion.rise(lifter.head, then) - course.motion.rise(lifter.head, u)


def largest(values: Array) -> float:
    """Of positive and negative numbers, shape (n,), the one of the largest size."""
    return float(values[int(np.argmax(np.abs(values)))])


def lifter_findings(course: Course, name: str, load: LifterLoad) -> Iterator[Finding]:
    """Rating, angle, travel, pressure; and what if this side carried all of it."""
    scenario, units = course.scenario, course.scenario.units
    factor = scenario.limits.design_factor
    lifter = next(x for x in scenario.lifters if x.name == name)
    yield from _rating(name, load, factor, units)
    low, high = scenario.limits.lifter_angle
    if not (low - EXACT <= load.angle_least and max(load.angle_start, load.angle_end) <= high + EXACT):
        off = load.angle_least if load.angle_least < low else max(load.angle_start, load.angle_end)
        shown = (show_down if load.angle_least < low else show_up)(off, "angle", units)
        what = f"stands at {shown} from horizontal, outside its band"
        limit = math.degrees(low if load.angle_least < low else high)
        yield Finding("caution", name, what, math.degrees(off), limit, "deg", ANGLE_SOURCE)
    if load.travel_left < -EXACT:
        need, has = show_up(load.travel_needed, "length", units), show_down(load.travel, "length", units)
        what = f"needs {need} of ram travel for the rise, and has {has}"
        what += ": it must be re-set on the way" if scenario.reset else "; the scenario has no [reset]"
        source = "29 CFR 1910.244(a)(2)(ii): the positive stop is not overrun"
        level: Level = "note" if scenario.reset else "stop"
        yield Finding(level, name, what, load.travel_needed, load.travel, "m", source)
    relief = lifter.pump.relief_pressure if lifter.pump else math.inf
    if load.pressure_worst is not None and load.pressure_worst > relief:
        got, most = show_up(load.pressure_worst, "pressure", units), show_down(relief, "pressure", units)
        what = f"needs {got} at worst, and the pump opens its relief valve at {most}: it cannot raise this load"
        yield Finding("stop", name, what, load.pressure_worst, relief, "Pa", "the relief pressure given in the file")


def _rating(name: str, load: LifterLoad, factor: float, units: Units) -> Iterator[Finding]:
    """Against its rated load: its part, and all of it."""
    if load.axial_worst < 0:
        pull = show_up(-load.axial_worst, "force", units)
        what = f"would have to pull down with {pull} at worst, and it can only push: its part of the load is below 0"
        yield Finding("stop", name, what, load.axial_worst, 0.0, "N", "statics")
        return
    worst = show_up(load.axial_worst, "force", units)
    if load.rated_load is None:
        what = f"rated load not known: it would carry {worst} at worst"
        yield Finding("note", name, what, load.axial_worst, None, "N", "not given in the file")
        return
    rated = show_down(load.rated_load, "force", units)
    if not load.axial_worst * factor <= load.rated_load:
        what = f"carries {worst} at worst; times the design factor {factor:g} that is over its rated load of {rated}"
        yield Finding("stop", name, what, load.axial_worst * factor, load.rated_load, "N", RATED)
    if load.share < 1 and not load.alone <= load.rated_load:
        all_of_it = show_up(load.alone, "force", units)
        what = (
            f"would carry {all_of_it} if its side came to bear all of the load (a stiff load, one pump ahead): "
            f"over its rated load of {rated}"
        )
        yield Finding("caution", name, what, load.alone, load.rated_load, "N", f"{ASSUMED}; {MAKER}")
