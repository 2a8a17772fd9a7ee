"""What each lifter carries over the whole lift, how it stands, and what is left of its rating and its travel."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from sim.check.course import Course
from sim.check.figures import margin, of
from sim.check.findings import ASSUMED, MAKER, Check, Finding, Level, finding
from sim.model.devices import EXACT
from sim.model.loads import axial_force, effort, lifter_force
from sim.model.pump import ram_pressure, ram_travel
from sim.model.scenario import Lifter, Limits
from sim.model.sentences import Part, down, up
from sim.record.series import Array

RATED = f"{MAKER}; 29 CFR 1910.244(a)(1)"


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
    travel_needed: float = of("m")  # take-up and the line's lengthening up to the need, or a higher stage
    travel_left: float = of("m")  # there; below 0 where it does not reach
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
    peak: float | None = of("N")  # axial, of a drop onto its own capture, its pressure lost; None: not known, or none
    margin_peak: float | None
    give: float | None = of("m")
    catches: bool  # whether its own capture would be the first to stop a drop at some instant

    @property
    def foot_peak(self) -> float | None:
        """Straight down on its foot at the peak of a drop onto its own capture [N]; None: not known, or none."""
        if self.peak is None or not self.axial_worst > 0:
            return None
        return self.foot_force * self.peak / self.axial_worst


def lifter_load(course: Course, lifter: Lifter) -> LifterLoad:
    """What one lifter carries, from the start to the furthest its side goes."""
    load, motion, u = course.scenario.load, course.motion, course.sweep(lifter)
    force = lifter_force(lifter, load, motion, u)
    worst = int(np.argmax(np.abs(force)))  # a pull where its share is below 0
    along, across, up = course.direction(lifter.head, lifter.base, u)
    angle = np.arcsin(up)
    alone = axial_force(effort(load, motion, u), 1.0, motion.arm(lifter.head, lifter.base, u))
    needed = load.take_up + motion.line(lifter.head, lifter.base).demand(course.highest)
    steps = [stroke_at(course, lifter, at) for at in (0.0, course.need)]
    least = stroke_travel(course, lifter, float(u[worst]))
    start, end, most = float(force[0]), float(force[-1]), float(force[worst])
    area = lifter.ram_area
    pressures = [None if area is None else ram_pressure(each, area) for each in (start, end, most)]
    hand = lifter.handle_stroke
    catches, peak = caught_by_itself(course, lifter)
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
        peak=peak,
        margin_peak=margin(lifter.rated_load, peak),
        give=lifter.give,
        catches=catches,
    )


def caught_by_itself(course: Course, lifter: Lifter) -> tuple[bool, float | None]:
    """Whether a lifter's own capture ever meets a drop, its pressure lost, and the worst peak [N]; None: not known."""
    drops = course.pressure_drops[lifter.name]
    mine = np.array([drops.name(n) == lifter.name for n in drops.first.who])
    peaks = drops.first.peak[mine]
    return bool(mine.any()), float(np.nanmax(peaks)) if np.isfinite(peaks).any() else None


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
    scenario = course.scenario
    lifter = next(x for x in scenario.lifters if x.name == name)
    yield from _rating(name, load, scenario.limits)
    low, high = scenario.limits.lifter_angle
    if not (low - EXACT <= load.angle_least and max(load.angle_start, load.angle_end) <= high + EXACT):
        off = load.angle_least if load.angle_least < low else max(load.angle_start, load.angle_end)
        shown = (down if load.angle_least < low else up)(off, "angle")
        limit = math.degrees(low if load.angle_least < low else high)
        source = scenario.limits.source("lifter_angle")
        yield finding("caution", Check.LIFTER_LEANS, name, math.degrees(off), limit, "deg", source, angle=shown)
    if load.travel_left < -EXACT:
        need, has = up(load.travel_needed, "length"), down(load.travel, "length")
        source = "29 CFR 1910.244(a)(2)(ii): the positive stop is not overrun"
        level: Level = "note" if scenario.reset else "stop"
        which = Check.LIFTER_RESETS if scenario.reset else Check.LIFTER_SHORT
        yield finding(level, which, name, load.travel_needed, load.travel, "m", source, need=need, has=has)
    relief = lifter.pump.relief_pressure if lifter.pump else math.inf
    if load.pressure_worst is not None and load.pressure_worst > relief:
        got, most = up(load.pressure_worst, "pressure"), down(relief, "pressure")
        source = "the relief pressure given in the file"
        yield finding("stop", Check.PUMP_RELIEVES, name, load.pressure_worst, relief, "Pa", source, got=got, most=most)


def _rating(name: str, load: LifterLoad, limits: Limits) -> Iterator[Finding]:
    """Against its rated load: its part, and all of it."""
    force = load.axial_worst
    if force < 0:
        yield finding("stop", Check.LIFTER_WOULD_PULL, name, force, 0.0, "N", "statics", pull=up(-force, "force"))
        return
    worst = up(force, "force")
    if load.catches and load.peak is None:
        yield finding("caution", Check.LIFTER_GIVE_UNKNOWN, name, source="not given in the file")
    if load.rated_load is None:
        yield finding("caution", Check.LIFTER_UNRATED, name, force, None, "N", "not given in the file", worst=worst)
        return
    limit, rated = load.rated_load, down(load.rated_load, "force")
    factor, by = limits.design_factor, limits.factor_said
    if not force * factor <= limit:
        yield finding(
            "stop", Check.LIFTER_OVER, name, force * factor, limit, "N", RATED, worst=worst, factor=by, rated=rated
        )
    elif load.peak is not None and not load.peak * factor <= limit:
        over: dict[str, Part] = {"peak": up(load.peak, "force"), "factor": by, "rated": rated}
        yield finding("stop", Check.LIFTER_OVER_AT_PEAK, name, load.peak * factor, limit, "N", RATED, **over)
    if load.share < 1 and not load.alone <= limit:
        alone, source = up(load.alone, "force"), f"{ASSUMED}; {MAKER}"
        yield finding(
            "caution", Check.LIFTER_OVER_ALONE, name, load.alone, limit, "N", source, alone=alone, rated=rated
        )
