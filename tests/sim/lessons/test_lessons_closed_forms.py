"""Lessons 1 and 2, the pins and the chase, against closed forms and against the same lift simulated many times."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import sim
from sim.lessons import Computed
from sim.lessons.cast import cast, fitted
from sim.lessons.taught.the_chase import growth, slowest_that_keeps_up
from sim.lessons.taught.watched import watch
from sim.model.devices import Collar, Pin
from sim.model.draw import Draw
from sim.model.scenario import Leader, Lifter, Load, Need, Operator, Scenario, Station
from sim.record.measured import Measured
from sim.story.lift import simulate, simulate_fixed
from tests.builders import lesson

MM = 1e-3


def straight(device: object, need: float, **leader: object) -> Scenario:
    """One lifter, straight up, 10 mm a stroke; one device at its head, its line upright (the design's worked lift)."""
    operator = Operator("someone", Draw(1.0), Draw(0.5), Draw(0.5))
    head, base = (0.0, 0.0, 1.0), (0.0, 0.0, 0.0)
    lifter = Lifter("ram", "left", head, base, 10.0, operator, 1.0, 10 * MM)
    station = Station("post", "left", head, base, (device,), ("post",))  # type: ignore[arg-type]
    rule = Leader(pace=2.0, look=0.25, **leader)  # type: ignore[arg-type]
    load = Load(10_000.0, "straight", (0.0, 0.0, 1.0))
    return Scenario("worked", "si", load, Need(head, need), rule, sim.load("trailer").limits, (lifter,), (station,))


@pytest.fixture(scope="module")
def pins() -> Computed:
    """Lesson 1 on the trailer."""
    return lesson("between-the-pins")


@pytest.fixture(scope="module")
def chase() -> Computed:
    """Lesson 2 on the trailer."""
    return lesson("the-chase")


# --- 1, between the pins


def test_left_over_is_a_sawtooth_from_the_slack_to_a_spacing_more(pins: Computed) -> None:
    """Mean s/2 + slack, just under s + slack at the most, variance s^2/12."""
    # renewal theory: what whole steps of s leave is uniform on [0, s); computed here
    slack = pins.facts["slack_m"]
    for case, kind, s in pins.tables["cases"][["case", "kind", "spacing_m"]].drop_duplicates().itertuples(index=False):
        if kind != "pins":
            continue
        left = pins.tables["left over"]
        left = left[left["case"] == case]
        whole = left[left["demand_m"] < np.floor(left["demand_m"].max() / s + 1e-9) * s]
        assert whole["left_m"].mean() == pytest.approx(s / 2 + slack, rel=0.005)
        assert whole["left_m"].var() == pytest.approx(s**2 / 12, rel=0.02)
        assert s + slack - 0.02 * s < whole["left_m"].max() < s + slack


def test_the_mean_left_over_that_the_lesson_says_is_half_the_spacing_and_the_slack(pins: Computed) -> None:
    """Said in the table of cases, for every spacing."""
    cases = pins.tables["cases"]
    rows = cases[cases["kind"] == "pins"]
    assert len(set(rows["spacing_m"])) >= 4
    for s, mean in rows[["spacing_m", "mean_left_m"]].itertuples(index=False):
        assert mean == pytest.approx(s / 2 + pins.facts["slack_m"], rel=0.005)


def test_simulated_with_the_first_hole_anywhere_what_stands_open_is_uniform() -> None:
    """Forty lifts whose hole row begins anywhere: the residuals at the stops have mean s/2 and variance s^2/12."""
    # renewal theory; the first hole is stepped evenly through one spacing, so that the mean is met to a grid step;
    # stops up to the need only: whether there is one more call depends on what is left
    s, n, left = 30 * MM, 40, []
    for k in range(n):
        pin = Pin("pins", s, Draw(0.1), first_hole=s * (k + 0.5) / n)
        seen = watch(simulate_fixed(straight(pin, 95 * MM, gap_limit=1.0)), "post").tables["gap"]
        stops = seen[seen["standing"] & seen["rise_m"].between(s, 95 * MM)].groupby(seen["rise_m"].round(6)).last()
        left += stops["gap_m"].tolist()
    assert np.mean(left) == pytest.approx(s / 2, abs=0.02 * s)
    assert np.var(left) == pytest.approx(s**2 / 12, rel=0.03)
    assert max(left) < s


def test_simulated_many_times_the_standing_gap_never_leaves_its_bounds() -> None:
    """The trailer with pins, thirty crews: standing gaps lie from 0 to a spacing and the slack, and fill the range."""
    actors = cast(sim.load("trailer"))
    pin = replace(actors.pin, spacing=0.0254)
    stood = []
    for k in range(30):
        seen = watch(simulate(fitted(actors.scenario, pin), seed=1, replication=k), actors.station.name).tables["gap"]
        stops = seen[seen["standing"] & (seen["rise_m"] > 0.05)].drop_duplicates("rise_m", keep="last")
        stood += stops["gap_m"].tolist()
    slack = actors.station.slack
    assert min(stood) >= slack - 1e-9
    assert max(stood) < 0.0254 + slack
    # n stops of one lift depend on each other: a rough mean is all that can be argued
    assert np.mean(stood) == pytest.approx(0.0254 / 2 + slack, abs=0.0254 / 8)


def test_standing_gap_and_time_open_are_apart(pins: Computed) -> None:
    """A pin that is out shows as seconds in a table of its own, and no gap says so."""
    cases = pins.tables["cases"]
    swap = pins.facts["swap_s"]
    for row in cases[cases["kind"] == "pins"].itertuples():
        assert row.out_s / swap == pytest.approx(round(row.out_s / swap))
    assert (cases.loc[cases["kind"] != "pins", "out_s"] == 0).all()
    assert "out_s" not in pins.tables["gap"].columns
    assert "gap_m" not in pins.tables["pin out"].columns


def test_the_tables_of_a_case_say_what_the_measures_of_that_lift_say(pins: Computed) -> None:
    """Largest gaps and the drop, read the other way round."""
    actors = cast(sim.load("trailer"))
    measured = sim.measure(simulate_fixed(fitted(actors.scenario, replace(actors.pin, first_hole=None))))
    cases = pins.tables["cases"]
    mine = (cases["kind"] == "pins") & (cases["spacing_m"] == actors.pin.spacing)
    row = cases[mine & (cases["strokes"] == actors.scenario.leader.strokes)].iloc[0]
    station = measured["stations"][actors.station.name]
    assert row["largest_standing_m"] == pytest.approx(station["largest_standing_gap_m"])
    assert row["largest_passing_m"] == pytest.approx(station["largest_passing_gap_m"])
    assert row["largest_drop_m"] == pytest.approx(measured["largest_drop_lifter_lost"]["drop_m"])
    assert row["out_s"] == pytest.approx(station["open_time_s"])


# --- 2, the chase


@pytest.mark.parametrize("turns", [0.5, 1.0, 1.5, 2.0])
def test_below_its_pace_the_chase_falls_behind_by_gain_less_climb_times_period(turns: float) -> None:
    """10 mm a call every 2 s, 2 mm a turn: the gap grows by 10 - 2 x turns x 2 mm, call by call."""
    # closed form, computed here: a collar that never stops turning climbs lead x turns x period between two calls
    collar = Collar("thread", 2 * MM, Draw(turns), Draw(0.25), Draw(0.5))
    measured = Measured(simulate_fixed(straight(collar, 200 * MM, rule="keep-pace")))
    at_calls = measured.places["post"].gap().just_after(measured.call_times)
    grows = growth(10 * MM, 2 * MM * turns, 2.0)
    assert grows == pytest.approx((10 - 4 * turns) * MM)
    assert np.diff(at_calls)[2:] == pytest.approx(grows, abs=1e-9)


@pytest.mark.parametrize("turns", [3.0, 4.0])
def test_above_its_pace_the_gap_stays_bounded(turns: float) -> None:
    """From gain / climb on the collar keeps up: the gap at the calls does not grow."""
    collar = Collar("thread", 2 * MM, Draw(turns), Draw(0.25), Draw(0.5))
    assert slowest_that_keeps_up(10 * MM, 2 * MM * turns) < 2.0
    measured = Measured(simulate_fixed(straight(collar, 300 * MM, rule="keep-pace")))
    at_calls = measured.places["post"].gap().just_after(measured.call_times)
    assert at_calls.max() < 10 * MM


def test_the_lesson_says_of_the_trailer_what_its_lifts_do(chase: Computed) -> None:
    """Growth a call by the formula and in the simulated lifts, within what the strut's lean changes."""
    calls = chase.tables["at calls"]
    runs = chase.tables["runs"]
    slow = runs[(runs["rule"] == "keep-pace") & (runs["factor"] >= 4)]
    assert len(slow) > 4
    for run in slow.itertuples():
        own = calls[(calls["factor"] == run.factor) & (calls["pace_s"] == run.pace_s) & (calls["rule"] == run.rule)]
        late = own["gap_m"].to_numpy()[4:]
        assert np.diff(late).mean() == pytest.approx(run.grows_m, abs=0.05 * chase.facts["gained_m"])


def test_stopping_until_caught_bounds_the_gap_by_the_limit_and_one_call(chase: Computed) -> None:
    """However slow the catcher; and it never takes less time than keeping the pace."""
    runs = chase.tables["runs"].set_index(["factor", "pace_s", "rule"])
    held = runs.xs("stop-until-caught", level="rule")
    kept = runs.xs("keep-pace", level="rule")
    most = chase.facts["limit_m"] + 1.1 * chase.facts["gained_m"]
    assert (held["largest_slow_gap_m"] <= most).all()
    assert (held["largest_slow_gap_m"] <= kept["largest_slow_gap_m"] + 1e-9).all()
    assert (held["over_limit_calls"] == 0).all()
