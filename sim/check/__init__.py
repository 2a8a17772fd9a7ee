"""Who carries what: loads, margins and what a drop would do, before anyone pumps.

One file a question: lifters, stations, ties, cribs, ground, balance, people, drops, estimates, plan. Each has a
function that reckons and one that says what it finds; `course.py` holds the lift that they look at.
"""

from __future__ import annotations

from sim.check.balance import balance_findings, pivot_load
from sim.check.carried import carried, margins
from sim.check.course import course_of
from sim.check.cribs import crib_findings
from sim.check.drops import drop_findings, drops
from sim.check.estimates import estimate_findings, estimates
from sim.check.figures import Finding, Level
from sim.check.ground import feet, ground_findings
from sim.check.lifters import lifter_findings
from sim.check.people import people_findings
from sim.check.plan import plan
from sim.check.sheet import CAUTION, Sheet, in_order
from sim.check.stations import station_findings, unstopped_findings
from sim.check.ties import aggregate_findings, stretch_drop, tie_findings
from sim.record import Record
from sim.scenario import Scenario

__all__ = ["CAUTION", "Finding", "Level", "Sheet", "check", "stretch_drop"]


def check(scenario: Scenario, record: Record | None = None) -> Sheet:
    """The calculation sheet of a lift.

    Parameters
    ----------
    scenario : Scenario
        The lift.
    record : Record, optional
        How it went, of the same scenario; without one it is told at mean values, without mishaps.

    Returns
    -------
    Sheet
        Forces over the whole lift, from the start to the furthest that each side goes.
    """
    course = course_of(scenario, record)
    who = carried(course)
    pivot, stand = pivot_load(course), feet(course, who.lifters, who.stations)
    fall, quick = drops(course, who.ties), estimates(course, margins(who))
    found: list[Finding] = []
    for name, lifter in who.lifters.items():
        found += lifter_findings(course, name, lifter)
    for station in scenario.stations:
        found += station_findings(course, station, who.stations[station.name])
        found += tie_findings(course, station, who.stations[station.name], who.ties.get(station.name))
    found += aggregate_findings(course, who.ties)
    for name, crib in who.cribs.items():
        found += crib_findings(course, name, crib)
    found += ground_findings(course, stand)
    found += balance_findings(course, pivot)
    found += unstopped_findings(course)
    found += drop_findings(course, fall)
    found += people_findings(scenario, who.lifters)
    found += estimate_findings(course, quick)
    return Sheet(
        findings=in_order(found),
        need=plan(course),
        lifters=who.lifters,
        stations=who.stations,
        ties=who.ties,
        cribs=who.cribs,
        ground=stand,
        pivot=pivot,
        drops=fall,
        estimates=quick,
        assumed=scenario.assumed,
    )
