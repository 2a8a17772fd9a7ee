"""One lift with one of each device, timed by hand from part 3 of the design; the arithmetic stands beside it.

Timetables are (time [s], what, demand [mm], captured [mm]).
"""

import pytest

from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from tests.builders import MM, chain, collar, crib, leaders, lift, lifter, pin, station, strap, timetable


def test_a_collar_that_chases_after_starts_when_the_load_has_stopped():
    """10 mm at 4 mm/s from 1.75 s on: seated 4.75, call 2 at 5.00, the same again."""
    record = simulate_fixed(lift(15 * MM, lifter(collar(chases="after"), name="ram")))
    assert leaders(record) == [(0, "calls"), (2, "holds"), (5, "calls"), (7, "holds"), (9.75, "raised")]
    assert timetable(record, "ram")[1:7] == [
        (0.5, "moves", 0, 0),
        (1.5, "rests", 10, 0),
        (1.5, "reacts", 10, 0),
        (1.75, "turns", 10, 0),
        (4.25, "seats", 10, 10),
        (4.75, "caught", 10, 10),
    ]
    assert measure(record)["largest_passing_gap"]["gap_m"] == pytest.approx(10 * MM)


def test_a_collar_comes_to_the_end_of_its_thread():
    """12 mm of thread, 4 mm/s. Call 2 goes out at 4.00: the load moves from 4.50 to 5.50, the collar from 4.75 on.

    At 5.25 it holds 12 mm, and stays with the strut until the load stops: seated at 6.00. Of 20 mm 8 stand. Past that
    it captures nothing, and is caught as soon as the load stops.
    """
    record = simulate_fixed(lift(15 * MM, lifter(), station(collar(reach=12 * MM)), max_calls=3))
    assert timetable(record, "strut")[7:] == [
        (4.5, "moves", 10, 10),
        (4.5, "reacts", 10, 10),
        (4.75, "turns", 12.5, 10),
        (5.25, "ends", 17.5, 12),
        (5.5, "rests", 20, 12),
        (5.5, "seats", 20, 12),
        (6, "caught", 20, 12),
        (6.75, "moves", 20, 12),
        (7.75, "rests", 30, 12),
        (7.75, "nothing to capture", 30, 12),
    ]
    assert record.outcome == "not-reached"
    assert measure(record)["settled_rise_m"] == pytest.approx(12 * MM)


def test_a_collar_that_has_met_the_load_comes_to_the_end_of_its_thread():
    """20 mm/s, faster than the load's 10: from 0.75 s on it is met at 1.00, 5 mm up; the thread ends at 8, at 1.30."""
    record = simulate_fixed(lift(15 * MM, lifter(), station(collar(turns=10.0, reach=8 * MM)), max_calls=1))
    assert timetable(record, "strut")[3:] == [
        (0.75, "turns", 2.5, 0),
        (1, "meets", 5, 5),
        (1.3, "ends", 8, 8),
        (1.5, "rests", 10, 8),
        (1.5, "seats", 10, 8),
        (2, "caught", 10, 8),
    ]


def test_a_pin_has_a_last_hole():
    """Every 8 mm, and two of them: at 20 mm it goes to 16, at 30 there is no third at 24."""
    record = simulate_fixed(lift(25 * MM, lifter(), station(pin(8 * MM, holes=2)), max_calls=3, gap_limit=5 * MM))
    assert [row for row in timetable(record, "strut") if row[1] in ("swap", "caught", "nothing to capture")] == [
        (2.5, "swap", 10, 0),
        (10.5, "caught", 10, 8),
        (13.25, "swap", 20, 8),
        (21.25, "caught", 20, 16),
        (23, "nothing to capture", 30, 16),
    ]


def crib_rows(scenario):
    """When [s], what, demand and captured [mm], and whether the crib is open."""
    rows = simulate_fixed(scenario).events
    rows = rows[rows["station"] == "strut"]
    mm = ((rows[key] / MM).round(6) for key in ("demand_m", "captured_m"))
    return list(zip(rows["time_s"].round(6), rows["what"], *mm, rows["open"].astype(bool), strict=True))


def test_a_layer_takes_so_many_pieces():
    """Two timbers a layer, 2 s each: 10 mm are held 4 s after the reaction, at 6.50, and nothing of it before."""
    assert crib_rows(lift(10 * MM, lifter(), station(crib(10 * MM, place=2.0, layer=2))))[3:] == [
        (1.5, "reacts", 10, 0, False),
        (2.5, "place", 10, 0, False),
        (6.5, "caught", 10, 10, False),
    ]


def test_no_piece_is_begun_while_the_load_moves_and_each_is_chosen_by_what_is_there_then():
    """Two pieces fit at 4.00; the load moves again at 4.50 (`keep-pace`). The one in hand is placed, the second is not.

    The load stops at 7.00, 40 mm up: the catcher reacts again, and three more are placed, one after the other.
    """
    kept = station(crib(10 * MM, place=2.0))
    assert crib_rows(lift(50 * MM, lifter(), kept, strokes=2, rule="keep-pace", pace=4.0, max_calls=2))[5:] == [
        (3, "reacts", 20, 0, False),
        (4, "place", 20, 0, False),
        (4.5, "moves", 20, 0, False),
        (5.5, "rests", 30, 0, False),
        (6, "captures", 30, 10, False),
        (6, "moves", 30, 10, False),
        (7, "rests", 40, 10, False),
        (7, "reacts", 40, 10, False),
        (8, "place", 40, 10, False),
        (10, "place", 40, 20, False),
        (12, "place", 40, 30, False),
        (14, "caught", 40, 40, False),
    ]


def test_a_piece_on_top_is_taken_off_for_a_larger_one():
    """Two of 10 mm under 20. At 40 a 30 goes on one 10: the other comes off and the 30 goes on, 2 s each, open."""
    swapped = station(crib(10 * MM, 30 * MM, place=2.0, swap_up=True))
    rows = crib_rows(lift(40 * MM, lifter(), swapped, strokes=2))
    assert rows[5:9] == [
        (3, "reacts", 20, 0, False),
        (4, "place", 20, 0, False),
        (6, "place", 20, 10, False),
        (8, "caught", 20, 20, False),
    ]
    assert rows[13:] == [
        (11.25, "reacts", 40, 20, False),
        (12.25, "place", 40, 20, True),
        (14.25, "place", 40, 20, True),
        (16.25, "caught", 40, 40, False),
    ]


def test_one_pin():
    """Holes every 25 mm, 20 mm a call, 10 mm allowed: the pin is out for 8 s twice, and 15 mm stand between.

    Call 1 leaves 20 mm standing (no hole has come up), so call 2 goes out over the limit; at 40 mm one hole is up,
    settled 25 mm is short of 40: one more call, to 60 mm and the hole at 50.
    """
    record = simulate_fixed(lift(40 * MM, lifter(), station(pin(25 * MM)), strokes=2, gap_limit=10 * MM))
    assert leaders(record) == [
        (0, "calls"),
        (3.5, "uncapturable"),  # 0.5 + 2 x (1.0 + 0.5): ready; the pin was caught when the load stopped at 3.0
        (3.75, "calls"),
        (7.25, "holds"),
        (15.75, "uncapturable"),
        (16, "calls"),
        (19.5, "holds"),
        (28, "raised"),
    ]
    assert timetable(record, "strut") == [
        (0, "starts", 0, 0),
        (0.5, "moves", 0, 0),
        (1.5, "rests", 10, 0),
        (2, "moves", 10, 0),
        (3, "rests", 20, 0),
        (3, "nothing to capture", 20, 0),
        (4.25, "moves", 20, 0),
        (5.25, "rests", 30, 0),
        (5.75, "moves", 30, 0),
        (6.75, "rests", 40, 0),
        (6.75, "reacts", 40, 0),
        (7.75, "swap", 40, 0),
        (15.75, "caught", 40, 25),
        (16.5, "moves", 40, 25),
        (17.5, "rests", 50, 25),
        (18, "moves", 50, 25),
        (19, "rests", 60, 25),
        (19, "reacts", 60, 25),
        (20, "swap", 60, 25),
        (28, "caught", 60, 50),
    ]
    found = measure(record)
    assert (found["calls"], found["holds"], found["hold_time_s"], found["over_limit_calls"]) == (3, 1, 8.75, 2)
    assert found["stations"]["strut"]["open_time_s"] == 16
    assert found["stations"]["strut"]["largest_open_m"] == pytest.approx(60 * MM)
    assert found["stations"]["strut"]["captures"] == 2
    assert found["largest_passing_gap"] == {
        "gap_m": pytest.approx(40 * MM),  # at 6.75, before the first hole is caught
        "station": "strut",
        "call": 2,
        "time_s": 6.75,
    }
    assert found["largest_standing_gap"]["gap_m"] == pytest.approx(20 * MM)
    assert found["settled_rise_m"] == pytest.approx(50 * MM)
    assert found["passing_over_limit_s"] == pytest.approx(24, abs=1e-6)  # 2.0-3.0, 4.25-15.75, 16.5-28.0
    assert found["standing_over_limit_s"] == pytest.approx(2, abs=1e-6)  # 3.0-4.25, 15.75-16.5


def test_a_pin_that_is_held_while_it_is_out_is_never_open():
    """`pin_out = "held"`: the same times; but the station is not open.

    It holds nothing above the start until 15.75, when the pin is in at 25 mm: only the ram does, from 0.50 on.
    """
    scenario = lift(40 * MM, lifter(), station(pin(25 * MM, pin_out="held")), strokes=2, gap_limit=10 * MM)
    found = measure(simulate_fixed(scenario))
    assert (found["duration_s"], found["stations"]["strut"]["open_time_s"], found["ram_only_s"]) == (28, 0, 15.25)
    assert found["largest_drop_pressure_lost"]["drop_m"] == pytest.approx(40 * MM)  # at 6.75; later it is 60 - 25


@pytest.mark.parametrize(("wedge_out", "largest_mm"), [("held", 30), ("open", 41)])
def test_one_crib(wedge_out, largest_mm):
    """Pieces of 38 and 19 mm, wedges up to 25: 19 + 11 under the first 30 mm; then 38 on the 19, and 3 of wedge.

    While the second piece goes in, the old wedges hold 30 mm, or, drawn first, the pile alone holds 19.
    """
    timber = crib(38 * MM, 19 * MM, wedge=25 * MM, wedge_out=wedge_out)
    record = simulate_fixed(lift(50 * MM, lifter(), station(timber), strokes=3, gap_limit=5 * MM))
    assert leaders(record) == [(0, "calls"), (5, "holds"), (21.75, "calls"), (26.75, "holds"), (43.25, "raised")]
    at_work = [row for row in timetable(record, "strut") if row[1] not in ("moves", "rests")]
    assert at_work == [
        (0, "starts", 0, 0),
        (4.5, "reacts", 30, 0),
        (5.5, "place", 30, 0),
        (15.5, "drive", 30, 19),
        (21.5, "caught", 30, 30),
        (26.25, "reacts", 60, 30),
        (27.25, "place", 60, 30 if wedge_out == "held" else 19),
        (37.25, "drive", 60, 57),
        (43.25, "caught", 60, 60),
    ]
    found = measure(record)
    assert found["largest_passing_gap"]["gap_m"] == pytest.approx(largest_mm * MM)
    assert (found["hold_time_s"], found["stations"]["strut"]["open_time_s"]) == (16.75, 0)
    hands = record.events[record.events["station"] == "strut"].set_index("time_s")["hands"]
    assert [bool(hands[t].iloc[-1] if t == 4.5 else hands[t]) for t in (5.5, 15.5, 21.5, 27.25, 37.25, 43.25)] == [
        True, True, False, True, True, False
    ]  # fmt: skip


def test_a_crib_whose_wedges_do_not_reach_leaves_a_standing_gap():
    """30 mm over a 19 mm piece and 8 mm of wedge: 3 mm stand."""
    record = simulate_fixed(lift(20 * MM, lifter(), station(crib(19 * MM, wedge=8 * MM)), strokes=3, gap_limit=5 * MM))
    assert timetable(record, "strut")[-1] == (21.5, "caught", 30, 27)
    assert measure(record)["largest_standing_gap"]["gap_m"] == pytest.approx(3 * MM)


def test_one_strap():
    """Clicks of 4 mm: one before the first call (6 mm slack), then 3, 2 and 3, half a second each."""
    record = simulate_fixed(lift(30 * MM, lifter(), station(strap(4 * MM), slack=6 * MM), gap_limit=4 * MM))
    assert leaders(record) == [
        (0, "holds"),
        (1.75, "calls"),
        (3.75, "holds"),
        (6, "calls"),
        (8, "holds"),
        (9.75, "calls"),
        (11.75, "holds"),
        (13.75, "raised"),
    ]
    at_work = [row for row in timetable(record, "strut") if row[1] not in ("moves", "rests")]
    assert at_work == [
        (0, "starts", 0, -6),
        (0, "reacts", 0, -6),
        (1, "click", 0, -6),
        (1.5, "caught", 0, -2),
        (3.25, "reacts", 10, -2),
        (4.25, "click", 10, -2),
        (4.75, "click", 10, 2),
        (5.25, "click", 10, 6),
        (5.75, "caught", 10, 10),
        (7.5, "reacts", 20, 10),
        (8.5, "click", 20, 10),
        (9, "click", 20, 14),
        (9.5, "caught", 20, 18),
        (11.25, "reacts", 30, 18),
        (12.25, "click", 30, 18),
        (12.75, "click", 30, 22),
        (13.25, "click", 30, 26),
        (13.75, "caught", 30, 30),
    ]
    found = measure(record)
    assert (found["holds"], found["hold_time_s"]) == (3, 1.75 + 2.25 + 1.75)
    assert found["largest_gap"]["gap_m"] == pytest.approx(12 * MM)  # 6 mm before the first call do not count


def test_a_strap_ends_at_its_reach():
    """22 mm is as far as whole clicks get within 24: the fourth call is in vain, the fifth is not made."""
    scenario = lift(
        30 * MM, lifter(), station(strap(4 * MM, reach=24 * MM), slack=6 * MM), gap_limit=4 * MM, max_calls=4
    )
    record = simulate_fixed(scenario)
    assert timetable(record, "strut")[-1] == (14.5, "nothing to capture", 40, 22)
    assert leaders(record)[-5:] == [
        (11.75, "holds"),
        (12.75, "uncapturable"),
        (13, "calls"),
        (15, "uncapturable"),
        (15.25, "not-reached"),
    ]


def test_one_chain():
    """Links every 30 mm, 4 mm of slack that stays: 26 mm held at 40, 56 at 60; off the hook 6 s each time."""
    record = simulate_fixed(
        lift(40 * MM, lifter(), station(chain(30 * MM), slack=4 * MM), strokes=2, gap_limit=20 * MM)
    )
    assert leaders(record) == [
        (0, "calls"),
        (3.5, "uncapturable"),  # 24 mm, and no link has come up
        (3.75, "calls"),
        (7.25, "holds"),
        (14, "calls"),  # 26 mm settled is short of 40
        (17.5, "holds"),
        (24, "raised"),
    ]
    at_work = [row for row in timetable(record, "strut") if row[1] not in ("moves", "rests")]
    assert at_work == [
        (0, "starts", 0, -4),
        (3, "nothing to capture", 20, -4),
        (6.75, "reacts", 40, -4),
        (7.75, "rehook", 40, -4),
        (13.75, "caught", 40, 26),
        (17, "reacts", 60, 26),
        (18, "rehook", 60, 26),
        (24, "caught", 60, 56),
    ]
    found = measure(record)
    assert (found["over_limit_calls"], found["stations"]["strut"]["open_time_s"]) == (1, 12)
    assert found["settled_rise_m"] == pytest.approx(56 * MM)
