"""Lesson 9, what wants to slide, against statics by hand and published values."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, cos, degrees, radians, sin, sqrt, tan

import numpy as np
import pandas as pd
import pytest

import sim
from sim.lessons.lesson import Computed
from sim.lessons.taught.what_wants_to_slide import WAYS, over_a_chock, seen, with_feet, with_track
from sim.model.errors import ScenarioError
from sim.model.sentences import words
from tests.builders import lesson

EXAMPLES = ("trailer", "van")
NAME = "what-wants-to-slide"


def of(computed: Computed, way: int, lean: float, contact: str) -> pd.DataFrame:
    """What one contact needs over the lift."""
    needs = computed.tables["needs"]
    return needs[(needs["way"] == way) & (needs["lean"] == lean) & (needs["contact"] == contact)]


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_foot_needs_the_tangent_of_the_lean(example: str) -> None:
    """At the start, both ways; for every setting of the slider."""
    # statics: a force along the line has tan(lean) across for each upright; slip angle atan(mu), plain mathematics
    computed = lesson(NAME, example)
    for lean in computed.controls[0].settings:
        first = of(computed, 0, lean, "left lifter, foot").iloc[0]
        assert first["rise_m"] == 0 and first["needs"] == pytest.approx(abs(tan(lean)), abs=1e-9)


def test_the_foot_s_need_over_the_lift_is_that_of_the_line_as_the_head_swings_back() -> None:
    """The trailer by hand: the head 140 in ahead and 12 in over the hinge, the foot 145 in ahead on the ground."""
    computed = lesson(NAME)
    rows = of(computed, 0, computed.facts["lean"], "left lifter, foot")
    for rise, needs in rows[["rise_m", "needs"]].itertuples(index=False):
        # the needed point: 150 in ahead, 8 in over the hinge; its rise gives the angle
        angles = np.linspace(0, 0.05, 50_001)
        turned = angles[np.argmin(np.abs(150 * np.sin(angles) + 8 * np.cos(angles) - 8 - rise / 0.0254))]
        ahead, up = 140 * cos(turned) - 12 * sin(turned), 12 + 140 * sin(turned) + 12 * cos(turned)
        assert needs == pytest.approx((145 - ahead) / up, abs=1e-4)


@pytest.mark.parametrize(("friction", "slips"), [(0.1, 5.71), (0.2, 11.31), (0.3, 16.70), (0.4, 21.80), (0.5, 26.57)])
def test_the_slip_angles(friction: float, slips: float) -> None:
    """A foot that leans by the slip angle of a friction needs all of it: 0.3 at 16.70 deg."""
    # slip angle atan mu, plain mathematics, as printed to two digits
    there = with_feet(with_track(sim.load("trailer"))[0], radians(slips))
    needs = seen(there)[0]
    first = needs[needs["contact"] == "left lifter, foot"].iloc[0]
    assert degrees(atan2(first["needs"], 1.0)) == pytest.approx(slips, abs=0.005)
    assert first["needs"] == pytest.approx(friction, abs=1.1e-4)


def test_the_load_falls_out_of_the_friction() -> None:
    """Twice the weight: the same friction everywhere, twice the push."""
    there = with_track(sim.load("trailer"))[0]
    heavy = replace(there, load=replace(there.load, weight=2 * there.load.weight))
    light_needs, heavy_needs = (seen(x)[0] for x in (there, heavy))
    assert heavy_needs["needs"].to_numpy() == pytest.approx(light_needs["needs"].to_numpy())
    pushed = light_needs["along_N"].notna()
    assert heavy_needs["along_N"][pushed].to_numpy() == pytest.approx(2 * light_needs["along_N"][pushed].to_numpy())


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_pivot_is_pushed_with_what_the_lifters_lean(example: str) -> None:
    """At the start: load on each x tan(lean), summed; moments about the hinge give the load on each."""
    computed = lesson(NAME, example)
    load, lifters = computed.scenario.load, computed.scenario.lifters
    for lean in computed.controls[0].settings:
        # moment of the weight = sum of V x + V tan(lean) (z - hinge), by hand
        arm = lifters[0].head[0] + tan(lean) * (lifters[0].head[2] - load.pivot_height)
        upright = load.weight * load.cg[0] / arm
        rows = computed.tables["needs"]
        first = rows[(rows["way"] == 0) & (rows["lean"] == lean) & (rows["rise_m"] == 0)]
        pivot = first[first["contact"].str.startswith("pivot")]["along_N"].sum()
        assert pivot == pytest.approx(-upright * tan(lean), abs=1e-6 * load.weight)
        if lean == computed.facts["lean"]:
            assert computed.facts["upright_N"] * len(lifters) == pytest.approx(upright)
            assert computed.facts["pivot_N"] == pytest.approx(load.weight - upright)


def test_two_that_lean_against_each_other_turn_the_load() -> None:
    """The sum is next to nothing, and each contact of the pivot is pushed as hard as the turning moment / track."""
    computed = lesson(NAME)
    own = computed.facts["lean"]
    cases = computed.tables["cases"]
    alike, opposed = (cases[(cases["way"] == way) & (cases["lean"] == own)].iloc[0] for way in (0, 2))
    assert abs(opposed["push_N"]) < 0.1 * abs(alike["push_N"])
    assert opposed["contact_N"] > 0.8 * alike["contact_N"]
    # the turning moment by hand at the start: each foot pushes V tan(lean) at 30 in from the middle, opposite ways
    rows = computed.tables["needs"]
    first = rows[(rows["way"] == 2) & (rows["lean"] == own) & (rows["rise_m"] == 0)].set_index("contact")["along_N"]
    feet = first["left lifter, foot"] - first["right lifter, foot"]
    pivot = first["pivot, right"] - first["pivot, left"]
    assert pivot * 35 == pytest.approx(feet * 30, rel=1e-6)  # in: half the 70 in track that is taken, and the feet's 30


def test_chocks_are_asked_for_where_the_pivot_would_roll_to() -> None:
    """Feet ahead push it back, so behind; feet behind push it ahead; upright ones swing, and push it a little back."""
    cases = lesson(NAME).tables["cases"].query("way == 0").set_index("lean")["chocks"]
    assert {chock for lean, chock in cases.items() if lean > 0} == {"behind"}
    assert {chock for lean, chock in cases.items() if lean < 0} == {"ahead"}
    assert cases[0.0] == "behind"


@pytest.mark.parametrize(("part", "share"), [(0.05, 0.329), (0.10, 0.484), (0.25, 0.882), (0.50, 1.732)])
def test_a_chock_that_stays_holds_a_share_of_the_load_on_the_wheel(part: float, share: float) -> None:
    """F/W at h/r 0.05, 0.10, 0.25, 0.50: 0.329, 0.484, 0.882, 1.732."""
    # mathematics: sqrt(2 r h - h^2) / (r - h), computed here
    assert over_a_chock(1.0, part) == pytest.approx(share, abs=0.0005)


def test_the_wheel_at_a_kerb_of_the_textbook() -> None:
    """0.800 kg, radius 6.00 cm, kerb 3.00 cm: 13.6 N level at the axle."""
    # a university physics problem, chapter 12, as quoted: F = W sqrt(2 r h - h^2) / (r - h)
    assert 0.800 * 9.81 * over_a_chock(0.0600, 0.0300) == pytest.approx(13.6, abs=0.05)
    assert over_a_chock(2.0, 1.0) == pytest.approx(sqrt(3))


def test_a_pivot_whose_track_is_not_known_has_one_taken_and_says_so() -> None:
    """Written, it is used, and nothing is said."""
    there = sim.load("trailer")
    (assumed,) = lesson(NAME).assumed[-1:]
    assert "70 in apart (invented)" in words(assumed, "us") and "1,778 mm apart (invented)" in words(assumed, "si")
    known = replace(there, pivot=replace(there.pivot, track=1.5))
    assert with_track(known) == (known, ())


def test_a_straight_lift_or_one_lifter_alone_cannot_teach_it() -> None:
    """It says what is missing."""
    there = sim.load("trailer")
    with pytest.raises(ScenarioError, match="needs a hinged load"):
        sim.lesson(NAME, replace(there, load=replace(there.load, motion="straight")))
    with pytest.raises(ScenarioError, match="needs a lifter on each side"):
        sim.lesson(NAME, replace(there, lifters=there.lifters[:1]))


def test_every_way_to_lean_is_one_of_the_slider() -> None:
    """Alike, one alone, one each way."""
    assert [way.shares for way in WAYS] == [(1.0, 1.0), (1.0, 0.0), (1.0, -1.0)]
    assert lesson(NAME).controls[1].names == tuple(way.name for way in WAYS)
