"""The story and a deliberately simple simulator (a fixed small time step, no SimPy) simulate the same lifts."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from sim.model.scenario import Mishap, Scenario
from sim.record.measures import measure
from sim.record.what import What
from sim.story.lift import simulate_fixed
from sim.written.reading import parse
from tests.random_lifts import lifts, with_mishap
from tests.simple.simple import SimpleResult, simulate

STEPS = (0.005, 0.0005)  # a decision may fall the other way within one step; not within both


def differences(scenario: Scenario, step: float) -> list[str]:
    """Where the two disagree by more than the step can explain."""
    story, simple = measure(simulate_fixed(scenario)), simulate(scenario, dt=step)
    found = [f"{name}: story {a}, simple {b}" for name, a, b in counted(story, simple) if a != b]
    if found:
        return found
    late = 3 * step * (1 + 4 * (story["calls"] + 1))  # every call may begin some steps late
    far = 0.08 * 3 * step + 1e-9  # the fastest thing that moves does 80 mm/s
    found += [f"{n}: story {a}, simple {b}" for n, a, b in timed(story, simple) if abs(a - b) > late]
    found += [f"{n}: story {a}, simple {b}" for n, a, b in lengths(story, simple) if abs(a - b) > far]
    return found


def counted(story: dict[str, Any], simple: SimpleResult) -> list[tuple[str, Any, Any]]:
    """What must be equal to the last one."""
    return [
        ("outcome", story["outcome"], simple.outcome),
        ("calls", story["calls"], simple.calls),
        ("pumps", story["pumps"], simple.pumps),
        ("holds", story["holds"], simple.holds),
        ("calls over the limit", story["over_limit_calls"], simple.over_limit_calls),
        ("levelling calls", story["levelling_calls"], simple.levelling_calls),
        ("captures", {n: s["captures"] for n, s in story["stations"].items()}, simple.captures),
    ]


def timed(story: dict[str, Any], simple: SimpleResult) -> list[tuple[str, float, float]]:
    """Times [s]."""
    open_times = [(f"open: {n}", s["open_time_s"], simple.open_time[n]) for n, s in story["stations"].items()]
    return [
        ("duration", story["duration_s"], simple.duration),
        ("hold time", story["hold_time_s"], simple.hold_time),
        *open_times,
    ]


def lengths(story: dict[str, Any], simple: SimpleResult) -> list[tuple[str, float, float]]:
    """Lengths [m]."""
    return [
        ("largest gap", story["largest_gap"]["gap_m"], simple.largest_gap[0]),
        ("largest passing gap", story["largest_passing_gap"]["gap_m"], simple.largest_passing_gap[0]),
        ("largest standing gap", story["largest_standing_gap"]["gap_m"], simple.largest_standing_gap[0]),
        ("drop, pressure lost", story["largest_drop_pressure_lost"]["drop_m"], simple.largest_drop_pressure_lost[0]),
        ("drop, lifter lost", story["largest_drop_lifter_lost"]["drop_m"], simple.largest_drop_lifter_lost[0]),
        ("level difference", story["largest_level_difference_m"], simple.largest_level_difference),
        ("final level difference", story["final_level_difference_m"], simple.final_level_difference),
        ("point rise", story["point_rise_m"], simple.point_rise),
        ("settled rise", story["settled_rise_m"], simple.settled_rise),
        *((f"gap: {n}", s["largest_gap_m"], simple.station_gap[n]) for n, s in story["stations"].items()),
        *((f"travel: {n}", x, simple.ram_travel[n]) for n, x in story["ram_travel_m"].items()),
        *((f"head: {n}", x, simple.head_rise[n]) for n, x in story["head_rise_m"].items()),
    ]


def agree(scenario: Scenario) -> None:
    """Equal at the coarse step, or at the fine one."""
    found: list[str] = []
    for step in STEPS:
        found = differences(scenario, step)
        if not found:
            return
    raise AssertionError("\n".join(found))


SHIPPED = [
    (name, variant) for name in ("trailer", "van") for variant in ("", "pinned", "pinned with cribbing", "no holds")
]


@pytest.mark.parametrize(("name", "variant"), SHIPPED)
def test_the_shipped_scenarios_are_simulated_alike(name: str, variant: str) -> None:
    """Every shipped scenario and variant, at mean values."""
    agree(parse((files("sim.examples") / f"{name}.toml").read_text(), name, variant))


@settings(suppress_health_check=[HealthCheck.too_slow], phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(lifts(mishaps=False), st.sampled_from([2.0, 3.5]), st.data())
def test_whoever_is_slowed_in_the_middle_of_something_is_simulated_alike(
    scenario: Scenario, factor: float, data: st.DataObject
) -> None:
    """Somebody at work when a call goes out, who is slower from that call on."""
    by_pace = replace(scenario, leader=replace(scenario.leader, rule="keep-pace", pace=min(2.0, scenario.leader.pace)))
    catchers = sorted({c for place in scenario.places for c in place.catchers})
    found = [
        each
        for who in catchers
        for call in (2, 3, 4)
        if (each := with_mishap(by_pace, Mishap("slow", call, who, factor=factor)))
        and (simulate_fixed(each).events["what"] == What.SLOWS).any()
    ]
    assume(found)
    agree(data.draw(st.sampled_from(found)))


@settings(
    max_examples=2 * settings().max_examples,  # what everything else stands on
    suppress_health_check=[HealthCheck.too_slow],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)
@given(lifts())
def test_lifts_drawn_at_random_are_simulated_alike(scenario: Scenario) -> None:
    """Any lift, with or without a mishap: the same calls and captures, the same times and gaps within the step."""
    agree(scenario)
