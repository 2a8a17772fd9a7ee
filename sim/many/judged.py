"""Which gap is held against the limit: one that passes or stands. One that is made on the way down is made on purpose.

A lift without stages makes none, and its largest gap is the one that is judged.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from sim.many.studied import JUDGED, MEASURES, STAGED
from sim.model.devices import EXACT
from sim.model.scenario import Scenario
from sim.record.series import Array, Flags


def judged_gap(table: pd.DataFrame) -> Array:
    """The larger of the largest passing and the largest standing gap of each lift: shape (n,) [m]."""
    return np.maximum(values_of(table, "largest_passing_gap_m"), values_of(table, "largest_standing_gap_m"))


def over_gap_limit(table: pd.DataFrame, scenario: Scenario) -> Flags:
    """Which lifts had a gap over `limits.gap`: shape (n,)."""
    return judged_gap(table) > scenario.limits.gap + EXACT


def values_of(table: pd.DataFrame, measure: str) -> Array:
    """A measure of each lift, in its own unit [m, s, N or 1]: shape (n,)."""
    return judged_gap(table) if measure == JUDGED else table[measure].to_numpy(dtype=np.float64)


def measures_of(scenario: Scenario) -> dict[str, tuple[str, str]]:
    """What is measured of such a lift: what each is called, and its dimension; gaps by their kind if it has stages."""
    return {**STAGED, **MEASURES} if scenario.stages else MEASURES


def gap_measure(scenario: Scenario) -> str:
    """The measure that is said where one gap is said of such a lift: the one that is judged."""
    return JUDGED if scenario.stages else "largest_gap_m"
