"""Small lifts worked by hand, each of which comes out otherwise if one rule of the batch is left out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from sim.batch import simulate_replications, why_not
from sim.batch.by_story import row_of
from sim.model.scenario import Scenario
from sim.story.lift import simulate
from tests.builders import MM, collar, lift, lifter, operator, pin, station, two_lifters


def both_ways(scenario: Scenario) -> Iterator[dict[str, Any]]:
    """One lift as the story and as the batch simulate it."""
    assert not why_not(scenario)
    yield row_of(simulate(scenario, 0, 0))
    yield {name: values[0] for name, values in simulate_replications(scenario, 0, 0, 1).items()}


def test_a_takeover_from_the_start_between_two_instants_is_not_passed_over() -> None:
    """The left side rises 10 mm a call, the right one 30 (from 0.5 s to 1.5 s after the call), and a collar stays with
    the right one. Two stations in the middle stop the left side at twice what they hold less where the right one is.

    In call 1 nobody turns there: with nothing above its start, the left side would come down 10 mm. Both collars turn
    as the stroke of call 2 begins, 100 and 98 mm/s: t seconds into it they stop the left side at 200 t - (30 + 30 t)
    and at 196 t - (30 + 30 t) mm, that is above its start from 3/17 s and 15/83 s on. Until 3/17 s the load would come
    down all that it has risen, 10 + 30/17 mm. Nothing happens between 0 s, where neither of them holds it, and 0.2 s,
    when the first has turned the 20 mm of call 1: at 12 mm, the left side is 8 mm above it, and 8.8 above the second.
    Both threads end at 34.5 mm: when the stroke does, the left side, at 20 mm, is 20 - (69 - 60) = 11 mm above them.
    So a largest drop of 11 mm would be told by whoever looks no further than from the instants before and after.
    """
    sides = two_lifters(left={"travel_per_pump": 10 * MM}, right={"travel_per_pump": 30 * MM})
    places = (
        station(collar(react=0.0, turns=15.0), name="right strut", side="right"),
        station(collar(react=4.0, turns=50.0, reach=34.5 * MM), name="first", side="both"),
        station(collar(react=4.0, turns=49.0, reach=34.5 * MM), name="second", side="both"),
    )
    for row in both_ways(lift(40 * MM, *sides, *places, rule="keep-pace", pace=4.0, gap_limit=1.0, max_calls=2)):
        assert row["drop_pressure_lost_m"] == pytest.approx((10 + 30 / 17) * MM, abs=1e-9)
        assert row["drop_pressure_lost_time_s"] == pytest.approx(4.5 + 3 / 17, abs=1e-6)


@pytest.mark.parametrize("names", [("first", "second"), ("second", "first")])
def test_of_two_that_are_done_at_once_the_one_begun_first_is_done_first(names: tuple[str, str]) -> None:
    """The load is at rest at 1.5 s. One reacts in 1 s and swaps a pin in 2 s, the other in 0.5 s and in 2.5 s: both are
    done at 4.5 s, the second one, who began 0.5 s before, first. So the leader has waited for the first one."""
    devices = {"first": pin(5 * MM, react=1.0, swap=2.0), "second": pin(5 * MM, react=0.5, swap=2.5)}
    places = [station(devices[name], name=name) for name in names]
    for row in both_ways(lift(20 * MM, lifter(), *places, gap_limit=0.0)):
        waited = {name: value for name, value in row.items() if "waited" in name}
        assert waited and {name for name, value in waited.items() if value} == {
            name for name in waited if name.endswith("first")
        }


def test_who_finds_nothing_to_turn_is_idle_at_once() -> None:
    """The first stroke, from 0.5 s to 1.5 s, only takes up 10 mm: the catcher stays with a load that does not rise, has
    turned nothing, and is idle at 1.5 s. So he reacts as the second one begins, at 2.5 s, and has turned 10 mm at
    4 mm/s from 3.0 s on, and then seats for 2 s. Had he been seating until 3.5 s, it would have been 1 s later."""
    lifted = lift(10 * MM, lifter(), station(collar(react=0.5, seat=2.0)), take_up=10 * MM, gap_limit=0.0)
    for row in both_ways(lifted):
        assert row["calls"] == 2
        assert row["duration_s"] == pytest.approx(3.0 + 2.5 + 2.0, abs=1e-9)


@pytest.mark.parametrize("react", [0.5, 1.5])
def test_whose_device_is_caught_meanwhile_looks_for_other_work(react: float) -> None:
    """The left stroke, from 0.5 s to 1.5 s, only takes up 10 mm; of the right one, until 3.5 s, 10 mm are left. The
    catcher of both collars reacts to the left one, or is at it already, and it is caught as its side stops: from then
    on he reacts to the right one. He turns 10 mm at 4 mm/s and seats for 0.5 s."""
    sides = two_lifters(right={"travel_per_pump": 20 * MM, "operator": operator(stroke=3.0)})
    turned = collar(react=react)
    places = [station(turned, name=f"{side} strut", side=side, catcher="hand") for side in ("left", "right")]
    for row in both_ways(lift(4 * MM, *sides, *places, take_up=10 * MM, gap_limit=0.0)):
        assert row["calls"] == 1
        assert row["duration_s"] == pytest.approx(1.5 + react + 2.5 + 0.5, abs=1e-9)


def test_of_equal_drops_of_a_call_the_first_is_named_though_it_is_between_two_instants() -> None:
    """4.2 mm a stroke in 1.84 s, and a collar that stays with it and gives 4 mm: taken at once, the load falls 8 mm.

    Until it has risen so far it comes down all that it has risen; from then on the same 8 mm. Call 2 begins at 1.89 s.
    """
    pump = operator(stroke=1.84, react=0.0, recover=0.05, fill=0.6)
    where = station(collar(turns=1.3, react=0.0, seat=0.0), side="both", give=4 * MM, tie=None)
    for row in both_ways(lift(5 * MM, lifter(operator=pump, travel_per_pump=7 * MM), where, pace=0.0, look=0.0)):
        assert row["drop_lifter_lost_m"] == pytest.approx(8 * MM, abs=1e-9)
        assert row["drop_lifter_lost_time_s"] == pytest.approx(1.89 + 1.84 * 3.8 / 4.2, abs=1e-6)
