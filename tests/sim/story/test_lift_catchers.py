"""When catchers react, start, go on and change station, timed by hand from part 3 of the design.

Timetables are (time [s], what, demand [mm], captured [mm]). The lifter gives 10 mm from 0.50 to 1.50 in a call at 0.
"""

from dataclasses import replace

import pytest

from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from tests.builders import MM, at_work, collar, crib, leaders, lift, lifter, pin, station, strap, times_of, timetable


def test_work_that_is_not_a_collars_never_starts_while_the_side_moves():
    """1.25 s after each stop the side is moving again (calls at 0, 2, 4): the pin is left alone until the last stop."""
    record = simulate_fixed(lift(25 * MM, lifter(), station(pin(10 * MM, react=1.25)), rule="keep-pace", pace=0.0))
    assert times_of(record, "reacts", "strut pin") == [1.5, 3.5, 5.5]
    assert times_of(record, "swap") == [6.75]
    assert leaders(record)[-1] == (14.75, "raised")


def test_work_whose_react_ends_as_the_side_begins_to_move_does_start():
    """1.00 s after the stop, at the very instant of the next stroke: the swap goes to the hole seen then, 10 mm."""
    pinned = station(pin(10 * MM, react=1.0, swap=0.25))
    assert at_work(lift(25 * MM, lifter(), pinned, rule="keep-pace", pace=0.0), "strut") == [
        (1.5, "reacts", 10, 0),
        (2.5, "swap", 10, 0),
        (2.75, "captures", 12.5, 10),
        (3.5, "reacts", 20, 10),
        (4.5, "swap", 20, 10),
        (4.75, "captures", 22.5, 20),
        (5.5, "reacts", 30, 20),
        (6.5, "swap", 30, 20),
        (6.75, "caught", 30, 30),
    ]


def test_work_once_begun_goes_where_it_was_to_go_though_the_load_moves_on():
    """A swap from 2.00 to 5.00 sets the pin at the hole of 2.00, though two holes more are up by then."""
    pinned = station(pin(10 * MM, react=0.5, swap=3.0))
    assert at_work(lift(25 * MM, lifter(), pinned, rule="keep-pace", pace=0.0), "strut") == [
        (1.5, "reacts", 10, 0),
        (2, "swap", 10, 0),
        (5, "captures", 25, 10),
        (5.5, "reacts", 30, 10),
        (6, "swap", 30, 10),
        (9, "caught", 30, 30),
    ]


def test_a_collar_that_chases_after_turns_once_it_has_reacted_though_the_side_moves_again():
    """React from 1.50 to 2.75, the side moving since 2.50; 17 mm behind at 3.50, met 4.25 s later."""
    chasing = lifter(collar(react=1.25, chases="after"), name="ram")
    assert at_work(lift(15 * MM, chasing, rule="keep-pace", pace=0.0), "ram") == [
        (1.5, "reacts", 10, 0),
        (2.75, "turns", 12.5, 0),
        (7.75, "seats", 20, 20),
        (8.25, "caught", 20, 20),
    ]


def test_a_collar_is_seated_to_the_end_then_goes_after_the_load_again():
    """20 mm/s: met at 1.00, seating 1.50 to 3.00; the side moves from 2.50, so react 0.25 and after it."""
    record = simulate_fixed(lift(15 * MM, lifter(collar(seat=1.5, turns=10.0), name="ram")))
    assert timetable(record, "ram")[1:] == [
        (0.5, "moves", 0, 0),
        (0.5, "reacts", 0, 0),
        (0.75, "turns", 2.5, 0),
        (1, "meets", 5, 5),
        (1.5, "rests", 10, 10),
        (1.5, "seats", 10, 10),
        (2.5, "moves", 10, 10),
        (3, "captures", 15, 10),
        (3, "reacts", 15, 10),
        (3.25, "turns", 17.5, 10),
        (3.5, "rests", 20, 15),
        (3.75, "seats", 20, 20),
        (5.25, "caught", 20, 20),
    ]
    assert measure(record)["largest_gap"]["gap_m"] == pytest.approx(7.5 * MM)


def test_a_collar_slower_than_the_load_falls_behind_evenly():
    """4 mm/s after 10 mm/s: 6 mm more with each second of stroke, and no meeting before the stop."""
    assert timetable(lift(5 * MM, lifter(collar(react=0), name="ram")), "ram")[1:5] == [
        (0.5, "moves", 0, 0),
        (0.5, "reacts", 0, 0),
        (0.5, "turns", 0, 0),
        (1.5, "rests", 10, 4),
    ]


def test_a_collar_that_never_turned_needs_no_seat_and_its_catcher_reacts_anew():
    """Take-up raises nothing in call 1, over before the catcher has reacted: caught at the stop.

    Moving again at 2.50, the side is reacted to from there, not from 0.50: 2.5 s on is 5.00, 10 mm take 2.5 s more.
    """
    record = simulate_fixed(lift(10 * MM, lifter(collar(react=2.5), name="ram"), take_up=10 * MM))
    assert timetable(record, "ram")[1:] == [
        (0.5, "moves", 0, 0),
        (0.5, "reacts", 0, 0),
        (1.5, "rests", 0, 0),
        (1.5, "nothing to capture", 0, 0),
        (2.5, "moves", 0, 0),
        (2.5, "reacts", 0, 0),
        (3.5, "rests", 10, 0),
        (5, "turns", 10, 0),
        (7.5, "seats", 10, 10),
        (8, "caught", 10, 10),
    ]


# --- one catcher, two stations


def both(first, second, need=15 * MM, seconds=3.0, **rest):
    """Two stations of one person, three seconds apart."""
    a = station(first, name="a", catcher="rear hand")
    b = station(second, name="b", catcher="rear hand", slack=rest.pop("slack", 0.0))
    return lift(need, lifter(), a, b, walk={"rear hand": seconds}, **rest)


def test_one_person_walks_from_station_to_station_and_reacts_there():
    """No walk to the first; equal gaps go by the order of the file, also when the person stands at the other."""
    scenario = both(collar(chases="after"), collar(chases="after"))
    assert at_work(scenario, "a") == [
        (1.5, "reacts", 10, 0),
        (1.75, "turns", 10, 0),
        (4.25, "seats", 10, 10),
        (4.75, "caught", 10, 10),
        (12.75, "walks", 20, 10),
        (15.75, "reacts", 20, 10),
        (16, "turns", 20, 10),
        (18.5, "seats", 20, 20),
        (19, "caught", 20, 20),
    ]
    assert at_work(scenario, "b") == [
        (4.75, "walks", 10, 0),
        (7.75, "reacts", 10, 0),
        (8, "turns", 10, 0),
        (10.5, "seats", 10, 10),
        (11, "caught", 10, 10),
        (19, "walks", 20, 10),
        (22, "reacts", 20, 10),
        (22.25, "turns", 20, 10),
        (24.75, "seats", 20, 20),
        (25.25, "caught", 20, 20),
    ]
    assert leaders(simulate_fixed(scenario)) == [
        (0, "calls"), (2, "holds"), (11.25, "calls"), (13.25, "holds"), (25.25, "raised")
    ]  # fmt: skip


def test_the_widest_gap_is_served_first():
    """2 mm of slack make b's gap the wider: b from 1.50, then a."""
    scenario = both(pin(10 * MM, swap=2.0), pin(10 * MM, swap=2.0), need=8 * MM, slack=2 * MM, gap_limit=2 * MM)
    assert at_work(scenario, "b") == [(1.5, "reacts", 10, -2), (2.5, "swap", 10, -2), (4.5, "caught", 10, 8)]
    assert at_work(scenario, "a") == [
        (4.5, "walks", 10, 0), (7.5, "reacts", 10, 0), (8.5, "swap", 10, 0), (10.5, "caught", 10, 10)
    ]  # fmt: skip


def test_whoever_arrives_while_the_side_moves_chooses_again_at_the_next_stop():
    """At b, reacted at 6.50, the side moving since 6.00: at 7.00 b has 20 mm of gap, a 10. No walk to where one is."""
    pinned = pin(10 * MM, swap=1.0, react=0.5)
    scenario = both(pinned, pinned, need=20 * MM, rule="keep-pace", pace=5.5)
    assert at_work(scenario, "b") == [
        (3, "walks", 10, 0),
        (6, "reacts", 10, 0),
        (7, "reacts", 20, 0),
        (7.5, "swap", 20, 0),
        (8.5, "caught", 20, 20),
    ]
    assert at_work(scenario, "a")[-4:] == [
        (8.5, "walks", 20, 10), (11.5, "reacts", 20, 10), (12, "swap", 20, 10), (13, "caught", 20, 20)
    ]  # fmt: skip


def test_work_that_is_ready_to_start_does_so_before_the_load_moves_again():
    """One person, two pins: the second's react ends at 2.50 as the side begins to move, and that swap does start."""
    scenario = lift(
        15 * MM,
        lifter(),
        station(pin(10 * MM, react=0.25, swap=0.5), pin(10 * MM, react=0.25, swap=0.5), catcher="rear hand"),
        rule="keep-pace",
        pace=0.0,
    )
    assert [row[0] for row in at_work(scenario, "strut") if row[1] == "swap"] == [1.75, 2.5, 3.75, 4.5]


# --- several devices at one station


def test_a_pin_with_cribbing_beside_it_is_never_open():
    """What counts is the best device that is not open: the crib's 20 mm while the pin is out, then 25, 38 and 40.

    From 0.50, when the load moves, to 14.00, when the pile is 19 mm high, nothing but the ram holds it.
    """
    pinned_and_cribbed = station(pin(25 * MM), crib(19 * MM, wedge=25 * MM))
    record = simulate_fixed(lift(40 * MM, lifter(), pinned_and_cribbed, strokes=2, gap_limit=10 * MM))
    assert [row for row in timetable(record, "strut") if row[1] not in ("moves", "rests")] == [
        (0, "starts", 0, 0),
        (3, "nothing to capture", 20, 0),  # the pin
        (3, "reacts", 20, 0),
        (4, "place", 20, 0),
        (14, "drive", 20, 19),
        (20, "caught", 20, 20),
        (23.25, "reacts", 40, 20),
        (23.25, "reacts", 40, 20),
        (24.25, "swap", 40, 20),
        (24.25, "place", 40, 20),
        (32.25, "caught", 40, 25),  # the pin
        (34.25, "drive", 40, 38),
        (40.25, "caught", 40, 40),
    ]
    found = measure(record)
    assert (found["stations"]["strut"]["open_time_s"], found["ram_only_s"]) == (0, 13.5)
    assert leaders(record) == [(0, "calls"), (3.5, "holds"), (20.25, "calls"), (23.75, "holds"), (40.25, "raised")]


def test_while_the_better_device_is_out_the_other_is_what_holds():
    """Call 2 at 2.50 (pin in at 2.25, look 0.25), stop at 4.00: from 4.25 strap's 6 mm hold, not the pin's 10."""
    pinned_and_strapped = station(pin(10 * MM, react=0.25, swap=0.5), strap(6 * MM, reach=6 * MM, react=0.0))
    scenario = lift(20 * MM, lifter(), pinned_and_strapped, gap_limit=10 * MM, pace=0.0)
    assert [row for row in timetable(scenario, "strut") if row[1] == "swap"] == [
        (1.75, "swap", 10, 0),
        (4.25, "swap", 20, 6),
    ]


def test_one_person_at_one_station_sees_to_one_device_after_the_other():
    """Pin and crib of one catcher: the crib's gap is the wider, then the pin; no walk within a station."""
    scenario = lift(
        10 * MM,
        lifter(),
        station(pin(10 * MM, swap=2.0), crib(4 * MM, place=3.0), catcher="rear hand"),
        walk={"rear hand": 30.0},
    )
    # gaps are equal at 10 mm: the pin first, in the order of the file; two pieces of 4 mm after it
    assert at_work(scenario, "strut") == [
        (1.5, "reacts", 10, 0),
        (2.5, "swap", 10, 0),
        (4.5, "caught", 10, 10),
        (4.5, "reacts", 10, 10),
        (5.5, "place", 10, 10),
        (8.5, "place", 10, 10),
        (11.5, "caught", 10, 10),
    ]


def test_a_shared_person_goes_to_the_place_with_the_widest_gap_not_to_what_is_furthest_behind():
    """At 1.5 s, 10 mm up, both pins are 10 mm behind; at a another's collar, turned from 0.75 s on, holds 3 of them."""
    a = replace(station(collar(), pin(10 * MM, swap=2.0), name="a"), catchers=("another", "rear hand"))
    b = station(pin(10 * MM, swap=2.0), name="b", catcher="rear hand")
    scenario = lift(10 * MM, lifter(), a, b, walk={"rear hand": 3.0})
    assert at_work(scenario, "b") == [(1.5, "reacts", 10, 0), (2.5, "swap", 10, 0), (4.5, "caught", 10, 10)]
