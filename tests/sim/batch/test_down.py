"""The batch and the story bring the same loads down again: stages, holds, a start half-way; to 1e-9, lift by lift."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from sim.batch import lifts_of, why_not
from sim.examples import example
from sim.model.draw import Draw
from sim.model.scenario import Lifter, Scenario, Stage, Station
from sim.record.what import What
from sim.story.lift import simulate
from sim.written.reading import parse
from tests.builders import MM, chain, collar, crib, lift, lifter, operator, pin, reset, station, strap, two_lifters
from tests.drawn_stages import can_be_held, staged_lifts
from tests.sim.batch.test_batch import differences, with_chance
from tests.sim.story.test_lowering import WORKED, lowers

pytestmark = pytest.mark.filterwarnings("error::RuntimeWarning")

KEYS: tuple[dict[str, Any], ...] = ({}, {"strokes": 2}, {"gap_limit": 0.004}, {"pace": 6.0}, {"rule": "keep-pace"})


@st.composite
def varied_stages(draw: st.DrawFn) -> Scenario:
    """A staged lift, perhaps up and down once more, whose people may differ from call to call, and miss calls."""
    scenario = draw(staged_lifts())
    need, last = scenario.need.rise, scenario.stages[-1].to
    more: list[Stage] = []
    if draw(st.booleans()):
        up = last + (need - last) * draw(st.sampled_from([0.3, 1.0]))
        hold = [Stage("hold", time=5.0)] if can_be_held(scenario) and draw(st.booleans()) else []
        down = up * draw(st.sampled_from([0.0, 0.5, 0.9]))
        keys = st.sampled_from(KEYS)
        more = [Stage("raise", up, leader=draw(keys)), *hold, Stage("lower", down, leader=draw(keys))]
    leader = replace(scenario.leader, max_calls=draw(st.sampled_from([60, 60, 9])))
    scenario = replace(scenario, stages=(*scenario.stages, *more), leader=leader)
    if draw(st.booleans()):
        return scenario
    scenario = with_chance(scenario, draw(st.sampled_from([0.05, 0.3])))
    return missing(scenario, draw(st.sampled_from([0.0, 0.0, 0.2])))


def missing(scenario: Scenario, miss: float) -> Scenario:
    """The same with operators who miss so many of their calls."""
    lifters = tuple(replace(x, operator=replace(x.operator, miss=miss)) for x in scenario.lifters)
    return replace(scenario, lifters=lifters)


@settings(
    max_examples=2 * settings().max_examples,
    suppress_health_check=[HealthCheck.too_slow],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)
@given(varied_stages(), st.integers(0, 5))
def test_staged_lifts_drawn_at_random_come_down_alike(scenario: Scenario, seed: int) -> None:
    """Any of them, but for cribs whose pieces are swapped."""
    assume(why_not(scenario) != "it does not know the work at a crib")
    assert why_not(scenario) == ""
    assert not differences(scenario, seed, first=40, n=3, ties=True)


def up_and_down(*places: Lifter | Station, need: float = 40 * MM, **rest: Any) -> Scenario:
    """Up, 10 mm a stroke, held for a minute and down again, step by step of 5 mm."""
    stages = (Stage("raise", need), Stage("hold", time=60.0), Stage("lower", 0.0))
    return lift(need, *places, stages=stages, **({"step": 5 * MM, "gap_limit": 30 * MM, "max_calls": 60} | rest))


RAM = {"operator": lowers()}
SLOW = {"operator": replace(lowers(stroke=1.7), lowering=Draw(4 * MM))}
BOTH_SIDES = two_lifters(left=RAM, right=SLOW)
CRIB = crib(15 * MM, 8 * MM, 3 * MM, wedge=4 * MM)
SHORT = {"travel": 28 * MM, **RAM}


@pytest.mark.parametrize(
    ("places", "rest", "happens"),
    [
        ([lifter(collar(), **RAM)], {}, What.TURNS_BACK),
        ([lifter(**RAM), station(pin(15 * MM, holes=2))], {"strokes": 2}, What.SWAP),
        ([lifter(**RAM), station(pin(8 * MM, pin_out="held")), station(chain(6 * MM), name="other")], {}, What.REHOOK),
        ([lifter(**RAM), station(pin(4 * MM), slack=5 * MM)], {}, What.SWAP),
        ([lifter(**RAM), station(strap(4 * MM))], {}, What.CLICK),
        ([lifter(**RAM), station(CRIB), station(replace(CRIB, layer=2, wedge_out="open"), name="b")], {}, What.DRIVE),
        ([lifter(**RAM), station(collar(), CRIB), station(CRIB, collar(turns=1.0), name="b")], {}, What.OVERTAKES),
        ([lifter(collar(), **RAM), station(pin(8 * MM), collar(), slack=3 * MM)], {}, What.OVERTAKES),
        ([*BOTH_SIDES, station(pin(7 * MM), side="both")], {}, What.LANDS),  # the mean meets what is in the middle
        ([*BOTH_SIDES, station(collar(), side="both"), station(CRIB, name="left crib")], {}, What.LANDS),
        ([*BOTH_SIDES, station(collar(), side="both")], {"level_limit": 2 * MM}, What.CALLS_DOWN),
        ([lifter(pin(9 * MM), **SHORT), station(pin(8 * MM))], {"reset": reset(20.0, 2 * MM)}, What.RUNS_OUT),
        ([lifter(CRIB, **SHORT), station(collar())], {"reset": reset(20.0)}, What.RUNS_OUT),
        ([lifter(**SHORT), station(collar())], {"reset": reset(20.0, 12 * MM)}, What.RUNS_OUT),
        ([lifter(**{**SHORT, "travel": 40 * MM}), station(collar())], {}, What.STUCK),
        ([lifter(**RAM), station(collar()), station(CRIB, name="other")], {"start": 37 * MM}, What.SETTLED),
    ],
)  # fmt: skip
def test_each_rule_of_the_way_down(places: list[Lifter | Station], rest: dict[str, Any], happens: What) -> None:
    """With people who are always the same, who vary, and who miss every third call."""
    scenario = up_and_down(*places, **rest)
    assert happens in set(simulate(scenario).events["what"])
    assert not differences(scenario, seed=0, first=0, n=1, ties=True)
    assert not differences(with_chance(scenario, 0.2), seed=3, first=0, n=6, ties=True)
    assert not differences(missing(with_chance(scenario, 0.2), 0.3), seed=3, first=0, n=6, ties=True)


def test_one_catcher_of_several_goes_to_what_has_least_to_go_and_walks() -> None:
    """Collars of two struts and a crib, all by one hand; the way to another place takes a second."""
    places = [station(d, name=n, catcher="hand") for n, d in (("a", collar()), ("b", collar(turns=0.5)), ("c", CRIB))]
    scenario = up_and_down(lifter(**RAM), *places, walk={"hand": 1.0})
    assert What.WALKS in set(simulate(scenario).events["what"])
    assert not differences(with_chance(scenario, 0.2), seed=1, first=0, n=12)


@pytest.mark.parametrize("places", [[lifter(**RAM)], [*BOTH_SIDES, station(pin(9 * MM), side="right")]])
def test_a_side_with_nothing_to_land_on_is_told_to_stop_and_runs_on(places: list[Lifter | Station]) -> None:
    """From half-way up: as far as the ram shortens until the valve is shut."""
    scenario = lift(40 * MM, *places, stages=(Stage("lower", 12 * MM),), start=40 * MM, step=5 * MM)
    end = simulate(scenario).events.query("side == 'left lifter'")["u"].iloc[-1]
    assert end == pytest.approx(12 * MM - 0.5 * 10 * MM, abs=1e-9)
    assert not differences(with_chance(scenario, 0.2), seed=3, first=0, n=6)


def test_the_worked_way_down_of_the_design() -> None:
    """And with people whose times vary."""
    assert not differences(WORKED, seed=0, first=0, n=1)
    assert not differences(with_chance(WORKED, 0.2), seed=0, first=0, n=20)


def test_lifts_in_stages_of_their_own_are_called_side_by_side() -> None:
    """Some need a stroke more than others, and miss calls: one comes down while another is still raised."""
    people = replace(lowers(), fill=Draw(0.8, 0.1), miss=0.15)
    stages = (Stage("raise", 20 * MM, leader={"strokes": 1}), Stage("raise", 60 * MM, leader={"strokes": 2}))
    scenario = up_and_down(lifter(collar(), operator=people), station(pin(8 * MM)), need=60 * MM)
    scenario = replace(scenario, stages=(*stages, *scenario.stages[1:]))
    assert not differences(with_chance(scenario, 0.2), seed=5, first=0, n=40)


def test_a_collar_turned_back_past_a_crib_leaves_the_load_to_it() -> None:
    """From 50 mm, on its way to 10, the collar at "b" falls below the crib there, at 30: its gap grows from 10 mm to 30
    until then and no more. Hands are in at the pin for a minute, and on the rams alone once that is over an inch."""
    beside = station(collar(turns=0.5), crib(30 * MM, react=90.0), name="b")
    places = [lifter(**RAM), station(pin(15 * MM, swap=60.0)), beside]
    scenario = up_and_down(*places, need=50 * MM, step=40 * MM, rule="keep-pace")
    found = set(simulate(scenario).events.query("call > 5")["what"])
    assert What.OVERTAKES in found
    assert not differences(scenario, seed=0, first=0, n=1, ties=True)
    assert not differences(with_chance(scenario, 0.1), seed=0, first=0, n=6)


@pytest.mark.parametrize("device", [pin(8 * MM, react=0.0), CRIB, chain(5 * MM)], ids=["pin", "crib", "chain"])
def test_hands_in_on_the_rams_alone_are_counted_alike(device: Any) -> None:
    """On the way up too, beside a collar that is slower than the load, and in a lift without stages."""
    places = [lifter(operator=operator(recover=0.1)), station(device), station(collar(turns=0.4), name="slow")]
    scenario = with_chance(lift(90 * MM, *places, strokes=3, gap_limit=20 * MM, rule="keep-pace", max_calls=6), 0.2)
    assert simulate(scenario).events["hands"].any()
    assert not differences(scenario, seed=2, first=0, n=12)


def test_the_largest_gap_of_each_call_is_of_those_that_a_limit_is_for() -> None:
    """What a call down makes on purpose is not among them: they come to the larger of passing and standing."""
    results = lifts_of(parse(example("trailer-and-down"), "trailer"), 0, 0, 3)
    columns, by_call = results.finished(), np.stack(results.by_call)
    assert (columns["largest_made_gap_m"] > columns["largest_passing_gap_m"]).all()
    kinds = np.maximum(columns["largest_passing_gap_m"], columns["largest_standing_gap_m"])
    assert np.nanmax(by_call, axis=0) == pytest.approx(kinds, rel=1e-6)
