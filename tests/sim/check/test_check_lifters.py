"""Lifters: worst over the whole lift, pump and ram as published, angle, travel; and what people can do at a handle."""

import math
from dataclasses import replace

import numpy as np
import pytest

from sim.check import check
from sim.check.course import course_of
from sim.check.lifters import lifter_load
from sim.model.draw import Draw
from sim.model.loads import lifter_force
from sim.model.pump import ram_pressure
from sim.model.scenario import Load, Need, Pump
from sim.model.units import INCH, LBF, PSI
from tests.builders import MM, collar, lift, lifter, operator, reset, station, two_lifters


def turned(**of_lifter):
    """A high load that turns about its pivot: its force falls as it goes."""
    at = {"head": (2.0, 0.0, 0.5), "base": (2.1, 0.2, 0.0), "share": 1.0} | of_lifter
    load = Load(8000.0, "hinged", (1.0, 0.0, 1.2), 0.3)
    scenario = lift(300 * MM, lifter(collar(), **at), load=load)
    return replace(scenario, need=Need((2.5, 0.0, 0.5), 300 * MM))


def test_the_worst_is_looked_for_over_the_whole_lift_both_ends_included():
    """A finer sweep finds nothing worse than a thousandth more; start and end are what the statics say there."""
    scenario = turned()
    course, ram = course_of(scenario), scenario.lifters[0]
    load, top = lifter_load(course, ram), course.tops[ram.name]
    fine = lifter_force(ram, scenario.load, course.motion, np.linspace(0, top, 20001))
    assert load.axial_start == pytest.approx(float(fine[0])) and load.axial_end == pytest.approx(float(fine[-1]))
    assert fine.max() == pytest.approx(load.axial_worst, rel=1e-3)
    assert top >= course.need and load.axial_worst >= max(load.axial_start, load.axial_end)


def test_angle_and_thrust_of_a_leaning_lifter():
    """Thrusts push the foot away from below the head: back where it stands behind, left where it stands left."""
    scenario = turned()
    load = lifter_load(course_of(scenario), scenario.lifters[0])
    assert load.angle_start == pytest.approx(math.atan2(0.5, math.hypot(0.1, 0.2)))
    assert load.thrust_along > 0 and load.thrust_across > 0  # the base is ahead of the head, and left of it
    assert load.angle_least <= load.angle_start


def test_a_lifter_out_of_its_angle_is_a_caution():
    """55 to 90 deg from horizontal, where nothing else is written: common practice."""
    sheet = check(turned(base=(2.5, 0.0, 0.0)))
    (found,) = [f for f in sheet.of_level("caution") if "angle" in f.source]
    assert (found.unit, found.limit) == ("deg", pytest.approx(55)) and found.value < 55
    assert not [f for f in check(turned()).findings if "angle" in f.source]


@pytest.mark.parametrize(("pounds", "stopped"), [(1.49, True), (1.51, False)])
def test_the_rated_load_with_the_design_factor(pounds, stopped):
    """Rated over worst must be 1.5 or more: 29 CFR 1910.244(a)(1), and the limit set."""
    worst = check(turned()).lifters["left lifter"].axial_worst
    sheet = check(turned(rated_load=pounds * worst))
    found = [f for f in sheet.of_level("stop") if f.subject == "left lifter"]
    assert bool(found) == stopped
    assert sheet.lifters["left lifter"].margin == pytest.approx(pounds)
    assert all("1910.244(a)(1)" in f.source for f in found)


def test_one_side_carrying_all_of_it_is_a_caution_where_it_is_over_the_rating():
    """A stiff load, one pump ahead: 1 kN on one of two lifters that each carry half."""
    both = two_lifters(collar(), left={"rated_load": 999.0}, right={"rated_load": 1001.0})
    sheet = check(lift(20 * MM, *both))
    assert sheet.lifters["left lifter"].alone == pytest.approx(1000.0)
    assert [f.subject for f in sheet.of_level("caution") if "one pump ahead" in f.what.words("si")] == ["left lifter"]


def test_travel_that_does_not_reach_is_a_stop_or_with_a_reset_a_note():
    """29 CFR 1910.244(a)(2)(ii): the positive stop is not overrun."""
    short = lift(60 * MM, lifter(collar(), travel=30 * MM), station(collar(), tie=None))
    (found,) = [f for f in check(short).findings if "1910.244(a)(2)(ii)" in f.source]
    assert (found.level, found.value, found.limit) == ("stop", pytest.approx(0.06), 0.03)
    again = replace(short, reset=reset(10.0))
    assert [f.level for f in check(again).findings if "1910.244(a)(2)(ii)" in f.source] == ["note"]
    assert check(short).lifters["left lifter"].travel_left == pytest.approx(-0.03)


# --- pumps and rams, as published


def test_the_army_manuals_jack_raises_800_lb_with_40_lb():
    """40 lb on 4 in^2 raises 800 lb on 80 in^2, and a 2 in stroke raises it by 0.1 in: 10 in take 200 in."""
    # US Army TM 1-1500-204-23-2, fig. 2-5; 2 in computed
    pump = Pump("hand", 2 * INCH * 4 * INCH**2, 2 * INCH * 4 * INCH**2, math.inf, math.inf)
    ram = lifter(
        collar(), travel_per_pump=None, pump=pump, ram_area=80 * INCH**2, handle_stroke=2 * INCH, travel=1.0,
        operator=operator(),
    )  # fmt: skip
    scenario = lift(1 * INCH, ram, load=Load(800 * LBF, "straight", (0.0, 0.0, 1.0)))
    load = check(scenario).lifters["left lifter"]
    assert load.rise_per_pump_start / INCH == pytest.approx(0.1)
    assert load.pressure_start / PSI == pytest.approx(10)
    assert load.handle_force / LBF == pytest.approx(40)  # the handle drives the piston itself here


def test_pressure_is_force_over_area():
    """25 psi hold 250 lb on 10 in^2; 2.5e7 Pa hold 1.25e4 N on a diameter of 25.0 mm."""
    # US Army TM 1-1500-204-23-2, fig. 2-4; OpenStax College Physics 11.5
    assert ram_pressure(250 * LBF, 10 * INCH**2) / PSI == pytest.approx(25, abs=0.5)
    assert ram_pressure(1.25e4, math.pi * 0.0250**2 / 4) == pytest.approx(2.5e7, rel=0.02)


def test_the_second_stage_raises_less_a_stroke_and_the_sheet_says_which_one_works():
    """Rise per stroke drops by the ratio of the stages once the load is felt."""
    # fluid-power handbook, as quoted in secondary literature
    for newtons, stage, rise in ((1000.0, 1, 0.01), (3000.0, 2, 0.0025)):
        pump = Pump("two-speed", 10e-6, 2.5e-6, 2e6, 70e6)
        ram = lifter(collar(), travel_per_pump=None, pump=pump, ram_area=1e-3)
        scenario = lift(10 * MM, ram, load=Load(newtons, "straight", (0.0, 0.0, 1.0)))
        load = check(scenario).lifters["left lifter"]
        assert (load.stage_worst, load.rise_per_pump_start) == (stage, pytest.approx(rise))


def test_over_the_relief_pressure_is_a_stop():
    """The pump opens its valve before it raises the load: no pumps get it there."""
    pump = Pump("weak", 10e-6, 10e-6, math.inf, 0.5e6)
    sheet = check(lift(10 * MM, lifter(collar(), travel_per_pump=None, pump=pump, ram_area=1e-3)))
    assert any("relief" in f.what.words("si") for f in sheet.of_level("stop"))
    assert (sheet.need.pumps, sheet.need.calls) == ({"left lifter": None}, None)


# --- people


def test_rated_load_times_travel_is_held_against_what_a_person_gives():
    """450 N over the handle's stroke: 0.6 m where it is not given, which is said; 270 J."""
    # AS 2615:2016 6.4
    for rated, warned in ((26.9e3, False), (27.1e3, True)):
        found = [f for f in check(lift(20 * MM, lifter(collar(), rated_load=rated))).findings if f.unit == "J"]
        assert [f.level for f in found] == ["caution"] * warned
        assert all("AS 2615" in f.source and "assum" in f.source and f.limit == pytest.approx(270) for f in found)
    (found,) = [
        f
        for f in check(lift(20 * MM, lifter(collar(), rated_load=26.9e3, handle_stroke=0.4))).findings
        if f.unit == "J"
    ]
    assert found.limit == pytest.approx(180) and "assum" not in found.source + found.what.words("si")


def test_effort_at_the_handle_over_450_n_is_a_caution():
    """Force x travel per pump / handle stroke, friction apart."""
    for weight, warned in ((4.4e3, False), (4.6e3, True)):
        ram = lifter(collar(), handle_stroke=0.1)  # 10 mm a stroke: a tenth of the weight at the hand
        sheet = check(lift(20 * MM, ram, load=Load(weight, "straight", (0.0, 0.0, 1.0))))
        assert sheet.lifters["left lifter"].handle_force == pytest.approx(weight / 10)
        assert bool([f for f in sheet.of_level("caution") if "at the handle" in f.what.words("si")]) == warned
    assert check(turned()).lifters["left lifter"].handle_force is None


@pytest.mark.parametrize(
    ("stroke", "recover", "warned"), [(0.7, 0.4, True), (0.8, 0.4, False), (2.0, 0.9, False), (2.5, 0.6, True)]
)
def test_pumping_rates_beyond_what_is_published_are_cautions(stroke, recover, warned):
    """Preferred 30 to 50 a minute; for long work at most 20: above 50 or below 20 is beyond both."""
    # field study; design handbook
    sheet = check(lift(20 * MM, lifter(collar(), operator=operator(stroke=stroke, recover=recover))))
    assert bool([f for f in sheet.of_level("caution") if f.subject == "operator steady"]) == warned


def test_turning_and_reacting_faster_than_anybody_measured_are_cautions():
    """25 to 30 turns a minute under load; a simple reaction to a sound takes 122 ms."""

    # design handbook; Cattell, Mind 11 (1886)
    def cautions(**of_collar):
        device = replace(collar(), **of_collar)
        return [f.unit for f in check(lift(20 * MM, lifter(device))).of_level("caution") if f.subject.startswith("dev")]

    assert cautions(turns=Draw(0.5), react=Draw(0.122)) == []
    assert cautions(turns=Draw(0.51), react=Draw(0.121)) == ["s", "/min"]
    assert cautions(turns=Draw(0.5), react=Draw(0.0)) == []  # nothing given: that is stated elsewhere
