"""The way down, simulated by the clock: the worked table of the design, then each rule of the way down.

Every time and length was worked out by hand from part 3 of the design; the arithmetic stands beside it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from sim.model.devices import Device
from sim.model.draw import Draw
from sim.model.scenario import Mishap, Operator, Scenario, Stage
from sim.record.measures import measure
from sim.record.series import place_series
from sim.story.lift import simulate_fixed
from tests.builders import MM, collar, crib, leaders, lift, lifter, operator, pin, reset, station, strap, timetable

DOWN = Stage("lower", 0.0)


def lowers(**rest: Any) -> Operator:
    """The operator of the worked lift, who lowers at 10 mm/s and shuts the valve in 0.5 s."""
    return replace(operator(**rest), lowering=Draw(10 * MM), close=Draw(0.5))


def up_and_down(*places: Any, need: float = 15 * MM, stages: tuple[Stage, ...] = (), **rest: Any) -> Scenario:
    """Up to the need and down again, 10 mm a call."""
    return lift(need, *places, stages=(Stage("raise", need), *stages, DOWN), **({"step": 10 * MM} | rest))


WORKED = up_and_down(lifter(collar(), name="ram", operator=lowers()))


def test_the_worked_way_down_of_the_design_to_the_last_event() -> None:
    """Free, room, hands out, lower, land; twice: 2 calls, 2 pumps, 16.00 s."""
    record = simulate_fixed(WORKED)
    assert record.outcome == "lowered"
    assert [row for row in leaders(record) if row[0] >= 7.75] == [
        (7.75, "stage ends"), (7.75, "stage begins"),
        (7.75, "calls down"), (9.75, "room"), (12.75, "lowers"),
        (15.75, "calls down"), (17.75, "room"), (20.75, "lowers"),
        (23.75, "stage ends"), (23.75, "lowered"),
    ]  # fmt: skip
    assert [row for row in timetable(record, "ram") if row[0] > 7.75] == [
        (8.25, "moves", 20, 20), (9.25, "rests", 30, 20),
        (9.75, "reacts", 30, 20), (10.0, "turns back", 30, 20), (12.5, "let down", 30, 10),
        (13.25, "moves", 30, 10), (15.25, "lands", 10, 10), (15.25, "nothing to capture", 10, 10),
        (16.25, "moves", 10, 10), (17.25, "rests", 20, 10),
        (17.75, "reacts", 20, 10), (18.0, "turns back", 20, 10), (20.5, "let down", 20, 0),
        (21.25, "moves", 20, 0), (23.25, "lands", 0, 0), (23.25, "nothing to capture", 0, 0),
    ]  # fmt: skip


def test_the_gaps_of_the_worked_way_down() -> None:
    """Every row of the table in the design: the gap at its time."""
    gap = place_series(simulate_fixed(WORKED).columns)["ram"].gap()
    table = {7.75: 0, 8.25: 0, 9.25: 10, 10.0: 10, 12.5: 20, 13.25: 20, 15.25: 0, 17.75: 10, 20.5: 20, 23.25: 0}
    for time, gap_mm in table.items():
        assert gap.just_after(np.array([time]))[0] / MM == pytest.approx(gap_mm, abs=1e-6), time


def test_the_sums_of_the_worked_way_down() -> None:
    """Of the stage, and of the whole: what is made is no passing gap, and no call over the limit."""
    found = measure(simulate_fixed(WORKED))
    up, down = found["stages"]
    assert [down[key] for key in ("do", "outcome", "calls", "pumps", "duration_s", "holds")] == [
        "lower", "lowered", 2, {"ram": 2}, 16.0, 0
    ]  # fmt: skip
    assert [down[f"largest_drop_{d}"]["fall_m"] / MM for d in ("pressure_lost", "lifter_lost")] == pytest.approx(
        [20, 30]
    )
    assert down["largest_made_gap"]["gap_m"] / MM == pytest.approx(20) and down["end_rise_m"] == 0
    assert down["largest_passing_gap"]["gap_m"] == down["largest_standing_gap"]["gap_m"] == 0
    assert up["largest_passing_gap"]["gap_m"] / MM == pytest.approx(7.0) and up["largest_made_gap"]["gap_m"] == 0
    assert found["largest_gap"] == found["largest_made_gap"] and found["over_limit_calls"] == 0
    assert found["lifters"]["ram"]["rise_per_pump_m"] / MM == pytest.approx(10)  # two raising strokes, 20 mm
    assert found["overshoot_m"] / MM == pytest.approx(5)  # of the raise: 20 mm for 15


def test_a_hold_at_the_end_is_held_and_the_lift_has_come_out_as_its_raise() -> None:
    """A stage has an end of its own; one that is lost while it is held has the lift's."""
    stages = (Stage("raise", 15 * MM), Stage("hold", time=60.0))
    found = measure(simulate_fixed(lift(15 * MM, lifter(collar(), name="ram"), stages=stages)))
    assert (found["outcome"], [stage["outcome"] for stage in found["stages"]]) == ("raised", ["raised", "held"])
    lost = (Mishap("pressure-lost", 2, "ram", after=20.0),)
    dropped = measure(simulate_fixed(lift(15 * MM, lifter(collar(), name="ram"), stages=stages, mishaps=lost)))
    assert [stage["outcome"] for stage in dropped["stages"]] == ["raised", "dropped"]


@pytest.mark.parametrize(
    ("device", "work"),
    [
        # stands at 20 mm, is freed to 30; room to 20 - 10 = 10 mm, but a hole is at 0 only: out and in, 8 s, open
        (pin(20 * MM), [(10.75, "swap", 30, 20), (18.75, "let down", 30, 0)]),
        # clicks of 4 mm: 20 - 4k at or under 10: three of them, 0.5 s each; one holds nothing from its first touch
        (strap(4 * MM), [(10.75, "click", 30, 16), (11.25, "click", 30, 12), (11.75, "click", 30, 8),
                         (12.25, "let down", 30, 8)]),
        # two pieces of 10: the upper one is taken off
        (crib(10 * MM), [(10.75, "place", 30, 10), (20.75, "let down", 30, 10)]),
        # a piece of 15 and 5 mm of wedges: wedges drawn (6 s), the piece off (10 s), a piece of 8 on, wedges to 10
        (crib(15 * MM, 8 * MM, wedge=7 * MM), [(10.75, "drive", 30, 15), (16.75, "place", 30, 0),
                                               (26.75, "place", 30, 0), (36.75, "drive", 30, 8),
                                               (42.75, "let down", 30, 10)]),
    ],
)  # fmt: skip
def test_how_each_device_is_let_down(device: Device, work: list[tuple[float, str, float, float]]) -> None:
    """The load stands at 20 mm, all of it in one call; times are counted as if the way down began at 7.75 s."""
    places = lifter(operator=lowers(), name="ram"), station(device)
    record = simulate_fixed(up_and_down(*places, strokes=2, gap_limit=30 * MM))
    called = next(time for time, what in leaders(record) if what == "calls down")
    rows = [(round(t - called + 7.75, 9), *rest) for t, *rest in timetable(record, "strut") if t > called]
    assert rows[2][1] == "reacts" and rows[3 : 3 + len(work)] == work
    assert record.outcome == "lowered"


def test_what_a_packed_up_ram_has_sunk_in_is_not_spent_again() -> None:
    """Packed up at 30 mm with 12 mm to spend; it lands at 20, below where it was in contact, and frees from there."""
    ram = lifter(name="ram", travel=30 * MM, operator=lowers())
    record = simulate_fixed(up_and_down(ram, station(collar()), need=30 * MM, reset=reset(20, 12 * MM)))
    rows = record.events[record.events["side"] == "ram"]
    strokes = rows[rows["what"] == "recovers"]
    rise, travel = ((strokes[column] / MM).round(6).tolist() for column in ("rise_m", "ram_travel_m"))
    # 3 strokes up; call 4 spends 10 mm, then 2, and is clear at 38; lands at 20; call 5 is clear at 30 with one stroke
    assert rise[:6] == [10, 20, 30, 30, 38, 30]
    assert travel[:6] == [10, 20, 30, 40, 50, 42]  # all of the runs together
    lands = rows[rows["what"] == "lands"].iloc[0]
    assert (lands["rise_m"] / MM, lands["ram_travel_m"] / MM) == (pytest.approx(20), pytest.approx(32))
