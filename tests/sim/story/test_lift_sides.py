"""The story where two sides rise, and where a ram stops short: both by the clock, worked out by hand."""

import math
from dataclasses import replace

import pytest

from sim.model.scenario import Load, Need, Pump
from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from tests.builders import (
    MM,
    collar,
    leaders,
    lift,
    lifter,
    operator,
    pin,
    station,
    strap,
    times_of,
    timetable,
    two_lifters,
)

# --- two sides


def test_the_low_side_alone_is_called_when_the_sides_are_too_far_apart():
    """10 and 6 mm a stroke, 5 mm allowed: both, both, right, both, right; level at 30 mm."""
    quick = collar(react=0, seat=0, turns=100.0)
    lifters = two_lifters(quick, right={"travel_per_pump": 6 * MM})
    record = simulate_fixed(lift(29 * MM, *lifters, level_limit=5 * MM))
    assert [what for _, what in leaders(record)] == ["calls", "calls", "levels", "calls", "levels", "raised"]
    found = measure(record)
    assert found["pumps"] == {"left lifter": 3, "right lifter": 5}
    assert (found["calls"], found["levelling_calls"]) == (5, 2)
    assert found["largest_level_difference_m"] == pytest.approx(8 * MM)
    assert found["final_level_difference_m"] == pytest.approx(0, abs=1e-9)


def test_sides_exactly_at_the_level_limit_are_both_called():
    """4 mm apart, 4 allowed."""
    lifters = two_lifters(collar(), right={"travel_per_pump": 6 * MM})
    record = simulate_fixed(lift(12 * MM, *lifters, level_limit=4 * MM))
    assert [what for _, what in leaders(record) if what in ("calls", "levels")] == ["calls", "calls"]


def test_a_station_on_both_sides_sees_the_mean():
    """10 and 6 mm make 8: its catcher begins with the first side, at 0.50, and is at rest with the last, at 2.40."""
    late = {"travel_per_pump": 6 * MM, "operator": operator(react=1.4)}
    record = simulate_fixed(lift(8 * MM, *two_lifters(right=late), station(collar(), side="both")))
    assert timetable(record, "strut") == [
        (0, "starts", 0, 0),
        (0.5, "moves", 0, 0),
        (0.5, "reacts", 0, 0),
        (0.75, "turns", 1.25, 0),
        (1.4, "moves", 4.5, 2.6),  # left at 9 mm
        (1.5, "rests", 5.3, 3),  # left at 10 mm, right at 0.6
        (2.4, "rests", 8, 6.6),
        (2.75, "seats", 8, 8),
        (3.25, "caught", 8, 8),
    ]
    assert leaders(record) == [(0, "calls"), (2.9, "holds"), (3.25, "raised")]
    assert measure(record)["settled_rise_m"] == pytest.approx(8 * MM)


def test_a_load_that_settles_too_low_is_called_once_more():
    """The needed 15 mm are reached at 20, but the pin holds only 12: call 3, and 24 of 30 are held."""
    record = simulate_fixed(lift(15 * MM, lifter(), station(pin(12 * MM, swap=2.0)), gap_limit=12 * MM))
    # call 1: 10 mm, no hole. Call 2 at 2.0: 20 mm at 3.5, react to 4.5, swap to 6.5: 12 held. Call 3 at 6.75, as held
    assert leaders(record) == [
        (0, "calls"),
        (2, "calls"),
        (4, "holds"),
        (6.75, "calls"),
        (8.75, "holds"),
        (11.25, "raised"),
    ]
    found = measure(record)
    assert (found["settled_rise_m"], found["point_rise_m"]) == pytest.approx((24 * MM, 30 * MM))


# --- how it ends


def test_no_lift_begins_under_a_pump_that_cannot_raise_the_load():
    """1 kN on 10 cm^2 is 1 MPa; a pump relieved at 0.8 MPa moves nothing: no call goes out."""
    weak = Pump("weak", 10e-6, 10e-6, shift_pressure=float("inf"), relief_pressure=0.8e6)
    record = simulate_fixed(lift(15 * MM, lifter(collar(), travel_per_pump=None, pump=weak, ram_area=1e-3)))
    assert leaders(record) == [(0, "not-reached")]
    assert "relief pressure" in record.reason
    found = measure(record)
    assert (found["calls"], found["duration_s"], found["largest_gap"]["gap_m"]) == (0, 0, 0)


def test_a_pump_relieved_during_take_up_stalls_there():
    """Of 10 mm of take-up it spends 8, where the force has grown to 0.8 kN; the next call cannot move it."""
    weak = Pump("weak", 10e-6, 10e-6, shift_pressure=float("inf"), relief_pressure=0.8e6)
    ram = lifter(collar(), name="ram", travel_per_pump=None, pump=weak, ram_area=1e-3)
    record = simulate_fixed(lift(15 * MM, ram, take_up=10 * MM))
    assert leaders(record) == [(0, "calls"), (2, "not-reached")]
    found = measure(record)
    assert found["ram_travel_m"]["ram"] == pytest.approx(8 * MM)
    assert found["point_rise_m"] == 0


def test_no_ram_goes_on_where_a_line_would_get_shorter_again():
    """A strut whose head comes opposite its base, about the pivot, at 0.052 rad: the ram stops there."""
    strut = station(strap(MM, reach=MM), head=(3.0, 0.9, 0.35), base=(-2.9, 0.9, 0.1), tie=None)
    ram = lifter(head=(3.5, 0.8, 0.6), base=(3.6, 0.8, 0.0), travel_per_pump=20 * MM)
    load = Load(1000.0, "hinged", (1.8, 0.0, 0.9), pivot_height=0.3)
    scenario = replace(lift(1.0, ram, strut, load=load, gap_limit=1.0), need=Need((3.0, 0.0, 0.35), 0.1))
    record = simulate_fixed(scenario)
    assert record.outcome == "not-reached"
    assert "no ram travel left" in record.reason
    opposite = math.pi - math.atan2(0.05, 3.0) + math.atan2(-0.2, -2.9)
    assert record.events["u"].max() == pytest.approx(opposite, abs=1e-6)


def test_take_up_raises_nothing_until_it_is_spent():
    """12 mm of take-up: the first stroke raises nothing, the second 8 mm, evenly over its second."""
    record = simulate_fixed(lift(8 * MM, lifter(collar(), name="ram"), take_up=12 * MM))
    assert [row for row in timetable(record, "ram") if row[1] in ("moves", "rests", "turns")] == [
        (0.5, "moves", 0, 0),
        (0.75, "turns", 0, 0),
        (1.5, "rests", 0, 0),
        (2.5, "moves", 0, 0),
        (2.75, "turns", 2, 0),
        (3.5, "rests", 8, 3),
    ]
    assert times_of(record, "nothing to capture") == [1.5]  # a collar that was turned in vain needs no seat
