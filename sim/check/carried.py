"""Everything that carries, one line each: what it carries at worst, and what it may."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sim.check.course import Course
from sim.check.cribs import CribLoad, crib_loads
from sim.check.lifters import LifterLoad, lifter_load
from sim.check.stations import StationLoad, station_load
from sim.check.struts.buckling import Buckling, buckling
from sim.check.ties import TieLoad, tie_load
from sim.model.devices.protocol import on_a_strut


@dataclass(frozen=True, slots=True)
class Carried:
    """Who carries what, by name."""

    lifters: dict[str, LifterLoad]
    stations: dict[str, StationLoad]
    struts: dict[str, Buckling]
    ties: dict[str, TieLoad]
    cribs: dict[str, CribLoad]


@dataclass(frozen=True, slots=True)
class Margin:
    """One thing that carries: how many times its load it may carry."""

    subject: str
    what: str
    times: float


def carried(course: Course) -> Carried:
    """What every lifter, station, strut, tie and crib carries at worst."""
    scenario = course.scenario
    lifters = {x.name: lifter_load(course, x) for x in scenario.lifters}
    stations = {x.name: station_load(course, x) for x in scenario.stations}
    struts = {x.name: buckling(course, x, stations[x.name]) for x in scenario.stations if on_a_strut(x.capture)}
    ties = {x.name: tie_load(course, x, stations[x.name]) for x in scenario.stations if x.tie}
    cribs: dict[str, CribLoad] = {}
    for lifter in scenario.lifters:
        cribs |= crib_loads(course, lifter, lifters[lifter.name].foot_force, lifters[lifter.name].foot_peak)
    for station in scenario.stations:
        cribs |= crib_loads(course, station, stations[station.name].foot_force, stations[station.name].foot_peak)
    return Carried(lifters, stations, struts, ties, cribs)


def margins(all_of_it: Carried) -> list[Margin]:
    """Every margin that is known, the smallest first."""
    return sorted(_margins(all_of_it), key=lambda margin: margin.times)


def _margins(all_of_it: Carried) -> Iterator[Margin]:
    for name, lifter in all_of_it.lifters.items():
        if lifter.margin is not None:
            yield Margin(name, "rated load", lifter.margin)
        if lifter.margin_peak is not None:
            yield Margin(name, "rated load, at the peak of a drop", lifter.margin_peak)
    for name, station in all_of_it.stations.items():
        if station.margin is not None:
            yield Margin(name, "rated load, at rest", station.margin)
        if station.margin_peak is not None:
            yield Margin(name, "rated load, at the peak of a drop", station.margin_peak)
    for name, strut in all_of_it.struts.items():
        if strut.margin is not None:
            yield Margin(name, "buckling, at rest", strut.margin)
        if strut.margin_peak is not None:
            yield Margin(name, "buckling, at the peak of a drop", strut.margin_peak)
    for name, tie in all_of_it.ties.items():
        if tie.margin is not None:
            yield Margin(f"{name} tie", "working load limit, at rest", tie.margin)
        if tie.margin_peak is not None:
            yield Margin(f"{name} tie", "working load limit, at the peak of a drop", tie.margin_peak)
    for name, crib in all_of_it.cribs.items():
        if crib.margin is not None:
            yield Margin(name, "capacity", crib.margin)
        if crib.margin_peak is not None:
            yield Margin(name, "capacity, at the peak of a drop", crib.margin_peak)
