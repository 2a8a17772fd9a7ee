"""All at once of what is assumed, worked by hand from answers that are written down here instead of simulated."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd
import pytest

from sim.examples import example
from sim.many.doubt import doubt_of, plan_of
from sim.model.scenario import Scenario
from sim.written.reading import parse, with_values
from tests.builders import MM

TURNS, RECOVER, TAKE_UP = "device.threaded.turns", "operator.steady.recover", "load.take_up"
ENDS = {TURNS: ("0.12 /s", "0.27 /s"), RECOVER: ("0.4 s", "0.9 s"), TAKE_UP: ("0.25 in", "0.9 in")}
# seconds the lift takes, and its largest gap in mm
AS_WRITTEN = (100, 10)
AT = {TURNS: ((120, 12), (90, 9)), RECOVER: ((95, 10), (110, 10)), TAKE_UP: ((100, 10), (100, 10))}


def rows(seconds: float, gap_mm: float) -> pd.DataFrame:
    """Two replications that took so long, with so large a gap, and nothing amiss."""
    gap = gap_mm * MM
    row = {
        "duration_s": float(seconds), "largest_gap_m": gap, "largest_passing_gap_m": gap,
        "largest_standing_gap_m": gap, "drop_lifter_lost_m": gap,
        "drop_pressure_lost_m": gap, "over_limit_calls": 0, "outcome": "raised",
    }  # fmt: skip
    return pd.DataFrame([row, row])


def assumed() -> Scenario:
    """The trailer with these three marked."""
    lines = [f'"{path}" = ["{low}", "{high}"]' for path, (low, high) in ENDS.items()]
    return parse("\n".join([example("trailer"), "[assumed]", *lines, ""]), "trailer")


def test_all_at_once_names_no_value_that_makes_no_difference_to_the_answer() -> None:
    """Slower turning takes 20 s more, longer recovering 10 s; the take-up changes nothing, and stays as written.

    Of the three only the turning changes the gap: its ends are simulated alone, so nothing more is for the gaps.
    """
    scenario, simulated = assumed(), {}

    def simulate(ways: Mapping[str, tuple[Scenario, int]]) -> dict[str, pd.DataFrame]:
        simulated.update(ways)
        return {"slowest": rows(135, 12), "fastest": rows(84, 9)}

    ends = {
        f"{end}: {path}": rows(*at) for path, both in AT.items() for end, at in zip(("low", "high"), both, strict=True)
    }
    found = doubt_of(plan_of(scenario, 2, 0, crew_sd=0.0), rows(*AS_WRITTEN), ends, simulate)
    assert {each.what: each.ends for each in found.at_once} == {
        "slowest": {TURNS: "0.12 /s", RECOVER: "0.9 s"},
        "fastest": {TURNS: "0.27 /s", RECOVER: "0.4 s"},
    }
    assert found.not_at_once == ""
    assert set(simulated) == {"slowest", "fastest"} and {n for _, n in simulated.values()} == {2}
    slowest = with_values(scenario, {TURNS: "0.12 /s", RECOVER: "0.9 s"})
    assert simulated["slowest"][0].lifters == slowest.lifters and simulated["slowest"][0].load == scenario.load
    assert found.over_assumed("duration_s") == (84, 135)
    assert found.over_assumed("largest_gap_m") == pytest.approx((9 * MM, 12 * MM))
