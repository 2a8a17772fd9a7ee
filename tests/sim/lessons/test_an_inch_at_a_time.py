"""Lesson 10, an inch at a time, against closed forms: what a call opens, what it takes, how many there are."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

import numpy as np
import pandas as pd
import pytest

import sim
from sim.lessons.lesson import Computed
from sim.lessons.taught.an_inch_at_a_time import lifted, strokes_for, watch, with_wedges
from sim.model.devices import Crib
from sim.model.draw import Draw
from sim.model.errors import ScenarioError
from tests.builders import lesson
from tests.sim.lessons.test_lessons_closed_forms import straight

NAME, MM, INCH = "an-inch-at-a-time", 1e-3, 0.0254
EXAMPLES = ("trailer", "van")
CRIB = Crib("timber", (20 * MM,), Draw(3.0), 25 * MM, Draw(2.0), Draw(1.0))


def own(computed: Computed, factor: float = 1.0) -> pd.DataFrame:
    """The cases of one crew, by strokes a call."""
    cases = computed.tables["cases"]
    return cases[cases["factor"] == factor].set_index("strokes")


def by_hand(strokes: int, need: float) -> tuple[float, int, int]:
    """How long the worked lift takes [s], its pieces and its wedges: 10 mm a stroke, up to `need` [mm]."""
    seconds, line, pile, held, pieces, wedges = -0.25, 0, 0, 0, 0, 0  # one look less than there are calls
    while line < need:
        line += 10 * strokes
        fits = (line - pile) // 20
        pile += 20 * fits
        driven = line > max(pile, held)
        held = line
        pieces, wedges = pieces + fits, wedges + driven
        # react, strokes of 1 s with 0.5 s between them; the crib reacts 1 s, 3 s a piece, 2 s for wedges; look
        seconds += 0.5 + strokes + 0.5 * (strokes - 1) + 1 + 3 * fits + 2 * driven + 0.25
    return seconds, pieces, wedges


@pytest.mark.parametrize("strokes", [1, 2, 3, 4, 5, 6, 9])
def test_a_lift_takes_what_its_calls_take(strokes: int) -> None:
    """The worked lift of the design with cribbing: react, strokes, react, pieces, wedges, look; call by call."""
    # closed form, added up by hand: 10 mm a stroke, pieces of 20 mm, wedges up to 25 mm
    record = lifted(straight(CRIB, 118 * MM, gap_limit=0.0), strokes)
    _, came_to = watch(record, "post")
    seconds, pieces, wedges = by_hand(strokes, 118)
    assert came_to["duration_s"] == pytest.approx(seconds)
    assert (came_to["pieces"], came_to["wedges"]) == (pieces, wedges)
    assert came_to["calls"] == ceil(118 / (10 * strokes))


@pytest.mark.parametrize("strokes", [1, 2, 3, 5, 8])
def test_a_call_opens_all_that_it_lifts(strokes: int) -> None:
    """Nobody places timber under a load that moves: the gap is the lift of a call, and none of it is left standing."""
    _, came_to = watch(lifted(straight(CRIB, 118 * MM, gap_limit=0.0), strokes), "post")
    assert came_to["passing_m"] == pytest.approx(10 * MM * strokes)
    assert came_to["standing_m"] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_gap_is_at_most_the_limit_and_what_a_call_lifts(example: str) -> None:
    """For every number of strokes and every crew; and at least what a whole call lifts."""
    computed = lesson(NAME, example)
    gain, limit = computed.facts["gain_m"], computed.facts["limit_m"]
    for case in computed.tables["cases"].itertuples():
        assert 0.98 * case.strokes * gain < case.gap_m < limit + 1.02 * case.strokes * gain


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_calls_are_the_strokes_needed_over_the_strokes_a_call(example: str) -> None:
    """Rounded up: as many strokes as one at a time needs."""
    cases = own(lesson(NAME, example))
    for strokes, calls in cases["calls"].items():
        assert calls == ceil(cases.loc[1, "calls"] / strokes)


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_crew_twice_as_slow_takes_longer_by_its_pieces_and_wedges(example: str) -> None:
    """Where each call is waited for: from an inch a call on, all of them."""
    computed = lesson(NAME, example)
    facts, usual, slow = computed.facts, own(computed), own(computed, 2.0)
    for strokes in usual.index[usual.index >= 8]:
        case = usual.loc[strokes]
        longer = case["pieces"] * facts["place_s"] + case["wedges"] * facts["drive_s"]
        assert slow.loc[strokes, "duration_s"] - case["duration_s"] == pytest.approx(longer)


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_gap_and_the_drop_grow_with_the_call_and_the_first_strokes_save_most(example: str) -> None:
    """All the way; and an inch saves more time on one stroke a call than two inches on an inch."""
    computed = lesson(NAME, example)
    cases = own(computed)
    assert (np.diff(cases["gap_m"]) > 0).all() and (np.diff(cases["drop_m"]) > 0).all()
    one, inch, wide = (cases.loc[stop["strokes"], "duration_s"] for stop in computed.stops)
    assert one - inch > 3 * max(0.0, inch - wide)
    # the fall: the gap along the upright line times what the lifting point moves for it, by levers
    lever = computed.facts["head_per_line"]
    assert (cases["drop_m"] > 0.93 * lever * cases["gap_m"]).all()


@pytest.mark.parametrize("example", EXAMPLES)
def test_an_inch_is_the_most_whole_strokes_that_lift_no_more(example: str) -> None:
    """One more would."""
    facts = lesson(NAME, example).facts
    n = facts["inch_strokes"]
    assert n * facts["gain_m"] <= 1.001 * facts["inch_m"] < (n + 1) * facts["gain_m"]
    assert strokes_for(0.001, 0.05) == 1  # a stroke lifts more than is wanted: one is the least


def test_a_stroke_over_the_cribbing_is_the_ram_s_by_the_lever() -> None:
    """The trailer: 0.97 of 0.15 in at 140 in, the cribbing at 120 in from the hinge."""
    # levers, by hand; the ram leans by 11.8 deg, which the small angle of the lift changes by a little
    facts = lesson(NAME).facts
    assert facts["gain_m"] / INCH == pytest.approx(0.97 * 0.15 * 120 / 140, rel=0.02)
    assert facts["line_m"] / INCH == pytest.approx(5 * 120 / 150, rel=0.01)


def test_cribbing_without_wedges_has_some_taken_and_says_so() -> None:
    """With its own, nothing is said."""
    assert with_wedges(CRIB, "si") == (CRIB, ())
    taken, (said,) = with_wedges(replace(CRIB, wedge=0.0, drive=Draw(0.0)), "us")
    assert taken.wedge == INCH and "up to 1 in" in said.words("us") and "up to 25.4 mm" in said.words("si")


def test_a_lift_that_is_not_raised_says_why() -> None:
    """Rams too short for the need; no station at all."""
    there = sim.load("trailer")
    with pytest.raises(ScenarioError, match="not raised"):
        sim.lesson(NAME, replace(there, lifters=tuple(replace(x, travel=3 * INCH) for x in there.lifters)))
    with pytest.raises(ScenarioError, match="needs a station"):
        sim.lesson(NAME, replace(there, stations=()))
