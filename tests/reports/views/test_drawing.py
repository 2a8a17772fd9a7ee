"""What the drawing is given, and the picture that stands still."""

from __future__ import annotations

import json
import math
import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import numpy as np
import pytest

from reports.views import drawing, still
from reports.views import shape as drawing_shape
from sim.model.devices import EXACT
from sim.model.motion import motion_of
from sim.record.drops import drops_of
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.record.series import Series
from tests.reports.shapes import SHAPES, shape
from tests.reports.views.mirrored import LIFTS

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("name", SHAPES)
def test_what_the_page_is_given_is_plain_json(name):
    """No NaN, no numpy, no machine's own numbers: it goes through JSON and comes back the same."""
    record = shape(name)
    data = {"geometry": drawing.geometry_of(record), "rows": drawing.rows(record), "falls": drawing.falls(record)}
    again = json.loads(json.dumps(data, allow_nan=False))
    assert again["rows"] == data["rows"] and again["falls"] == data["falls"]
    assert len({len(column) for column in data["rows"].values()}) == 1
    assert len(data["rows"]["time_s"]) == len(record.events)


@pytest.mark.parametrize("name", SHAPES)
def test_the_drops_given_are_those_measured(name):
    """The largest drop among the rows of a loss is the measure's; between the rows given it runs as the record does."""
    record = shape(name)
    given, summary, lift = drawing.falls(record), measure(record), Measured(record)
    for loss, key, holds in (("pressure", "pressure_lost", True), ("lifter", "lifter_lost", False)):
        own = [n for n, each in enumerate(given["loss"]) if each == loss]
        largest = max(max(given["drop_m"][n], given["drop_before_m"][n]) for n in own)
        assert largest == pytest.approx(summary[f"largest_drop_{key}"]["drop_m"], abs=1e-6)
        for lifter in record.scenario.lifters:
            mine = [n for n in own if given["side"][n] == lifter.name]
            side = drops_of(lift, lifter, holds)
            times, stop, wanted = side.first.times, side.first.stop, side.first.drop
            once = times[::2]
            between = once[:-1] + np.diff(once) / 2
            for keys, whole in ((("drop_before_m", "drop_m"), wanted), (("stop_before_u", "stop_u"), stop)):
                line = Series(*(np.array([given[key][n] for n in mine]) for key in ("time_s", *keys)))
                exact = Series(once, np.maximum(0.0, whole[::2]), np.maximum(0.0, whole[1::2]))
                assert line.just_after(between) == pytest.approx(exact.just_after(between), abs=3e-7)
                rows = np.abs(line.time[:, None] - once).argmin(axis=1)
                assert line.time == pytest.approx(once[rows], abs=1e-10)
                assert line.before == pytest.approx(exact.before[rows], abs=1e-10)
                assert line.after == pytest.approx(exact.after[rows], abs=1e-10)


@pytest.mark.parametrize("name", [*LIFTS, *SHAPES])
def test_no_gap_is_over_its_limit_on_the_page_alone(name):
    """What the page is given is rounded by less than what counts as the same: a gap of just the limit stays one."""
    record = LIFTS[name]() if name in LIFTS else shape(name)
    given, events = drawing.rows(record), record.events
    limit = record.scenario.leader.gap_limit + EXACT
    for captured in ("captured_before_m", "captured_m"):
        there = np.array(given["demand_m"], dtype=float) - np.array(given[captured], dtype=float)
        here = events["demand_m"].to_numpy() - events[captured].to_numpy()
        assert there == pytest.approx(here, abs=1.01e-10, nan_ok=True)
        assert (there > limit).tolist() == (here > limit).tolist()


@pytest.mark.parametrize("name", SHAPES)
def test_the_body_holds_the_heads_that_carry_it(name):
    """The invented underside goes through every lifter's head, and everything drawn lies within the extent."""
    scenario = shape(name).scenario
    outlines = drawing_shape.body(scenario)
    profile = {(round(p["at"][0], 2), round(p["at"][2], 3)) for p in outlines["near"]}
    for lifter in scenario.lifters:
        on_it = (round(lifter.head[0], 2), round(lifter.head[2], 3)) in profile
        below = any(x == round(lifter.head[0], 2) and z < lifter.head[2] for x, z in profile)
        assert on_it or below
    extent = drawing.geometry(scenario)["extent"]
    for points in outlines.values():
        for p in points:
            assert all(extent[axis][0] - 1e-3 <= p["at"][n] <= extent[axis][1] + 1e-3 for n, axis in enumerate("xyz"))


def test_a_point_between_two_heads_moves_with_both():
    """Midway, half of each side's u; at a head, all of its own; beyond it, as a rigid load does."""
    scenario = shape("trailer").scenario
    left, right = (x.head for x in scenario.lifters)
    assert drawing_shape.weighted(scenario, (1.0, 0.0, 1.0))["w"] == [0.5, 0.5]
    assert drawing_shape.weighted(scenario, left)["w"] == [1.0, 0.0]
    assert drawing_shape.weighted(scenario, (0.0, 2 * right[1], 0.0))["w"] == [-0.5, 1.5]


def test_a_dashed_outline_is_of_the_side_that_has_come_down():
    """Seen from the right the left side is the far one, whichever lifter is written first; one lifter has the near."""
    scenario = shape("trailer").scenario
    assert drawing_shape.ghosts(scenario) == {"side": [("far", 0), ("near", 1)], "end": [("end", 0), ("end", 1)]}
    other = replace(scenario, lifters=scenario.lifters[::-1])
    assert drawing_shape.ghosts(other)["side"] == [("near", 0), ("far", 1)]
    assert drawing_shape.ghosts(shape("one station").scenario) == {"side": [("near", 0)], "end": [("end", 0)]}


def test_a_lifter_that_has_gone_is_open_and_not_caught():
    """Its capture was caught when it went; it holds nothing now, and the still picture says so."""
    record = shape("dropped")
    end = float(record.events["time_s"].iloc[-1])
    assert "○ open" in still.svg(record, end) and "○ open" not in still.svg(record, 0.0)


def test_geometry_needs_no_record():
    """A live rehearsal has it before the first row."""
    given = drawing.geometry(shape("trailer").scenario)
    assert given["moments"] == [] and [p["number"] for p in given["places"]] == [1, 2, 3, 4]
    assert given["gap_room"] > 0.0254 and math.isfinite(given["drop_room"])


@pytest.mark.parametrize("name", SHAPES)
def test_the_still_picture_draws_the_largest_gap_as_measured(name):
    """Its bar, at the scale that it says, is the largest gap of the lift; the document is well-formed."""
    record = shape(name)
    time = still.time_to_show(record)
    root = ElementTree.fromstring(still.svg(record, time))
    bars = [bar for bar in root.iter(f"{SVG}rect") if bar.get("class") == "gap"]
    largest = max(float(bar.get("height")) / float(bar.get("data-per-metre")) for bar in bars)
    assert len(bars) == len(record.scenario.places)
    assert largest == pytest.approx(measure(record)["largest_gap"]["gap_m"], abs=2e-5)


@pytest.mark.parametrize("name", SHAPES)
def test_the_still_picture_has_risen_as_far_as_the_summary_says(name):
    """The mark of the needed point at the end, measured in the picture, is where the record leaves it."""
    record = shape(name)
    end = float(record.events["time_s"].iloc[-1])
    made = still.Still(record, end, 1280, None)
    root = ElementTree.fromstring(made.document())
    point = next(p for p in root.iter(f"{SVG}path") if p.get("class") == "point")
    y = float(re.match(r"M[-\d.]+,([-\d.]+)", point.get("d")).group(1))
    rise = (made.ground - y) / made.scale - record.scenario.need.point[2]
    assert rise == pytest.approx(measure(record)["point_rise_m"], abs=0.02 / made.scale)


@pytest.mark.parametrize(("width", "height"), [(400, None), (1280, 720), (1920, 1080), (3840, 2160)])
def test_the_still_picture_stays_within_its_size(width, height):
    """Twelve stations with long names: every shape lies on the sheet, at any size asked for."""
    made = still.Still(shape("twelve stations"), 30.0, width, height)
    root = ElementTree.fromstring(made.document())
    assert root.get("width") == str(width) and (height is None or root.get("height") == str(height))
    for shape_of in root.iter():
        for name, most in (
            ("x", width),
            ("x1", width),
            ("x2", width),
            ("cx", width),
            ("y", made.height),
            ("cy", made.height),
        ):
            if shape_of.get(name) and shape_of.get("class") != "device":
                assert -1 <= float(shape_of.get(name)) <= most + 1, ElementTree.tostring(shape_of)


def test_markup_in_names_and_titles_is_text():
    """Neither the picture nor the section can be broken out of."""
    record = shape("twelve stations")
    html = str(drawing.section(replace(record, scenario=replace(record.scenario, title="</script><script>alert(1)"))))
    assert "<script>alert" not in html and html.count("<script") == 1
    assert "<b>" not in still.svg(record, 3.0)


def test_the_same_lift_gives_the_same_section():
    """Bytes do not change from one making to the next."""
    assert drawing.section(shape("trailer")) == drawing.section(shape("trailer"))


def test_a_moved_point_is_where_the_model_has_it():
    """The picture's points come from the model's own motion."""
    record = shape("dropped")
    made = still.Still(record, 2.0, 800, None)
    motion = motion_of(record.scenario.load)
    head = drawing_shape.head_of(record.scenario, record.scenario.lifters[0])
    assert made._moved(head, [0.01])[2] == pytest.approx(motion.moved(record.scenario.lifters[0].head, 0.01)[2])
