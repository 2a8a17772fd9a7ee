"""The page's script and Python say the same of one record, at every instant: `drawing_record.js`, `series.py`.

The script interpolates, counts and rounds for itself, because it is asked sixty times a second with no Python beside
it. Here both are asked, and a change to either alone fails.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.paper.svg_paper import spread
from reports.views import drawing
from sim.model.devices import EXACT
from sim.model.units import show, show_up
from sim.record.columns import as_table
from sim.record.measured import Measured, during
from sim.record.series import Array, Series
from sim.rehearsal.foretold import LOSSES
from tests.reports.drawn import Opened
from tests.reports.shapes import shape
from tests.reports.views.mirrored import INCH, LIFTS, instants, mirrored

pytestmark = pytest.mark.browser
NEAR = {"rel": 1e-9, "abs": 1e-12}
STATES = """given => {
  const {geometry, rows, falls, times} = JSON.parse(given);
  const record = new LiftRecord(geometry);
  record.add(liftRows(rows));
  record.add(liftRows(falls));
  return JSON.stringify(times.map((time) => record.at(time)));
}"""
LENGTHS_WRITTEN = """lengths => {
  const {geometry} = document.querySelector(".lift-drawing").liftDrawing;
  return ["us", "si"].map((units) => new LiftFigures(geometry, units))
    .map((figures) => lengths.map((metres) => [figures.length(metres), figures.up(metres)]));
}"""


@pytest.fixture(scope="module")
def page(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """A page with a drawing, for whatever needs no lift of its own."""
    opened = Opened(browser, shape("one station"), tmp_path_factory.mktemp("any"))
    yield opened.page
    opened.page.close()


@pytest.mark.parametrize("name", LIFTS)
def test_the_script_and_python_are_at_the_same_place_at_every_instant(page: Any, name: str) -> None:
    """Sides, demands, captures, gaps, what is over its limit, flags, calls, and where a side would come down to."""
    record = mirrored(name)
    times = instants(record)
    falls = drawing.falls(record)
    data = {"geometry": drawing.geometry_of(record), "rows": drawing.rows(record), "falls": falls}
    states = json.loads(page.evaluate(STATES, json.dumps({**data, "times": times.tolist()})))
    lift = Measured(record)
    for n, lifter in enumerate(record.scenario.lifters):
        u = lift.sides[lifter.name].just_after(times)
        assert [state["u"][n] for state in states] == pytest.approx(u, **NEAR), lifter.name
        for loss in LOSSES:
            there = [state["falls"][n][loss] for state in states]
            falls_alike(there, drop_lines(falls, lifter.name, loss), times, u, record.scenario.limits.drop)
    for n, where in enumerate(record.scenario.places):
        places_alike([state["places"][n] for state in states], lift, where.name, times)
    assert [state["call"] for state in states] == [lift.call_at(time) for time in times]


def places_alike(there: list[dict[str, Any]], lift: Measured, name: str, times: Array) -> None:
    """What the script has of one place, and what Python has."""
    place = lift.places[name]
    gap = np.maximum(0.0, place.gap().just_after(times))
    for key, series in (("demand", place.demand), ("captured", place.captured)):
        assert [now[key] for now in there] == pytest.approx(series.just_after(times), **NEAR), (name, key)
    assert [now["gap"] for now in there] == pytest.approx(gap, **NEAR), name
    limit = lift.scenario.leader.gap_limit + EXACT
    clear = np.abs(gap - limit) > 1e-13  # on the edge itself the last digit decides
    assert clear.mean() > 0.9
    over = np.array([now["over"] for now in there])
    made = during(lift.made(place), times)  # on purpose: never over the limit
    assert [bool(now["made"]) for now in there] == made.tolist(), name
    assert (over == ((gap > limit) & ~made))[clear].all(), name
    for key in ("open", "caught"):
        assert [now[key] for now in there] == place.flag_after(getattr(place, key), times).tolist(), (name, key)
    events = as_table(lift.columns)
    own = events[events["station"] == name]
    hands = own["hands"].to_numpy(dtype=bool)[np.searchsorted(own["time_s"], times, side="right").clip(1) - 1]
    assert [now["hands"] for now in there] == hands.tolist(), name


def drop_lines(falls: dict[str, list[Any]], side: str, loss: str) -> dict[str, Any]:
    """Those rows of all that are of one side and one loss, as columns."""
    mine = [n for n in range(len(falls["side"])) if (falls["side"][n], falls["loss"][n]) == (side, loss)]
    return {key: np.array([values[n] for n in mine]) for key, values in falls.items()}


def falls_alike(there: list[dict[str, Any]], own: dict[str, Any], times: Array, u: Array, limit: float) -> None:
    """Where the script would let a side come down to, and where the lines that it is given do."""
    stop = Series(own["time_s"], own["stop_before_u"], own["stop_u"]).just_after(times)
    drop = Series(own["time_s"], own["drop_before_m"], own["drop_m"]).just_after(times)
    assert [fall["u"] for fall in there] == pytest.approx(np.minimum(u, stop), **NEAR)
    assert [fall["drop"] for fall in there] == pytest.approx(np.maximum(0.0, drop), **NEAR)
    onto = own["onto"][np.searchsorted(own["time_s"], times, side="right").clip(1) - 1]
    assert [fall["onto"] for fall in there] == onto.tolist()
    assert [fall["over"] for fall in there] == (drop > limit + EXACT).tolist()


def test_the_lifts_have_what_the_script_may_meet() -> None:
    """Or else the test above would pass over a part of it."""
    records = [mirrored(name) for name in LIFTS]
    scenarios = [record.scenario for record in records]
    assert {s.load.motion for s in scenarios} == {"hinged", "straight"} and {s.units for s in scenarios} == {"us", "si"}
    assert {x.side for s in scenarios for x in s.places} == {"left", "right", "both"}
    assert {record.outcome for record in records} >= {"raised", "dropped", "stopped"}
    assert any(s.lifters[0].side == "right" for s in scenarios) and any(len(s.lifters) == 1 for s in scenarios)
    for flag in ("open", "hands", "caught"):
        assert sum(record.events[flag].fillna(value=False).any() for record in records) >= 3, flag
    falls = [drawing.falls(record) for record in records]
    assert any(down > s.limits.drop for s, fall in zip(scenarios, falls, strict=True) for down in fall["drop_m"])
    assert any(None in fall["onto"] for fall in falls) and any("pile" in fall["onto"] for fall in falls)


LENGTHS = st.floats(-2.0, 2.0) | st.floats(-50.0, 50.0) | st.integers(-64_000, 64_000).map(lambda n: n * INCH / 32)
LENGTHS |= st.integers(-80_000, 80_000).map(lambda n: n / 40_000)  # quarters of a tenth of a millimetre


@settings(max_examples=20)
@given(st.lists(LENGTHS, min_size=100, max_size=100))
def test_the_script_writes_lengths_as_python_does(page: Any, lengths: list[float]) -> None:
    """To the nearest, or up, in both systems: eighths of an inch between two figures, thousands, and never -0."""
    for units, there in zip(("us", "si"), page.evaluate(LENGTHS_WRITTEN, lengths), strict=True):
        assert there == [[show(x, "length", units), show_up(x, "length", units)] for x in lengths]


def test_half_of_a_hundredth_and_a_thousand_are_written_as_python_does(page: Any) -> None:
    """Two that the script once wrote otherwise: an eighth of an inch goes to the even figure, a metre has a comma."""
    us, si = page.evaluate(LENGTHS_WRITTEN, [INCH / 8, 1.0])
    assert (us, si) == ([["0.12 in", "0.13 in"], ["39.37 in", "39.38 in"]], [["3.2 mm"] * 2, ["1,000.0 mm"] * 2])


@settings(max_examples=20)
@given(st.lists(st.floats(0.0, 5000.0) | st.integers(0, 20_000).map(lambda n: n / 4), min_size=100, max_size=100))
def test_the_script_writes_times_as_python_does(page: Any, times: list[float]) -> None:
    """To the tenth of a second; a quarter of one goes to the even tenth."""
    assert page.evaluate("times => times.map(LiftFigures.time)", times) == [f"{time:.1f} s" for time in times]


@settings(max_examples=20)
@given(st.lists(st.tuples(st.lists(st.floats(0.0, 1000.0), min_size=1, max_size=30), st.floats(5.0, 30.0)), min_size=9))
def test_the_script_spreads_tags_as_python_does(page: Any, rows: list[tuple[list[float], float]]) -> None:
    """Side by side, as near as can be to what each belongs to."""
    asked = [[sorted(wanted), 12.0, 988.0, apart] for wanted, apart in rows]
    for (wanted, low, high, apart), there in zip(
        asked, page.evaluate("rows => rows.map((row) => liftSpread(...row))", asked), strict=True
    ):
        assert there == pytest.approx(spread(wanted, low, high, apart), rel=1e-9)
