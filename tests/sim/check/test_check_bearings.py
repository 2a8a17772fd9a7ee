"""What bears sideways from above: the design's worked lift, where to chock, and what is drawn and written of it."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from reports.lift.call_sheet import sheet as call_sheet
from reports.sheet.above import above, rows
from reports.sheet.sheet import write_sheet
from reports.words.first_call import first_call
from sim.check import check
from sim.check.sideways.bearings import from_above, over_the_need
from sim.examples import example
from sim.model.draw import Draw
from sim.model.loads import lever_share
from sim.model.scenario import Leader, Lifter, Limits, Load, Need, Operator, Pivot, Scenario, Tie
from sim.story.lift import simulate_fixed
from sim.written.reading import parse

LOAD = Load(40e3, "hinged", (2.0, 0.1, 1.2), 0.5)
HEADS = ((4.0, 0.8, 0.9), (4.0, -0.8, 0.9))
SHARE = lever_share(HEADS, LOAD.cg, "hinged")
ONE = Operator("one", Draw(1.0))
WORKED = Scenario(
    "worked", "si", LOAD, Need((4.0, 0.0, 0.9), 0.2), Leader(), Limits(),
    (
        Lifter("left", "left", HEADS[0], (4.3, 1.1, 0.0), 1.0, ONE, SHARE),
        Lifter("right", "right", HEADS[1], (4.0, -0.8, 0.0), 1.0, ONE, 1 - SHARE),
    ),
    pivot=Pivot(track=1.6),
)  # fmt: skip


def test_the_worked_lift_of_the_design_seen_from_above() -> None:
    """At u 0.05: forces to the newton and coefficients to four digits, as it prints them, the other way round."""
    left, right, pivot_left, pivot_right = from_above(WORKED, 0.05).bearings
    assert [round(float(b.along[-1])) for b in (left, right, pivot_left, pivot_right)] == [3144, 196, 4066, -7405]
    assert round(float(left.across[-1])) == 2902 and right.across[-1] == 0
    needs = [b.friction(-1) for b in (left, right, pivot_left, pivot_right)]
    assert needs == pytest.approx([0.4023, 0.0227, 0.4023, 0.7553], abs=5e-5)


def test_what_feet_and_pivot_pass_on_adds_up_to_nothing() -> None:
    """Nothing else holds the load sideways, at any instant."""
    found = over_the_need(WORKED)
    for n in (0, 80, 199):
        assert sum(b.along[n] for b in found.bearings) == pytest.approx(0, abs=1e-6)
        assert sum(b.across[n] for b in found.bearings) == pytest.approx(0, abs=1e-6)


def test_the_pivot_is_chocked_on_the_sides_that_it_is_pushed_to() -> None:
    """Both here; behind alone where both feet stand ahead of their heads; nowhere under upright lifters."""
    assert over_the_need(WORKED).chocks == ("ahead", "behind")
    trailer = parse(example("trailer"), "trailer")
    assert over_the_need(trailer).chocks == ("behind",)
    assert "chock here" in call_sheet(simulate_fixed(trailer))
    upright = replace(LOAD, motion="straight", cg=(0.0, 0.0, 1.0), pivot_height=0.0)
    lifters = tuple(
        replace(x, head=(0.0, y, 0.9), base=(0.0, y, 0.0)) for x, y in zip(WORKED.lifters, (1, -1), strict=True)
    )
    straight = replace(WORKED, load=upright, lifters=lifters, need=Need((0.0, 0.0, 1.0), 0.1))
    assert over_the_need(straight).chocks == () and over_the_need(straight).most == 0


def test_what_is_not_known_is_said_so() -> None:
    """Without a track the contacts' friction is not; without a tie what holds a foot is not."""
    bare = replace(WORKED, pivot=Pivot())
    table = rows(bare, "si")
    assert [row[0] for row in table] == ["1 left, foot", "2 right, foot", "3 pivot"]
    assert table[2][2] == table[2][4] == table[2][5] == "not known" and table[0][5] == "not known"
    tied = replace(WORKED, lifters=(replace(WORKED.lifters[0], tie=Tie("chain")), WORKED.lifters[1]))
    assert rows(tied, "si")[0][5] == "a tie to the ground"


def test_the_picture_has_an_arrow_and_a_friction_a_contact() -> None:
    """Longest is the hardest push; words beside every mark."""
    drawn = above(WORKED, 190.0)
    assert drawn.count("needs ") == 4 and len(re.findall(r'class="force tip"', drawn)) == 4
    ends = [float(x) for x in re.findall(r'<polygon class="force tip" points="([0-9.]+),', drawn)]
    assert len(set(np.round(ends, 1))) == 4


def test_the_sheet_before_the_first_call_has_blanks_and_nothing_ticked() -> None:
    """Of this lift: its ties, its people; on the printed page."""
    trailer = parse(example("trailer"), "trailer")
    said = [line for line, _ in first_call(trailer)]
    for word in ("pivot", "plates", "not lifted", "Suspension", "lashes", "same angle", "stops everybody", "watches"):
        assert any(word in line for line in said), word
    assert not any("same angle" in line for line, _ in first_call(replace(trailer, lifters=trailer.lifters[:1])))
    page = write_sheet(check(trailer), trailer)
    assert page.count('class="blank"') == sum(blanks for _, blanks in first_call(trailer))
    assert "Common practice" in page and not re.search(r"[✓✔☑]|checked", page)
