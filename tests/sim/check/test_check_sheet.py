"""The sheet as a whole: the plan, the estimates, the centre of gravity, the findings, what it says and never says."""

import json
import math
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.check import check
from sim.check.findings import LEVELS
from sim.examples import NAMES, example
from sim.model.scenario import Load, Need
from sim.model.units import INCH
from sim.written.reading import parse, variants
from tests.builders import MM, collar, lift, lifter, operator, station, two_lifters
from tests.random_lifts import lifts

EXAMPLES = [parse(example(name), name) for name in NAMES]
EXAMPLES += [variant for scenario in EXAMPLES for variant in variants(scenario)]


def hinged(cg=(1.2, 0.0, 0.8), weight=8000.0, **rest):
    """Two upright lifters under the end of a load that turns."""
    at = {side: {"head": (2.0, y, 0.5), "base": (2.0, y, 0.0)} for side, y in (("left", 0.5), ("right", -0.5))}
    scenario = lift(100 * MM, *two_lifters(collar(), **at), load=Load(weight, "hinged", cg, 0.3), **rest)
    return replace(scenario, need=Need((2.4, 0.0, 0.4), 100 * MM))


# --- what to lift, and no more


def test_the_plan_can_be_followed_with_a_pencil():
    """What stands in the lines, put into a calculator, gives what the lines end with."""
    need = check(hinged()).need
    lines = {(line.subject, line.what): line for line in need.lines}
    numbers = lines["load", "hinge angle"].numbers.words("si")
    z, r, radius, x = (float(n) for n in re.search(r"asin\(\(([\d.]+) \+ ([\d.]+)\) / ([\d.]+)\) - atan\([\d.]+ / ([\d.]+)\)", numbers).groups())  # fmt: skip # noqa: E501
    degrees = math.degrees(math.asin((z + r) / radius) - math.atan(z / x))
    assert degrees == pytest.approx(need.angle_deg, abs=0.005) and f"{degrees:.2f} deg" in numbers
    numbers = lines["left lifter", "rise of its head"].numbers.words("si")
    x, u, z, end = (float(n) for n in re.match(r"([\d.]+) sin\(([\d.]+) deg\) - ([\d.]+) .* = ([\d.]+) mm", numbers).groups())  # fmt: skip # noqa: E501
    assert x * math.sin(math.radians(u)) - z * (1 - math.cos(math.radians(u))) == pytest.approx(end, abs=0.2)
    numbers = lines["left lifter", "ram travel"].numbers.words("si")
    at_need, now, take_up, travel = (float(n) for n in re.findall(r"[\d.]+", numbers))
    assert at_need - now + take_up == pytest.approx(travel, abs=0.11)
    assert lines["left lifter", "pumps"].numbers.words("si") == "83.3 / (10.0 x 1), rounded up = 9"
    assert need.pumps == {"left lifter": 9, "right lifter": 9} and need.calls == 9


def test_a_small_travel_per_pump_has_digits_enough_for_the_pencil():
    """100 mm at 3.749 mm a pump are 27 pumps, 26.67 rounded up; at 3.7 mm, to the tenth, they would be 28."""
    numbers = check(lift(100 * MM, lifter(collar(), travel_per_pump=3.749 * MM))).need.lines
    travel, each, fill, pumps = (
        float(n)
        for n in re.findall(r"[\d.]+", next(line.numbers.words("si") for line in numbers if line.what == "pumps"))
    )
    assert math.ceil(travel / (each * fill)) == pumps == 27


def test_the_plan_of_a_straight_lift_with_take_up():
    """15 mm and 12 mm of take-up, 10 mm a stroke, two strokes a call: 27 mm, 3 pumps, 2 calls."""
    need = check(lift(15 * MM, lifter(collar()), take_up=12 * MM, strokes=2)).need
    assert need.ram_travel_m["left lifter"] == pytest.approx(27 * MM)
    assert (need.pumps["left lifter"], need.calls, need.angle_deg) == (3, 2, None)
    assert need.told_pumps["left lifter"] == 4  # whole calls: two of two strokes


@given(fill=st.floats(0.3, 1.0), rise=st.floats(0.005, 0.1))
def test_pumps_are_travel_over_travel_per_pump_rounded_up(fill, rise):
    """One pump fewer would not do."""
    need = check(lift(rise, lifter(collar(), operator=operator(fill=fill)))).need
    pumps = need.pumps["left lifter"]
    assert pumps * 10 * MM * fill >= rise - 1e-9 > (pumps - 1) * 10 * MM * fill - 1e-8


# --- quick estimates


def test_half_the_weight_beside_what_it_is_here():
    """CG 1.2 m from the pivot, lifters 2 m: 60 % of the weight, 20 % more than half."""
    quick = check(hinged()).estimates
    assert (quick.half_weight, quick.at_the_end) == (4000.0, pytest.approx(4800.0))
    assert quick.out_by == pytest.approx(0.2)
    assert check(lift(15 * MM, lifter(collar()))).estimates.half_weight is None


def test_half_the_weight_is_not_known_where_the_weight_is_not():
    """A scale under the end simulates the moment, not the weight."""
    scenario = hinged()
    sheet = check(replace(scenario, load=replace(scenario.load, weight_known=False)))
    assert sheet.estimates.half_weight is sheet.estimates.out_by is None
    assert sheet.estimates.at_the_end == pytest.approx(4800.0)
    assert sheet.as_json()["pivot"]["down_least_N"] is None


def test_a_centre_of_gravity_a_tenth_further_out_names_the_margin_that_goes_first():
    """Hinged: a tenth more on everything; a margin of 1.6 becomes 1.45 and breaks the design factor."""
    worst = check(hinged()).lifters["left lifter"].axial_worst
    scenario = hinged()
    rated = (replace(scenario.lifters[0], rated_load=2 * worst), replace(scenario.lifters[1], rated_load=1.6 * worst))
    sheet = check(replace(scenario, lifters=rated))
    quick = sheet.estimates
    assert (quick.goes_first.subject, quick.further_out) == ("right lifter", pytest.approx(0.12))
    assert quick.goes_first_now.times == pytest.approx(1.6)
    assert quick.goes_first.times == pytest.approx(1.6 / 1.1, rel=0.01)
    assert any("farther out" in f.what.words("si") for f in sheet.of_level("caution"))


def test_a_straight_lifts_centre_of_gravity_shifts_between_its_lifters():
    """A tenth of the way towards the busier one: its part grows by a tenth of the whole."""
    left, right = two_lifters(collar())
    rated = (replace(left, share=0.6, rated_load=900.0), replace(right, share=0.4, rated_load=900.0))
    first = check(lift(15 * MM, *rated)).estimates.goes_first
    assert (first.subject, first.times) == ("left lifter", pytest.approx(900 / 700))


# --- balance


@pytest.mark.parametrize(("y", "stopped"), [(0.49, False), (0.51, True), (-0.51, True)])
def test_a_centre_of_gravity_outside_the_lifters_line_is_a_stop(y, stopped):
    """One side would have to pull."""
    scenario = hinged(cg=(1.2, y, 0.8))
    sheet = check(scenario)
    assert bool([f for f in sheet.of_level("stop") if f.subject == "load"]) == stopped


def test_the_pivots_push_is_given_with_the_friction_that_would_hold_it():
    """Lifters that lean push the load along; upright ones do not, but for the little they lean as it turns."""
    scenario = hinged()
    leaning = tuple(replace(x, base=(2.2, x.base[1], 0.0)) for x in scenario.lifters)
    upright, pushed = check(scenario).pivot, check(replace(scenario, lifters=leaning)).pivot
    assert pushed.along < 0 and abs(pushed.along) > 5 * abs(upright.along)
    assert pushed.grip_needed > upright.grip_needed > 0
    assert pushed.across == pytest.approx(0, abs=1e-6)


def test_lifters_that_lift_the_pivot_off_are_a_stop():
    """The CG ahead of the lifters: the load would turn about them, not about its pivot."""
    assert any(f.subject == "pivot" for f in check(hinged(cg=(2.3, 0.0, 0.8))).of_level("stop"))


def test_lifters_of_a_straight_load_that_lean_the_same_way_push_it_sideways():
    """Nothing in the file holds that; two that lean against each other hold themselves."""
    for lean, warned in (((0.1, 0.1), True), ((0.1, -0.1), False)):
        left, right = two_lifters(collar())
        both = (replace(left, base=(lean[0], 0.5, 0.0)), replace(right, base=(lean[1], -0.5, 0.0)))
        found = [f for f in check(lift(15 * MM, *both)).of_level("caution") if "sideways" in f.what.words("si")]
        assert bool(found) == warned


# --- the findings and the JSON

SAID = re.compile(r"\b(safe|safely|secure|ok|okay|pass|passes|passed|fail|fails)\b", re.IGNORECASE)


@pytest.mark.parametrize("scenario", EXAMPLES, ids=lambda s: f"{s.title} {s.variant}")
def test_the_sheets_of_the_examples_are_plain_data_in_order(scenario):
    """JSON without NaN; stops first; every finding with its sentence and source, and no word that promises anything."""
    sheet = check(scenario)
    data = json.loads(json.dumps(sheet.as_json(), allow_nan=False))
    assert data["readable"] is data["valid"] is True
    assert set(data) >= {"findings", "need", "lifters", "stations", "ties", "cribs", "ground", "estimates"}
    order = [LEVELS.index(f["level"]) for f in data["findings"]]
    assert order == sorted(order)
    for finding in data["findings"]:
        assert set(finding) == {"level", "subject", "what", "value", "limit", "unit", "source", "check"}
        assert finding["what"] and finding["source"] and not SAID.search(finding["what"])
    assert sheet.stopped == bool(sheet.of_level("stop"))


@given(scenario=lifts())
def test_any_lift_can_be_checked(scenario):
    """Whatever the readers accept: a sheet, and plain data of it."""
    json.dumps(check(scenario).as_json(), allow_nan=False)


def test_nothing_that_is_not_given_counts_as_met():
    """A bare scenario: everything it does not say reads not known, on the sheet and in the JSON."""
    sheet = check(lift(15 * MM, lifter(collar()), station(collar(), base=(0.0, 1.6, 0.0))))
    data = sheet.as_json()
    assert data["lifters"]["left lifter"]["margin"] is data["stations"]["strut"]["margin"] is None
    assert data["ties"]["strut"]["margin"] is data["ground"]["strut"]["pressure_Pa"] is None
    said = " ".join(f.what.words("si") for f in sheet.findings)
    for word in ("rated load not known", "give not known", "limit not known", "bearing not known", "area not known"):
        assert word in said


def test_keys_end_in_their_unit_and_angles_are_in_degrees():
    """SI in the JSON, degrees for angles."""
    scenario = lift(15 * MM, lifter(collar()))
    got = check(scenario).as_json()["lifters"]["left lifter"]
    assert got["axial_worst_N"] == pytest.approx(1000)
    assert got["angle_start_deg"] == pytest.approx(90)
    assert got["travel_per_pump_m"] == pytest.approx(0.01)


def test_figures_in_sentences_are_in_the_units_of_the_scenario():
    """Pounds for one who writes pounds."""
    us = replace(lift(1 * INCH, lifter(collar(), rated_load=100.0)), units="us")
    assert "lb" in check(us).as_json()["findings"][0]["what"]
