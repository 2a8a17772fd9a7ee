"""The record as lines through time: even between two rows, with a jump at a row where there is one."""

from dataclasses import FrozenInstanceError

import numpy as np
import pytest

from sim.record.series import Series, over, place_series, side_series, total_length
from sim.story.lift import simulate_fixed
from tests.builders import MM, by_hand, collar, lift, lifter

# 0 to 10 over two seconds, down to 4 at once, 4 to 6 over the next two, and two rows at 4 s: to 7, to 5
LINE = Series(np.array([0.0, 2, 4, 4]), np.array([0.0, 10, 6, 7]), np.array([0.0, 4, 7, 5]))


def at(*times):
    """As the functions want them."""
    return np.array(times, dtype=float)


def test_between_two_rows_it_runs_evenly():
    """5 halfway up, 5 halfway along."""
    assert LINE.just_after(at(1, 3)) == pytest.approx([5, 5])
    assert LINE.just_before(at(1, 3)) == pytest.approx([5, 5])


def test_at_a_row_before_and_after_differ():
    """10 and 4 at 2 s; of several rows at one time, the first's before and the last's after."""
    assert LINE.just_before(at(0, 2, 4)) == pytest.approx([0, 10, 6])
    assert LINE.just_after(at(0, 2, 4)) == pytest.approx([0, 4, 5])


def test_beyond_the_ends_it_stays_as_it_is_there():
    """Before the first row and after the last."""
    assert LINE.just_before(at(-1, 9)) == pytest.approx([0, 5])
    assert LINE.just_after(at(-1, 9)) == pytest.approx([0, 5])


def test_a_line_may_jump_at_its_first_row_and_run_to_its_last():
    """From 2 to 4 at 1 s, up to 8 at 3 s, and down to 6; before that, as just after the first row."""
    line = Series(at(1, 3), at(2, 8), at(4, 6))
    assert line.just_before(at(1, 2, 3, 4)) == pytest.approx([2, 6, 8, 6])
    assert line.just_after(at(0.5, 1, 2, 3, 4)) == pytest.approx([4, 4, 6, 6, 6])


def test_a_series_is_never_changed():
    """Several measures read the same one."""
    with pytest.raises(FrozenInstanceError):
        LINE.time = LINE.before
    with pytest.raises(FrozenInstanceError):
        place_series(by_hand(ONE, HELD).columns)["strut"].name = "another"


def test_when_a_line_is_over_a_limit():
    """Over 5: from 1 to 2 s, and from 3 to 4; where the rows are marked, and from a time on."""
    everywhere = np.array([True, True, True, True])
    assert over(LINE, everywhere, 5.0, 0.0) == [(1, 2), (3, 4)]
    assert over(LINE, everywhere, 5.0, 1.5) == [(1.5, 2), (3, 4)]
    assert over(LINE, everywhere, 5.0, 2.5) == [(3, 4)]
    assert over(LINE, np.array([False, True, True, True]), 5.0, 0.0) == [(3, 4)]
    assert over(LINE, everywhere, 10.0, 0.0) == []


def test_a_line_that_falls_is_over_until_it_crosses():
    """From 8 to 2 in 3 s: over 4 for two."""
    falling = Series(at(0, 3), at(8, 2), at(8, 2))
    ((begin, end),) = over(falling, np.array([True, True]), 4.0, 0.0)
    assert (begin, end) == pytest.approx((0, 2))
    assert over(Series(at(0, 3), at(5, 3.5), at(5, 3.5)), np.array([True, True]), 4.0, 0.0) == [(0, 2)]


def test_a_line_at_the_limit_is_not_over_it():
    """All the time, at the start or at the end; nor is one that is nearer than a nanometre. Nothing is divided by 0."""
    marked = np.array([True, True])
    with np.errstate(all="raise"):
        for level in (4, 4 + 5e-10):
            assert over(Series(at(0, 3), at(level, level), at(level, level)), marked, 4.0, 0.0) == []
            assert over(Series(at(0, 3), at(level, 7), at(level, 7)), marked, 4.0, 0.0) == [(0, 3)]
            assert over(Series(at(0, 3), at(7, level), at(7, level)), marked, 4.0, 0.0) == [(0, 3)]
        assert over(Series(at(0, 3), at(5, 5), at(5, 5)), marked, 4.0, 0.0) == [(0, 3)]


def test_the_length_of_several_stretches_counts_what_overlaps_once():
    """0 to 3 and 2 to 4 are four seconds; one within another adds nothing; none are 0."""
    assert total_length([(2, 4), (0, 3)]) == 4
    assert total_length([(0, 9), (2, 4), (10, 11)]) == 10
    assert total_length([]) == 0
    assert total_length([(-3, -1)]) == 2


ONE = lift(15 * MM, lifter(collar(), name="ram"))
HELD = [  # the strut is out from 1 to 3 s, and caught from then on; the other is named after it
    {"time_s": float(time), "station": name, "demand_m": 0.01, "captured_before_m": 0.0, "captured_m": held}
    | {"gap_m": 0.01 - held, "open": out, "hands": out, "caught": caught}
    for time, name, held, out, caught in (
        (0, "strut", 0.0, False, False), (0, "a crib", 0.0, False, True), (1, "strut", 0.0, True, False),
        (3, "strut", 0.01, False, True), (4, "a crib", 0.0, False, True),
    )
]  # fmt: skip


def test_a_flag_holds_from_its_row_to_the_next_and_the_last_to_the_end():
    """Before the first row as there; places come in the order in which the record names them."""
    places = place_series(by_hand(ONE, HELD).columns)
    assert list(places) == ["strut", "a crib"]
    strut = places["strut"]
    assert list(strut.time) == [0, 1, 3, 4]
    assert (list(strut.open), list(strut.caught)) == ([False, True, False, False], [False, False, True, True])
    assert list(strut.flag_after(strut.caught, at(-1, 0, 2, 3, 9))) == [False, False, False, True, True]
    assert list(strut.flag_before(strut.caught, at(0, 3, 3.5, 9))) == [False, False, True, True]


def test_places_and_sides_are_found_in_a_record():
    """The worked lift: the collar's gap at 1.00 s, between two rows, and the ram's rise."""
    columns = simulate_fixed(ONE).columns
    place = place_series(columns)["ram"]
    assert place.gap().just_after(at(1.0)) / MM == pytest.approx([5 - 1])
    assert place.demand.just_after(at(1.0)) / MM == pytest.approx([5])
    assert list(place.flag_after(place.caught, at(0.0, 0.5, 3.75))) == [True, False, True]
    assert list(place.flag_before(place.caught, at(0.5, 3.75, 4.0))) == [True, False, True]
    assert side_series(columns)["ram"].just_after(at(1.0)) / MM == pytest.approx([5])
    assert side_series(columns, columns.ram_travel_m)["ram"].just_after(at(9.0)) / MM == pytest.approx([20])
