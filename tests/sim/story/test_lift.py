"""The story, simulated by the clock: the worked lift of the design, then each rule of the leader.

Every time and length here was worked out by hand from part 3 of the design; the arithmetic stands beside it.
Timetables are (time [s], what, demand [mm], captured [mm]).
"""

import numpy as np
import pytest

from sim.record.measures import measure
from sim.record.series import place_series
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
    times_of,
    timetable,
    two_lifters,
)

WORKED = lift(15 * MM, lifter(collar(), name="ram"))


def test_the_worked_lift_of_the_design_to_the_last_event():
    """One lifter, one collar, 4 mm/s after a load that rises at 10 mm/s: two calls, one hold, 7.75 s."""
    record = simulate_fixed(WORKED)
    assert (record.outcome, leaders(record)) == (
        "raised",
        [(0.0, "calls"), (2.0, "holds"), (4.0, "calls"), (6.0, "holds"), (7.75, "raised")],
    )
    assert timetable(record, "ram") == [
        (0.0, "starts", 0, 0),
        (0.5, "moves", 0, 0),
        (0.5, "reacts", 0, 0),
        (0.75, "turns", 2.5, 0),
        (1.5, "rests", 10, 3),
        (3.25, "seats", 10, 10),
        (3.75, "caught", 10, 10),
        (4.5, "moves", 10, 10),
        (4.5, "reacts", 10, 10),
        (4.75, "turns", 12.5, 10),
        (5.5, "rests", 20, 13),
        (7.25, "seats", 20, 20),
        (7.75, "caught", 20, 20),
    ]
    operators = record.events[record.events["side"] == "ram"]
    assert list(zip(operators["time_s"], operators["what"], (operators["rise_m"] / MM).round(9), strict=True)) == [
        (0.0, "starts", 0),
        (0.0, "reacts", 0),
        (0.5, "strokes", 0),
        (1.5, "recovers", 10),
        (2.0, "ready", 10),
        (4.0, "reacts", 10),
        (4.5, "strokes", 10),
        (5.5, "recovers", 20),
        (6.0, "ready", 20),
    ]


def test_the_gaps_of_the_worked_lift():
    """Every row of the table in the design: the gap at its time, between two rows of the record where it must be."""
    gap = place_series(simulate_fixed(WORKED).columns)["ram"].gap()
    table = {0.0: 0, 0.5: 0, 0.75: 2.5, 1.5: 7.0, 2.0: 5.0, 3.25: 0, 3.75: 0, 4.0: 0, 6.0: 5.0, 7.75: 0}
    for time, gap_mm in table.items():
        assert gap.just_after(np.array([time]))[0] / MM == pytest.approx(gap_mm, abs=1e-6), time


def test_the_sums_of_the_worked_lift():
    """2 calls, 2 pumps, 1 hold, 7.75 s, passing gap 7.0 mm, standing gap 0, rise 20 mm, overshoot 5 mm."""
    found = measure(simulate_fixed(WORKED))
    assert {key: found[key] for key in ("calls", "pumps", "holds", "over_limit_calls", "largest_gap")} == {
        "calls": 2,
        "pumps": {"ram": 2},
        "holds": 1,
        "over_limit_calls": 0,
        "largest_gap": {"gap_m": pytest.approx(7 * MM), "station": "ram", "call": 1, "time_s": 1.5},
    }
    assert (found["hold_time_s"], found["duration_s"]) == (2.0, 7.75)
    assert found["largest_standing_gap"]["gap_m"] == 0
    assert found["settled_rise_m"] == pytest.approx(20 * MM)
    assert found["overshoot_m"] == pytest.approx(5 * MM)


# --- strokes that go wrong


def test_a_short_stroke_gives_less_to_catch():
    """7.5 mm a stroke: 4.5 mm of gap at 1.50, met 2.625, seated 3.125, call 2 at 3.375; exactly 15 mm, raised 6.50."""
    record = simulate_fixed(lift(15 * MM, lifter(collar(), name="ram", operator=operator(fill=0.75))))
    assert leaders(record) == [(0, "calls"), (2, "holds"), (3.375, "calls"), (5.375, "holds"), (6.5, "raised")]
    assert measure(record)["largest_gap"]["gap_m"] == pytest.approx(4.5 * MM)


def test_a_missed_call_moves_nothing():
    """An operator who misses every call is ready at once: calls at the pace, no pump, and max_calls ends it."""
    record = simulate_fixed(lift(15 * MM, lifter(collar(), operator=operator(miss=1.0)), max_calls=3))
    assert leaders(record) == [(0, "calls"), (2, "calls"), (4, "calls"), (6, "not-reached")]
    found = measure(record)
    assert (found["pumps"], found["point_rise_m"], found["calls"]) == ({"left lifter": 0}, 0, 3)


def test_a_ram_stops_at_its_travel():
    """15 mm of travel: the second stroke gives 5 mm; then no travel is left. What can be caught is caught first."""
    record = simulate_fixed(lift(30 * MM, lifter(collar(), name="ram", travel=15 * MM)))
    assert leaders(record)[-2:] == [(4, "calls"), (6.5, "not-reached")]
    assert "ram: no ram travel left" in record.reason
    # from 4.75 on the collar's 4 mm/s chase 5 mm/s: 1.25 mm become 2.0 at 5.50, met 6.00, seated 6.50
    assert timetable(record, "ram")[-3:] == [(5.5, "rests", 15, 13), (6, "seats", 15, 15), (6.5, "caught", 15, 15)]
    found = measure(record)
    assert found["ram_travel_m"]["ram"] == pytest.approx(15 * MM)
    assert found["holds"] == 1


# --- when to call


def test_keep_pace_calls_over_open_gaps_and_counts_them():
    """Call 2 at 2.00 over 5 mm; the collar, turning since 0.75, is 9 mm behind at 3.50 and seats once, at 5.75."""
    record = simulate_fixed(lift(15 * MM, lifter(collar(), name="ram"), rule="keep-pace"))
    assert leaders(record) == [(0, "calls"), (2, "calls"), (4, "holds"), (6.25, "raised")]
    assert times_of(record, "turns") == [0.75]
    assert times_of(record, "seats") == [5.75]
    found = measure(record)
    assert (found["over_limit_calls"], found["holds"]) == (1, 0)
    assert found["largest_gap"] == {"gap_m": pytest.approx(9 * MM), "station": "ram", "call": 2, "time_s": 3.5}


@pytest.mark.parametrize(("pace", "second_call"), [(0.0, 2.0), (1.9, 2.0), (5.0, 5.0)])
def test_a_call_waits_for_the_pace_and_for_every_operator(pace, second_call):
    """The operator is ready at 2.00 and the collar meets the load at 0.76: only the pace can be later."""
    record = simulate_fixed(lift(15 * MM, lifter(collar(react=0, seat=0, turns=100.0)), pace=pace))
    assert times_of(record, "calls") == [0, second_call]


def test_the_later_of_two_operators_is_waited_for():
    """Ready at 2.00 and at 3.50: call 2 goes out at 3.50."""
    quick = collar(react=0, seat=0, turns=100.0)
    record = simulate_fixed(lift(15 * MM, *two_lifters(quick, right={"operator": operator(react=2.0)}), pace=1.0))
    assert times_of(record, "calls") == [0, 3.5]


def test_a_device_caught_at_the_very_instant_of_the_look_counts_as_caught():
    """Met at 1.50 and seated at 2.00, when the operator is ready: no hold."""
    record = simulate_fixed(lift(15 * MM, lifter(collar(react=0, seat=0.5, turns=5.0), name="ram")))
    assert times_of(record, "caught") == [2, 4]
    assert leaders(record) == [(0, "calls"), (2, "calls"), (4, "raised")]


def test_a_pin_put_in_at_the_very_instant_of_the_look_is_in():
    """In at 2.00, when the pace has passed (the operator was ready before): no hands in, call 2 goes out."""
    quick = lifter(operator=operator(recover=0.25))
    record = simulate_fixed(lift(15 * MM, quick, station(pin(10 * MM, react=0.25, swap=0.25))))
    assert leaders(record)[:2] == [(0, "calls"), (2, "calls")]


def test_a_gap_at_the_limit_is_within_it_and_a_gap_over_it_holds():
    """5 mm of gap at the look at 2.00."""
    for limit, calls in ((5 * MM, [0, 2]), (4.9 * MM, [0, 4])):
        assert times_of(simulate_fixed(lift(15 * MM, lifter(collar()), gap_limit=limit)), "calls") == calls


def test_slack_is_taken_up_before_the_first_call_and_the_hold_counts():
    """20 mm at 4 mm/s from 0.25 on, seated at 5.75, look 0.25: call 1 at 6.00. That gap is not one of the lift's."""
    record = simulate_fixed(lift(5 * MM, lifter(collar()), station(collar(), slack=20 * MM)))
    assert timetable(record, "strut")[:5] == [
        (0, "starts", 0, -20),
        (0, "reacts", 0, -20),
        (0.25, "turns", 0, -20),
        (5.25, "seats", 0, 0),
        (5.75, "caught", 0, 0),
    ]
    found = measure(record)
    assert leaders(record)[:2] == [(0, "holds"), (6, "calls")]
    assert (found["holds"], found["hold_time_s"], found["waited_for_s"]) == (1, 6, {"strut": 6})
    assert found["largest_gap"]["gap_m"] == pytest.approx(7 * MM)


def test_strokes_of_one_call_follow_each_other_without_a_look():
    """Three strokes: moving from 0.50 to 4.50, recovering between; ready at 5.00. One call, three pumps."""
    record = simulate_fixed(lift(30 * MM, lifter(collar(), name="ram"), strokes=3))
    assert times_of(record, "strokes") == [0.5, 2, 3.5]
    assert times_of(record, "recovers") == [1.5, 3, 4.5]
    assert times_of(record, "ready") == [5]
    # the collar climbs 15 mm from 0.75 to 4.50; 15 mm are left, met at 8.25
    assert times_of(record, "seats") == [8.25]
    assert measure(record)["pumps"] == {"ram": 3}


def test_uncapturable_and_stop_ends_the_lift_and_says_what_would_cure_it():
    """20 mm stand with no hole come up: `look` after 3.50 the lift is stopped."""
    scenario = lift(40 * MM, lifter(), station(pin(25 * MM)), strokes=2, gap_limit=10 * MM, if_uncapturable="stop")
    record = simulate_fixed(scenario)
    assert leaders(record) == [(0, "calls"), (3.5, "uncapturable"), (3.75, "stopped")]
    assert record.outcome == "stopped"
    assert "strut" in record.reason and "cribbing" in record.reason


def test_after_a_hold_the_look_is_spent_once():
    """A pin caught at 12.50 with 5 mm over a limit of 4: the same `look` serves the hold and the uncapturable gap."""
    record = simulate_fixed(lift(30 * MM, lifter(), station(pin(15 * MM)), strokes=2, gap_limit=4 * MM))
    # 20 mm at 3.0; react to 4.0, swap to 12.0: 15 held
    assert leaders(record)[:4] == [(0, "calls"), (3.5, "holds"), (12, "uncapturable"), (12.25, "calls")]


def test_max_calls_ends_the_lift_when_all_is_caught():
    """The second call is refused at 2.00, held for, and not made: a wait that ends the lift is no hold."""
    record = simulate_fixed(lift(15 * MM, lifter(collar()), max_calls=1))
    assert leaders(record) == [(0, "calls"), (2, "holds"), (4, "not-reached")]
    assert "max_calls" in record.reason
    assert (measure(record)["holds"], measure(record)["hold_time_s"]) == (0, 0)


def test_keep_pace_waits_until_all_is_caught_before_it_ends():
    """max_calls at 2.00 with the collar still turning: the lift ends when it is caught, at 3.75."""
    record = simulate_fixed(lift(15 * MM, lifter(collar()), rule="keep-pace", max_calls=1))
    assert leaders(record) == [(0, "calls"), (3.75, "not-reached")]
    assert measure(record)["duration_s"] == 3.75
