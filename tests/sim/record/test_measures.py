"""Measures, read from records that were written by hand: no simulator had a part in them.

Lengths below are in millimetres where a row is built, and metres in what is measured.
"""

import pytest

from sim.record.measures import measure
from tests.builders import MM, WEIGHT, by_hand, collar, lift, lifter, station, two_lifters
from tests.sim.record.rows_by_hand import BOTH_SIDES, ONE, PINNED, leader, place, side


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


def test_passing_and_standing_gap_are_simulated_apart():
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
    """From the first stroke until the pin is in its first hole, out or not; without a station as long as it is up."""
    assert measure(by_hand(ONE, PINNED))["ram_only_s"] == 10 - 1
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
