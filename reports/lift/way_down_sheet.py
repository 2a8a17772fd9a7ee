"""The second page of a call sheet, of a lift that comes down again: its stages, and the words of the way down."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from reports.views import captions
from reports.words.drops import how_far
from reports.words.plain import clock, count, limit
from reports.words.stages import hands_alone, lowers, made_gap, plan_words
from reports.words.work import DOWN, HANDS_AT
from sim.model.devices import Device
from sim.model.scenario import Scenario
from sim.model.sentences import words as worded
from sim.model.units import Units


def way_down(scenario: Scenario, summary: dict[str, Any], units: Units) -> dict[str, Any] | None:
    """What the page says; None where the plan does not lower."""
    if not scenario.comes_down:
        return None
    return {
        "stages": list(_stages(scenario, summary, units)),
        "words": WORDS,
        "steps": list(_steps(scenario, units)),
        "devices": list(_devices(scenario, units)),
        "watch": list(_watch(scenario, summary, units)),
    }


WORDS = [
    (captions.UP, "leader: raise the load clear of what it rests on, one stroke at a time; nobody touches a device"),
    ("clear", "each operator: this side hangs on its ram, nothing else carries it"),
    (
        captions.HANDS_IN,
        "leader, once every side is clear and stands still: let the devices down a step",
    ),
    (captions.HANDS_OUT, "each catcher: let down, and hands and tools are out"),
    (captions.DOWN, "leader, once every catcher has said “hands out”: open the valves, let it land"),
    (captions.STOP, "anybody: shut the valves; all freeze until the leader speaks"),
]


def _stages(scenario: Scenario, summary: dict[str, Any], units: Units) -> Iterator[tuple[str, str]]:
    """What each stage asks for, and what it took in this lift."""
    took = summary["stages"]
    for number, stage in enumerate(scenario.stages):
        said = "not come to in this lift"
        if number < len(took):
            each = took[number]
            calls = f", {count(each['calls'], 'call')}" if stage.do != "hold" else ""
            pumps = f", pumps {' and '.join(str(n) for n in each['pumps'].values())}" if each["calls"] else ""
            said = f"{clock(each['duration_s'])}{calls}{pumps}"
        own = f" ({count(strokes, 'stroke')} a call)" if (strokes := stage.leader.get("strokes")) else ""
        yield f"{number + 1}. {plan_words(stage, units)}{own}", said


def _steps(scenario: Scenario, units: Units) -> Iterator[str]:
    """How far each call may bring it down, stage by stage."""
    for number, stage in enumerate(scenario.stages, 1):
        if stage.do == "lower":
            step = limit(stage.led(scenario.leader).room, units)
            yield (
                f"Stage {number}: every call lets the devices down no further than {step} below where the load stood, "
                f"and the load comes down onto them: {step} a call, and a little more where a device cannot hold there."
            )


def _devices(scenario: Scenario, units: Units) -> Iterator[str]:
    """How each kind of device is let down, and how much further than the step it may go."""
    found = {device.name: device for where in scenario.places for device in where.capture}
    for name, device in found.items():
        further = _further(device, units)
        hands = "; hands are in" if device.kind in HANDS_AT else ""
        yield f"{name} ({device.kind}): {DOWN.get(device.kind, 'let it down')}{hands}{further}"


def _further(device: Device, units: Units) -> str:
    if device.kind in ("pin", "chain"):
        return f". It holds only every {limit(device.finest, units)}: it may go that much further down than the step"
    if device.kind == "strap":
        return f". By whole clicks of {limit(device.finest, units)}"
    return ""


def _watch(scenario: Scenario, summary: dict[str, Any], units: Units) -> Iterator[str]:
    """What goes wrong on the way down, with what this lift had."""
    drops = [stage["largest_drop_lifter_lost"] for stage in lowers(summary)]
    yield "Hands go in only while the load is clear and stands still on its rams. No valve opens while a hand is in."
    yield f"The gap is made on purpose. In this lift the largest was {made_gap(summary, units)}."
    if any(device.kind in HANDS_AT for where in scenario.places for device in where.capture):
        alone = hands_alone(summary)
        within = limit(scenario.limits.gap, units)
        yield (
            f"Hands in on the rams alone (nothing else on that side closed within {within}): {alone} in this lift. "
            "Let down one station of a side at a time where there are two."
        )
    if drops:
        worst = max(drops, key=lambda drop: float(drop["drop_m"]))
        yield f"If a lifter were lost on the way down: {worded(how_far(worst), units)} to drop, if the station holds."
    yield "A side that does not come clear within a stroke or two, or that comes clear alone: stop."
    yield "A side that comes down ahead of the other, does not land, or lands anywhere but on its device: stop."
    travel = ", ".join(lifter.name for lifter in scenario.lifters)
    yield f"Freeing takes ram travel again and again: keep a stroke in hand at {travel}."
