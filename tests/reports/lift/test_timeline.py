"""The timeline and the gap chart hold what the record holds, and nothing in them overlaps."""

from __future__ import annotations

import itertools

import numpy as np
import plotly.graph_objects as go
import pytest

from reports.lift.gaps import chosen, gap_figure, open_stretches, points
from reports.lift.lanes import lanes_of
from reports.lift.tables import call_rows
from reports.lift.timeline import KINDS, LANE_PX, height, timeline_figure
from reports.paper.figures import NARROW, finished
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.record.record import Record
from sim.story.lift import simulate_fixed
from tests.builders import MM, collar, lift, lifter
from tests.reports.shapes import SHAPES, shape


@pytest.fixture(params=SHAPES)
def record(request: pytest.FixtureRequest) -> Record:
    """Each of the shapes."""
    return shape(request.param)


def test_the_worked_lift_block_by_block() -> None:
    """The lift worked in design.md, part 3: who does what from when to when."""
    simulated = lanes_of(simulate_fixed(lift(15 * MM, lifter(collar()), strokes=1)))
    blocks = [(simulated.lanes[b.lane].role, b.kind, b.start, b.end) for b in simulated.blocks if b.call == 1]
    operator, catcher = "at the pump", "collar"
    assert blocks == [
        (operator, "react", 0.0, 0.5),
        (operator, "stroke", 0.5, 1.5),
        (operator, "recover", 1.5, 2.0),
        (catcher, "react", 0.5, 0.75),
        (catcher, "work", 0.75, 3.25),
        (catcher, "seat", 3.25, 3.75),
    ]
    assert [time for time, _ in simulated.calls] == [0.0, 4.0]
    assert [(h.start, h.end) for h in simulated.holds] == [(2.0, 4.0)]
    assert [(start, end) for _, start, end in simulated.caught] == [(0.0, 0.5), (3.75, 4.5)]
    assert [b.what for b in simulated.blocks if b.lane == 0] == [
        f"waits until the last is caught: {simulated.holds[0].station}"
    ]


def test_nobody_does_two_things_at_once(record: Record) -> None:
    """The blocks of one lane follow each other."""
    simulated = lanes_of(record)
    for lane in range(1, len(simulated.lanes)):
        own = sorted((b.start, b.end) for b in simulated.blocks if b.lane == lane)
        assert all(before[1] <= after[0] + 1e-9 for before, after in itertools.pairwise(own))
        assert all(0 <= start < end <= simulated.end for start, end in own)


def test_strokes_calls_and_holds_are_those_of_the_summary(record: Record) -> None:
    """A stroke that the loss of a lifter cut short is a block as well."""
    simulated, summary = lanes_of(record), measure(record)
    assert sum(b.kind == "stroke" for b in simulated.blocks) == sum(summary["pumps"].values())
    assert len(simulated.calls) == summary["calls"]
    assert sum(h.end - h.start for h in simulated.holds) == pytest.approx(summary["hold_time_s"])
    people = {w for place in record.scenario.places for w in place.catchers} | {x.name for x in record.scenario.lifters}
    assert {lane.name for lane in simulated.lanes} == people | {"leader"}


def test_open_blocks_last_as_long_as_the_stations_were_open(record: Record) -> None:
    """What is hatched in the gap chart adds up to the measure."""
    summary, lift_ = measure(record), Measured(record)
    for name, place in lift_.places.items():
        hatched = sum(end - start for start, end in open_stretches(place))
        assert hatched == pytest.approx(summary["stations"][name]["open_time_s"])


def test_the_lines_of_the_gap_chart_are_those_of_the_record(record: Record) -> None:
    """Points left out are on the line; within a hundredth of a millimetre."""
    lift_ = Measured(record)
    times = np.random.default_rng(5).uniform(0.0, lift_.end, 400)
    for place in lift_.places.values():
        for series in (place.demand, place.captured, place.gap()):
            x, y = points(series, lift_.end)
            away = (
                np.min(np.abs(times[:, None] - series.time[None, :]), axis=1) > 0.002
            )  # a jump is shown to the millisecond
            simulated = series.just_after(times[away])
            rate = float(np.max(np.abs(np.diff(y) / np.maximum(np.diff(x), 1e-3)), initial=0.0))
            assert np.allclose(np.interp(times[away], x, y), simulated, atol=2e-5 + 0.001 * min(rate, 0.1))
            assert x == sorted(x) and x[-1] == pytest.approx(lift_.end, abs=1e-3)


def test_the_largest_gap_drawn_is_the_measure(record: Record) -> None:
    """The diamond of the station with the largest gap stands where the summary says."""
    gap = measure(record)["largest_gap"]
    peaks = {t["meta"]["station"]: t for t in gap_figure(record)["data"] if t["meta"]["role"] == "peak"}
    if gap["station"] is None:
        assert not peaks
        return
    assert peaks[gap["station"]]["y"][0] == gap["gap_m"]
    assert peaks[gap["station"]]["x"][0] == pytest.approx(gap["time_s"], abs=1e-3)
    assert gap_figure(record)["layout"]["meta"]["station"] == gap["station"]


def test_one_station_is_chosen_and_the_others_stay_behind() -> None:
    """All lines of the chosen one, of the others only a faint gap."""
    figure = chosen(gap_figure(shape("trailer")), "left strut")
    shown = [
        (t["meta"]["station"], t["meta"]["role"]) for t in figure["data"] if "station" in t["meta"] and t["visible"]
    ]
    assert [role for station, role in shown if station == "left strut"] == ["captured", "demand", "gap", "peak"]
    assert {role for station, role in shown if station != "left strut"} == {"gap"}


@pytest.mark.parametrize("units", ["us", "si"])
@pytest.mark.parametrize("width", [390, 1024, 1920])
def test_plotly_knows_every_key_of_the_figures(record: Record, width: int, units: str) -> None:
    """The plain dicts are figures: plotly's own checks find nothing wrong."""
    for figure in (timeline_figure(record), gap_figure(record)):
        go.Figure(finished(figure, units, width, 600))  # type: ignore[arg-type]


def test_lengths_are_shown_in_inches_or_millimetres() -> None:
    """One and the same line, 25.4 times as many millimetres as inches."""
    figure = gap_figure(shape("trailer"))
    us, si = (finished(figure, units, 1024, 430) for units in ("us", "si"))  # type: ignore[arg-type]
    for a, b in zip(us["data"], si["data"], strict=True):
        assert np.allclose(np.array(a["y"], dtype=float) * 25.4, np.array(b["y"], dtype=float), equal_nan=True)
    assert us["layout"]["yaxis2"]["ticksuffix"] == " in" and si["layout"]["yaxis2"]["ticksuffix"] == " mm"
    assert us["layout"]["yaxis2"]["range"][1] * 25.4 == pytest.approx(si["layout"]["yaxis2"]["range"][1])


@pytest.mark.parametrize("width", [390, 1024, 1920])
def test_the_numbers_of_the_calls_do_not_overlap(record: Record, width: int) -> None:
    """However many calls there are, and no text is under 9 px."""
    figure = finished(timeline_figure(record), "us", width, 600)
    first, last = figure["layout"]["xaxis"]["range"]
    margin = figure["layout"]["margin"]
    a_second = (width - margin["l"] - margin["r"]) / (last - first)
    numbers = next((t for t in figure["data"] if t.get("mode") == "text"), None)
    if numbers is None:
        return
    shown = [
        (x * a_second, len(text) * 0.6 * 12) for x, text in zip(numbers["x"], numbers["text"], strict=True) if text
    ]
    assert shown
    assert all(x + wide < after for (x, wide), (after, _) in itertools.pairwise(shown))
    sizes = [t["textfont"]["size"] for t in figure["data"] if "textfont" in t]
    assert min([*sizes, *(a["font"]["size"] for a in figure["layout"]["annotations"])], default=12) >= 9


def test_the_timeline_grows_with_its_lanes() -> None:
    """Each lane keeps its height, on a phone a larger one, for its name stands above it."""
    for width, room in ((390, "narrow"), (1024, "wide")):
        assert height(17, width) - height(7, width) == 10 * LANE_PX[room]
    assert NARROW == 640
    assert all(0 < high < 0.7 for _, high, _ in KINDS.values())


def test_the_table_has_the_largest_gap_of_the_lift(record: Record) -> None:
    """Call by call; the largest of all calls is the measure."""
    rows, summary = call_rows(record), measure(record)
    assert [row.call for row in rows if row.call] == list(range(1, summary["calls"] + 1))
    largest = max((row.largest[0] for row in rows if row.call), default=0.0)
    assert largest == pytest.approx(summary["largest_gap"]["gap_m"], abs=1e-9)
    assert sum(row.hold or 0.0 for row in rows) == pytest.approx(summary["hold_time_s"])
