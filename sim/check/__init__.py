"""Who carries what: loads, margins and what a drop would do, before anyone pumps.

One file a question: lifters, stations, ties, cribs, ground, balance, people, drops, the way down, estimates, plan; two
have a folder, what moves sideways and what buckles. Each has a function that reckons and one that says what it finds;
`course.py` holds the lift that they look at.
"""

from __future__ import annotations

from dataclasses import dataclass

from sim.check.balance import PivotLoad, balance_findings, pivot_load, side_findings
from sim.check.carried import Carried, carried, margins
from sim.check.course import Course, course_of
from sim.check.cribs import crib_findings
from sim.check.drops import Drop, at_least, drop_findings, drops
from sim.check.estimates import Estimates, estimate_findings, estimates
from sim.check.findings import Finding, Level
from sim.check.ground import Foot, feet, ground_findings
from sim.check.lifters import lifter_findings
from sim.check.people import people_findings
from sim.check.plan import plan
from sim.check.sheet import Sheet, in_order
from sim.check.sideways.findings import sideways_findings
from sim.check.stations import reach_findings, sharing_findings, station_findings, unstopped_findings
from sim.check.struts.buckling import buckling_findings
from sim.check.ties import aggregate_findings, tie_findings
from sim.check.way_down import way_down_findings
from sim.model.cautions import CAUTION
from sim.model.scenario import Scenario
from sim.record.measured import Measured
from sim.record.record import Record

__all__ = ["CAUTION", "Finding", "Level", "Sheet", "at_least", "check"]


@dataclass(frozen=True, slots=True)
class Reckoned:
    """All the figures, before anything is said about them."""

    carried: Carried
    ground: dict[str, Foot]
    pivot: PivotLoad
    drops: dict[str, Drop]
    estimates: Estimates


def check(scenario: Scenario, record: Record | None = None, apart: Measured | None = None) -> Sheet:
    """The calculation sheet of a lift.

    Parameters
    ----------
    scenario : Scenario
        The lift.
    record : Record, optional
        How it went, of the same scenario; without one it is simulated at mean values, without mishaps.
    apart : Measured, optional
        That record, taken apart already: what the measures have worked out of it is not worked out again.

    Returns
    -------
    Sheet
        Forces over the whole lift, from the start to the furthest that each side goes.
    """
    course = course_of(scenario, record, apart)
    who = carried(course)
    reckoned = Reckoned(
        carried=who,
        ground=feet(course, who.lifters, who.stations),
        pivot=pivot_load(course),
        drops=drops(course),
        estimates=estimates(course, margins(who)),
    )
    return Sheet(
        need=plan(course),
        lifters=who.lifters,
        stations=who.stations,
        struts=who.struts,
        ties=who.ties,
        cribs=who.cribs,
        ground=reckoned.ground,
        pivot=reckoned.pivot,
        drops=reckoned.drops,
        estimates=reckoned.estimates,
        assumed=scenario.assumed,
        units=scenario.units,
        limits=scenario.limits,
        findings=in_order(_findings(course, reckoned)),
    )


def _findings(course: Course, reckoned: Reckoned) -> list[Finding]:
    """Everything that was found."""
    who, found = reckoned.carried, list[Finding]()
    for name, lifter in who.lifters.items():
        found += lifter_findings(course, name, lifter)
    for station in course.scenario.stations:
        found += station_findings(course, station, who.stations[station.name])
        if station.name in who.struts:
            found += buckling_findings(course, station, who.stations[station.name], who.struts[station.name])
        found += tie_findings(course, station, who.stations[station.name], who.ties.get(station.name))
    found += sharing_findings(who.stations)
    found += reach_findings(course)
    found += aggregate_findings(course, who.ties)
    for name, crib in who.cribs.items():
        found += crib_findings(course, name, crib)
    found += ground_findings(course, reckoned.ground)
    found += balance_findings(course, reckoned.pivot)
    found += sideways_findings(course, who.lifters, who.stations)
    found += side_findings(course.scenario)
    found += unstopped_findings(course)
    found += drop_findings(course, reckoned.drops)
    found += way_down_findings(course)
    found += people_findings(course.scenario, who.lifters)
    found += estimate_findings(course, reckoned.estimates)
    return found
