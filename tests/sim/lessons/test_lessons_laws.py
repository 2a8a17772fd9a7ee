"""Lessons 3 to 7 against closed forms and published values: drops, level, slack and stretch, energy, statics."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin, sqrt, tan

import numpy as np
import pytest

import sim
from sim.lessons import LESSONS
from sim.lessons.cast import cast
from sim.lessons.taught.both_sides_level import NEVER, all_full, differences, many, one_side, without_captures
from sim.lessons.taught.slack_and_stretch import thrust
from sim.lessons.taught.steep_or_flat import forces
from sim.model.loads import fall_energy
from sim.model.motion import motion_of
from sim.story.lift import simulate
from tests.builders import lesson

# --- 3, what a gap costs


@pytest.mark.parametrize(("ratio", "factor"), [(0, 2.00), (2.5, 3.45), (7.5, 5.00), (10, 5.58)])
def test_the_curve_goes_through_the_published_points(ratio: float, factor: float) -> None:
    """h/d 0, 2.5, 7.5, 10 -> 2.00, 3.45, 5.00, 5.58."""
    # Gere, Mechanics of Materials, 7th ed., problem 9.10-1
    curve = lesson("what-a-gap-costs").tables["curve"]
    assert float(np.interp(ratio, curve["gap_over_give"], curve["factor"])) == pytest.approx(factor, abs=0.005)


def test_at_the_lowest_point_the_load_and_the_stop_have_done_the_same_work() -> None:
    """For every gap and give of the lesson; and the force there is the peak of the table."""
    computed = lesson("what-a-gap-costs")
    peak = computed.tables["peak"]
    for (gap, give), way in computed.tables["work"].groupby(["gap_m", "give_m"]):
        last = way.iloc[-1]
        assert last["work_of_load_J"] == pytest.approx(last["work_of_stop_J"])
        row = peak[np.isclose(peak["gap_m"], gap, atol=1e-8) & (peak["give_m"] == give)].iloc[0]
        assert last["stop_N"] == pytest.approx(row["peak_N"], rel=1e-6)


def test_the_energy_of_a_gap_is_the_standing_load_times_the_gap() -> None:
    """Virtual work: what the side's centre of gravity gives up is the force along the line times the way, nearly."""
    computed = lesson("what-a-gap-costs")
    actors = cast(computed.scenario)
    scenario, motion = computed.scenario, motion_of(computed.scenario.load)
    line = motion.line(actors.station.head, actors.station.base)
    risen = motion.u_for_rise(scenario.need.point, scenario.need.rise)
    for gap, energy in computed.tables["peak"][["gap_m", "energy_J"]].query("gap_m > 0").itertuples(index=False):
        stop = line.u_at(float(line.demand(risen)) - gap)
        gives_up = fall_energy(scenario.load, motion, actors.lifter.share, risen, stop)
        assert energy == pytest.approx(float(gives_up), rel=0.08)


# --- 4, both sides level


def test_the_difference_between_sides_is_a_random_walk() -> None:
    """Its variance after n calls is 2 n s^2, s one side's sd a call (a stroke a call: per stroke)."""
    # random walk, computed here; 120 lifts: the variance is known to 13 % (sqrt(2 / 119)), three times that is allowed
    bare = without_captures(sim.load("trailer"))
    bare = replace(bare, load=replace(bare.load, take_up=0.0), leader=replace(bare.leader, strokes=1, max_calls=20))
    lifts = many(bare, 0.05, NEVER, lifts=120, seed=5)
    one = one_side(bare, 0.05)
    for n in (5, 10, 20):
        variance = float((lifts.loc[lifts["call"] == n, "difference_m"] ** 2).mean())
        assert variance == pytest.approx(2 * n * one**2, rel=0.4)
    assert one == pytest.approx(0.05 * 0.15 * 0.0254, rel=0.03)  # a stroke of 0.15 in, the head nearly in line


def test_levelling_bounds_the_difference_by_the_limit_and_one_call() -> None:
    """However uneven the strokes."""
    bare = without_captures(sim.load("trailer"))
    limit, call = 0.0127, bare.leader.strokes * 0.15 * 0.0254 * 1.05
    lifts = many(bare, 0.10, limit, lifts=30)
    assert lifts["difference_m"].abs().max() <= limit + call


def test_a_missed_call_is_a_step_and_a_short_pump_a_slope() -> None:
    """One call's rise, once; and a tenth of it at every call."""
    table = lesson("both-sides-level").tables["cases"]
    bare = all_full(without_captures(sim.load("trailer")))
    call = np.diff(differences(simulate(bare))["rise_m"])[4]
    missed = table[table["case"] == "one call missed"]["difference_m"].to_numpy()
    assert missed[3:15] == pytest.approx(call, rel=0.03)
    slope = np.diff(table[table["case"] == "one pump gives a tenth less"]["difference_m"])[3:15]
    assert slope == pytest.approx(0.1 * call, rel=0.03)


# --- 5, slack and stretch


def test_a_pin_leaves_all_the_slack_and_a_collar_none() -> None:
    """Left on average: half the spacing and the slack behind a pin, nothing behind a collar."""
    computed = lesson("slack-and-stretch")
    s = computed.facts["spacing_m"]
    for row in computed.tables["cases"].itertuples():
        expected = s / 2 + row.slack_m if row.kind == "pins" else 0.0
        assert row.mean_left_m == pytest.approx(expected, abs=0.003 * s)


def test_taking_slack_up_takes_react_and_turns_and_seat_before_the_first_call() -> None:
    """The first call waits for react + slack / climb + seat + look, where the slack is over the leader's limit."""
    computed = lesson("slack-and-stretch")
    facts, look = computed.facts, computed.scenario.leader.look
    cases = computed.tables["cases"].query("kind == 'collar' and slack_m > 0.0064")
    assert len(cases) >= 3
    for row in cases.itertuples():
        waits = facts["react_s"] + row.slack_m / facts["climb"] + facts["seat_s"] + look
        assert row.first_call_s == pytest.approx(waits, abs=1e-6)


def test_stretch_is_in_proportion_to_tension_and_adds_stretch_cot_a() -> None:
    """adds = e L (V cot a / WLL) cot a."""
    computed = lesson("slack-and-stretch")
    facts = computed.facts
    for row in computed.tables["stretch"].itertuples():
        tension = thrust(facts["upright_N"], row.angle)
        assert row.tension_N == pytest.approx(facts["upright_N"] * cos(row.angle) / sin(row.angle))
        longer = row.elongation * facts["length_m"] * tension / facts["limit_N"]
        assert row.adds_m == pytest.approx(longer * cos(row.angle) / sin(row.angle))


# --- 6, only what you need


def test_more_rise_never_costs_less() -> None:
    """Pumps, calls and energy grow with the rise; two halves cost no fewer pumps than the whole."""
    table = lesson("only-what-you-need").tables["rises"]
    for column in ("pumps", "calls", "energy_J", "exposure_s"):
        assert table[column].is_monotonic_increasing
    pumps = {round(r / 0.0254): p for r, p in table[["rise_m", "pumps"]].itertuples(index=False)}
    for whole in (2, 4, 6, 8):
        assert 2 * pumps[whole // 2] >= pumps[whole]


def test_the_energy_is_weight_times_what_the_centre_of_gravity_has_risen() -> None:
    """On the trailer the centre of gravity rises about 70/150 as far as the needed point: the lever."""
    computed = lesson("only-what-you-need")
    row = computed.tables["rises"].iloc[-1]
    # the needed rise is passed by up to one call: 3 strokes x 0.15 in at the lifter, 150/140 of it at the point
    low = computed.facts["weight_N"] * row["rise_m"] * 70 / 150
    assert 0.93 * low < row["energy_J"] < 1.12 * low


# --- 7, steep or flat


@pytest.mark.parametrize(("degrees", "axial", "across"), [(60, 1.155, 0.577), (45, 1.414, 1.000), (30, 2.000, 1.732)])
def test_strut_trigonometry(degrees: float, axial: float, across: float) -> None:
    """60 deg 1.155 and 0.577; 45 deg 1.414 and 1.000; 30 deg 2.000 and 1.732."""
    # trigonometry: V / sin a and V cot a, computed here
    found = forces(1.0, radians(degrees))
    assert found["axial_N"] == pytest.approx(axial, abs=0.0005)
    assert found["thrust_N"] == pytest.approx(across, abs=0.0005)
    assert found["axial_N"] ** 2 == pytest.approx(1 + found["thrust_N"] ** 2)  # the triangle closes


def test_at_45_degrees_a_strut_is_worth_the_same_from_above_and_from_the_side() -> None:
    """1 / sin 45 = 1 / cos 45 = sqrt 2; steeper it is worth less from the side."""
    found = forces(1.0, radians(45))
    assert found["axial_N"] == pytest.approx(found["sideways_N"]) == pytest.approx(sqrt(2))
    assert forces(1.0, radians(75))["sideways_N"] > 3 * forces(1.0, radians(75))["axial_N"]
    assert forces(1.0, radians(75))["thrust_N"] == pytest.approx(1 / tan(radians(75)))


@pytest.mark.parametrize("name", list(LESSONS))
@pytest.mark.parametrize("example", ["trailer", pytest.param("van", marks=pytest.mark.slow)])  # others ask the van
def test_every_lesson_can_be_simulated_on_every_shipped_scenario(name: str, example: str) -> None:
    """With rows in every table and no control off its settings."""
    computed = lesson(name, example)
    assert all(len(table) for table in computed.tables.values())
    assert all(0 <= c.start < len(c.settings) for c in computed.controls)
