"""The story's lifts in the batch's columns: for scenarios that the batch does not cover, and to hold the two equal."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.batch.measured.results import Columns
from sim.model.scenario import Scenario
from sim.record.measured import KINDS, Measured
from sim.record.measures import measure
from sim.record.record import Record

_NAN = float("nan")


def row_of(record: Record) -> dict[str, Any]:
    """One lift's measures under the names of the batch's columns."""
    summary, lift = measure(record), Measured(record)
    same = (
        "outcome", "calls", "duration_s", "holds", "hold_time_s", "levelling_calls", "over_limit_calls", "resets",
        "largest_level_difference_m", "final_level_difference_m", "point_rise_m", "settled_rise_m", "overshoot_m",
        "passing_over_limit_s", "standing_over_limit_s", "ram_only_s", "hands_in_on_rams_alone_s",
    )  # fmt: skip
    row = {name: summary[name] for name in same}
    kinds = KINDS if record.scenario.stages else KINDS[:2]  # nothing is made where nothing comes down
    held_for = [station for _, _, station in lift.holds()]
    for place in record.scenario.places:
        row[f"waited_for_s: {place.name}"] = summary["waited_for_s"].get(place.name, 0.0)
        row[f"holds_for: {place.name}"] = held_for.count(place.name)
        station = summary["stations"].get(place.name)
        for key in (*(f"largest_{kind}_gap_m" for kind in kinds), "captures", "open_time_s", "largest_open_m"):
            row[f"{key}: {place.name}"] = station[key]
    for key in ("largest_gap", *(f"largest_{kind}_gap" for kind in kinds)):
        gap = summary[key]
        row[f"{key}_m"], row[f"{key}_station"] = gap["gap_m"], gap["station"] or ""
        row[f"{key}_call"] = -1 if gap["call"] is None else gap["call"]
        row[f"{key}_time_s"] = _NAN if gap["time_s"] is None else gap["time_s"]
    for key in ("drop_pressure_lost", "drop_lifter_lost"):
        drop = summary[f"largest_{key}"]
        row[f"{key}_m"], row[f"{key}_side"], row[f"{key}_onto"] = drop["drop_m"], drop["side"], drop["onto"] or ""
        row[f"{key}_next_m"] = drop["next_drop_m"]
        row[f"{key}_call"] = -1 if drop["call"] is None else drop["call"]
        row[f"{key}_time_s"] = _NAN if drop["time_s"] is None else drop["time_s"]
        row[f"{key}_energy_J"] = drop["energy_J"]
    for lifter in record.scenario.lifters:
        row[f"pumps: {lifter.name}"] = summary["pumps"][lifter.name]
        row[f"ram_travel_m: {lifter.name}"] = summary["ram_travel_m"][lifter.name]
        row[f"head_rise_m: {lifter.name}"] = summary["head_rise_m"][lifter.name]
    return row


def simulate_many(scenario: Scenario, seed: int, first: int, n: int) -> Columns:
    """Replications `first` to `first + n` of a seed, simulated one after another; as `simulate`."""
    from sim.story.lift import simulate

    rows = [row_of(simulate(scenario, seed, k)) for k in range(first, first + n)]
    columns = {}
    for name, value in rows[0].items():
        kind: Any = object if isinstance(value, str) else np.asarray(value).dtype
        columns[name] = np.array([row[name] for row in rows], dtype=kind)
    return columns
