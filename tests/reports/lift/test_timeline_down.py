"""The charts of a lift that comes down again: stages, made gaps, hands in, a long stand pressed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from reports.lift.gaps import gap_figure
from reports.lift.key import kinds_in, timeline_key
from reports.lift.lanes import lanes_of
from reports.lift.pressed import pressed
from reports.lift.timeline import timeline_figure
from reports.paper.figures import finished
from reports.views.stands import PressedTime, pressed_time
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.record.record import Record
from sim.record.what import What
from tests.reports.shapes import shape

STAGED = ["down again", "down again, pinned with cribbing"]


@pytest.fixture(params=STAGED)
def record(request: pytest.FixtureRequest) -> Record:
    """A lift up and down."""
    return shape(request.param)


def trace(figure: dict[str, Any], name: str) -> dict[str, Any]:
    """The one of that name."""
    return next(t for t in figure["data"] if t.get("name") == name)


def test_the_stages_stand_along_the_top_with_their_bounds(record: Record) -> None:
    """Each from where it begins to where the next does; a line at each bound but the first."""
    figure, summary = timeline_figure(record), measure(record)
    names = next(t for t in figure["data"] if any("1. raise" in str(each) for each in t.get("customdata", ())))
    assert [each[2] for each in names["customdata"]] == [
        "1. raise to 1.00 in", "2. raise to 5.00 in", "3. hold", "4. lower to the start",
    ]  # fmt: skip
    ends = np.cumsum([stage["duration_s"] for stage in summary["stages"]])
    assert [each[1] for each in names["customdata"]] == pytest.approx(ends, abs=2e-3)
    lines = [s for s in figure["layout"]["shapes"] if s["type"] == "line"]
    assert [line["x0"] for line in lines] == pytest.approx(ends[:-1], abs=2e-3)
    assert max(names["y"]) < -0.6 and figure["layout"]["yaxis"]["range"][1] < max(names["y"])


def test_calls_down_point_down(record: Record) -> None:
    """As many as the stage has."""
    symbols = trace(timeline_figure(record), "call")["marker"]["symbol"]
    stages = measure(record)["stages"]
    assert (
        symbols
        == ["triangle-right"] * (stages[0]["calls"] + stages[1]["calls"]) + ["triangle-down"] * stages[3]["calls"]
    )


def test_every_valve_and_every_device_that_is_let_down_has_its_block(record: Record) -> None:
    """A block for each row that opens a valve; work from the word room to the word to lower makes room."""
    lanes, events = lanes_of(record), record.events
    assert sum(b.kind == "lower" for b in lanes.blocks) == int((events["what"] == What.OPENS).sum())
    rooms = list(zip(*(events.loc[events["what"] == w, "time_s"] for w in (What.ROOM, What.LOWERS)), strict=True))
    made = [b for b in lanes.blocks if b.kind == "makes"]
    assert len(made) >= 2 * len(rooms)
    assert all(any(start <= b.start and b.end <= over for start, over in rooms) for b in made)
    assert not [b for b in lanes.blocks if b.kind in ("work", "seat") and any(s < b.start < over for s, over in rooms)]


def test_hands_in_are_marked_where_the_record_has_them() -> None:
    """Pins and cribbing have dots over their blocks, in their lanes alone; collars have none."""
    lanes = lanes_of(shape(STAGED[1]))
    dots = trace(timeline_figure(shape(STAGED[1])), "hands in")
    with_hands = {lanes.lanes[b.lane].role for b in lanes.blocks if b.hands}
    assert with_hands == {"pinned", "cribbing"}
    long = sum(b - a for a, b in zip(dots["x"][::3], dots["x"][1::3], strict=True))
    assert long == pytest.approx(sum(b.end - b.start for b in lanes.blocks if b.hands), abs=0.01)
    assert not [b for b in lanes_of(shape(STAGED[0])).blocks if b.hands]


def test_no_lane_is_thick_while_its_gap_is_made(record: Record) -> None:
    """What has been let down on purpose is not caught."""
    lanes, lift = lanes_of(record), Measured(record)
    catchers = {who: place.name for place in record.scenario.places for who in place.catchers}
    for lane, start, end in lanes.caught:
        for begin, until in lift.made(lift.places[catchers[lanes.lanes[lane].name]]):
            assert end <= begin + 1e-9 or until <= start + 1e-9


def test_the_key_names_what_the_way_down_has(record: Record) -> None:
    """And a lift that only goes up is not told of it."""
    said = [name for _, name in timeline_key(kinds_in(lanes_of(record)))]
    assert {"call down", "valve open: comes down", "lets a device down: the gap is made"} <= set(said)
    only_up = [name for _, name in timeline_key(kinds_in(lanes_of(shape("trailer"))))]
    assert not [name for name in only_up if "down" in name]


def test_a_made_gap_is_hatched_and_reaches_as_high_as_the_measure(record: Record) -> None:
    """From the call down to the landing, along the line of the gap."""
    made, figure = measure(record)["largest_made_gap"], gap_figure(record)
    hatched = {t["meta"]["station"]: t for t in figure["data"] if t["meta"]["role"] == "made"}
    assert set(hatched) == {place.name for place in record.scenario.places}
    tops = {name: max(y for y in t["y"] if y is not None) for name, t in hatched.items()}
    assert max(tops.values()) == pytest.approx(made["gap_m"], abs=2e-5)
    begins = measure(record)["stages"][2]["duration_s"]
    assert all(min(x for x in t["x"] if x is not None) > begins for t in hatched.values())
    assert " made in call " in figure["layout"]["meta"]["peaks"][made["station"]]["text"]["us"]


def test_a_long_stand_takes_no_more_than_its_share_and_the_axis_says_true_times(record: Record) -> None:
    """Ten minutes in which nothing moves; what is said of it names them."""
    time, lanes = pressed_time(record), lanes_of(record)
    ((start, end, shown),) = time.stretches
    assert end - start == pytest.approx(600.0)
    figure = pressed(timeline_figure(record, lanes), time)
    assert figure["layout"]["meta"]["end"] == pytest.approx(lanes.end - 600.0 + shown)
    assert shown < 0.1 * (lanes.end - 600.0)
    assert "10 min" in time.said()
    drawn = finished(figure, "us", 1280, 500)["layout"]["xaxis"]
    for at, text in zip(drawn["tickvals"], drawn["ticktext"], strict=True):
        assert time.at(float(text.removesuffix(" s").replace(",", ""))) == pytest.approx(at)
    assert drawn["ticktext"][0] == "0 s" and 4 <= len(drawn["ticktext"]) <= 12


def test_pressing_moves_everything_alike(record: Record) -> None:
    """The mark of the largest gap and its words stay over each other; a stroke stays under its call."""
    time, gaps = pressed_time(record), pressed(gap_figure(record), pressed_time(record))
    chosen = gaps["layout"]["meta"]["station"]
    peak = next(t for t in gaps["data"] if t["meta"]["role"] == "peak" and t["meta"]["station"] == chosen)
    note = next(n for n in gaps["layout"]["meta"]["notes"] if n.get("xref") == "x")
    assert (
        note["x"]
        == pytest.approx(peak["x"][0])
        == pytest.approx(time.at(measure(record)["largest_gap"]["time_s"]), abs=1e-2)
    )
    lines = pressed(timeline_figure(record), time)
    assert gaps["layout"]["meta"]["calls"] == lines["layout"]["meta"]["calls"]
    for bars in (t for t in lines["data"] if t["type"] == "bar"):
        assert all(wide >= 0 for wide in bars["x"])
        assert (
            max(b + x for b, x in zip(bars["base"], bars["x"], strict=True)) <= lines["layout"]["meta"]["end"] + 0.002
        )


def test_a_lift_without_a_long_stand_is_not_pressed() -> None:
    """Its figure is the same object."""
    figure = timeline_figure(shape("trailer"))
    assert pressed(figure, pressed_time(shape("trailer"))) is figure
    assert pressed_time(shape("trailer")) == PressedTime() and not PressedTime().said()
