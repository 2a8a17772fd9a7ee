"""Where a load comes to rest: the highest of what holds it, about the other side, and the mean of both."""

import numpy as np

from sim.model.stops import about_the_other, highest, settled, settled_mean


def test_the_stop_is_the_highest_of_what_holds_and_never_below_the_start():
    """None, some, and one that is slack."""
    assert highest([]) == 0
    assert highest([0.01, 0.03, 0.02]) == 0.03
    assert highest([-0.01]) == 0


def test_a_load_on_both_sides_station_turns_about_the_side_that_stays():
    """Mean 6, the other at 10: this one at 2. With no other side, the mean is its own."""
    assert about_the_other(6.0, 10.0) == 2
    assert about_the_other(6.0, None) == 6


def test_settled_is_the_mean_of_the_sides_or_what_a_station_on_both_holds():
    """4 and 8: 6; with a station on both at 5 still 6, at 7 it is 7; never below the start."""
    assert settled_mean([4.0, 8.0], []) == 6
    assert settled_mean([4.0, 8.0], [5.0]) == 6
    assert settled_mean([4.0, 8.0], [5.0, 7.0]) == 7
    assert settled_mean([0.0], [-1.0]) == 0


def test_floats_and_arrays_agree():
    """At each of three instants."""
    a, b, c = np.array([1.0, 5.0, 3.0]), np.array([4.0, 2.0, 3.0]), np.array([-1.0, 6.0, 9.0])
    rows = list(zip(a.tolist(), b.tolist(), c.tolist(), strict=True))
    assert list(highest([a, b, c])) == [highest(row) for row in rows]
    assert list(about_the_other(a, b)) == [about_the_other(x, y) for x, y, _ in rows]
    assert list(settled_mean([a, b], [c])) == [settled_mean([x, y], [z]) for x, y, z in rows]


def test_a_load_settles_by_the_same_u_until_each_side_meets_its_own_stop() -> None:
    """Worked by hand, of one lift and of several at once: down 7 and then the other alone, or until the mean is met."""
    us, stops = np.array([20.0, 10.0]), np.array([0.0, 3.0])
    assert settled(us, stops, []).tolist() == [0.0, 3.0]
    assert settled(us, stops, [12.0]).tolist() == [17.0, 7.0]  # mean 15 to 12: 3 each
    assert settled(us, stops, [5.0]).tolist() == [7.0, 3.0]  # 7 each, and 6 more of the left
    assert settled(us, stops, [99.0]).tolist() == [20.0, 10.0]  # nothing rises
    assert settled(np.array([20.0]), np.array([4.0]), []).tolist() == [4.0]
    many = settled(np.array([[20.0, 20.0], [10.0, 10.0]]), np.array([[0.0, 0.0], [3.0, 3.0]]), [np.array([12.0, 5.0])])
    assert many.tolist() == [[17.0, 7.0], [7.0, 3.0]]
