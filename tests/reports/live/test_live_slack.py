"""Strokes that only spend slack say so, until the load moves, and again after a re-set."""

from __future__ import annotations

import pytest

from reports.live.rows import Rows
from sim.model.chance import Crew
from sim.model.scenario import Reset, Scenario
from sim.rehearsal.led import Rehearsal
from tests.builders import MM, collar, lift, lifter, operator, station
from tests.reports.live.served import short_lift


def slack_said(scenario: Scenario, calls: int) -> list[str]:
    """What is said of slack, in the order in which it changes."""
    rehearsal = Rehearsal(scenario, Crew(0))
    rows, said, time = Rows(rehearsal), [""], 0.0
    made = 0
    while made < calls or time < 60.0:
        time += 0.1
        rehearsal.advance(time)
        if made < calls and not rehearsal.over and rehearsal.call(at=time) == "":
            made += 1
        rows.new(time)
        if rows.slack() != said[-1]:
            said.append(rows.slack())
    return said[1:]


def test_strokes_that_only_spend_slack_are_counted() -> None:
    """25 mm of take-up at 10 mm a stroke, one stroke a call: three strokes, of which the third already raises some."""
    said = slack_said(short_lift(take_up=25 * MM), 4)
    assert said == [
        f"Taking up slack: {n} of about 3 strokes." for n in (1, 2, 3)
    ] + [""]  # fmt: skip


def test_without_slack_nothing_is_said() -> None:
    """Every stroke raises."""
    assert slack_said(short_lift(), 2) == []


def test_of_several_lifters_each_has_its_own_count() -> None:
    """The right one gives half as much a stroke: four strokes to the left one's two."""
    hands = operator(react=0.2, stroke=0.4, recover=0.2)
    sides = [lifter(collar(), operator=hands), lifter(collar(), side="right", operator=hands, travel_per_pump=5 * MM)]
    said = slack_said(lift(15 * MM, *sides, take_up=20 * MM, pace=1.0), 5)
    assert said[0] == "Taking up slack: left lifter, 1 of about 2 strokes; right lifter, 1 of about 4 strokes."
    assert said[-2] == "Taking up slack: right lifter, 4 of about 4 strokes." and said[-1] == ""


@pytest.mark.parametrize("reseat", [15 * MM])
def test_after_a_re_set_it_is_counted_anew(reseat: float) -> None:
    """The ram's travel is spent after two strokes; packed up again it spends 15 mm before the load moves."""
    hands = operator(react=0.2, stroke=0.4, recover=0.2)
    one = lifter(collar(seat=0.2), operator=hands, travel=20 * MM)
    scenario = lift(40 * MM, one, station(collar(seat=0.2)), reset=Reset(5.0, reseat), pace=1.0, gap_limit=50 * MM)
    said = slack_said(scenario, 5)
    assert said == [f"Taking up slack: {n} of about 2 strokes." for n in (1, 2)] + [""]
