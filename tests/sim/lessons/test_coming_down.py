"""Lesson 8, coming down, against closed forms: what a call opens, how many calls, what each turn of the cycle takes."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, cos, hypot, sin

import numpy as np
import pandas as pd
import pytest

import sim
from sim.lessons.lesson import Computed
from sim.lessons.tables import row_of
from sim.lessons.taught.coming_down import COLLAR, CRIBBED, PINS, calls
from sim.lessons.taught.watched_down import come_down
from sim.model.devices import EXACT
from sim.model.errors import ScenarioError
from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from tests.builders import lesson

INCH = 0.0254
EXAMPLES = ("trailer", "trailer-and-down", "van")


def rows(computed: Computed, kind: str) -> pd.DataFrame:
    """The cases of one kind."""
    cases = computed.tables["cases"]
    return cases[cases["kind"] == kind]


def way(computed: Computed, case: pd.Series) -> pd.DataFrame:
    """The way down of one case."""
    table = computed.tables["way"]
    return table[(table["case"] == case["case"]) & (table["step_m"] == case["step_m"])]


def freed(computed: Computed) -> float:
    """What the freeing stroke adds to the strut's line at its most [m]: a collar's gap, less the step."""
    case = row_of(computed.tables["cases"], computed.stops[0])
    return float(case["made_m"] - case["step_m"])


def turned(point: tuple[float, float], angle: float) -> tuple[float, float]:
    """A point of the trailer, ahead of and above its hinge, turned up."""
    return (
        point[0] * cos(angle) - point[1] * sin(angle),
        point[0] * sin(angle) + point[1] * cos(angle),
    )


def line(head: tuple[float, float], base: tuple[float, float], across: float, angle: float) -> float:
    """How long it is from a foot to a head of the trailer."""
    ahead, up = turned(head, angle)
    return hypot(ahead - base[0], up - base[1], across)


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_collar_opens_the_freeing_stroke_and_the_step(example: str) -> None:
    """At every step; and no call of one opens more."""
    # closed form: it is turned back to step below where the load stood, and the load is a stroke above that
    computed = lesson("coming-down", example)
    free = freed(computed)
    for _, case in rows(computed, COLLAR).iterrows():
        assert case["made_m"] == pytest.approx(free + case["step_m"], abs=0.05 * free)
        assert way(computed, case)["gap_m"].max() == pytest.approx(case["made_m"], abs=EXACT)


def test_the_freeing_stroke_is_what_one_stroke_adds_to_the_strut_s_line() -> None:
    """The trailer by trigonometry: 0.97 of 0.15 in at the ram, near 5 in of rise."""
    # lengths in inches from the shipped file; hinge 12 in high. The angle is stepped until the ram is a stroke longer.
    ram, strut = ((140.0, 12.0), (145.0, -12.0), 0.0), ((120.0, 24.0), (120.0, -12.0), 35.0)
    needed = (150.0, 8.0)
    angles = np.linspace(0.0, 0.06, 60_001)
    at = int(np.argmin([abs(turned(needed, a)[1] - needed[1] - 5.0) for a in angles]))
    stroke = 0.97 * 0.15
    start = line(*ram, angles[at])
    then = next(a for a in angles[at:] if line(*ram, a) - start >= stroke)
    adds = line(*strut, then) - line(*strut, angles[at])
    assert atan2(24, 120) > angles[at] > 0
    assert freed(lesson("coming-down")) / INCH == pytest.approx(adds, rel=0.03)


@pytest.mark.parametrize("example", EXAMPLES)
def test_with_pins_a_call_that_moves_one_opens_a_spacing_at_least(example: str) -> None:
    """And less than a spacing, the freeing stroke and the step (or, of a step over a spacing, as many as it takes)."""
    # closed form: the pin goes from a hole at or under the load to the highest at or under load - step
    computed = lesson("coming-down", example)
    moved = 0
    for _, case in rows(computed, PINS).iterrows():
        table = way(computed, case)
        held = table["held_m"].ffill()
        down = table[held.diff() < -EXACT]
        for gap in down["gap_m"]:
            assert gap >= max(case["spacing_m"], case["step_m"]) + 0.9 * freed(computed)
            assert gap < case["spacing_m"] + case["step_m"] + 1.6 * freed(computed)
        moved += len(down)
    assert moved > 4


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_pin_is_out_for_its_swaps_and_cribbing_beside_it_leaves_the_strut_never_open(example: str) -> None:
    """Whole swaps at mean times; a collar is never open."""
    computed = lesson("coming-down", example)
    for _, case in rows(computed, PINS).iterrows():
        swaps = case["out_s"] / computed.facts["swap_s"]
        assert swaps == pytest.approx(round(swaps))
    assert (rows(computed, CRIBBED)["out_s"] == 0).all() and (rows(computed, COLLAR)["out_s"] == 0).all()


@pytest.mark.parametrize("example", EXAMPLES)
def test_smaller_steps_take_more_calls_and_with_a_collar_open_less(example: str) -> None:
    """By the step, at least: what a call can open is what the leader says."""
    cases = rows(lesson("coming-down", example), COLLAR)
    assert (cases["calls"].diff().dropna() < 0).all()
    assert (cases["duration_s"].diff().dropna() < 0).all()
    assert cases["made_m"].diff().dropna().to_numpy() == pytest.approx(
        cases["step_m"].diff().dropna().to_numpy(), abs=2e-4
    )


@pytest.mark.parametrize("step", [0.25, 0.5, 1.0])
def test_the_calls_are_the_finest_line_over_the_step(step: float) -> None:
    """On the trailer the collar on the ram lets down least: its line at the end of the lift over the step."""
    # closed form: each call brings that line down by the step exactly, the last by what is left
    there = sim.load("trailer")
    settled = simulate_fixed(replace(there, stages=()))
    ram = settled.events[settled.events["station"] == "left lifter"]["demand_m"].iloc[-1]
    counted = measure(come_down(there, step * INCH))["stages"][-1]["calls"]
    assert counted == calls(ram, step * INCH)


def test_one_call_takes_what_its_parts_take() -> None:
    """The trailer's first call by steps of half an inch, collars: free, room, look, lower, and shut the valve."""
    # by hand at mean times: react 0.6 + stroke 1.2 + recover 0.5; the slower collar (0.18 turns/s of 1/4 in) reacts 0.5
    # and turns 0.5 in; look 0.5; react 0.6; the ram comes down a stroke and half an inch at 0.2 in/s; valve 0.5
    record = come_down(sim.load("trailer-and-down"), 0.5 * INCH)
    events = record.events
    leader = events[events["who"] == "leader"]
    first = leader[leader["what"] == "calls down"]["time_s"].iloc[0]
    room, lowers = (leader[leader["what"] == what]["time_s"].iloc[0] - first for what in ("room", "lowers"))
    assert room == pytest.approx(0.6 + 1.2 + 0.5)
    assert lowers - room == pytest.approx(0.5 + 0.5 / (0.18 * 0.25) + 0.5)
    shut = events[(events["who"] == "left lifter") & (events["what"] == "ready") & (events["time_s"] > first + lowers)]
    down = 0.6 + (0.5 + 0.97 * 0.15) / 0.2 + 0.5
    assert shut["time_s"].iloc[0] - first - lowers == pytest.approx(down, abs=0.01)


def test_the_lesson_says_of_a_case_what_the_measures_of_that_lift_say() -> None:
    """Its largest gap made, its largest drop, its calls and its time; read the other way round."""
    computed = lesson("coming-down", "trailer-and-down")
    assert computed.assumed == (
        '"pinned" is taken to go on as far as the load: where it ends is left out.',
        '"threaded" is taken to go on as far as the load: where it ends is left out.',
    )
    there = sim.load("trailer-and-down", "pinned")
    stage = measure(come_down(replace(there, mishaps=()), 0.25 * INCH))["stages"][-1]
    case = rows(computed, PINS)
    case = case[(case["spacing_m"] == 2 * INCH) & (case["step_m"] == 0.25 * INCH)].iloc[0]
    assert stage["calls"] == case["calls"] and stage["duration_s"] == pytest.approx(case["duration_s"])
    assert stage["largest_made_gap"]["gap_m"] == pytest.approx(case["made_m"])
    assert stage["largest_drop_lifter_lost"]["drop_m"] == pytest.approx(case["largest_drop_m"])
    assert stage["hands_in_on_rams_alone_s"] == pytest.approx(case["hands_s"])


def test_a_lift_that_cannot_come_down_says_why() -> None:
    """A side that nothing could hold while the rams carry nothing; rams too short for the need."""
    there = sim.load("trailer")
    bare = replace(there, lifters=tuple(replace(x, capture=(), catchers=()) for x in there.lifters))
    with pytest.raises(ScenarioError, match="nothing can hold the right side"):
        sim.lesson("coming-down", replace(bare, stations=there.stations[:1]))
    short = replace(there, lifters=tuple(replace(x, travel=4 * INCH) for x in there.lifters))
    with pytest.raises(ScenarioError, match="not brought down"):
        sim.lesson("coming-down", short)
