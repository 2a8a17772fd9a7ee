"""Drills against the plan: where each measure lies among the lifts of the plan's crew; whether drills get better."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sim.drill.drilled import Drill
from sim.many.statistics import CONFIDENCE, Estimate
from sim.many.studied import MEASURES
from sim.many.study import study
from sim.model.scenario import Scenario

PREDICTED = 1000  # replications of the plan
FEW_DRILLS = 4  # under this nothing is said of a trend
_OF_SUMMARY = {
    "largest_gap_m": ("largest_gap", "gap_m"),
    "largest_passing_gap_m": ("largest_passing_gap", "gap_m"),
    "largest_standing_gap_m": ("largest_standing_gap", "gap_m"),
    "drop_lifter_lost_m": ("largest_drop_lifter_lost", "drop_m"),
    "drop_pressure_lost_m": ("largest_drop_pressure_lost", "drop_m"),
}
TREND = ("duration_s", "hold_time_s", "largest_gap_m", "over_limit_calls", "drop_lifter_lost_m")


@dataclass(frozen=True, slots=True)
class Predicted:
    """One measure: what the plan's crew would do, and where each drill lies in it."""

    key: str
    name: str
    dimension: str  # "length", "time" or "count"
    low: float  # the 5 % quantile of the plan,
    median: float
    high: float  # and the 95 % one
    drills: tuple[float, ...]
    below: tuple[float, ...]  # share of the plan's lifts that came to less, half of those that came to the same

    def as_json(self) -> dict[str, Any]:
        """For machines to read."""
        return {
            "measure": self.key, "plan_5": self.low, "plan_50": self.median, "plan_95": self.high,
            "drills": list(self.drills), "share_of_plan_below": list(self.below),
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Trend:
    """How one measure changes from drill to drill: a straight line through them."""

    key: str
    name: str
    dimension: str
    change: Estimate  # from one drill to the next

    def as_json(self) -> dict[str, Any]:
        """For machines to read."""
        e = self.change
        return {"measure": self.key, "change_per_drill": e.value, "interval": [e.low, e.high]}


def value_of(summary: dict[str, Any], key: str) -> float:
    """A number of a study as a lift's summary has it, in the unit that its name ends in."""
    if key in _OF_SUMMARY:
        outer, inner = _OF_SUMMARY[key]
        return float(summary[outer][inner])
    return float(summary[key])


def against(scenario: Scenario, drills: Sequence[Drill], seed: int = 0, n: int = PREDICTED) -> list[Predicted]:
    """Each measure of each drill among what the plan's crew would do, over `n` lifts of it."""
    table = study(replace(scenario, mishaps=()), n, seed, helps=False, workers=1).table
    found = []
    for key, (name, dimension) in MEASURES.items():
        if key not in table or (key not in _OF_SUMMARY and key not in drills[0].summary):
            continue
        plan = table[key].to_numpy(dtype=np.float64)
        plan = plan[np.isfinite(plan)]
        values = tuple(value_of(d.summary, key) for d in drills)
        if not len(plan) or (not np.any(plan) and not any(values)):
            continue
        low, median, high = (float(q) for q in np.quantile(plan, (0.05, 0.5, 0.95)))
        found.append(Predicted(key, name, dimension, low, median, high, values, tuple(_share(plan, v) for v in values)))
    return found


def _share(plan: Any, value: float) -> float:
    near = 1e-6 * max(1.0, abs(value))
    same = np.abs(plan - value) <= near
    return float(np.mean((plan < value) & ~same) + np.mean(same) / 2)


def trends(drills: Sequence[Drill]) -> list[Trend]:
    """Whether the drills, in the order given, get better: a line through each measure, with Student's interval."""
    from scipy.stats import linregress, t

    n = len(drills)
    if n < FEW_DRILLS:
        return []
    wide = float(t.ppf((1 + CONFIDENCE) / 2, n - 2))
    found = []
    for key in TREND:
        values = np.array([value_of(d.summary, key) for d in drills])
        line = linregress(np.arange(n), values)
        slope, error = float(line.slope), float(line.stderr) if np.ptp(values) > 0 else 0.0
        name, dimension = MEASURES[key]
        found.append(Trend(key, name, dimension, Estimate(slope, slope - wide * error, slope + wide * error)))
    return found
