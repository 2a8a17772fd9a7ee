"""Stages, the start and the way down, from what is written to the model: defaults, paths, variants, bounds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.model.draw import Draw
from sim.model.errors import ScenarioError
from sim.model.scenario import Scenario, Stage
from sim.model.sentences import words
from sim.model.units import INCH
from sim.written.keys.tables import schema
from sim.written.reading import parse, variants, with_values
from sim.written.work import most_strokes, work_of
from tests.sim.written.broken_places import TRAILER
from tests.staged import HALF_WAY, SHORT, STAGES, WHOLE, staged


def assumed(text: str) -> list[str]:
    return [words(each, "si") for each in parse(text, "x.toml").assumed]


# --- what is read


def test_a_lift_without_stages_is_one_that_raises_to_the_need() -> None:
    plain = parse(TRAILER, "x.toml")
    assert plain.stages == () and plain.job == (Stage("raise", plain.need.rise),) and plain.start == 0


def test_stages_are_read_in_their_order_with_what_stands_for_a_height_that_is_not_written() -> None:
    """Raise: to the need; lower: all the way; hold: no height."""
    found = parse(staged(STAGES, HALF_WAY), "x.toml")
    assert [stage.do for stage in found.stages] == ["raise", "raise", "hold", "lower", "raise", "lower"]
    assert [stage.to for stage in found.stages] == pytest.approx([INCH, 5 * INCH, 0, 0.5 * INCH, 2 * INCH, 0])
    assert [stage.time for stage in found.stages] == [0, 0, 600, 0, 0, 0]
    assert found.start == pytest.approx(0.5 * INCH)


def test_a_stage_is_led_as_the_lift_but_for_its_own_keys() -> None:
    found = parse(staged(), "x.toml")
    first, second, _, lower, *_ = (stage.led(found.leader) for stage in found.stages)
    assert first == replace(found.leader, strokes=1) and second == found.leader
    assert lower == replace(found.leader, step=pytest.approx(0.25 * INCH), pace=6.0)


def test_an_operator_lowers_as_written_or_at_what_is_taken_for_granted() -> None:
    written, silent = (parse(text, "x.toml").lifters[0].operator for text in (staged(), TRAILER))
    assert written.lowering == Draw(pytest.approx(0.2 * INCH), pytest.approx(0.05 * INCH))
    assert (silent.lowering, silent.close) == (Draw(0.005), Draw(0.5))


def test_a_mishap_says_in_which_part_of_a_lowering_call() -> None:
    assert [mishap.phase for mishap in parse(WHOLE, "x.toml").mishaps] == ["room"]


def test_what_the_way_down_takes_for_granted_is_said_only_where_there_is_one() -> None:
    up, down = '[[stage]]\ndo = "raise"\n', '[[stage]]\ndo = "lower"\n'
    valve = 'Operator "steady": lowering not given, taken as 5.0 mm/s; close not given, taken as 0.50 s.'
    step = "No step is given: one lowering call lets a device down by {}."
    assert not [said for said in assumed(TRAILER + up) if "lower" in said]
    assert valve in assumed(TRAILER + up + down)
    assert step.format("6.3 mm, the gap limit") in assumed(TRAILER + up + down)
    tight = TRAILER.replace('gap_limit = "0.25 in"', 'gap_limit = "0 in"')
    assert step.format("12.7 mm, for the gap limit is 0") in assumed(tight + up + down)
    assert not [said for said in assumed(staged()) if "lowering not given" in said]
    assert not [said for said in assumed(TRAILER + up + down + 'leader = {step = "5 mm"}\n') if "No step" in said]


# --- paths


@pytest.mark.parametrize(
    ("path", "value", "at", "then"),
    [
        ("stage[0].to", "2 in", lambda s: s.stages[0].to, 2 * INCH),
        ("stage[2].time", "1 min", lambda s: s.stages[2].time, 60),
        ("stage[3].leader.step", "1/2 in", lambda s: s.stages[3].led(s.leader).room, 0.5 * INCH),
        ("stage[3].leader.pace", "9 s", lambda s: s.stages[3].led(s.leader).pace, 9),
        ("start.rise", "3/4 in", lambda s: s.start, 0.75 * INCH),
        ("operator.steady.lowering", "0.3 in/s", lambda s: s.lifters[0].operator.lowering.mean, 0.3 * INCH),
        ("operator.steady.close", "2 s", lambda s: s.lifters[1].operator.close.mean, 2),
    ],
)
def test_marks_and_variants_reach_the_way_down(
    path: str, value: str, at: Callable[[Scenario], float], then: float
) -> None:
    """As a value of its own, as an end of a range, and as what a variant sets."""
    assert at(with_values(parse(WHOLE, "x.toml"), {path: value})) == pytest.approx(then)
    varied = WHOLE + f'[[variant]]\nname = "otherwise"\nset = {{"{path}" = "{value}"}}\n'
    assert at(parse(varied, "x.toml", "otherwise")) == pytest.approx(then)
    with pytest.raises(ScenarioError) as refused:
        parse(WHOLE + f'[assumed]\n"{path}" = ["{value}", "1 kg"]\n', "x.toml")
    assert {problem.place for problem in refused.value.problems} == {f'assumed."{path}"'}


def test_of_a_lowering_that_differs_the_mean_moves_and_its_spread_with_it() -> None:
    moved = with_values(parse(WHOLE, "x.toml"), {"operator.steady.lowering": "0.4 in/s"}).lifters[0].operator
    assert moved.lowering == Draw(pytest.approx(0.4 * INCH), pytest.approx(0.1 * INCH))


def test_an_end_that_stages_cannot_follow_on_from_is_said_at_its_mark() -> None:
    """The first stage raises to 6 in at the most, and the next one to 5 in only."""
    with pytest.raises(ScenarioError) as refused:
        parse(WHOLE + '[assumed]\n"stage[0].to" = ["1 in", "6 in"]\n', "x.toml")
    (one,) = refused.value.problems
    assert one.place == 'assumed."stage[0].to"'
    assert one.what == 'with "6 in": stage #2 > to: raises to 5.00 in, and the load is at 6.00 in already'


def test_a_variant_leads_every_stage_but_for_the_keys_of_its_own() -> None:
    """The trailer's "no holds" keeps pace all the way; its first stage stays at one stroke a call."""
    slower = staged(STAGES, '[[variant]]\nname = "five"\nleader = {strokes = 5}\n')
    found = {each.variant: each for each in variants(parse(slower, "x.toml"))}
    assert [stage.led(found["five"].leader).strokes for stage in found["five"].stages] == [1, 5, 5, 5, 5, 5]
    assert {stage.led(found["no holds"].leader).rule for stage in found["no holds"].stages} == {"keep-pace"}


# --- how high, how long


def test_need_stays_what_must_be_cleared_where_a_stage_raises_higher() -> None:
    found = parse(TRAILER + '[[stage]]\ndo = "raise"\nto = "7 in"\n', "x.toml")
    assert found.need.rise == pytest.approx(5 * INCH) and found.stages[0].to == pytest.approx(7 * INCH)


@pytest.mark.parametrize("travel", ["9 in", "8.5 in"])
def test_a_start_is_within_the_travel_of_the_rams_or_packed_up(travel: str) -> None:
    """By 9 in of rise the rams have moved 8.89 in and the take-up (ours, by the law of cosines)."""
    start = '[start]\nrise = "9 in"\n[[stage]]\ndo = "lower"\n'
    text = TRAILER.replace('travel = "10 in"', f'travel = "{travel}"')
    if travel == "9 in":
        assert parse(text + start, "x.toml").start == pytest.approx(9 * INCH)
        return
    with pytest.raises(ScenarioError, match='the ram of "left lifter" would have moved') as refused:
        parse(text + start, "x.toml")
    assert {problem.place for problem in refused.value.problems} == {"start.rise"}
    assert parse(text + start + '[reset]\ntime = "60 s"\n', "x.toml").reset is not None


def test_the_way_down_counts_in_how_long_a_lift_can_get() -> None:
    """A call down is a stroke to free the load; as many calls as the step goes into the way."""
    up, down = (parse(text, "x.toml") for text in (staged('[[stage]]\ndo = "raise"\n'), staged(STAGES)))
    step = parse(staged(STAGES.replace('step = "1/4 in"', 'step = "1/8 in"')), "x.toml")
    strokes = [most_strokes(each, each.lifters[0]) for each in (up, down, step)]
    assert strokes[0] < strokes[1] < strokes[2] <= 1500
    fewer = sum(work_of(replace(down, stages=down.stages[:4])))
    assert sum(work_of(up)) < fewer < sum(work_of(down)) < sum(work_of(step))


def test_steps_too_small_for_a_day_are_refused_before_anything_is_simulated() -> None:
    hasty = '[[stage]]\ndo = "raise"\n[[stage]]\ndo = "lower"\nleader = {step = "0.1 mm"}\n' * 25
    text = TRAILER.replace("max_calls = 500", "max_calls = 100000")
    with pytest.raises(ScenarioError, match=r"(?s)too long to simulate.*; step"):
        parse(text + hasty, "x.toml")


# --- the short form


def test_a_short_form_that_holds_and_comes_down_has_its_stages() -> None:
    found = parse(SHORT, "x.toml")
    assert [stage.do for stage in found.stages] == ["raise", "hold", "lower"]
    assert found.stages[1].time == 600 and found.stages[2].led(found.leader).room == pytest.approx(0.5 * INCH)


# --- the schema


def test_the_schema_knows_stages_and_the_start() -> None:
    known = schema()
    assert set(known["$defs"]["WrittenStage"]["properties"]) == {"do", "to", "time", "leader"}
    assert set(known["$defs"]["WrittenStart"]["properties"]) == {"rise"}


# --- laws

HEIGHTS = st.integers(0, 40).map(lambda eighths: eighths / 8)
PARTS = st.lists(st.tuples(st.sampled_from(["raise", "lower", "hold"]), HEIGHTS), max_size=6)


@given(PARTS, st.one_of(st.just(0.0), HEIGHTS))
def test_stages_are_read_where_each_leads_on_from_the_one_before_and_only_there(
    parts: list[tuple[str, float]], start: float
) -> None:
    """Up to above where the load is, down to below it, a hold of something that is up."""
    at, good = start, True
    if start and (not parts or parts[0][0] == "raise"):
        good = start < (parts[0][1] if parts else 5)
    text = staged("") + (f'[start]\nrise = "{start} in"\n' if start else "")
    for do, to in parts:
        good &= {"raise": to > at, "lower": 0 <= to < at, "hold": at > 0}[do]
        key = 'time = "1 s"' if do == "hold" else f'to = "{to} in"'
        text += f'[[stage]]\ndo = "{do}"\n{key}\n'
        at = at if do == "hold" else to
    try:
        found = parse(text, "x.toml")
    except ScenarioError as refused:
        assert not good
        assert all(problem.place.startswith(("stage #", "start.rise")) for problem in refused.problems)
    else:
        assert good and len(found.stages) == len(parts)
