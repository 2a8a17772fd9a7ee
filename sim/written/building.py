"""From what a person wrote, once it is known to be good, to the frozen data of the model.

Every default that matters is stated: a sentence each in `Scenario.assumed`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from sim.model.errors import Problem
from sim.model.scenario import Ground, Leader, Limits, Load, Mishap, Need, Pivot, Reset, Scenario
from sim.model.sentences import Part, Sentence, near
from sim.model.soil import SOILS, SOURCE
from sim.written.building_places import Kinds, lifters_of, low_to_high, shared, stations_of
from sim.written.keys.stages import WrittenLeaderKeys
from sim.written.keys.tables import (
    WrittenGround,
    WrittenLimits,
    WrittenLoad,
    WrittenMishap,
    WrittenPivot,
    WrittenScenario,
    WrittenVariant,
)

Assumed = list[str | Sentence]


def build(written: WrittenScenario, text: str, name: str, variant: str) -> tuple[Scenario, list[Problem]]:
    """The scenario, or one of its variants, and what is wrong with the shares of its lifters.

    Parameters
    ----------
    written : WrittenScenario
        Valid, its keys agreeing with each other, its names known.
    text : str
        The file as read.
    name : str
        The title of a scenario without one.
    variant : str
        One of its variants, "" for none.

    Returns
    -------
    scenario : Scenario
        With what was assumed.
    problems : list of Problem
        Where there are any, the shares are not to be used.
    """
    assumed: Assumed = []
    change = next((each for each in written.variant if each.name == variant), WrittenVariant(name="as written"))
    kinds = Kinds(
        operators={each: table.operator(each) for each, table in written.operator.items()},
        pumps={each: table.pump(each) for each, table in written.pump.items()},
        devices={each: table.device(each) for each, table in written.device.items()},
        replace=change.replace,
    )
    load = _load(written.load, assumed)
    lifters, problems = shared(load, tuple(lifter for row in written.lifter for lifter in lifters_of(row, kinds)))
    scenario = Scenario(
        title=written.title or name,
        units=written.units,
        load=load,
        need=Need((written.need.point[0], written.need.point[1], written.need.point[2]), written.need.rise),
        leader=_leader(written.leader, change.leader, assumed),
        limits=_limits(written.limits, assumed),
        lifters=lifters,
        stations=tuple(
            station
            for row in written.station
            for station in stations_of(row, kinds)
            if not {station.name, row.name} & set(change.leave_out)
        ),
        stages=tuple(row.stage(written.need.rise) for row in written.stage),
        start=written.start.rise if written.start else 0.0,
        walk={each: table.walk.draw for each, table in written.catcher.items()},
        reset=Reset(written.reset.time, written.reset.reseat) if written.reset else None,
        ground=_ground(written.ground),
        pivot=_pivot(written.pivot),
        crew_sd=written.crew.crew_sd,
        people=written.crew.people,
        variants=tuple(each.name for each in written.variant),
        variant=variant,
        variant_title=change.title or "",
        text=text,
    )
    mishaps = _mishaps(written.mishap, scenario, assumed)
    assumed += _unsaid(written, scenario)
    assumed += _unsaid_lowering(written, scenario)
    return replace(scenario, mishaps=mishaps, assumed=tuple(assumed)), problems


def _load(written: WrittenLoad, assumed: Assumed) -> Load:
    """The load; of a scale reading under its end, what has the same moment about the pivot."""
    height, take_up = written.pivot_height or 0.0, written.take_up or 0.0
    if written.motion == "hinged" and written.pivot_height is None:
        assumed.append("The height of the hinge line is not given: it is taken to be on the ground.")
    if written.take_up is None:
        assumed.append("No take-up is given: the load is taken to move with the first stroke.")
    if written.cg is not None and written.weight is not None:
        cg = (written.cg[0], written.cg[1], written.cg[2])
        return Load(written.weight, written.motion, cg, height, take_up)
    end_weight, end_at = written.end_weight or 0.0, written.end_at or 0.0
    assumed.append(
        "The centre of gravity follows from the scale under the end: "
        "it is taken to lie on the centreline, as high as the hinge line."
    )
    if written.weight is None:
        assumed.append("The whole weight is not known: the scale reading, where it was taken, stands for its moment.")
        return Load(end_weight, written.motion, (end_at, 0.0, height), height, take_up, weight_known=False)
    return Load(written.weight, written.motion, (end_weight * end_at / written.weight, 0.0, height), height, take_up)


def _leader(written: WrittenLeaderKeys, change: WrittenLeaderKeys, assumed: Assumed) -> Leader:
    """The leader's keys, those of the variant before those of the file."""
    keys = written.model_dump(exclude_none=True) | change.model_dump(exclude_none=True)
    defaults = {"strokes": "1 stroke a call", "pace": "no shortest time between calls", "look": "a look takes 0 s"}
    unsaid = [said for key, said in defaults.items() if key not in keys]
    unsaid += ["every gap counts as over the limit"] * ("gap_limit" not in keys)
    if unsaid:
        assumed.append(f"The leader, where nothing is written: {', '.join(unsaid)}.")
    return Leader(**keys)


def _limits(written: WrittenLimits, assumed: Assumed) -> Limits:
    """What is given, and the defaults for the rest, stated."""
    keys = written.model_dump(exclude_none=True)
    for key in ("strut_angle", "lifter_angle"):
        if key in keys:
            keys[key] = tuple(keys[key])
    limits = Limits(**keys, written=tuple(keys))
    said: dict[str, Part] = {
        "gap": near(limits.gap, "length"),
        "drop": near(limits.drop, "length"),
        "design_factor": f"{limits.design_factor:g}",
        "strut_angle": _band(limits.strut_angle),
        "lifter_angle": _band(limits.lifter_angle),
    }
    unsaid = {key: figure for key, figure in said.items() if key not in keys}
    if unsaid:
        listed = ", ".join(f"{key.replace('_', ' ')} {{{key}}}" for key in unsaid)
        assumed.append(Sentence(f"Limits that are not written are taken from common practice: {listed}.", **unsaid))
    return limits


def _band(angles: tuple[float, float]) -> str:
    return f"{math.degrees(angles[0]):.0f} to {math.degrees(angles[1]):.0f} deg"


def _ground(written: WrittenGround) -> Ground:
    """The ground, with what its class bears."""
    bearing = SOILS[written.soil] if written.soil else written.bearing
    source = "" if bearing is None else SOURCE if written.soil else "given in the scenario"
    return Ground(bearing, source, written.soil or "", written.edge, written.depth)


def _pivot(written: WrittenPivot) -> Pivot:
    """What keeps the pivot from moving, as written."""
    return Pivot(written.held, written.holds, low_to_high(written.friction), written.track)


def _mishaps(written: list[WrittenMishap], scenario: Scenario, assumed: Assumed) -> tuple[Mishap, ...]:
    """Those that can happen in this variant: one whose catcher is not there cannot."""
    there = {x.name for x in scenario.lifters} | {name for place in scenario.places for name in place.catchers} | {""}
    found = []
    for row in written:
        after, factor, time = row.after or 0.0, row.factor or 1.0, row.time or 0.0
        mishap = Mishap(row.kind, row.call, row.who or "", after, factor, time, row.phase or "")
        if mishap.who in there:
            found.append(mishap)
        else:
            assumed.append(f'The mishap "{row.kind}" does not happen here: nobody is called "{mishap.who}".')
    return tuple(found)


def _unsaid(written: WrittenScenario, scenario: Scenario) -> Iterator[str]:
    """What had to be taken for granted of the people and devices that this variant uses."""
    for name in dict.fromkeys(lifter.operator.name for lifter in scenario.lifters):
        yield from written.operator[name].unsaid(name)
    for name in dict.fromkeys(device.name for place in scenario.places for device in place.capture):
        yield from written.device[name].unsaid(name)
    works_at: dict[str, set[str]] = {}
    for place in scenario.places:
        for catcher in place.catchers:
            works_at.setdefault(catcher, set()).add(place.name)
    for catcher, places in works_at.items():
        if len(places) > 1 and catcher not in scenario.walk:
            yield f'"{catcher}" is taken to walk between stations in 0 s.'
    for row in written.station:
        if row.tie and row.tie.working_load_limit is None and row.tie.size and row.tie.grade is None:
            yield f'The chain of station "{row.name}" has no grade written: it counts as grade 30 (49 CFR 393.108(d)).'


def _unsaid_lowering(written: WrittenScenario, scenario: Scenario) -> Iterator[str | Sentence]:
    """The same of the way down, if there is one."""
    lowering = [stage.led(scenario.leader) for stage in scenario.stages if stage.do == "lower"]
    if lowering:
        for name in dict.fromkeys(lifter.operator.name for lifter in scenario.lifters):
            yield from written.operator[name].unsaid_lowering(name)
    for leader in dict.fromkeys(leader for leader in lowering if leader.step is None):
        why = "the gap limit" if leader.gap_limit else "for the gap limit is 0"
        yield Sentence(f"No step is given: one lowering call lets a device down by {{room}}, {why}.",
                       room=near(leader.room, "length"))  # fmt: skip
