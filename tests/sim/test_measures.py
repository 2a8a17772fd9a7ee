"""Measures, read from records that were written by hand: no simulator had a part in them.

Lengths below are in millimetres where a row is built, and metres in what is measured.
"""

import pytest

from sim.examples import example
from sim.lift import tell
from sim.measured import Measured
from sim.measures import measure
from sim.reading import parse
from sim.scenario import Load
from tests.builders import MM, WEIGHT, by_hand, collar, lift, lifter, station, two_lifters


def leader(time, call, what, note=""):
    """What the leader does."""
    return {"time_s": float(time), "call": call, "who": "leader", "what": what, "note": note}


def side(time, call, what, u_mm, name="ram", travel_mm=None):
    """Where a side of a straight lift stands."""
    travel = (u_mm if travel_mm is None else travel_mm) * MM
    return {
        "time_s": float(time), "call": call, "who": name, "what": what, "side": name,
        "u": u_mm * MM, "ram_travel_m": travel, "rise_m": u_mm * MM,
    }  # fmt: skip


def place(time, call, what, demand, captured, before=None, name="strut", caught=True, is_open=False, hands=False):
    """What a place holds."""
    before = captured if before is None else before
    return {
        "time_s": float(time), "call": call, "who": "hand", "what": what, "station": name, "device": "x",
        "demand_m": demand * MM, "captured_before_m": before * MM, "captured_m": captured * MM,
        "gap_m": (demand - captured) * MM, "open": is_open, "hands": hands, "caught": caught,
    }  # fmt: skip


ONE = lift(15 * MM, lifter(name="ram"), station(collar()), gap_limit=5 * MM)

PINNED = [  # one call, 20 mm in one stroke; out at 5, in at 10 with 12 mm held; a second call over 8 mm, to 24
    side(0, 0, "starts", 0),
    place(0, 0, "starts", 0, 0),
    leader(0, 1, "calls"),
    place(1, 1, "moves", 0, 0, caught=False),
    side(1, 1, "strokes", 0),
    place(3, 1, "rests", 20, 0, caught=False),
    side(3, 1, "recovers", 20),
    leader(4, 1, "holds", "strut"),
    place(5, 1, "swap", 20, 0, caught=False, is_open=True, hands=True),
    place(10, 1, "caught", 20, 12, before=0),
    leader(11, 2, "calls"),
    place(12, 2, "moves", 20, 12, caught=False),
    side(12, 2, "strokes", 20),
    place(14, 2, "rests", 24, 12, caught=False),
    side(14, 2, "recovers", 24),
    place(14, 2, "nothing to capture", 24, 12),
    leader(16, 2, "not-reached"),
]


def test_calls_pumps_and_time():
    """Two calls, two strokes, 16 s; the second call went out over 8 mm, 5 being the limit."""
    found = measure(by_hand(ONE, PINNED, "not-reached"))
    assert (found["calls"], found["pumps"], found["duration_s"]) == (2, {"ram": 2}, 16)
    assert (found["over_limit_calls"], found["outcome"], found["levelling_calls"]) == (1, "not-reached", 0)


def test_a_hold_lasts_to_the_next_call_and_waited_for_whom_was_caught_last():
    """From 4 to 11."""
    found = measure(by_hand(ONE, PINNED))
    assert (found["holds"], found["hold_time_s"], found["waited_for_s"]) == (1, 7, {"strut": 7})


def test_the_last_wait_is_no_hold_and_one_before_the_first_call_is():
    """Held from 0 to 2; then a wait from 4 that ends the lift."""
    rows = [
        side(0, 0, "starts", 0),
        place(0, 0, "starts", 0, -5, caught=False),
        leader(0, 0, "holds", "strut"),
        place(1, 0, "caught", 0, 0),
        leader(2, 1, "calls"),
        leader(4, 1, "holds", "strut"),
        place(9, 1, "caught", 0, 0),
        leader(9, 1, "raised"),
    ]
    found = measure(by_hand(ONE, rows))
    assert (found["holds"], found["hold_time_s"], found["duration_s"]) == (1, 2, 9)


def test_passing_and_standing_gap_are_told_apart():
    """20 mm passing at 3 s in call 1; 12 standing at the end, in call 2: 24 - 12."""
    found = measure(by_hand(ONE, PINNED))
    assert found["largest_passing_gap"] == {
        "gap_m": pytest.approx(20 * MM), "station": "strut", "call": 1, "time_s": 3
    }  # fmt: skip
    assert found["largest_standing_gap"] == {
        "gap_m": pytest.approx(12 * MM), "station": "strut", "call": 2, "time_s": 14
    }  # fmt: skip
    assert found["largest_gap"] == found["largest_passing_gap"]
    assert found["stations"]["strut"]["largest_gap_m"] == pytest.approx(20 * MM)


def test_seconds_over_the_limit():
    """Passing: from 1.5 s (5 of 20 mm) to 10, and 12 to 14. Standing: 8 mm from 10 to 12, 12 mm from 14 to 16."""
    found = measure(by_hand(ONE, PINNED))
    assert found["passing_over_limit_s"] == pytest.approx(8.5 + 2, abs=1e-6)
    assert found["standing_over_limit_s"] == pytest.approx(2 + 2, abs=1e-6)


def test_a_gap_between_two_rows_is_not_missed_where_it_jumps():
    """A crib whose wedges are drawn: 3 mm, then 11 at once, then 2: the largest is at the jump."""
    rows = [
        side(0, 0, "starts", 0),
        place(0, 0, "starts", 0, 0),
        leader(0, 1, "calls"),
        place(1, 1, "rests", 13, 10, caught=False),
        place(2, 1, "place", 13, 2, before=10, caught=False, hands=True),
        place(3, 1, "caught", 13, 11, before=2),
        leader(3, 1, "raised"),
    ]
    found = measure(by_hand(ONE, rows))
    assert found["largest_passing_gap"]["gap_m"] == pytest.approx(11 * MM)
    assert found["largest_passing_gap"]["time_s"] == 2


def test_gaps_before_the_first_call_do_not_count():
    """20 mm of slack, taken up by 3 s; the first call at 4."""
    rows = [
        side(0, 0, "starts", 0),
        place(0, 0, "starts", 0, -20, caught=False),
        place(3, 0, "caught", 0, 0),
        leader(4, 1, "calls"),
        leader(5, 1, "raised"),
    ]
    found = measure(by_hand(ONE, rows))
    assert found["largest_gap"] == {"gap_m": 0, "station": None, "call": None, "time_s": None}
    assert found["passing_over_limit_s"] == 0


def test_a_place_stays_as_it_is_to_the_end_of_the_lift():
    """Its last row is at 14 s, the lift's end at 16: what stands open, or over the limit, does so until then."""
    open_at_the_end = [*PINNED[:-1], place(15, 2, "falls", 24, 12, is_open=True), PINNED[-1]]
    assert measure(by_hand(ONE, open_at_the_end))["stations"]["strut"]["open_time_s"] == 5 + 1


def test_open_is_not_a_gap():
    """5 s open, the head 20 mm up all that time; one capture."""
    own = measure(by_hand(ONE, PINNED))["stations"]["strut"]
    assert (own["open_time_s"], own["captures"]) == (5, 1)
    assert own["largest_open_m"] == pytest.approx(20 * MM)


def test_a_drop_is_onto_the_best_that_is_not_open():
    """Until the pin is in nothing holds: 20 mm, 20 J of 1 kN. With it in at 12, of 24, only 12 mm."""
    found = measure(by_hand(ONE, PINNED))
    for loss in ("largest_drop_pressure_lost", "largest_drop_lifter_lost"):
        drop = found[loss]
        assert drop["drop_m"] == pytest.approx(20 * MM)
        assert drop["energy_J"] == pytest.approx(WEIGHT * 20 * MM)
        assert (drop["side"], drop["call"], drop["time_s"], drop["onto"]) == ("left", 1, 3, None)


def test_a_pin_that_is_out_holds_nothing_however_high_it_was():
    """12 of 20 mm held; out again from 5 s on: all 20 mm to fall, though what it held is still written down."""
    rows = [
        side(0, 0, "starts", 0),
        place(0, 0, "starts", 0, 0),
        leader(0, 1, "calls"),
        side(2, 1, "recovers", 20),
        place(2, 1, "caught", 20, 12),
        place(5, 1, "swap", 20, 12, caught=False, is_open=True),
        place(9, 1, "caught", 20, 18, before=12),
        leader(9, 1, "raised"),
    ]
    drop = measure(by_hand(ONE, rows))["largest_drop_pressure_lost"]
    assert (drop["drop_m"], drop["time_s"], drop["onto"]) == (pytest.approx(20 * MM), 5, None)


def test_a_lost_lifter_takes_its_own_capture_with_it():
    """The ram's collar holds 9 of 10 mm, the strut 4: 1 mm onto the one, 6 mm onto the other."""
    rows = [
        side(0, 0, "starts", 0),
        place(0, 0, "starts", 0, 0),
        place(0, 0, "starts", 0, 0, name="ram"),
        leader(0, 1, "calls"),
        place(2, 1, "rests", 10, 4),
        place(2, 1, "rests", 10, 9, name="ram"),
        side(2, 1, "recovers", 10),
        leader(3, 1, "raised"),
    ]
    found = measure(by_hand(lift(10 * MM, lifter(collar(), name="ram"), station(collar())), rows))
    pressure, lost = found["largest_drop_pressure_lost"], found["largest_drop_lifter_lost"]
    assert (pressure["drop_m"], pressure["onto"]) == (pytest.approx(1 * MM), "ram")
    assert (lost["drop_m"], lost["onto"]) == (pytest.approx(6 * MM), "strut")
    assert found["settled_rise_m"] == pytest.approx(9 * MM)


BOTH_SIDES = [  # left up 10, right 6; a strut on both holds a mean of 7
    side(0, 0, "starts", 0, "left lifter"),
    side(0, 0, "starts", 0, "right lifter"),
    place(0, 0, "starts", 0, 0),
    leader(0, 1, "calls"),
    side(1, 1, "strokes", 0, "left lifter"),
    side(1, 1, "strokes", 0, "right lifter"),
    side(3, 1, "recovers", 10, "left lifter"),
    side(3, 1, "recovers", 6, "right lifter"),
    place(3, 1, "rests", 8, 7),
    leader(4, 1, "raised"),
]


def test_a_station_on_both_stops_one_side_about_the_other():
    """Left falls from 10 to 2 x 7 - 6 = 8, right from 6 to 2 x 7 - 10 = 4: 2 mm each; half of 1 kN falls."""
    scenario = lift(8 * MM, *two_lifters(), station(collar(), side="both"))
    lift_of = Measured(by_hand(scenario, BOTH_SIDES))
    ends = [lift_of.stops_through_time(x, lifter_holds=True) for x in scenario.lifters]
    assert [stop[-1] / MM for _, _, stop, _ in ends] == pytest.approx([8, 4])
    drop = measure(by_hand(scenario, BOTH_SIDES))["largest_drop_pressure_lost"]
    assert (drop["drop_m"], drop["energy_J"]) == pytest.approx((2 * MM, 0.5 * WEIGHT * 2 * MM))


def test_level_rise_and_overshoot():
    """4 mm apart at the most and at the end; the point at the mean, 8; settled on the station on both, 7."""
    scenario = lift(7.5 * MM, *two_lifters(), station(collar(), side="both"))
    found = measure(by_hand(scenario, BOTH_SIDES))
    assert found["largest_level_difference_m"] == pytest.approx(4 * MM)
    assert found["final_level_difference_m"] == pytest.approx(4 * MM)
    assert found["head_rise_m"] == pytest.approx({"left lifter": 10 * MM, "right lifter": 6 * MM})
    assert (found["point_rise_m"], found["settled_rise_m"]) == pytest.approx((8 * MM, 7 * MM))
    assert found["overshoot_m"] == pytest.approx(0.5 * MM)


def test_the_level_difference_is_the_largest_on_the_way():
    """Left first, then right: 10 mm apart at 3 s, none at the end."""
    rows = [
        side(0, 0, "starts", 0, "left lifter"),
        side(0, 0, "starts", 0, "right lifter"),
        leader(0, 1, "calls"),
        side(2, 1, "recovers", 10, "left lifter"),
        side(2, 1, "strokes", 0, "right lifter"),
        side(4, 1, "recovers", 10, "right lifter"),
        leader(4, 1, "raised"),
    ]
    found = measure(by_hand(lift(8 * MM, *two_lifters()), rows))
    assert found["largest_level_difference_m"] == pytest.approx(10 * MM)
    assert found["final_level_difference_m"] == 0


def test_a_lifters_own_figures():
    """24 mm in two pumps: 12 a pump; it carries the whole kilonewton from first to last."""
    own = measure(by_hand(ONE, PINNED))["lifters"]["ram"]
    assert own["rise_per_pump_m"] == pytest.approx(12 * MM)
    assert (own["axial_start_N"], own["axial_end_N"]) == pytest.approx((WEIGHT, WEIGHT))


def test_a_lifter_that_never_pumped_has_no_rise_per_pump():
    """Not known, rather than 0 or an error."""
    rows = [side(0, 0, "starts", 0), place(0, 0, "starts", 0, 0), leader(0, 0, "not-reached")]
    found = measure(by_hand(ONE, rows, "not-reached"))
    assert found["lifters"]["ram"]["rise_per_pump_m"] is None
    assert (found["calls"], found["largest_drop_lifter_lost"]["drop_m"], found["hold_time_s"]) == (0, 0, 0)


def test_seconds_with_nothing_but_the_rams():
    """The pin is out for 5 s; without any station it is all the time that the load is up."""
    assert measure(by_hand(ONE, PINNED))["ram_only_s"] == 5
    bare = measure(by_hand(lift(15 * MM, lifter(name="ram")), [row for row in PINNED if not row.get("station")]))
    assert bare["ram_only_s"] == 16 - 1
    assert bare["waited_for_s"] == {"not known": 7}  # a hold, and no word of whom it waited for


def test_ram_travel_goes_on_over_resets_and_rise_does_not():
    """10 mm of a first run, 8 of a second, 3 mm of rise lost between them."""
    rows = [
        side(0, 0, "starts", 0),
        leader(0, 1, "calls"),
        side(2, 1, "recovers", 10),
        leader(3, 1, "re-sets", "ram"),
        side(3, 1, "settled", 7, travel_mm=10),
        side(9, 1, "in contact", 7, travel_mm=10),
        leader(9, 2, "calls"),
        side(11, 2, "recovers", 15, travel_mm=18),
        leader(12, 2, "raised"),
    ]
    found = measure(by_hand(lift(15 * MM, lifter(name="ram")), rows))
    assert found["ram_travel_m"] == pytest.approx({"ram": 18 * MM})
    assert found["head_rise_m"] == pytest.approx({"ram": 15 * MM})
    assert found["resets"] == 1


def test_a_fall_that_happened():
    """From 10 to 4 mm onto the strut: 6 mm, 6 J."""
    rows = [
        side(0, 0, "starts", 0),
        place(0, 0, "starts", 0, 0),
        leader(0, 1, "calls"),
        side(2, 1, "recovers", 10),
        place(2, 1, "rests", 10, 4),
        side(2, 1, "falls", 10),
        side(2, 1, "fell", 4),
        place(2, 1, "fell", 4, 4),
        leader(2, 1, "pressure-lost", "strut"),
        leader(2, 1, "dropped"),
    ]
    fall = measure(by_hand(ONE, rows, "dropped"))["fall"]
    assert (fall["fell_m"], fall["stopped_at_rise_m"], fall["energy_J"]) == pytest.approx((6 * MM, 4 * MM, 6))
    assert (fall["loss"], fall["side"], fall["call"], fall["caught_by"]) == ("pressure-lost", "left", 1, "strut")


def test_a_drop_on_a_hinged_load_is_measured_at_the_lifters_head_and_the_energy_at_the_cg():
    """Half a metre of head at 3 m is a quarter of CG at 1.5 m, for a small angle: u = 0.01 rad."""
    load = Load(WEIGHT, "hinged", (1.5, 0.0, 0.3), pivot_height=0.3)
    ram = lifter(name="ram", head=(3.0, 0.0, 0.3), base=(3.0, 0.0, 0.0))
    rows = [
        side(0, 0, "starts", 0),
        leader(0, 1, "calls"),
        {**side(2, 1, "recovers", 0), "u": 0.01, "rise_m": 0.03},
        leader(3, 1, "raised"),
    ]
    drop = measure(by_hand(lift(15 * MM, ram, load=load), rows))["largest_drop_pressure_lost"]
    assert drop["drop_m"] == pytest.approx(0.03, rel=1e-4)
    assert drop["energy_J"] == pytest.approx(WEIGHT * 0.015, rel=1e-4)


def test_where_one_place_takes_over_the_next_stop_is_read_at_the_same_instant():
    """A drop that is largest between two events: beside it the drop with that place gone, which is no smaller."""
    scenario = parse(example("trailer"), "trailer")  # in ours, replication 25 of seed 0 has its largest drop there
    for loss in ("largest_drop_pressure_lost", "largest_drop_lifter_lost"):
        drop = measure(tell(scenario, 0, 25))[loss]
        assert drop["next_drop_m"] >= drop["drop_m"] > 0
        assert drop["next_onto"] != drop["onto"]
