"""Figures about people and handles that cannot be, or that nobody has published."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sim.check.findings import ASSUMED, Check, Finding, finding
from sim.check.lifters import LifterLoad
from sim.model.devices import Collar
from sim.model.scenario import Lifter, Scenario
from sim.model.sentences import Part, down, near, up

HANDLE_EFFORT = 450.0  # [N] AS 2615:2016 6.4
HANDLE_STROKE = 0.6  # [m] where the file gives none: a long lever swung from shoulder to knee
FASTEST_PUMPING = 50.0  # a minute; 30 to 50 are preferred (field study)
SLOWEST_PUMPING = 20.0  # a minute; lever pumps for long work: at most so many (design handbook)
FASTEST_TURNING = 30.0  # a minute; cranking under load: 25 to 30 at most (design handbook)
FASTEST_REACTION = 0.122  # [s] simple reaction to sound, the faster of two (Cattell 1886)


def people_findings(scenario: Scenario, lifters: dict[str, LifterLoad]) -> Iterator[Finding]:
    """Handles that ask for more than a person has, people faster than anybody measured."""
    needed = people_needed(scenario)
    if scenario.people is not None and scenario.people < needed:
        here, said = float(scenario.people), {"needed": str(needed), "here": str(scenario.people)}
        yield finding("stop", Check.PEOPLE_FEW, "people", here, float(needed), "", "the file's own count", **said)
    for lifter in scenario.lifters:
        yield from _work_at_the_handle(lifter)
        yield from _effort_at_the_handle(lifter.name, lifters[lifter.name])
    for operator in {x.operator.name: x.operator for x in scenario.lifters}.values():
        subject = f"operator {operator.name}"
        rate = 60 / (operator.stroke.mean + operator.recover.mean)
        if rate > FASTEST_PUMPING:
            pace, source = str(math.ceil(rate - 1e-9)), "field study of hand pumping"
            yield finding("caution", Check.PUMPS_FAST, subject, rate, FASTEST_PUMPING, "/min", source, pace=pace)
        elif rate < SLOWEST_PUMPING:
            pace, source = str(math.floor(rate)), "design handbook: lever pumps"
            yield finding("caution", Check.PUMPS_SLOWLY, subject, rate, SLOWEST_PUMPING, "/min", source, pace=pace)
        yield from _reaction(subject, operator.react.mean)
    devices = {device.name: device for place in scenario.places for device in place.capture}
    for device in devices.values():
        subject = f"device {device.name}"
        yield from _reaction(subject, device.react.mean)
        if isinstance(device, Collar) and device.turns.mean * 60 > FASTEST_TURNING + 1e-9:
            rate = device.turns.mean * 60
            turns, source = str(math.ceil(rate - 1e-9)), "design handbook: cranking under load"
            yield finding("caution", Check.TURNS_FAST, subject, rate, FASTEST_TURNING, "/min", source, turns=turns)


def people_needed(scenario: Scenario) -> int:
    """Who leads, who pumps at each lifter, and everyone who works a device."""
    return 1 + len(scenario.lifters) + len({name for place in scenario.places for name in place.catchers})


def _reaction(subject: str, seconds: float) -> Iterator[Finding]:
    """Somebody who reacts at all takes the time that people take."""
    if 0 < seconds < FASTEST_REACTION:
        ms, source = f"{math.floor(seconds * 1e3 + 1e-9)}", "Cattell, Mind 11 (1886)"
        yield finding("caution", Check.REACTS_FAST, subject, seconds, FASTEST_REACTION, "s", source, ms=ms)


def _work_at_the_handle(lifter: Lifter) -> Iterator[Finding]:
    """At its rated load one stroke may not ask for more work than a person puts into one."""
    if lifter.rated_load is None:
        return
    work = lifter.rated_load * travel_when_felt(lifter)
    hand = lifter.handle_stroke or HANDLE_STROKE
    most = HANDLE_EFFORT * hand
    if not work <= most:
        said: dict[str, Part] = {
            "done": up(work, "energy"), "given": down(most, "energy"),
            "effort": up(HANDLE_EFFORT, "hand"), "stroke": near(hand, "length"),
        }  # fmt: skip
        which, source = Check.HANDLE_WORK, "AS 2615:2016 6.4"
        if not lifter.handle_stroke:
            which, source = Check.HANDLE_WORK_ASSUMED, f"{source}; {ASSUMED}: the handle's stroke"
        yield finding("caution", which, lifter.name, work, most, "J", source, **said)


def travel_when_felt(lifter: Lifter) -> float:
    """Ram travel of a full stroke at the rated load, were the relief valve shut [m]."""
    if lifter.travel_per_pump is not None:
        return lifter.travel_per_pump
    assert lifter.pump is not None and lifter.ram_area is not None and lifter.rated_load is not None
    felt = lifter.rated_load / lifter.ram_area >= lifter.pump.shift_pressure
    return (lifter.pump.second_stage if felt else lifter.pump.first_stage) / lifter.ram_area


def _effort_at_the_handle(name: str, load: LifterLoad) -> Iterator[Finding]:
    """Under this load, where the handle's stroke is given."""
    if load.handle_force is not None and not load.handle_force <= HANDLE_EFFORT:
        got, most, source = up(load.handle_force, "hand"), up(HANDLE_EFFORT, "hand"), "AS 2615:2016 6.4"
        value, limit = load.handle_force, HANDLE_EFFORT
        yield finding("caution", Check.HANDLE_EFFORT, name, value, limit, "N", source, got=got, most=most)
