"""Figures about people and handles that cannot be, or that nobody has published."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sim.check.figures import ASSUMED, Finding
from sim.check.lifters import LifterLoad
from sim.model.devices import Collar
from sim.model.scenario import Lifter, Scenario
from sim.model.units import Units, show, show_down, show_up

HANDLE_EFFORT = 450.0  # [N] AS 2615:2016 6.4
HANDLE_STROKE = 0.6  # [m] where the file gives none: a long lever swung from shoulder to knee
FASTEST_PUMPING = 50.0  # a minute; 30 to 50 are preferred (field study)
SLOWEST_PUMPING = 20.0  # a minute; lever pumps for long work: at most so many (design handbook)
FASTEST_TURNING = 30.0  # a minute; cranking under load: 25 to 30 at most (design handbook)
FASTEST_REACTION = 0.122  # [s] simple reaction to sound, the faster of two (Cattell 1886)


def people_findings(scenario: Scenario, lifters: dict[str, LifterLoad]) -> Iterator[Finding]:
    """Handles that ask for more than a person has, people faster than anybody measured."""
    for lifter in scenario.lifters:
        yield from _work_at_the_handle(scenario, lifter)
        yield from _effort_at_the_handle(scenario, lifter, lifters[lifter.name])
    for operator in {x.operator.name: x.operator for x in scenario.lifters}.values():
        subject = f"operator {operator.name}"
        rate = 60 / (operator.stroke.mean + operator.recover.mean)
        if rate > FASTEST_PUMPING:
            pace = math.ceil(rate - 1e-9)
            what = f"pumps {pace} times a minute; 30 to 50 are preferred, and nobody keeps up more under load"
            yield Finding("caution", subject, what, rate, FASTEST_PUMPING, "/min", "field study of hand pumping")
        elif rate < SLOWEST_PUMPING:
            what = f"pumps {math.floor(rate)} times a minute; even for long work lever pumps are worked at up to 20"
            yield Finding("caution", subject, what, rate, SLOWEST_PUMPING, "/min", "design handbook: lever pumps")
        yield from _reaction(subject, operator.react.mean)
    devices = {device.name: device for place in scenario.places for device in place.capture}
    for device in devices.values():
        subject = f"device {device.name}"
        yield from _reaction(subject, device.react.mean)
        if isinstance(device, Collar) and device.turns.mean * 60 > FASTEST_TURNING + 1e-9:
            rate = device.turns.mean * 60
            turns = math.ceil(rate - 1e-9)
            what = f"is turned {turns} times a minute; under load 25 to 30 are the most, so it must run free"
            yield Finding(
                "caution", subject, what, rate, FASTEST_TURNING, "/min", "design handbook: cranking under load"
            )


def by_hand(force: float, units: Units) -> str:
    """A force that a hand gives, as people read it: newtons, for kilonewtons would hide it."""
    return show_up(force, "force", units) if units == "us" else f"{math.ceil(force - 1e-9):,} N"


def _reaction(subject: str, seconds: float) -> Iterator[Finding]:
    """Somebody who reacts at all takes the time that people take."""
    if 0 < seconds < FASTEST_REACTION:
        what = f"reacts in {math.floor(seconds * 1e3 + 1e-9)} ms; a simple reaction to a sound takes 122 ms or more"
        yield Finding("caution", subject, what, seconds, FASTEST_REACTION, "s", "Cattell, Mind 11 (1886)")


def _work_at_the_handle(scenario: Scenario, lifter: Lifter) -> Iterator[Finding]:
    """At its rated load one stroke may not ask for more work than a person puts into one."""
    if lifter.rated_load is None:
        return
    work = lifter.rated_load * travel_when_felt(lifter)
    hand = lifter.handle_stroke or HANDLE_STROKE
    most = HANDLE_EFFORT * hand
    if not work <= most:
        said = show(hand, "length", scenario.units)
        said += "" if lifter.handle_stroke else ", which is assumed"
        done, given = show_up(work, "energy", scenario.units), show_down(most, "energy", scenario.units)
        what = (
            f"rated load x travel per pump is {done} a stroke, and a person at the handle gives at most "
            f"{given} ({by_hand(HANDLE_EFFORT, scenario.units)} over {said}): one of the two figures cannot be"
        )
        source = "AS 2615:2016 6.4" + ("" if lifter.handle_stroke else f"; {ASSUMED}: the handle's stroke")
        yield Finding("caution", lifter.name, what, work, most, "J", source)


def travel_when_felt(lifter: Lifter) -> float:
    """Ram travel of a full stroke at the rated load, were the relief valve shut [m]."""
    if lifter.travel_per_pump is not None:
        return lifter.travel_per_pump
    assert lifter.pump is not None and lifter.ram_area is not None and lifter.rated_load is not None
    felt = lifter.rated_load / lifter.ram_area >= lifter.pump.shift_pressure
    return (lifter.pump.second_stage if felt else lifter.pump.first_stage) / lifter.ram_area


def _effort_at_the_handle(scenario: Scenario, lifter: Lifter, load: LifterLoad) -> Iterator[Finding]:
    """Under this load, where the handle's stroke is given."""
    if load.handle_force is not None and not load.handle_force <= HANDLE_EFFORT:
        got, most = (by_hand(x, scenario.units) for x in (load.handle_force, HANDLE_EFFORT))
        what = f"asks for {got} at the handle at worst, friction apart; {most} is the most that may be asked"
        yield Finding("caution", lifter.name, what, load.handle_force, HANDLE_EFFORT, "N", "AS 2615:2016 6.4")
