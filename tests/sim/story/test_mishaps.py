"""What goes wrong on purpose, timed by hand on the worked lift of the design.

There the ram rises by 10 mm from 0.50 to 1.50 in a call at 0; its collar, turned from 0.75 at 4 mm/s, holds 3 mm at
1.50, meets the load at 3.25 and is seated at 3.75; call 2 goes out at 4.00, and the lift is raised at 7.75.
"""

import pytest

from reports.words.answer import why
from sim.model.scenario import Mishap
from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from tests.builders import (
    MM,
    WEIGHT,
    at_work,
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


def worked(*mishaps, places=(), **rest):
    """The worked lift, with these mishaps."""
    return simulate_fixed(lift(15 * MM, lifter(collar(), name="ram", catcher="hand"), *places, mishaps=mishaps, **rest))


@pytest.mark.parametrize(("after", "fell_mm"), [(0.0, 7), (1.0, 3), (1.75, 0), (2.25, 0)])
def test_the_pressure_is_lost_and_the_lifters_own_collar_stops_the_load(after, fell_mm):
    """At the end of call 1 the collar holds 3 of 10 mm; a second later 7; from 1.75 on all of it."""
    record = worked(Mishap("pressure-lost", 1, "ram", after=after))
    assert record.outcome == "dropped"
    assert leaders(record)[-2:] == [(1.5 + after, "pressure-lost"), (1.5 + after, "dropped")]
    fall = measure(record)["fall"]
    assert fall["fell_m"] == pytest.approx(fell_mm * MM, abs=1e-9)
    assert fall["stopped_at_rise_m"] == pytest.approx((10 - fell_mm) * MM)
    assert fall["energy_J"] == pytest.approx(WEIGHT * fell_mm * MM, abs=1e-9)
    assert (fall["loss"], fall["side"], fall["call"], fall["caught_by"]) == ("pressure-lost", "left", 1, "ram")


def test_the_lifter_is_lost_and_only_the_other_stations_hold():
    """The strut's collar, twice as slow, holds 1.5 mm at 1.50: 8.5 mm of fall, past the ram's collar."""
    strut = station(collar(turns=1.0))
    record = worked(Mishap("lifter-lost", 1, "ram"), places=[strut])
    fall = measure(record)["fall"]
    assert fall["fell_m"] == pytest.approx(8.5 * MM)
    assert fall["caught_by"] == "strut"
    assert timetable(record, "ram")[-1] == (1.5, "fell", 1.5, 3)
    assert list(record.events[record.events["station"] == "ram"]["open"])[-1]  # it holds nothing any more
    assert timetable(record, "strut")[-2:] == [(1.5, "falls", 10, 1.5), (1.5, "fell", 1.5, 1.5)]


def test_with_nothing_beside_a_lost_lifter_the_load_falls_to_the_start():
    """10 mm, onto nothing above the start."""
    fall = measure(worked(Mishap("lifter-lost", 1, "ram")))["fall"]
    assert (fall["fell_m"], fall["energy_J"]) == pytest.approx((10 * MM, 10))
    assert "nothing" in fall["caught_by"]


def test_a_pin_that_is_out_catches_nothing():
    """Out from 3.0 to 11.0 (swap to the hole at 10): lost at 5.0, 20 mm fall to the start, not onto the first hole."""
    pinned = station(pin(10 * MM))
    record = simulate_fixed(
        lift(15 * MM, lifter(name="ram"), pinned, strokes=2, mishaps=(Mishap("pressure-lost", 1, "ram", after=2.0),))
    )
    assert times_of(record, "swap") == [4]
    assert measure(record)["fall"]["fell_m"] == pytest.approx(20 * MM)


def test_the_side_that_falls_is_the_one_whose_lifter_is_lost():
    """Right comes down from 10 to 3 mm, left stays: 7 mm out of level at the end, half the weight fell."""
    mishaps = (Mishap("pressure-lost", 1, "right lifter"),)
    found = measure(simulate_fixed(lift(15 * MM, *two_lifters(collar()), mishaps=mishaps)))
    assert found["fall"]["side"] == "right"
    assert found["fall"]["energy_J"] == pytest.approx(0.5 * WEIGHT * 7 * MM)
    assert found["final_level_difference_m"] == pytest.approx(7 * MM)
    assert found["head_rise_m"] == pytest.approx({"left lifter": 10 * MM, "right lifter": 3 * MM})


def test_a_station_on_both_stops_a_side_about_the_other():
    """It holds 3 mm of mean at 1.50 while the left stays at 10: the right would fall to 2 x 3 - 10, below the start."""
    mishaps = (Mishap("pressure-lost", 1, "right lifter"),)
    record = simulate_fixed(lift(15 * MM, *two_lifters(), station(collar(), side="both"), mishaps=mishaps))
    assert measure(record)["fall"]["stopped_at_rise_m"] == pytest.approx(0, abs=1e-9)
    later = (Mishap("pressure-lost", 1, "right lifter", after=1.0),)  # it holds 7 of 10 mm by then: 2 x 7 - 10
    record = simulate_fixed(lift(15 * MM, *two_lifters(), station(collar(), side="both"), mishaps=later))
    assert measure(record)["fall"]["stopped_at_rise_m"] == pytest.approx(4 * MM)


def test_a_catcher_is_slow_from_the_given_call_on():
    """Twice as long in call 2: react 0.5, 2 mm/s, seat 1.0; 9 mm behind at 5.50, met at 10.0, caught at 11.0."""
    record = worked(Mishap("slow", 2, "hand", factor=2.0))
    assert timetable(record, "ram")[6:] == [
        (3.75, "caught", 10, 10),
        (4.5, "moves", 10, 10),
        (4.5, "reacts", 10, 10),
        (5, "turns", 15, 10),
        (5.5, "rests", 20, 11),
        (10, "seats", 20, 20),
        (11, "caught", 20, 20),
    ]
    assert leaders(record)[-1] == (11, "raised")


def test_a_missed_call_moves_that_side_not_at_all():
    """Call 1 missed: call 2 at the pace, and all of the worked lift two seconds later, with one call more."""
    record = worked(Mishap("missed", 1, "ram"))
    assert leaders(record) == [
        (0, "calls"), (2, "calls"), (4, "holds"), (6, "calls"), (8, "holds"), (9.75, "raised")
    ]  # fmt: skip
    assert (measure(record)["calls"], measure(record)["pumps"]) == (3, {"ram": 2})


def test_a_call_missed_by_one_of_two_moves_the_other():
    """Left misses call 1: right alone rises, and levelling brings left up if the scenario asks for it."""
    mishaps = (Mishap("missed", 1, "left lifter"),)
    record = simulate_fixed(lift(10 * MM, *two_lifters(collar()), mishaps=mishaps, level_limit=5 * MM))
    assert [what for _, what in leaders(record) if what in ("calls", "levels")] == ["calls", "levels"]
    assert measure(record)["pumps"] == {"left lifter": 1, "right lifter": 1}


def test_a_false_report_leaves_the_gap_and_the_next_call_goes_out_over_it():
    """Says caught at 1.50 with 10 mm open: uncapturable at 2.00, call 2 at 2.25; 17 mm behind at 3.75, met at 8.00."""
    record = worked(Mishap("false-caught", 1, "hand"))
    assert leaders(record) == [
        (0, "calls"), (2, "uncapturable"), (2.25, "calls"), (4.25, "holds"), (8.5, "raised")
    ]  # fmt: skip
    assert times_of(record, "says caught") == [1.5]
    found = measure(record)
    assert found["largest_standing_gap"]["gap_m"] == pytest.approx(10 * MM)
    assert found["largest_passing_gap"]["gap_m"] == pytest.approx(17 * MM)
    assert found["over_limit_calls"] == 1


def test_a_false_reporter_who_is_still_at_work_says_so_when_it_is_done():
    """A swap begun in call 1 ends in call 3, with two holes more to take: not taken, and the lift does not wait for it.

    Out from 2.00 to 8.00; calls at 0, 2 and 4 by keep-pace, the false one the third, its stop at 5.50.
    """
    pinned = station(pin(10 * MM, react=0.5, swap=6.0), catcher="hand")
    false = (Mishap("false-caught", 3, "hand"),)
    record = simulate_fixed(lift(25 * MM, lifter(), pinned, rule="keep-pace", pace=0.0, max_calls=3, mishaps=false))
    at_work = [row for row in timetable(record, "strut") if row[1] not in ("starts", "moves", "rests")]
    assert at_work == [
        (1.5, "reacts", 10, 0),
        (2, "swap", 10, 0),
        (8, "captures", 30, 10),
        (8, "says caught", 30, 10),
    ]
    assert leaders(record)[-1] == (8.25, "not-reached")  # settled 10 mm: one more call, which max_calls forbids


def slowed(call, factor, who="hand"):
    """Somebody who is slower from a call on."""
    return (Mishap("slow", call, who, factor=factor),)


def test_slow_slows_a_collar_that_is_being_turned():
    """Call 2 at 2.00: 5 mm held, from there 2 mm/s instead of 4: 8 mm at 3.50, 20 mm at 9.50, seated a second later."""
    record = worked(*slowed(2, 2.0), rule="keep-pace")
    assert at_work(record, "ram") == [
        (0.5, "reacts", 0, 0),
        (0.75, "turns", 2.5, 0),
        (2, "slows", 10, 5),
        (9.5, "seats", 20, 20),
        (10.5, "caught", 20, 20),
    ]
    assert leaders(record) == [(0, "calls"), (2, "calls"), (4, "holds"), (10.5, "raised")]
    assert measure(record)["largest_gap"]["gap_m"] == pytest.approx(12 * MM)  # at 3.50: 20 - 8


def test_slow_slows_a_seat_under_way_and_what_follows_it():
    """Seating since 3.25, half done by call 2 at 3.50: the other 0.25 s takes 0.75, and 10 mm more at 4/3 mm/s 7.50."""
    record = worked(*slowed(2, 3.0), rule="keep-pace", pace=3.5)
    assert at_work(record, "ram") == [
        (0.5, "reacts", 0, 0),
        (0.75, "turns", 2.5, 0),
        (3.25, "seats", 10, 10),
        (3.5, "slows", 10, 10),
        (4.25, "captures", 12.5, 10),
        (4.25, "reacts", 12.5, 10),
        (5, "turns", 20, 10),
        (12.5, "seats", 20, 20),
        (14, "caught", 20, 20),
    ]


def test_slow_slows_a_step_under_way():
    """A pin out since 1.75 is in at 3.75; call 2 at 2.75 finds a second left of it, which takes two: in at 4.75."""
    pinned = station(pin(10 * MM, react=0.25, swap=2.0), catcher="hand")
    keys = {"rule": "keep-pace", "pace": 2.75}
    record = simulate_fixed(lift(15 * MM, lifter(), pinned, mishaps=slowed(2, 2.0), **keys))
    assert at_work(record, "strut") == [
        (1.5, "reacts", 10, 0),
        (1.75, "swap", 10, 0),
        (2.75, "slows", 10, 0),
        (4.75, "captures", 20, 10),
        (4.75, "reacts", 20, 10),
        (5.25, "swap", 20, 10),
        (9.25, "caught", 20, 20),
    ]


def test_slow_slows_a_react_under_way():
    """Reacting since 1.50, done at 3.50 where call 2 at 2.00 finds 1.50 s of it left and doubles them: 5.00."""
    pinned = station(pin(10 * MM, react=2.0, swap=2.0), catcher="hand")
    record = simulate_fixed(lift(15 * MM, lifter(), pinned, mishaps=slowed(2, 2.0), rule="keep-pace"))
    assert at_work(record, "strut") == [
        (1.5, "reacts", 10, 0),
        (2, "slows", 10, 0),
        (5, "swap", 20, 0),
        (9, "caught", 20, 20),
    ]


def test_slow_slows_a_walk_under_way():
    """From a to b since 4.50, there at 7.50; half way at call 2, 6.00, and the other half takes twice its 1.50 s."""
    hand = {"catcher": "hand"}
    a, b = (station(pin(10 * MM, react=1.0, swap=2.0), name=name, **hand) for name in "ab")
    keys = {"rule": "keep-pace", "pace": 6.0, "walk": {"hand": 3.0}}
    record = simulate_fixed(lift(15 * MM, lifter(), a, b, mishaps=slowed(2, 2.0), **keys))
    assert at_work(record, "b")[:5] == [
        (4.5, "walks", 10, 0),
        (6, "slows", 10, 0),
        (9, "reacts", 20, 0),
        (11, "swap", 20, 0),
        (15, "caught", 20, 20),
    ]


def test_slow_slows_nobody_else_and_nothing_that_is_done():
    """The hand at the ram is slow from call 2 on; whoever turns the strut's collar is as before, and call 1 is too."""
    strut = station(collar(), catcher="other")
    as_before = worked(places=[strut], rule="keep-pace")
    record = worked(*slowed(2, 2.0), places=[strut], rule="keep-pace")
    assert timetable(record, "strut") == timetable(as_before, "strut")
    own, before = (timetable(r, "ram") for r in (record, as_before))
    assert [row for row in own if row[0] < 2] == [row for row in before if row[0] < 2]
    assert not times_of(worked(*slowed(2, 2.0)), "slows")  # call 2 at 4.00 finds the collar caught: nothing under way


@pytest.mark.parametrize("after", [0.0, 1.0])
def test_a_stop_freezes_everyone_and_all_goes_on_as_it_was(after):
    """20 s during which nothing turns: everything later is 20 s later, and no gap is larger."""
    record = worked(Mishap("stop", 1, after=after, time=20.0))
    assert leaders(record)[0] == (0, "calls")
    assert leaders(record)[-3:] == [(24, "calls"), (26, "holds"), (27.75, "raised")]
    assert times_of(record, "freezes", "leader") == [1.5 + after]
    rows = [row for row in timetable(record, "ram") if row[1] in ("freezes", "resumes")]
    held = 3 + 4 * after
    assert rows == [(1.5 + after, "freezes", 10, held), (21.5 + after, "resumes", 10, held)]
    found = measure(record)
    assert found["largest_gap"]["gap_m"] == pytest.approx(7 * MM)
    assert found["hold_time_s"] == (2 if after == 0 else 22)


def test_the_end_of_a_call_is_the_last_sides_stop():
    """Left stops at 1.50, right, who reacts a second later, at 2.50: there stop is called, left at 7 of its 10 mm."""
    late = {"operator": operator(react=1.5)}
    stop = (Mishap("stop", 1, time=5.0),)
    record = simulate_fixed(lift(10 * MM, *two_lifters(collar(), right=late), mishaps=stop))
    assert times_of(record, "freezes", "leader") == [2.5]
    assert ([row for row in timetable(record, "left lifter") if row[1] == "freezes"]) == [(2.5, "freezes", 10, 7)]
    assert leaders(record)[-1] == (5 + 4.75, "raised")  # 7 mm behind at 2.50, met 4.25, seated 4.75


def test_a_lifter_lost_in_a_call_that_is_missed_by_all_falls_from_where_it_was():
    """A call that nobody answers ends as it goes out: lost at 4.00, when call 2 is missed."""
    record = worked(Mishap("missed", 2, "ram"), Mishap("lifter-lost", 2, "ram"))
    assert leaders(record)[-2:] == [(4, "lifter-lost"), (4, "dropped")]
    assert measure(record)["fall"]["fell_m"] == pytest.approx(10 * MM)


def test_a_loss_while_the_last_is_being_caught_still_drops_the_load() -> None:
    """No travel is left for a third call at 4.0, so the lift has ended; at 4.5, the collar still turning, it falls."""
    lost = Mishap("pressure-lost", 2, "left lifter", after=1.0)
    slow = lifter(collar(turns=0.5), travel=20 * MM)
    record = simulate_fixed(lift(60 * MM, slow, mishaps=(lost,), rule="keep-pace"))
    assert record.outcome == "dropped" and "pressure lost" in record.reason
    assert leaders(record) == [(0.0, "calls"), (2.0, "calls"), (4.5, "pressure-lost"), (4.5, "dropped")]


def test_a_mishap_that_never_came_is_said() -> None:
    """Its call was not made, or the lift was over before it was due; one that came is not named."""
    late = Mishap("pressure-lost", 2, "ram", after=3600.0)
    record = worked(Mishap("missed", 40, "ram"), late, Mishap("slow", 1, "hand", factor=2.0))
    summary = measure(record)
    calls = summary["calls"]
    assert summary["mishaps_that_never_came"] == [
        {"kind": "missed", "who": "ram", "call": 40},
        {"kind": "pressure-lost", "who": "ram", "call": 2},
    ]
    said = why(summary)
    assert f"The mishap at call 40 never came: the lift ended after {calls} calls." in said
    assert "The mishap at call 2 never came: the lift was over before it was due." in said
    assert why(measure(worked())) == ""


def test_a_loss_that_came_is_not_said_to_be_missing() -> None:
    """What would have come after it is."""
    summary = measure(worked(Mishap("pressure-lost", 1, "ram"), Mishap("missed", 2, "ram")))
    assert [each["call"] for each in summary["mishaps_that_never_came"]] == [2]
    assert why(summary) == "The mishap at call 2 never came: the lift ended after 1 call."
