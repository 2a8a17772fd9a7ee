"""What the check says: never a figure beside a limit that would read the other way round, never a negative push."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.words.sheet import lifter_rows, station_rows, times
from sim.check import Sheet, check, figures
from sim.check.figures import times_down, times_up
from sim.check.findings import Check
from sim.model.devices import Collar
from sim.model.scenario import Ground, Load, Need, Scenario
from sim.model.units import SHOWN, Units, show_down, show_up
from tests.builders import MM, collar, lift, station, two_lifters


def hinged(cg_left: float = 0.0, weight: float = 8000.0, **of_lifter: Any) -> Scenario:
    """Two upright lifters 1 m apart under the end of a load that turns, a strut on the right."""
    at: dict[str, Any] = {
        side: {"head": (2.0, y, 0.5), "base": (2.0, y, 0.0), "base_area": 0.02, "handle_stroke": 0.5, **of_lifter}
        for side, y in (("left", 0.5), ("right", -0.5))
    }
    lifters = tuple(
        replace(x, share=0.5 + (cg_left if x.side == "left" else -cg_left)) for x in two_lifters(slow_collar(), **at)
    )
    strut = station(slow_collar(), side="right", head=(1.8, -0.7, 0.9), base=(1.8, -1.2, 0.0), give=2 * MM)
    scenario = lift(50 * MM, *lifters, strut, load=Load(weight, "hinged", (1.2, cg_left, 0.8), 0.3))
    return replace(scenario, need=Need((2.4, 0.0, 0.4), 50 * MM), ground=Ground(1e5, "given in the scenario"))


def slow_collar() -> Collar:
    return collar(turns=0.4)


def said(sheet: Sheet) -> str:
    units: tuple[Units, ...] = ("us", "si")
    cells = [cell for u in units for _, cells in lifter_rows(sheet, u) for cell in cells]
    cells += [cell for u in units for row in station_rows(sheet, u) for cell in row]
    return "\n".join([*(f.what.words(u) for u in units for f in sheet.findings), *cells])


def test_a_side_whose_part_is_below_nothing_would_have_to_pull_down() -> None:
    """With the centre of gravity outside the lifters one cannot hold its side; no force is written as negative."""
    sheet = check(hinged(cg_left=0.9))
    (right,) = [f for f in sheet.of_level("stop") if f.subject == "right lifter"]
    assert (
        right.what.words("si").startswith("would have to pull down with ")
        and right.value is not None
        and right.value < 0
    )
    (strut,) = [f for f in sheet.of_level("caution") if f.subject == "strut"]
    assert strut.check is Check.STATION_WOULD_PULL
    assert "a pull of " in said(sheet)
    assert not re.search(r"-[0-9][0-9.,]* (lb|kN|N|psf|kPa)\b", said(sheet))
    assert "pull" not in said(check(hinged()))


@given(st.floats(0.3, 3.0), st.floats(0.5, 2.5))
def test_a_margin_shown_says_no_more_than_the_finding(margin: float, least: float) -> None:
    """0.617 is 0.61 in the table and in the sentence; where it is below the least, it never reads as the least."""
    assert float(times_down(margin)) <= margin + 1e-9
    assert times(margin, least).startswith(times_down(margin))
    assert float(times_up(margin)) >= margin - 1e-9
    if margin < least - 1e-9:
        assert "below" in times(margin, least)
        assert float(times_down(margin)) < least


@given(st.floats(0, 1e6), st.sampled_from(sorted(SHOWN)), st.sampled_from(["us", "si"]))
def test_what_is_carried_is_rounded_up_and_what_may_be_down(value: float, dimension: str, units: Units) -> None:
    """To the next figure shown, and noise of rounding is no step."""
    shown = SHOWN[dimension][units]
    up, down = (float(f(value, dimension, units).split()[0].replace(",", "")) for f in (show_up, show_down))
    assert down <= value / shown.size * (1 + 1e-9) + 1e-9 / shown.size
    assert up >= value / shown.size * (1 - 1e-9) - 1e-9 / shown.size
    assert up - down <= 10**-shown.places * (1 + 1e-6) + abs(value / shown.size) * 1e-12


NEAR = 1.0000001


@pytest.mark.parametrize("units", ["us", "si"])
def test_no_finding_names_a_load_equal_to_the_limit_that_it_is_over(units: Units) -> None:
    """A hair over: what it carries reads more than what it may carry."""
    scenario = replace(hinged(), units=units)
    scenario = replace(scenario, limits=replace(scenario.limits, design_factor=1.0))
    worst = check(scenario).lifters["left lifter"].axial_worst
    lifters = tuple(replace(x, rated_load=worst / NEAR) for x in scenario.lifters)
    found = [f for f in check(replace(scenario, lifters=lifters)).of_level("stop") if f.subject == "left lifter"]
    carries, rated = re.findall(r"([0-9][0-9.,]*) (?:lb|kN)", found[0].what.words(units))
    assert float(carries.replace(",", "")) > float(rated.replace(",", ""))


def test_the_margin_that_goes_first_reads_as_in_the_table() -> None:
    """The sentence and the table give the same digits."""
    scenario = hinged()
    worst = check(scenario).lifters["left lifter"].axial_worst
    lifters = tuple(replace(x, rated_load=worst * 1.4999) for x in scenario.lifters)
    sheet = check(replace(scenario, lifters=lifters))
    (quick,) = [f for f in sheet.findings if "weakest item" in f.what.words("si")]
    assert sheet.estimates.goes_first is not None and sheet.estimates.goes_first_now is not None
    assert f"margin {times_down(sheet.estimates.goes_first.times)} " in quick.what.words("si")
    assert "(planned 1.49)" in quick.what.words("si")
    assert "1.49, below 1.5" in dict(lifter_rows(sheet, "si"))["margin"]


def test_every_sentence_is_said_by_a_check_and_names_its_parts() -> None:
    """No sentence that nothing finds, none twice; each in the source of just the checks that find it."""
    source = "".join(path.read_text(encoding="utf-8") for path in Path(figures.__file__).parent.rglob("*.py"))
    assert [each.name for each in Check if f"Check.{each.name}" not in source.replace("class Check", "")] == []
    assert list(Check.__members__) == [each.name for each in Check]
