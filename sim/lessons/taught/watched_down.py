"""The way down as one of its stations sees it: where its line is, what its device holds, and what lies between."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sim.lessons.taught.watched import StationSeen, drops, line_and_hold
from sim.model.errors import Problem, ScenarioError
from sim.model.scenario import Scenario, Stage
from sim.record.gaps import hands_in_on_rams_alone
from sim.record.measured import Measured
from sim.record.measures import calls_and_holds
from sim.record.record import Record
from sim.record.stages import stage_records
from sim.record.what import Outcome
from sim.story.lift import simulate_fixed
from sim.written.stages import stage_problems

STANDS = 60.0  # on its captures, before it comes down [s]
MOST_CALLS = 2000  # of the whole lift: small steps make many


def come_down(scenario: Scenario, step: float, lowering: Stage | None = None) -> Record:
    """The lift raised to its need, stood on what holds it, and let down again; everyone at mean times.

    Parameters
    ----------
    scenario : Scenario
        With the devices that it is to come down with; its stages are left out.
    step : float
        How far a device is let down in one call [m].
    lowering : Stage, optional
        Whose other keys of the leader hold on the way down.

    Raises
    ------
    ScenarioError
        Nothing can hold a side while the rams carry nothing, or the load cannot be brought down.
    """
    led = {**(lowering.leader if lowering else {}), "step": step}
    stages = (Stage("raise", scenario.need.rise), Stage("hold", time=STANDS), Stage("lower", leader=led))
    leader = replace(scenario.leader, max_calls=max(MOST_CALLS, scenario.leader.max_calls))
    there = replace(scenario, stages=stages, leader=leader)
    if problems := stage_problems(there):
        raise ScenarioError(problems)
    record = simulate_fixed(there)
    if record.outcome != Outcome.LOWERED:
        what = f"the load is not brought down: {record.reason}"
        raise ScenarioError([Problem("lift", what, 'run it with a [[stage]] that has do = "lower", and see why')])
    return record


def watch_down(record: Record, station: str) -> StationSeen:
    """Line, hold and drop of one station through the last stage of a lift; times count from where that begins."""
    measured = Measured(stage_records(record)[-1])
    place, began = measured.places[station], float(measured.instants[0])
    drop = drops(measured, station)
    drop["time_s"] -= began
    counted = calls_and_holds(measured)
    facts = {
        "calls": counted["calls"],
        "pumps": sum(counted["pumps"].values()),
        "duration_s": measured.end - began,
        "made_m": measured.largest_gap(place, "made").value,
        "out_s": float(np.diff(place.time)[place.open[:-1]].sum()),
        "hands_s": hands_in_on_rams_alone(measured),
        "largest_drop_m": float(drop["drop_m"].max()),
    }
    return StationSeen({"way": line_and_hold(place, began), "drop": drop}, facts)
