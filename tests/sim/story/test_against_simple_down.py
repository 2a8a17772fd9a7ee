"""The story and the simple simulator simulate the same staged lifts: up, a hold, and down again.

The drops are left to the lifts that only go up, and so are mishaps.
"""

from __future__ import annotations

from importlib.resources import files
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings

from sim.model.scenario import Scenario
from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from sim.written.reading import parse
from tests.builders import MM, collar, lifter, reset, station
from tests.drawn_stages import staged_lifts
from tests.sim.story.test_against_simple import STEPS, counted, lengths, timed
from tests.sim.story.test_lowering import lowers, up_and_down
from tests.simple.simple import SimpleLift, SimpleResult, simulate

drawn = settings(suppress_health_check=[HealthCheck.too_slow], phases=[Phase.explicit, Phase.reuse, Phase.generate])
Pairs = list[tuple[str, Any, Any]]


def differences(scenario: Scenario, step: float) -> list[str]:
    """Where the two disagree by more than the step can explain."""
    story, simple = measure(simulate_fixed(scenario)), simulate(scenario, dt=step, drops=False)
    stages = list(zip(story["stages"], simple.stages, strict=False))
    found = [
        f"{n}: story {a}, simple {b}" for n, a, b in counted(story, simple) + counted_down(story, simple) if a != b
    ]
    if found:
        return found
    late = 3 * step * (1 + 6 * (story["calls"] + 1))  # a call may begin some steps late, one down some more than one up
    times = timed(story, simple) + timed_down(story, simple)
    far = 0.08 * 3 * step + 1e-9  # the fastest thing that moves does 80 mm/s
    ends = [(f"rise after stage {n}", a["end_rise_m"], b.rise) for n, (a, b) in enumerate(stages)]
    found += [f"{n}: story {a}, simple {b}" for n, a, b in times if abs(a - b) > late]
    return found + [f"{n}: story {a}, simple {b}" for n, a, b in gaps(story, simple) + ends if abs(a - b) > far]


def counted_down(story: dict[str, Any], simple: SimpleResult) -> Pairs:
    """What must be equal to the last one: how each stage came out, and with how many calls."""
    told = [(s["do"], s["outcome"], s["calls"]) for s in story["stages"]]
    down = sum(calls for do, _, calls in told if do == "lower")
    return [
        ("stages", told, [(s.do, s.outcome, s.calls) for s in simple.stages]),
        ("calls down", down, simple.calls_down),
    ]


def timed_down(story: dict[str, Any], simple: SimpleResult) -> Pairs:
    """Times [s]: when each stage ended, and with hands in on the rams alone."""
    lasted = [s["duration_s"] for s in story["stages"]]
    return [
        ("hands in on the rams alone", story["hands_in_on_rams_alone_s"], simple.hands_in_on_rams_alone),
        *((f"end of stage {n}", sum(lasted[: n + 1]), stage.end) for n, stage in enumerate(simple.stages)),
    ]


def gaps(story: dict[str, Any], simple: SimpleResult) -> Pairs:
    """Lengths [m], the largest made gap among them; no drops."""
    made = ("largest made gap", story["largest_made_gap"]["gap_m"], simple.largest_made_gap[0])
    return [made, *(pair for pair in lengths(story, simple) if not pair[0].startswith("drop"))]


def agree(scenario: Scenario, steps: tuple[float, ...] = STEPS) -> None:
    """Equal at the coarse step, or at the fine one."""
    found: list[str] = []
    for step in steps:
        found = differences(scenario, step)
        if not found:
            return
    raise AssertionError("\n".join(found))


def can_begin(scenario: Scenario) -> bool:
    """Whether every ram reaches to where the lift begins: how one was packed up before is not said."""
    lift = SimpleLift(scenario, dt=1.0)
    return all(ram.travelled <= ram.lifter.travel for ram in lift.rams)


@pytest.mark.slow
@pytest.mark.parametrize("variant", ["", "pinned", "pinned with cribbing", "no holds"])
def test_the_shipped_way_down_is_simulated_alike(variant: str) -> None:
    """The trailer up, ten minutes, and down again, at mean values; it takes longer than others: coarser steps."""
    text = (files("sim.examples") / "trailer-and-down.toml").read_text()
    agree(parse(text, "trailer-and-down", variant), steps=(0.02, 0.005))


def test_a_packed_up_ram_that_has_sunk_in_is_simulated_alike() -> None:
    """It lands below where it was in contact, frees from there, and its packing is taken out."""
    ram = lifter(travel=30 * MM, operator=lowers())
    agree(up_and_down(ram, station(collar()), need=30 * MM, reset=reset(20, 12 * MM)))


@settings(drawn, max_examples=15)
@given(staged_lifts())
def test_a_few_staged_lifts_drawn_at_random_are_simulated_alike(scenario: Scenario) -> None:
    """Up in parts, a hold, down again, perhaps from half-way on: the same calls, times and gaps within the step."""
    assume(can_begin(scenario))
    agree(scenario)


@pytest.mark.slow
@drawn
@given(staged_lifts())
def test_staged_lifts_drawn_at_random_are_simulated_alike(scenario: Scenario) -> None:
    """The same, of as many as are drawn."""
    assume(can_begin(scenario))
    agree(scenario)
