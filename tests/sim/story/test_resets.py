"""Re-sets, timed by hand: the load settles on the other stations, the spent lifter gets its travel back.

One stroke is 10 mm and the ram's whole travel; a re-set takes 60 s and 2 mm of reseat.
Timetables are (time [s], what, demand [mm], captured [mm]).
"""

import pytest

from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from tests.builders import MM, collar, leaders, lift, lifter, pin, reset, station, timetable, two_lifters

SPENT = {"travel": 10 * MM}


def side_rows(record, lifter_name):
    """When a side settles and is back in contact, and its rise then [mm]."""
    rows = record.events[(record.events["side"] == lifter_name)]
    rows = rows[rows["what"].isin(["settles", "settled", "in contact"])]
    return list(zip(rows["time_s"].round(6), rows["what"], (rows["rise_m"] / MM).round(6), strict=True))


def test_a_spent_lifter_is_packed_up_for_another_run():
    """At 4.00 no travel is left; the strut's collar holds all 10 mm; contact at 64.00; the next stroke gives 10 - 2."""
    record = simulate_fixed(
        lift(15 * MM, lifter(collar(), name="ram", **SPENT), station(collar()), reset=reset(60, 2 * MM))
    )
    assert leaders(record) == [
        (0, "calls"), (2, "holds"), (4, "re-sets"), (64, "calls"), (66, "holds"), (67.25, "raised")
    ]  # fmt: skip
    assert side_rows(record, "ram") == [(4, "settles", 10), (4, "settled", 10), (64, "in contact", 10)]
    assert timetable(record, "strut")[-6:] == [
        (64.5, "moves", 10, 10),
        (64.5, "reacts", 10, 10),
        (64.75, "turns", 12, 10),
        (65.5, "rests", 18, 13),
        (66.75, "seats", 18, 18),
        (67.25, "caught", 18, 18),
    ]
    found = measure(record)
    assert (found["resets"], found["holds"], found["hold_time_s"]) == (1, 1, 62)  # a hold lasts until the next call
    assert found["ram_travel_m"]["ram"] == pytest.approx(20 * MM)
    assert found["pumps"] == {"ram": 2}


def test_the_load_settles_on_the_pin_when_the_lifter_is_let_go():
    """10 mm raised, a hole at 6: down to 6, up by 8 to 14; down to 12, up to 20, all on the ram's collar."""
    record = simulate_fixed(
        lift(
            15 * MM,
            lifter(collar(), name="ram", **SPENT),
            station(pin(6 * MM)),
            reset=reset(60, 2 * MM),
            gap_limit=5 * MM,
        )
    )
    assert leaders(record) == [
        (0, "calls"),
        (2, "holds"),  # react from 1.5 to 2.5, swap to 10.5
        (10.75, "re-sets"),
        (70.75, "calls"),
        (72.75, "holds"),  # 14 mm at 72.25; react to 73.25, swap to 81.25
        (81.5, "re-sets"),
        (141.5, "calls"),
        (143.5, "holds"),  # 20 mm at 143.0; react to 144.0, swap to 152.0
        (152, "raised"),
    ]
    assert side_rows(record, "ram") == [
        (10.75, "settles", 10),
        (10.75, "settled", 6),
        (70.75, "in contact", 6),
        (81.5, "settles", 14),
        (81.5, "settled", 12),
        (141.5, "in contact", 12),
    ]
    assert measure(record)["settled_rise_m"] == pytest.approx(20 * MM)


def test_a_lifter_that_is_let_go_holds_nothing():
    """From 4.00 to 64.00 its own collar is open."""
    record = simulate_fixed(
        lift(15 * MM, lifter(collar(), name="ram", **SPENT), station(collar()), reset=reset(60, 2 * MM))
    )
    assert measure(record)["stations"]["ram"]["open_time_s"] == 60
    assert measure(record)["stations"]["strut"]["open_time_s"] == 0


def test_a_reset_that_gains_nothing_ends_the_lift():
    """Holes at 9 and 18: down to 9, up to 17, and down to 9 again."""
    record = simulate_fixed(
        lift(
            30 * MM,
            lifter(collar(), name="ram", **SPENT),
            station(pin(9 * MM)),
            reset=reset(60, 2 * MM),
            gap_limit=9 * MM,
        )
    )
    # the collar, 5 mm behind at 72.25, meets at 73.5 and is seated at 74.0
    assert leaders(record)[:4] == [(0, "calls"), (2, "holds"), (10.75, "re-sets"), (70.75, "calls")]
    assert leaders(record)[-1] == (74, "not-reached")
    assert "gains nothing" in record.reason


def test_without_a_reset_in_the_scenario_a_spent_lifter_ends_the_lift():
    """The same, and it says that there is no [reset]."""
    record = simulate_fixed(lift(15 * MM, lifter(collar(), **SPENT), station(collar())))
    assert record.outcome == "not-reached"
    assert "[reset]" in record.reason


def test_a_side_without_another_station_cannot_be_let_go():
    """The left side stands on its lifter alone: no re-set, though the right has a strut."""
    lifters = two_lifters(collar(), left=SPENT)
    record = simulate_fixed(lift(15 * MM, *lifters, station(collar(), side="right"), reset=reset(60)))
    assert leaders(record)[-1] == (4, "not-reached")
    assert "left lifter" in record.reason and "no other station" in record.reason


def test_only_the_spent_side_is_let_go():
    """The left settles from 10 to 6 mm; the right stays at 10 on its lifter."""
    lifters = two_lifters(collar(), left=SPENT)
    stations = station(pin(6 * MM), name="pinned", side="left"), station(collar(), side="right")
    record = simulate_fixed(lift(12 * MM, *lifters, *stations, reset=reset(60, 2 * MM), gap_limit=5 * MM))
    assert side_rows(record, "left lifter")[:2] == [(10.75, "settles", 10), (10.75, "settled", 6)]
    assert side_rows(record, "right lifter") == []
    assert measure(record)["largest_level_difference_m"] >= 4 * MM


def test_both_spent_sides_settle_each_on_its_own_station():
    """Left on a collar at 10 mm, right on a pin at 6."""
    lifters = two_lifters(collar(), left=SPENT, right=SPENT)
    stations = station(collar(), side="left"), station(pin(6 * MM), name="pinned", side="right")
    record = simulate_fixed(lift(12 * MM, *lifters, *stations, reset=reset(60, 2 * MM), gap_limit=5 * MM))
    assert side_rows(record, "left lifter")[:2] == [(10.75, "settles", 10), (10.75, "settled", 10)]
    assert side_rows(record, "right lifter")[:2] == [(10.75, "settles", 10), (10.75, "settled", 6)]


def test_a_side_turns_about_the_other_onto_a_station_on_both():
    """A pin on both holds a mean of 6 of 10 mm; the right stays at 10, so the left comes down to 2 x 6 - 10 = 2."""
    lifters = two_lifters(collar(), left=SPENT)
    record = simulate_fixed(
        lift(12 * MM, *lifters, station(pin(6 * MM), side="both"), reset=reset(60, 2 * MM), gap_limit=5 * MM)
    )
    assert side_rows(record, "left lifter")[:2] == [(10.75, "settles", 10), (10.75, "settled", 2)]


def test_both_sides_settle_onto_a_station_on_both_at_the_mean_it_holds():
    """10 and 6 mm raised, both lifters spent: the station holds a mean of 8, and there the load stays."""
    lifters = two_lifters(left=SPENT, right={"travel": 6 * MM, "travel_per_pump": 6 * MM})
    record = simulate_fixed(lift(12 * MM, *lifters, station(collar(), side="both"), reset=reset(60)))
    settled = [side_rows(record, name)[1][2] for name in ("left lifter", "right lifter")]
    assert sum(settled) / 2 == pytest.approx(8)
