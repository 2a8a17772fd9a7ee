"""Heads that would slide under the load, whose face turns with it, and ties that hold lifters' feet in."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from sim.check.course import Course
from sim.check.figures import times_up
from sim.check.findings import Check, Finding, finding
from sim.check.lifters import LifterLoad
from sim.check.sideways.equilibrium import Push, push
from sim.check.ties import limit_findings, tension
from sim.model.devices.protocol import on_a_strut
from sim.model.loads import lifter_force
from sim.model.scenario import Lifter, Station
from sim.model.sentences import up

METAL = (0.2, 0.4)  # metal on metal, dry: smooth or painted smooth; rough and unpainted
METAL_SOURCE = "IMO/ILO/UNECE CTU Code, Annex 7 App. 2: metal on metal, dry"


def head_findings(course: Course, pushes: list[Push]) -> Iterator[Finding]:
    """Lifters' heads one by one, struts' heads together: what they need over the least that is published."""
    for lifter, pushed in zip(course.scenario.lifters, pushes, strict=True):
        needed = float(np.max(pushed.head.friction_needed))
        if METAL[0] < needed < math.inf:
            yield _head(Check.LIFTER_HEAD_SLIDES, lifter.name, needed)
    struts = [x for x in course.scenario.stations if on_a_strut(x.capture)]
    needs = [needed for x in struts if METAL[0] < (needed := _needed(course, x)) < math.inf]
    if needs:
        yield _head(Check.STRUT_HEADS_SLIDE, "struts", max(needs))


def _head(check: Check, subject: str, needed: float) -> Finding:
    said = {"grip": times_up(needed), "low": f"{METAL[0]:g}", "high": f"{METAL[1]:g}"}
    return finding("caution", check, subject, needed, METAL[0], "", METAL_SOURCE, **said)


def _needed(course: Course, station: Station) -> float:
    """At a strut's head, over the lift: of its line alone, however hard it is pressed on."""
    u = course.sweep(course.lifters_of(station)[0])
    return float(np.max(push(course.motion, station.head, station.base, np.ones_like(u), u).head.friction_needed))


def lifter_tie_findings(course: Course, lifter: Lifter, load: LifterLoad) -> Iterator[Finding]:
    """The thrust of a lifter's foot against its tie's working load limit, at rest and at the peak of a drop.

    Parameters
    ----------
    course : Course
        The lift, swept.
    lifter : Lifter
        One that has a tie.
    load : LifterLoad
        What it carries; at its peak where its pressure were lost and its own capture met the drop.
    """
    tie = lifter.tie
    if tie is None or tie.to == "pivot":
        return  # LIFTER_TIED_TO_PIVOT says so
    u = course.sweep(lifter)
    force = lifter_force(lifter, course.scenario.load, course.motion, u)
    rest = float(np.max(tension(course, lifter, tie, force, u)))
    subject = f"{lifter.name} tie"
    if not math.isfinite(rest):
        along, across, _ = course.direction(lifter.head, lifter.base, u)
        thrust = up(float(np.max(force * np.hypot(along, across))), "force")
        yield finding("stop", Check.TIE_PULLS_WRONG, subject, source="statics", thrust=thrust)
        return
    at_peak = float(np.max(tension(course, lifter, tie, np.full_like(u, load.peak or 0.0), u)))
    known = load.peak is not None or not load.catches
    yield from limit_findings(course, subject, tie, rest, max(rest, at_peak) if known else None)
