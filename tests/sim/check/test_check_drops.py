"""A lifter lost: what its stations would carry, at rest and at the peak of the drop."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.check import check
from sim.check.course import course_of
from sim.check.stations import falls_onto, station_load, unstopped
from sim.model.loads import share_met
from sim.model.meeting import impact
from sim.model.scenario import Mishap
from sim.record.measures import measure
from sim.story.lift import simulate, simulate_fixed
from tests.builders import MM, collar, lift, lifter, pin, station, two_lifters

# --- the impact factor, as published


@pytest.mark.parametrize(("ratio", "printed"), [(0, 2.00), (2.5, 3.45), (7.5, 5.00), (10, 5.58)])
def test_the_impact_factor_by_ratio_of_drop_to_give(ratio, printed):
    """h/d 0, 2.5, 7.5, 10: 2.00, 3.45, 5.00, 5.58."""
    # Gere, Mechanics of Materials, 7th ed., problem 9.10-1
    assert impact(ratio * 3 * MM, 3 * MM) == pytest.approx(printed, abs=0.005)


def test_a_weight_that_falls_on_a_beam():
    """784.8 N falls 10 mm on a beam that gives 1.049 mm: n = 5.48, P = 4,301 N."""
    # J. E. Akin, Rice University, Mech 403 note; ERRATA: it prints 0.001049 mm, and m is meant
    n = impact(0.010, 0.001049)
    assert n == pytest.approx(5.48, abs=0.005)
    assert n * 784.8 == pytest.approx(4301, abs=1.5)  # the note goes on with n rounded


def test_a_weight_that_falls_on_a_steel_bar():
    """500 lb falls 1 in on a steel bar, 2 in across and 10 in long, E 30e6 psi: 31,061.50 psi."""
    # machine-design example 7.1, as quoted in secondary literature; the bar is round, as its figures have it
    static = 500 / math.pi  # psi
    give = static * 10 / 30e6  # in
    assert static * impact(1.0, give) == pytest.approx(31_061.50, abs=0.005)


def test_a_load_that_is_let_go_in_contact_weighs_twice():
    """n = 2 at h = 0."""
    # J. E. Akin, Rice University, impact load factors
    assert impact(0.0, 1 * MM) == 2.0


@given(drop=st.floats(0, 0.2), give=st.floats(1e-4, 0.05))
def test_a_peak_is_what_a_spring_takes_up_of_the_falls_energy(drop, give):
    """Energy: W (h + n d) = 1/2 n^2 W d, solved for n; and more give never makes it worse."""
    n = impact(drop, give)
    assert drop + n * give == pytest.approx(n**2 * give / 2, rel=1e-9)
    assert impact(drop, 2 * give) <= n


# --- one station, by hand


def test_the_peak_of_the_worked_lift_by_hand():
    """A lifter without a capture, a collar beside it: the gap is 7 mm at the most, and the whole of 1 kN comes down."""
    strut = station(collar(), tie=None, give=2 * MM, rated_load=5e3)
    scenario = lift(15 * MM, lifter(), strut)
    load = station_load(course_of(scenario), strut)
    assert load.drop_along == pytest.approx(7 * MM)  # the worked lift of the design
    assert load.drop == pytest.approx((7 + 2 * (1 + math.sqrt(8))) * MM)  # and what the strut gives
    assert load.impact_factor == pytest.approx(1 + math.sqrt(1 + 7))
    assert load.peak == pytest.approx(1000 * (1 + math.sqrt(8)))
    assert (load.static_worst, load.margin) == (pytest.approx(1000), pytest.approx(5))
    assert load.margin_peak == pytest.approx(5000 / load.peak)


def test_without_give_the_static_figure_and_a_plain_sentence():
    """The peak is not known, and never reads as met."""
    strut = station(collar(), tie=None, rated_load=1e9)
    sheet = check(lift(15 * MM, lifter(), strut))
    assert (sheet.stations["strut"].peak, sheet.stations["strut"].margin_peak) == (None, None)
    (found,) = [f for f in sheet.of_level("caution") if f.subject == "strut" and f.unit == "N"]
    assert "not known" in found.what.words("si") and "1.00 kN" in found.what.words("si")


@pytest.mark.parametrize(
    ("rated", "level", "word"), [(1499.0, "stop", "at rest"), (1501.0, "stop", "peak"), (6000.0, None, "")]
)
def test_a_station_is_held_against_its_rating_at_rest_and_at_the_peak(rated, level, word):
    """1 kN at rest, 3.83 kN at the peak, each times 1.5."""
    strut = station(collar(), tie=None, give=2 * MM, rated_load=rated)
    found = [f for f in check(lift(15 * MM, lifter(), strut)).findings if f.subject == "strut" and f.unit == "N"]
    assert [(f.level, word in f.what.words("si")) for f in found] == ([] if level is None else [(level, True)])


def test_a_rating_that_is_not_given_reads_not_known():
    """A caution, for lifter and station; no margin."""
    sheet = check(lift(15 * MM, lifter(), station(collar(), tie=None, give=2 * MM)))
    for name, load in (("left lifter", sheet.lifters["left lifter"]), ("strut", sheet.stations["strut"])):
        assert load.margin is None
        assert any(
            f.subject == name and "rated load not known" in f.what.words("si") for f in sheet.of_level("caution")
        )


def test_of_two_stations_the_first_takes_it_all_and_the_sheet_says_so():
    """A pin two inches behind is never the first beside a collar that turns as fast: no drop onto it."""
    fast = station(collar(turns=50.0, react=0.0), name="fast", tie=None, give=2 * MM)
    slow = station(pin(50 * MM), name="slow", tie=None, give=2 * MM)
    sheet = check(lift(15 * MM, lifter(), fast, slow))
    assert sheet.stations["fast"].stops_first and not sheet.stations["slow"].stops_first
    assert sheet.stations["slow"].peak is sheet.stations["slow"].drop is None
    assert sheet.stations["slow"].static_worst == pytest.approx(1000)
    assert [
        f.subject for f in sheet.of_level("note") if "the first is reckoned to take it all" in f.what.words("si")
    ] == ["stations"]


def test_a_station_in_the_middle_takes_all_where_the_load_turns_about_the_other_lifter():
    """Half the load on each side: one lost, a strut midway carries the whole of it, and the other lifter nothing."""
    middle = station(collar(), side="both", tie=None)
    near = replace(middle, name="near", head=(0.0, 0.4, 1.0), base=(0.0, 0.4, 0.0))
    course = course_of(lift(15 * MM, *two_lifters(collar()), middle, near))
    left, right = course.scenario.lifters
    assert share_met(course.scenario.load, left, right, middle) == pytest.approx(1.0)
    assert share_met(course.scenario.load, left, right, near) == pytest.approx(
        0.5 * 1.0 / 0.9
    )  # 1 m to the other head; 0.9 m
    assert share_met(course.scenario.load, right, left, near) == 1.0  # beyond the middle: the load would tip onto it


@given(tilt=st.floats(0.0, 0.25), share=st.floats(0.2, 0.5))
def test_a_station_in_the_middle_holds_the_roll_of_the_load(tilt, share):
    """Roll about the other head: what the station carries has the moment of the weight."""
    middle = station(collar(), side="both", tie=None, head=(0.0, tilt, 1.0), base=(0.0, tilt, 0.0))
    left, right = (replace(x, share=part) for x, part in zip(two_lifters(collar()), (share, 1 - share), strict=True))
    course = course_of(lift(15 * MM, left, right, middle))
    cg_y = share * 0.5 - (1 - share) * 0.5
    assert share_met(course.scenario.load, left, right, middle) * (tilt + 0.5) == pytest.approx(cg_y + 0.5)


def test_the_sheets_drops_are_those_of_the_lift():
    """The same figures as `run` shows, from the lift at mean values; no mishap of the scenario happens in it."""
    strut = station(collar(), tie=None)
    scenario = lift(15 * MM, lifter(collar()), strut, mishaps=(Mishap("lifter-lost", 1, "left lifter"),))
    summary = measure(simulate_fixed(replace(scenario, mishaps=())))
    drops = check(scenario).drops
    for loss in ("pressure_lost", "lifter_lost"):
        assert drops[loss].drop == summary[f"largest_drop_{loss}"]["drop_m"]
        assert drops[loss].total == drops[loss].drop


def test_a_record_that_is_given_is_the_one_that_is_read():
    """A lift with chance in it has other gaps than the mean one, and so other drops onto its station."""
    slow = collar(turns=replace(collar().turns, sd=1.0))
    scenario = lift(60 * MM, lifter(), station(slow, tie=None))
    record = simulate(scenario, seed=3)
    assert check(scenario, record).drops["lifter_lost"].drop == measure(record)["largest_drop_lifter_lost"]["drop_m"]
    assert check(scenario, record).drops != check(scenario).drops


def test_drops_and_gaps_over_the_limits_set_are_cautions():
    """A pin every 100 mm: up to 100 mm of gap and of drop, against 25.4 and 76.2 mm."""
    sheet = check(lift(250 * MM, lifter(), station(pin(100 * MM), tie=None)))
    limits = {f.source.split(" ")[0]: f for f in sheet.of_level("caution") if f.source.startswith("limits.")}
    assert limits["limits.drop"].value > limits["limits.drop"].limit == pytest.approx(76.2 * MM)
    assert limits["limits.gap"].value > limits["limits.gap"].limit == pytest.approx(25.4 * MM)
    said = limits["limits.drop"].what.words("si")
    assert "if it holds" in said or "no capture above the start" in said


def test_a_side_that_no_station_holds_is_a_caution():
    """A lifter alone: its own collar goes with it when it kicks out."""
    scenario = lift(100 * MM, lifter(collar()))
    course = course_of(scenario)
    assert unstopped(course, scenario.lifters[0]) == pytest.approx(100 * MM)
    assert any("no station holds it" in f.what.words("si") for f in check(scenario).of_level("caution"))


@given(seed=st.integers(0, 1000))
def test_what_falls_onto_a_station_is_its_gap(seed):
    """A strut upright beside an upright lifter: the drop onto it is what its catcher sees as the gap."""
    slow = collar(turns=replace(collar().turns, sd=1.0))
    strut = station(slow, tie=None)
    scenario = lift(40 * MM, lifter(), strut)
    course = course_of(scenario, simulate(scenario, seed=seed))
    fall = falls_onto(course, strut, scenario.lifters[0])
    assert fall.along.max() <= course.measured.largest_gap(course.measured.places["strut"], "passing").value + 1e-9
    assert fall.along == pytest.approx(fall.drop, abs=1e-9)  # its give is not known: at least the fall
