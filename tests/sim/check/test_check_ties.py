"""Ties: the table of working load limits as it is printed, what a foot needs, and what a tie's stretch adds."""

import math
import tomllib
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.words.sheet import quick_rows
from sim.check import check
from sim.check.course import course_of
from sim.check.findings import Check
from sim.check.stations import station_load
from sim.check.ties import tension, tie_load
from sim.examples import example
from sim.model.meeting import meet
from sim.model.motion import motion_of
from sim.model.scenario import Load, Need, Station, Tie
from sim.model.units import INCH, LBF, POUND, G
from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from sim.written.reading import parse
from sim.written.tie_limits import Limit, looked_up, weakest
from tests.builders import MM, WEIGHT, collar, lift, lifter, station, two_lifters

# 49 CFR 393.108, pounds: chain by size [mm, in] and grade
CFR = {
    (7, 1 / 4): {30: 1300, 43: 2600, 70: 3150, 80: 3500, 100: 4300},
    (8, 5 / 16): {30: 1900, 43: 3900, 70: 4700, 80: 4500, 100: 5700},
    (10, 3 / 8): {30: 2650, 43: 5400, 70: 6600, 80: 7100, 100: 8800},
    (11, 7 / 16): {30: 3700, 43: 7200, 70: 8750},
    (13, 1 / 2): {30: 4500, 43: 9200, 70: 11300, 80: 12000, 100: 15000},
    (16, 5 / 8): {30: 6900, 43: 13000, 70: 15800, 80: 18100, 100: 22600},
}
WEBBING = {(45, 1.75): 1750, (50, 2): 2000, (75, 3): 3000, (100, 4): 4000}


@pytest.mark.parametrize("size", CFR)
def test_chain_limits_are_those_of_the_regulation(size):
    """By either of the row's two sizes, at every grade; where the table has a dash the limit is not known."""
    # 49 CFR 393.108, table to the section
    for metres in (size[0] * MM, size[1] * INCH):
        for grade in (30, 43, 70, 80, 100):
            limit = looked_up("chain", metres, grade, None)
            printed = CFR[size].get(grade)
            assert (limit and limit.force / LBF) == (printed and pytest.approx(printed))


@pytest.mark.parametrize("width", WEBBING)
def test_webbing_limits_are_those_of_the_regulation(width):
    """45, 50, 75 and 100 mm, or 1 3/4, 2, 3 and 4 in."""
    # 49 CFR 393.108, table to the section
    for metres in (width[0] * MM, width[1] * INCH):
        assert looked_up("webbing", None, None, metres).force / LBF == pytest.approx(WEBBING[width])


def test_a_chain_without_a_grade_mark_counts_as_grade_30():
    """393.108(d), and the source says so."""
    limit = looked_up("chain", 10 * MM, None, None)
    assert limit.force / LBF == pytest.approx(2650)
    assert "unmarked" in limit.source and "49 CFR 393.108" in limit.source


def test_a_size_between_two_rows_is_the_smaller_one_and_one_below_them_all_is_not_known():
    """9 mm counts as 8 mm; 6 mm, a rope and a rod are not in the table."""
    assert looked_up("chain", 9 * MM, 70, None).force / LBF == pytest.approx(4700)
    assert looked_up("webbing", None, None, 60 * MM).force / LBF == pytest.approx(2000)
    assert looked_up("chain", 6 * MM, 70, None) is looked_up("rope", 10 * MM, None, None) is None
    assert looked_up("webbing", None, None, 25 * MM) is None


@pytest.mark.parametrize(("mm", "grade", "printed"), [(10, 80, 3204), (10, 100, 4004), (13, 80, 5414), (16, 80, 8201)])
def test_a_quarter_of_the_breaking_force_of_the_grade_is_about_the_limit(mm, grade, printed):
    """Grade = breaking force [kN] / (0.005 pi d^2), d in mm; a quarter of it, in kg: 10 mm grade 80 is 3,204 kg."""
    # ASTM A391/A391M 1.3.1 for the grade; a quarter of it computed; the regulation's figures are rounded near it
    breaking = grade * 0.005 * math.pi * mm**2 * 1e3
    kilograms = breaking / 4 / G
    assert kilograms == pytest.approx(printed, abs=0.75)
    ours = looked_up("chain", mm * MM, grade, None).force / LBF * POUND
    assert ours == pytest.approx(kilograms, rel=0.01)


def test_the_weakest_part_counts():
    """393.108(a): tensioner and anchor included; and nothing is known of a tie whose own limit is not known."""
    own = Limit(5000.0, "own")
    assert weakest(own, 4000.0, 6000.0) == Limit(4000.0, "given in the scenario: its tensioner")
    assert weakest(own, 9000.0, 3000.0).source.endswith("its anchor")
    assert weakest(own, None, None) is own
    assert weakest(None, 4000.0, 6000.0) is None


def test_a_scenario_looks_the_limit_up():
    """3/8 in of grade 70 behind a tensioner of 5,000 lb is worth 5,000 lb; without it 6,600 lb, with its source."""
    text = example("trailer")
    tie = tomllib.loads(text)["station"][0]["tie"]
    assert "working_load_limit" in tie
    for more, pounds, source in (("", 6600, "49 CFR 393.108"), (', tensioner_limit = "5000 lb"', 5000, "tensioner")):
        written = f'size = "3/8 in", grade = 70{more}'
        start = text.index("working_load_limit")
        changed = text[:start] + written + text[text.index("}", start) :]
        got = parse(changed, "x").stations[0].tie
        assert got.working_load_limit / LBF == pytest.approx(pounds)
        assert source in got.limit_source


# --- what a foot needs


def leaning(degrees=45.0, **tie):
    """A straight lift of 1 kN, all on one lifter, and a strut beside it that leans out to the left."""
    out = 1 / math.tan(math.radians(degrees))
    strut = station(collar(), head=(0.0, 1.0, 1.0), base=(0.0, 1.0 + out, 0.0), tie=Tie("chain", **tie), give=2 * MM)
    return lift(30 * MM, lifter(collar(), travel_per_pump=1 * MM), strut)


def static(scenario):
    """Tension at rest at the start [N]."""
    course, strut = course_of(scenario), scenario.stations[0]
    force = station_load(course, strut).static_start
    return float(tension(course, strut, strut.tie, np.array([force]), np.array([0.0]))[0])


@pytest.mark.parametrize(("degrees", "thrust"), [(60, 0.577), (45, 1.000), (30, 1.732)])
def test_a_level_tie_in_the_struts_plane_takes_the_thrust(degrees, thrust):
    """V cot a: the force times its horizontal part."""
    # trigonometry, computed
    assert static(leaning(degrees)) / 1000 == pytest.approx(thrust, abs=0.0005)


@given(up=st.floats(0.0, 0.8), along=st.floats(-0.8, 0.8))
def test_a_tie_out_of_line_takes_more_by_the_cosine(up, along):
    """Its part in the line of the thrust is what holds the foot: T (t . d) = thrust."""
    scenario = leaning(anchor=(along, 0.0, up))
    to = np.array([along, 0.0, up]) - np.array(scenario.stations[0].base)
    cosine = to @ np.array([0.0, -1.0, 0.0]) / np.linalg.norm(to)
    assert static(scenario) * cosine == pytest.approx(1000.0, rel=1e-9)


def test_a_tie_that_pulls_the_foot_out_is_a_stop():
    """Made fast beyond the foot it holds nothing, whatever it could bear."""
    sheet = check(leaning(anchor=(0.0, 5.0, 0.0), working_load_limit=1e6))
    assert [f for f in sheet.of_level("stop") if f.subject == "strut tie" and "wrong way" in f.what.words("si")]
    assert sheet.as_json()["ties"]["strut"]["tension_static_N"] is None


def test_tension_times_the_design_factor_must_not_exceed_the_limit_at_rest_and_again_at_the_peak():
    """1 kN at rest, over 2 kN at the peak: limits between say stop at the peak, below 1.5 kN at rest, above nothing."""
    found = {}
    for limit in (1400.0, 2900.0, 20000.0):
        sheet = check(leaning(working_load_limit=limit))
        assert sheet.ties["strut"].tension_static == pytest.approx(1000.0)
        assert sheet.ties["strut"].tension_peak > 2000.0
        found[limit] = [f for f in sheet.findings if f.subject == "strut tie"]
    assert [[f.level for f in each] for each in found.values()] == [["stop"], ["stop"], []]
    assert "at rest" in found[1400.0][0].what.words("si") and "peak" in found[2900.0][0].what.words("si")


@pytest.mark.parametrize(("degrees", "thrust", "asked"), [(84.9, 89.2, True), (85.1, 85.7, False)])
def test_a_strut_that_leans_by_more_than_five_degrees_asks_what_holds_its_foot(degrees, thrust, asked):
    """Without a tie written: 1 kN x cot 84.9 deg is 89.2 N that push the foot out; steeper than 85 deg says nothing."""
    # the head goes straight up, so that the strut is at its flattest, and is what it would carry, at the start
    scenario = leaning(degrees)
    bare = replace(scenario, stations=(replace(scenario.stations[0], tie=None),))
    found = [f for f in check(bare).of_level("caution") if f.subject == "strut" and f.check is Check.TIE_MISSING]
    assert [f.value for f in found] == ([pytest.approx(thrust, abs=0.05)] if asked else [])


@pytest.mark.parametrize(
    ("friction", "name", "level"),
    [
        (None, Check.TIE_MISSING, "caution"),
        ((0.9, 0.99), Check.FOOT_KICKS_OUT, "stop"),
        ((0.9, 1.1), Check.FOOT_KICKS_OUT, "caution"),
        ((1.1, 1.2), None, None),
    ],
)
def test_a_strut_that_nothing_ties_is_held_against_what_is_under_its_foot(friction, name, level):
    """At 45 deg it needs 1 (its head goes straight up: at the start most); not known, the published bounds are said."""
    scenario = leaning(45.0)
    bare = replace(scenario.stations[0], tie=None, friction=friction)
    found = [
        f
        for f in check(replace(scenario, stations=(bare,))).findings
        if f.check in (Check.TIE_MISSING, Check.FOOT_KICKS_OUT)
    ]
    assert [(f.check, f.level) for f in found] == ([(name, level)] if name else [])
    if friction is None:
        assert "friction of 1.00" in found[0].what.words("si") and "0.3 to 0.4" in found[0].what.words("si")


@pytest.mark.parametrize(("along", "cosine", "said"), [(0.9, 0.9119, False), (1.0, 0.8944, True), (1.9, 0.7250, True)])
def test_a_tie_that_leaves_a_tenth_of_the_thrust_to_the_foot_is_said_to(along, cosine, said):
    """2 m back from the foot and so far ahead: cosine 2 / sqrt(4 + along^2) to the thrust; under 0.9 is a note."""
    held = check(leaning(anchor=(along, 0.0, 0.0), working_load_limit=1e6))
    assert held.ties["strut"].in_line == pytest.approx(cosine, abs=5e-5)
    found = [f for f in held.of_level("note") if f.subject == "strut tie" and f.check is Check.TIE_OUT_OF_LINE]
    assert [f.value for f in found] == ([pytest.approx(cosine, abs=5e-5)] if said else [])


def test_where_the_peak_is_not_known_a_tie_is_not_shown_to_hold():
    """Without the station's give; and without a limit nothing is shown either."""
    without_give = leaning(working_load_limit=1e6)
    without_give = replace(without_give, stations=(replace(without_give.stations[0], give=None),))
    for scenario in (without_give, leaning()):
        (found,) = [f for f in check(scenario).findings if f.subject == "strut tie"]
        assert found.level == "caution" and "not shown to hold" in found.what.words("si")


def leaning_by(degrees: float, **of_tie: Any) -> Station:
    """A strut 1 m long at this angle, its foot out to the left."""
    angle = math.radians(degrees)
    foot = (0.0, 1.0 + math.cos(angle), 1.0 - math.sin(angle))
    return station(collar(), head=(0.0, 1.0, 1.0), base=foot, give=1e-6, tie=Tie("webbing", **of_tie))


@given(degrees=st.floats(30, 80), more=st.floats(0.001, 0.02))
def test_stretch_comes_down_by_its_cotangent(degrees: float, more: float) -> None:
    """Let go in contact: twice elongation x length x tension / limit, times cot of the strut's angle."""
    strut = leaning_by(degrees, length=1.0, working_load_limit=1e5, elongation=more)
    load = Load(WEIGHT, "straight", (0.0, 0.0, 1.0))
    u = np.array([0.5])  # half a metre up, so that the start is no floor
    strut = replace(strut, base=(0.0, strut.base[1], strut.base[2] + 0.5))
    met = meet(load, motion_of(load), lifter(), 1.0, strut, u, u, None)
    tension = WEIGHT / math.tan(math.radians(degrees))
    expected = 2 * more * tension / 1e5 / math.tan(math.radians(degrees)) + 2e-6 / math.sin(math.radians(degrees))
    assert met.drop[0] == pytest.approx(expected, rel=0.02)


def test_stretch_is_in_the_drop_and_in_no_gap() -> None:
    """The drop of run and check alike: fall, and what strut and tie then give; the lift itself is the same."""
    text = example("trailer")
    stiff, soft = parse(text.replace(", elongation = 0.01", ""), "trailer"), parse(text, "trailer")
    drops = {}
    for name, scenario in (("stiff", stiff), ("soft", soft)):
        summary, sheet = measure(simulate_fixed(scenario)), check(scenario)
        drops[name] = summary["largest_drop_lifter_lost"]
        assert sheet.drops["lifter_lost"].drop == drops[name]["drop_m"]
        assert summary["largest_gap"] == measure(simulate_fixed(stiff))["largest_gap"]
    assert drops["soft"]["drop_m"] > drops["stiff"]["drop_m"] > drops["stiff"]["fall_m"]
    assert drops["soft"]["give_known"] and not drops["stiff"]["give_known"]
    tie = check(soft).ties["left strut"]
    assert tie.stretch == pytest.approx(0.01 * 90 * INCH * tie.tension_peak / (8750 * LBF))
    assert "at least" in dict(quick_rows(check(stiff), "us"))["largest drop, lifter lost"][0]
    assert "at least" not in dict(quick_rows(check(soft), "us"))["largest drop, lifter lost"][0]


def test_stretch_lets_the_load_down_no_further_than_to_where_it_started() -> None:
    """A tie that would give more than the load is up: the start is a floor (design, part 3)."""
    scenario = leaning(working_load_limit=20e3, length=20.0, elongation=0.07)
    worst = measure(simulate_fixed(scenario))["largest_drop_lifter_lost"]
    assert worst["drop_m"] == pytest.approx(worst["rise_m"])
    assert check(scenario).drops["lifter_lost"].total == worst["drop_m"]


def test_the_limits_together_are_held_against_half_the_weight():
    """A road-transport rule: cited as borrowed (49 CFR 393.106(d))."""
    (found,) = [f for f in check(leaning(working_load_limit=499.0)).findings if f.subject == "ties"]
    assert (found.level, found.limit) == ("caution", 500.0)
    assert "borrowed" in found.source
    assert not [f for f in check(leaning(working_load_limit=501.0)).findings if f.subject == "ties"]


def test_a_tie_from_foot_to_foot_counts_once_against_half_the_weight():
    """Two struts whose feet are tied to each other by one chain of 0.4 kN: 0.4 of the 0.5 wanted, not 0.8."""
    feet, limit = {"left": (0.0, 1.5, 0.0), "right": (0.0, -1.5, 0.0)}, 0.4 * WEIGHT
    crossed, apart = ((feet["right"], feet["left"]), ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0)))
    for anchors, together in ((crossed, limit), (apart, 2 * limit)):
        struts = [
            station(
                collar(), name=side, side=side, head=(0.0, math.copysign(1.0, foot[1]), 1.0), base=foot,
                tie=Tie("chain", anchor=anchor, working_load_limit=limit),
            )
            for (side, foot), anchor in zip(feet.items(), anchors, strict=True)
        ]  # fmt: skip
        found = [
            x for x in check(lift(30 * MM, *two_lifters(), *struts)).findings if x.check == Check.TIES_TOGETHER_UNDER
        ]
        assert [x.value for x in found] == ([together] if together < WEIGHT / 2 else [])


def test_a_leaning_strut_without_a_tie_gets_a_word():
    """Its foot is pushed out, and nothing in the file says what holds it."""
    scenario = leaning()
    bare = replace(scenario, stations=(replace(scenario.stations[0], tie=None),))
    assert any(f.subject == "strut" and "no tie" in f.what.words("si") for f in check(bare).of_level("caution"))
    assert check(bare).ties == {}


def test_the_peak_is_the_largest_of_the_lift_not_that_of_the_largest_drop_alone():
    """A hinged load gets lighter as it turns: tension is reckoned at every instant, each with its own drop."""
    load = Load(4000.0, "hinged", (1.0, 0.0, 0.9), 0.3)
    strut = station(
        collar(), head=(2.0, 0.5, 0.8), base=(2.0, 1.2, 0.0), tie=Tie("chain", working_load_limit=1e5), give=2 * MM
    )
    ram = lifter(collar(), head=(2.0, 0.2, 0.5), base=(2.0, 0.2, 0.0), share=1.0)
    scenario = replace(lift(100 * MM, ram, strut, load=load), need=Need((2.0, 0.0, 0.5), 100 * MM))
    course = course_of(scenario)
    at_station = station_load(course, strut)
    tie = tie_load(course, strut, at_station)
    assert 2 * tie.tension_static * 0.9 < tie.tension_peak <= at_station.peak
