"""Lifts drawn at random that go up, stand and come down again."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from sim.model.draw import Draw
from sim.model.scenario import Scenario, Stage
from tests.random_lifts import lifts, seconds


@st.composite
def staged_lifts(draw: st.DrawFn, half_way: bool = True) -> Scenario:
    """Raised in one part or two, held or not, let down to the start or a height, perhaps from half-way on."""
    scenario = draw(lifts(mishaps=False))
    speed, close = draw(st.sampled_from([0.004, 0.01, 0.02])), draw(seconds(0, 1))
    lifters = tuple(
        replace(x, operator=replace(x.operator, lowering=Draw(speed), close=Draw(close))) for x in scenario.lifters
    )
    need, holds = scenario.need.rise, can_be_held(scenario)
    step = draw(st.sampled_from([0.003, 0.00635, 0.02]))
    up = [Stage("raise", need)]
    if draw(st.booleans()):
        up = [Stage("raise", need / 4, leader={"strokes": 1}), Stage("raise", need)]
    hold = [Stage("hold", time=draw(st.sampled_from([0.0, 30.0])))] if holds and draw(st.booleans()) else []
    down = [Stage("lower", draw(st.sampled_from([0.0, 0.0, need / 3])), leader={"step": step})]
    start = 0.0
    if half_way and draw(st.integers(0, 3)) == 0:
        start, up = need / 2, draw(st.sampled_from([[], [Stage("raise", need)]]))
    leader = replace(scenario.leader, max_calls=60)
    return replace(scenario, lifters=lifters, leader=leader, stages=(*up, *hold, *down), start=start)


def can_be_held(scenario: Scenario) -> bool:
    """Whether every side has something to stand on."""
    return all(any(p.side in (x.side, "both") for p in scenario.places) for x in scenario.lifters)
