"""The quick estimates of the trade beside what the statics say, and what a centre of gravity further out would do."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from sim.check.carried import Margin, carried, margins
from sim.check.course import Course
from sim.check.figures import of, times_down
from sim.check.findings import ASSUMED, COMMON, LEVELS, Check, Finding, finding
from sim.model.loads import effort
from sim.model.scenario import Lifter, Scenario
from sim.model.sentences import Part, near

FURTHER = 0.10  # how much further out than reckoned a centre of gravity may well be


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimates:
    """Common practice beside statics."""

    half_weight: float | None = of("N")  # None: the weight is not known, or the load goes straight up
    at_the_end: float = of("N")  # what vertical lifters at these heads carry together at the start
    out_by: float | None  # at_the_end over half_weight, less 1: above 0 the quick estimate is too low
    further_out: float = of("m")  # how far the centre of gravity is taken to be off
    goes_first: Margin | None  # the smallest margin then; None: none is known
    goes_first_now: Margin | None  # the same one as reckoned
    smallest_now: Margin | None


def estimates(course: Course, now: list[Margin]) -> Estimates:
    """What the quick estimates make of this lift.

    Parameters
    ----------
    course : Course
        The lift.
    now : list of Margin
        Every known margin as it is, the smallest first.

    Returns
    -------
    Estimates
        With the same drops: that the pump may take more strokes then is left out.
    """
    scenario = course.scenario
    load, half = scenario.load, None
    at_end = end_force(course)
    if load.motion == "hinged" and load.weight_known:
        half = load.weight / 2
    changed, off = cg_further_out(scenario)
    then = margins(carried(Course(changed, course.record, course.measured)))
    first = then[0] if then else None
    same = next((m for m in now if first and (m.subject, m.what) == (first.subject, first.what)), None)
    return Estimates(
        half_weight=half,
        at_the_end=at_end,
        out_by=None if half is None else at_end / half - 1,
        further_out=off,
        goes_first=first,
        goes_first_now=same,
        smallest_now=now[0] if now else None,
    )


def end_force(course: Course) -> float:
    """What vertical lifters at these heads would carry together at the start [N]."""
    load, motion = course.scenario.load, course.motion
    whole = effort(load, motion, 0.0)
    return sum(whole * x.share / motion.lever(x.head, 0.0) for x in course.scenario.lifters)


def cg_further_out(scenario: Scenario) -> tuple[Scenario, float]:
    """The same lift with the centre of gravity a tenth further out, and how far that is [m].

    Hinged: a tenth further from the pivot. Straight: a tenth of the way between the heads, towards the busier one.
    """
    load = scenario.load
    x, y, z = load.cg
    if load.motion == "hinged":
        return replace(scenario, load=replace(load, cg=(x * (1 + FURTHER), y, z))), x * FURTHER
    if len(scenario.lifters) < 2:
        return scenario, 0.0
    light, busy = sorted(scenario.lifters, key=lambda lifter: lifter.share)
    along, across = (FURTHER * (there - here) for there, here in zip(busy.head[:2], light.head[:2], strict=True))
    lifters = tuple(_shifted(lifter, busy.name) for lifter in scenario.lifters)
    moved = replace(load, cg=(x + along, y + across, z))
    return replace(scenario, load=moved, lifters=lifters), float((along**2 + across**2) ** 0.5)


def _shifted(lifter: Lifter, busy: str) -> Lifter:
    return replace(lifter, share=lifter.share + (FURTHER if lifter.name == busy else -FURTHER))


def estimate_findings(course: Course, found: Estimates) -> Iterator[Finding]:
    """Half the weight, and which margin goes first."""
    factor = course.scenario.limits.design_factor
    if found.half_weight is not None and found.out_by is not None:
        half, real = near(found.half_weight, "force"), near(found.at_the_end, "force")
        out = f"{abs(found.out_by):.0%} {'more' if found.out_by > 0 else 'less'}"
        out = out if abs(found.out_by) >= 0.005 else "the same"
        value, limit = found.half_weight, found.at_the_end
        yield finding(
            "note", Check.HALF_WEIGHT, "quick estimate", value, limit, "N", COMMON, half=half, real=real, out=out
        )
    first = found.goes_first
    if first is None or found.further_out == 0 or math.isinf(first.times):  # nothing is carried: no margin goes
        return
    before = found.goes_first_now
    said: dict[str, Part] = {
        "off": near(found.further_out, "length"), "first": first.subject, "margin": first.what,
        "times": times_down(first.times),
    }  # fmt: skip
    which, level = Check.CG_FURTHER_OUT, LEVELS[2]
    if before is not None:
        if math.isfinite(before.times):
            which, said["before"] = Check.CG_FURTHER_OUT_BEFORE, times_down(before.times)
        level = "caution" if before.times >= factor > first.times else "note"
    yield finding(level, which, "quick estimate", first.times, factor, "", ASSUMED, **said)
