"""What would stop a side, worked by hand: which place, and where, before and after each instant.

A straight lift with every line upright, so that a place that has captured 10 mm would stop its side at 10 mm.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from sim.model.motion import motion_of
from sim.model.scenario import Load
from sim.record.holding import Holding, Look, Side, interleave, stops_at
from sim.record.series import PlaceSeries, Series
from tests.builders import MM, station

MOTION = motion_of(Load(1000.0, "straight", (0.0, 0.0, 1.0)))


def line(*rows: tuple[float, ...]) -> Series:
    """Rows of time, value; or of time, value just before, value just after, where it jumps."""
    time, before, after = zip(*((row[0], row[1], row[-1]) for row in rows), strict=True)
    return Series(at(*time), np.array(before) * MM, np.array(after) * MM)


def holds(*rows: tuple[float, ...], out: tuple[int, ...] = (), side: Any = "left") -> Holding:
    """A place that holds so much; `out`: after which of its rows, counted from 0, it is open."""
    where, captured = station(side=side), line(*rows)
    is_open = np.isin(np.arange(len(rows)), out)
    place = PlaceSeries(where.name, captured.time, captured, captured, is_open, ~is_open, is_open, 0 * is_open)
    return Holding(where, place, MOTION.line(where.head, where.base))


def mm(values: Any) -> list[float]:
    """Lengths [m] in mm."""
    return [round(value / MM, 6) + 0.0 for value in values.tolist()]


def at(*times: float) -> Any:
    """Instants."""
    return np.array(times, dtype=np.float64)


def stopped(
    side: Series, *places: Holding, once: Any, other: Series | None = None
) -> list[tuple[float, float, float, int]]:
    """When, where the side is, where it would be stopped, and by which place (-1: by nothing above the start)."""
    found, (own,) = stops_at(Side(side, other, places), once, [Look(tuple(range(len(places))), 0)])
    assert own.tolist() == found.times[::2].tolist()
    stop, who = found.first()
    return list(zip(found.times.round(6).tolist(), mm(found.u), mm(stop), who.tolist(), strict=True))


# --- one place


def test_a_pin_drawn_at_an_instant_still_holds_before_it_and_one_put_in_does_not_yet() -> None:
    """It holds 10 mm, is out from 2 to 5 s, and holds 20 from then on."""
    pin = holds((0, 10), (2, 10), (5, 10, 20), (9, 20), out=(1,))
    assert mm(pin.stops(at(2, 5), np.full(4, 25 * MM), None)) == [10, 0, 0, 20]


def test_what_is_open_holds_nothing_whatever_it_held() -> None:
    """Between the two instants as well: out at 3 s, though it held 10 mm until 2."""
    pin = holds((0, 10), (2, 10), (5, 10, 20), (9, 20), out=(1,))
    assert mm(pin.stops(at(1, 3, 6), np.full(6, 25 * MM), None)) == [10, 10, 0, 0, 20, 20]


def test_a_piece_holds_more_only_once_it_is_in() -> None:
    """10 mm before 4 s, 19 after, never open."""
    crib = holds((0, 10), (4, 10, 19), (9, 19))
    assert mm(crib.stops(at(4), np.full(2, 25 * MM), None)) == [10, 19]


def test_a_collar_holds_evenly_more_between_two_rows() -> None:
    """From 0 at 1 s to 8 mm at 3 s: 2 mm at 1.5 s, 6 at 2.5."""
    collar = holds((1, 0), (3, 8))
    assert mm(collar.stops(at(1.5, 2.5), np.full(4, 25 * MM), None)) == [2, 2, 6, 6]


def test_a_place_that_is_behind_its_start_would_stop_nothing_above_the_start() -> None:
    """5 mm of slack: not 5 mm below the start, where the load cannot go."""
    assert mm(holds((0, -5), (9, -5)).stops(at(4), np.full(2, 25 * MM), None)) == [0, 0]


def test_a_side_is_stopped_no_higher_than_it_is() -> None:
    """A place may hold more than the side has left of its rise: 12 mm, and the side is at 7, then at 12.5."""
    assert mm(holds((0, 12), (9, 12)).stops(at(4), np.array([7, 12.5]) * MM, None)) == [7, 12]


def test_a_place_on_both_sides_stops_one_about_the_other() -> None:
    """It holds the mean at 18 mm and the other side stays at 20, then at 22: 2 x 18 less that is 16, then 14."""
    both = holds((0, 18), (9, 18), side="both")
    assert mm(both.stops(at(4), np.full(2, 25 * MM), np.array([20, 22]) * MM)) == [16, 14]


# --- when a place begins to hold


def test_a_place_begins_to_hold_when_its_slack_is_taken_up() -> None:
    """From -5 mm at 1 s to 15 at 5 s, 5 mm/s: nothing is left of the slack at 2 s."""
    assert holds((0, -5), (1, -5), (5, 15), (9, 15)).begins().tolist() == pytest.approx([2])


@pytest.mark.parametrize(
    "rows",
    [
        ((0, -5), (4, -5, 10), (9, 10)),  # one click takes all of it up at once: that is an event of its own
        ((0, -5), (4, 0), (9, 0)),  # no more than taken up
        ((0, 0), (4, 10), (9, 10)),  # no slack
        ((0, -5), (4, -1), (9, -1)),  # not all of it
    ],
)
def test_it_begins_between_two_events_only_if_it_passes_its_start_there(rows: Any) -> None:
    """At an event that instant is looked at anyway."""
    assert holds(*rows).begins().tolist() == []


# --- several places


def test_the_place_that_holds_the_most_stops_a_side_the_first_of_those_that_hold_the_same() -> None:
    """8 and 10 mm: the second one; 10 and 10: the first one."""
    side = line((0, 25), (9, 25))
    low, high = holds((0, 8), (9, 8)), holds((0, 10), (9, 10))
    assert stopped(side, low, high, once=at(4)) == [(4, 25, 10, 1)] * 2
    assert stopped(side, high, holds((0, 10), (9, 10)), once=at(4)) == [(4, 25, 10, 0)] * 2


def test_with_nothing_that_holds_a_side_would_come_down_to_its_start() -> None:
    """No place, or one that holds no more than the start."""
    side = line((0, 0), (5, 25))
    assert stopped(side, once=at(0, 5)) == [(0, 0, 0, -1), (0, 0, 0, -1), (5, 25, 0, -1), (5, 25, 0, -1)]
    assert stopped(side, holds((0, 0), (9, 0)), once=at(5)) == [(5, 25, 0, -1)] * 2


def test_a_pin_that_is_out_leaves_it_to_the_crib_beside_it() -> None:
    """The pin holds 10 mm until it is drawn at 2 s, and 20 from 5 s on; the crib 6 mm all the time."""
    pin = holds((0, 10), (2, 10), (5, 10, 20), (9, 20), out=(1,))
    crib = holds((0, 6), (9, 6))
    side = line((0, 25), (9, 25))
    assert stopped(side, pin, crib, once=at(2, 5)) == [(2, 25, 10, 0), (2, 25, 6, 1), (5, 25, 6, 1), (5, 25, 20, 0)]


def test_where_one_place_takes_over_from_another_that_instant_is_looked_at_too() -> None:
    """A crib at 5 mm; a collar from 0 to 20 mm in 4 s passes it at 1 s. Not looked for: only what was asked."""
    crib, collar, side = holds((0, 5), (4, 5)), holds((0, 0), (4, 20)), line((0, 30), (4, 30))
    assert stopped(side, crib, collar, once=at(0, 4)) == [
        (0, 30, 5, 0), (0, 30, 5, 0), (1, 30, 5, 0), (1, 30, 5, 0), (4, 30, 20, 1), (4, 30, 20, 1)
    ]  # fmt: skip


def test_of_three_places_each_takes_over_in_its_turn() -> None:
    """10 mm; 5 mm/s from 0; 10 mm/s from 1.5 s on (15 mm of slack): the second one from 2 s, the third from 3 s."""
    # at 2.5 s the third has come to the first one's 10 mm, but the second is at 12.5 by then
    places = holds((0, 10), (4, 10)), holds((0, 0), (4, 20)), holds((0, -15), (4, 25))
    found = stopped(line((0, 30), (4, 30)), *places, once=at(0, 4))
    assert {time: stop for time, _, stop, _ in found} == {0: 10, 1.5: 10, 2: 10, 2.5: 12.5, 3: 15, 4: 25}
    assert [who for time, _, _, who in found if time in (1.5, 2.5, 4)] == [0, 0, 1, 1, 2, 2]


def test_the_drop_is_looked_at_just_where_a_slack_collar_begins_to_hold() -> None:
    """The side rises by 4 mm/s from 0, the collar by 5 mm/s from -5: at 1 s, 4 mm up, nothing holds yet.

    From there on it gains 1 mm/s on the load: the 4 mm are the largest drop, and no event is there.
    """
    side, collar = line((0, 0), (4, 16)), holds((0, -5), (4, 15))
    found = stopped(side, collar, once=at(0, 4))
    assert found == [(0, 0, 0, -1), (0, 0, 0, -1), (1, 4, 0, -1), (1, 4, 0, -1), (4, 16, 15, 0), (4, 16, 15, 0)]
    assert stopped(side, collar, once=at(2, 4))[0] == (2, 8, 5, 0)  # it began before what was asked


def test_a_takeover_within_a_microsecond_of_an_event_is_that_event() -> None:
    """The collar, at 5 mm/s, is at the crib's 10 mm half a microsecond after 0 s: no instant of its own."""
    crib, collar = holds((0, 10), (4, 10)), holds((0, 10 - 2.5e-6), (4, 30 - 2.5e-6))
    assert [row[0] for row in stopped(line((0, 40), (4, 40)), crib, collar, once=at(0, 4))] == [0, 0, 4, 4]


def test_the_other_side_turns_what_a_place_on_both_holds() -> None:
    """It holds the mean at 18 mm; the other side goes from 20 to 24 mm in 4 s: this one would stop at 16, then 12."""
    mine, other = line((0, 25), (4, 25)), line((0, 20), (4, 24))
    found = stopped(mine, holds((0, 18), (9, 18), side="both"), once=at(0, 2, 4), other=other)
    assert [stop for _, _, stop, _ in found] == [16, 16, 14, 14, 12, 12]


def test_each_look_has_the_instants_that_matter_to_it_and_no_others() -> None:
    """A collar from 1 to 21 mm in 4 s passes a crib at 2 mm after 0.2 s, and one at 5 mm after 0.8 s.

    With the crib at 5 mm it takes over at 0.8 s, and the crib becomes the second; with the other one alone at 0.2 s.
    """
    places = holds((0, 5), (4, 5)), holds((0, 1), (4, 21)), holds((0, 2), (4, 2))
    looks = [Look((0, 1), 0), Look((0, 1), 1), Look((1, 2), 0), Look((2,), 0)]
    found, own = stops_at(Side(line((0, 30), (4, 30)), None, places), at(0, 4), looks)
    assert [each.round(6).tolist() for each in own] == [[0, 0.8, 4], [0, 0.8, 4], [0, 0.2, 4], [0, 4]]
    assert found.times[::2].round(6).tolist() == [0, 0.2, 0.8, 4]
    assert mm(found.of((1,), found.rows(own[0])).each[0]) == [1, 1, 5, 5, 21, 21]


# --- before and after, turn by turn


def test_both_sides_of_an_instant_stand_side_by_side() -> None:
    """A jump from 3 to 7 mm at 2 s, and an even 9 at 4 s."""
    assert mm(line((0, 3), (2, 3, 7), (4, 9), (6, 9)).both_sides_of(at(2, 4))) == [3, 7, 9, 9]
    assert interleave(at(1, 3), at(2, 4)).tolist() == [1, 2, 3, 4]
