"""The way down on the calculation sheet: travel to free the load, room against holes and clicks, what could drop."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from sim.check import Finding, check
from sim.check.course import course_of
from sim.check.drops import drops
from sim.model.scenario import Scenario, Stage
from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from sim.written.reading import parse
from tests.builders import MM, collar, crib, lift, lifter, pin, reset, station, strap
from tests.staged import SHORT, WHOLE, staged

LOSSES = ("pressure_lost", "lifter_lost")
UP, DOWN, HOLD = Stage("raise", 50 * MM), Stage("lower"), Stage("hold", time=60.0)


def up_and_down(*places: Any, stages: tuple[Stage, ...] = (UP, DOWN), step: float = 10 * MM, **rest: Any) -> Scenario:
    """Straight up by 50 mm, 10 mm a stroke, and down again; each line lengthens by the rise."""
    return lift(50 * MM, *places, stages=stages, step=step, **rest)


def found(scenario: Scenario, name: str) -> list[Finding]:
    return [each for each in check(scenario).findings if each.check.name == name]


def said(scenario: Scenario, name: str) -> list[str]:
    """Level, subject and words of what is found."""
    return [f"{each.level} {each.subject}: {each.what.words('si')}" for each in found(scenario, name)]


NAMES = {
    "LIFT_STUCK", "STAGES_BELOW_NEED", "STAGE_TAKES", "LIFTER_FREES", "LIFTER_SHORT_TO_FREE", "DEVICE_DROPS_MORE",
    "SIDE_STARTS_UNHELD", "SIDE_ENDS_BELOW", "STAGE_HANDS_ON_RAMS", "SIDE_DROPS_COMING_DOWN",
}  # fmt: skip


def test_a_lift_that_is_only_raised_has_no_finding_of_the_way_down() -> None:
    scenario = lift(50 * MM, lifter(), station(collar()))
    assert not NAMES & {each.check.name for each in check(scenario).findings}


# --- what it takes


def test_calls_down_by_pencil_are_those_of_the_lift_where_collars_hold() -> None:
    """What the line of a collar shortens over the step: the trailer's two ways down, the short form's one."""
    for text in (staged(), WHOLE, SHORT):
        scenario = replace(parse(text, "x.toml"), mishaps=())
        sheet, stages = check(scenario), measure(simulate_fixed(scenario))["stages"]
        lines = [round(line.value) for line in sheet.need.lines if line.what == "calls down"]
        assert lines == [stage["calls"] for stage in stages if stage["do"] == "lower"]
        assert sheet.need.told_calls_down == sum(lines)
        assert sheet.need.told_pumps_down == {x.name: sum(lines) for x in scenario.lifters}  # a stroke frees it


def test_calls_up_are_counted_stage_by_stage_as_each_is_led() -> None:
    """The first inch at one stroke a call takes ten, by 1 in x 140/150 + 0.5 in over 0.1455 in a stroke (ours)."""
    sheet = check(parse(staged(), "x.toml"))
    lines = {line.subject: round(line.value) for line in sheet.need.lines if line.what == "calls"}
    assert lines == {"stage #1": 10, "stage #2": 9} and sheet.need.calls == 19
    told = measure(simulate_fixed(parse(staged(), "x.toml")))["stages"]
    assert [told[0]["calls"], told[1]["calls"]] == [10, 9]


def test_of_a_lift_that_begins_half_way_only_what_is_left_is_pumped() -> None:
    """Of 50 mm at 10 mm a stroke, two strokes are left from 30 mm."""
    scenario = lift(50 * MM, lifter(), station(collar()), start=30 * MM)
    sheet = check(scenario)
    assert sheet.need.pumps == {"left lifter": 2} == sheet.need.told_pumps
    assert sheet.need.ram_travel_m == {"left lifter": pytest.approx(50 * MM)}


def test_what_a_way_down_takes_is_said_in_a_sentence() -> None:
    """50 mm in steps of 10 mm; a stroke of 10 mm frees it, so that each call makes a gap of 20 mm."""
    (one,) = said(up_and_down(lifter(), station(collar())), "STAGE_TAKES")
    assert one.startswith("note stage #2: 5 calls down and 5 strokes a lifter to free the load, in ")
    assert one.endswith("the gaps that are made on purpose reach 20.0 mm")


def test_what_the_ram_carries_while_the_load_is_clear_is_said() -> None:
    """Straight up it carries its share of 1 kN, all the way (statics)."""
    assert said(up_and_down(lifter(), station(collar())), "LIFTER_FREES") == [
        "note left lifter: carries up to 1.00 kN on the way down, whenever the load is clear of what held it"
    ]


def test_made_gaps_are_held_against_no_limit() -> None:
    """Of 30 mm, over the 25.4 mm of the limit, made on purpose; passing ones stay under it."""
    scenario = up_and_down(lifter(), station(collar()), step=20 * MM)
    made = measure(simulate_fixed(scenario))["largest_made_gap"]["gap_m"]
    assert made == pytest.approx(30 * MM) and made > scenario.limits.gap
    assert found(scenario, "GAP_OVER") == []


# --- travel


def test_travel_for_a_stroke_more_than_the_rise_is_asked_for() -> None:
    """50 mm up and a stroke of 10 mm to free the load there."""
    enough = up_and_down(lifter(travel=60 * MM), station(collar()))
    assert found(enough, "LIFTER_SHORT_TO_FREE") == []
    (one,) = found(up_and_down(lifter(travel=59 * MM), station(collar())), "LIFTER_SHORT_TO_FREE")
    assert (one.level, one.subject) == ("caution", "left lifter")
    assert (one.value, one.limit) == (pytest.approx(60 * MM), 59 * MM)


def test_with_no_travel_left_at_all_the_lift_is_stuck_up_there() -> None:
    """A stop, with what the story says of it."""
    stuck = up_and_down(lifter(travel=50 * MM), station(collar()))
    assert "stop" in {each.level for each in found(stuck, "LIFT_STUCK")}
    (one,) = said(stuck, "LIFT_STUCK")
    assert "no ram travel left to free the load from strut" in one


def test_a_ram_that_can_be_re_set_needs_no_travel_of_that_kind() -> None:
    scenario = up_and_down(lifter(travel=55 * MM), station(collar()), reset=reset(60.0))
    assert found(scenario, "LIFTER_SHORT_TO_FREE") == []


def test_travel_and_threads_are_held_against_the_highest_stage() -> None:
    """70 mm, where 50 have to be cleared."""
    stages = (Stage("raise", 70 * MM), DOWN)
    sheet = check(up_and_down(lifter(travel=60 * MM), station(collar(reach=60 * MM)), stages=stages))
    names = {(each.level, each.check.name) for each in sheet.findings}
    assert {("stop", "LIFTER_SHORT"), ("stop", "DEVICE_ENDS")} <= names
    assert sheet.need.point_rise_m == 50 * MM and sheet.lifters["left lifter"].travel_needed == pytest.approx(70 * MM)


# --- room


@pytest.mark.parametrize(
    ("device", "most"),
    [
        (collar(), None),
        (pin(5 * MM), 15.0),  # a spacing more than the step
        (pin(25 * MM), 35.0),
        (strap(4 * MM), 14.0),  # a click more
        (strap(4 * MM, reach=0.0), None),  # it never holds anything
        (crib(10 * MM, wedge=10 * MM), None),
        (crib(38 * MM, wedge=5 * MM), 43.0),  # the piece and the step, but for what the wedges fill
    ],
    ids=["collar", "pin of 5", "pin of 25", "strap", "slack strap", "crib", "crib of 38"],
)
def test_what_goes_down_by_more_than_the_step_is_said(device: Any, most: float | None) -> None:
    """By whole holes, links, clicks or pieces, wherever on the way it is (to a two hundredth of the way)."""
    down = found(up_and_down(lifter(), station(collar(), name="other"), station(device)), "DEVICE_DROPS_MORE")
    if most is None:
        assert down == []
        return
    (one,) = down
    assert one.subject == "strut" and most - 0.5 <= one.value / MM <= most + 1e-6
    assert one.level == "note" and "the collar of other stays closer" in one.what.words("si")


def test_where_nothing_beside_it_stays_closer_that_is_a_caution() -> None:
    """A collar on the ram is none: it goes with the lifter."""
    (one,) = found(up_and_down(lifter(collar()), station(pin(25 * MM))), "DEVICE_DROPS_MORE")
    assert one.level == "caution" and "nothing beside it" in one.what.words("si")


# --- where it ends


def test_a_side_that_nothing_holds_where_it_is_to_stop_is_said() -> None:
    """Pins every 25 mm, down to 30 mm: the load lands at 25 mm."""
    stages = (UP, Stage("lower", 30 * MM))
    (one,) = said(up_and_down(lifter(), station(pin(25 * MM)), stages=stages), "SIDE_ENDS_BELOW")
    assert one == (
        "caution left side: would come down to 25.0 mm in stage #2, below the 30.0 mm that it lowers to: "
        "no device can stand there"
    )
    assert found(up_and_down(lifter(), station(collar()), stages=stages), "SIDE_ENDS_BELOW") == []


def test_a_side_without_a_device_runs_on_until_the_valve_is_shut() -> None:
    """At 5 mm/s for the half second that takes: 2.5 mm."""
    (one,) = found(up_and_down(lifter(), stages=(Stage("lower", 30 * MM),), start=50 * MM), "SIDE_ENDS_BELOW")
    assert one.value == pytest.approx(27.5 * MM) and "the valve takes a while" in one.what.words("si")


def test_a_need_that_no_stage_raises_to_is_said() -> None:
    (one,) = found(up_and_down(lifter(), station(collar()), stages=(Stage("raise", 20 * MM),)), "STAGES_BELOW_NEED")
    assert (one.level, one.value, one.limit) == ("caution", 20 * MM, 50 * MM)
    assert found(up_and_down(lifter(), station(collar()), stages=(DOWN,), start=20 * MM), "STAGES_BELOW_NEED") == []


@pytest.mark.parametrize(
    ("places", "far"), [([collar()], 0), ([pin(25 * MM)], 5), ([pin(20 * MM)], 10), ([], 30), ([pin(10 * MM)], 0)]
)
def test_a_start_that_nothing_holds_is_said(places: list[Any], far: float) -> None:
    """At 30 mm, straight up: on a thread, 5 mm above a hole, on the ram alone."""
    stations = [station(device) for device in places]
    starts = found(lift(50 * MM, lifter(), *stations, start=30 * MM, max_calls=9), "SIDE_STARTS_UNHELD")
    assert [each.value for each in starts] == ([pytest.approx(far * MM)] if far else [])


# --- what hangs on the rams


def test_hands_at_a_pin_with_nothing_close_beside_it_are_said() -> None:
    """8 s a swap, nothing else on that side; a collar beside it that is kept within the limit, and it is not said."""
    alone, beside = (up_and_down(lifter(), *more, stages=(UP, HOLD, DOWN)) for more in (
        [station(pin(25 * MM))], [station(pin(25 * MM)), station(collar(), name="other")],
    ))  # fmt: skip
    (one,) = found(alone, "STAGE_HANDS_ON_RAMS")
    assert one.level == "caution" and one.subject == "stage #3" and one.value >= 8
    assert found(beside, "STAGE_HANDS_ON_RAMS") == []


def test_a_drop_on_the_way_down_is_said_where_it_is_over_the_limit_and_none_larger_is_said() -> None:
    """Collars chase the load up, so that the largest drop is one of the way down: said once, with its call."""
    scenario = up_and_down(lifter(), station(collar(), give=1 * MM), step=40 * MM)
    scenario = replace(scenario, limits=replace(scenario.limits, drop=30 * MM))
    worst = drops(course_of(scenario))["lifter_lost"]
    assert worst.drop > 30 * MM and worst.call is not None and worst.call > 5
    assert len(found(scenario, "DROP_OVER")) == 2 and found(scenario, "SIDE_DROPS_COMING_DOWN") == []


def test_a_drop_on_the_way_down_that_is_less_than_one_before_it_is_said_beside_it() -> None:
    """Five strokes a call, and a collar turned up only after them; down again in steps of 5 mm."""
    scenario = up_and_down(lifter(), station(collar(chases="after"), give=1 * MM), step=5 * MM, strokes=5)
    scenario = replace(scenario, limits=replace(scenario.limits, drop=10 * MM))
    told = measure(simulate_fixed(scenario))["stages"][1]
    largest, down = found(scenario, "DROP_OVER"), found(scenario, "SIDE_DROPS_COMING_DOWN")
    assert [each.value for each in down] == [told[f"largest_drop_{loss}"]["drop_m"] for loss in LOSSES]
    assert all(10 * MM < each.value < up.value for each, up in zip(down, largest, strict=True))
    assert f"at call {told['largest_drop_lifter_lost']['call']}, onto strut" in down[1].what.words("si")
