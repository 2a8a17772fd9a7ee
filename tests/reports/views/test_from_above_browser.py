"""The lift from above in a report: what the script shows at a time is what Python works out for it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from reports.lift.run_page import write_run_page
from reports.views.from_above import LONGEST, picture
from sim.check.sideways.bearings import from_above
from sim.examples import example
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.record.record import Record
from sim.story.lift import simulate_fixed
from sim.written.reading import parse

pytestmark = [pytest.mark.browser]


def leaning() -> Record:
    """The trailer, one foot further out than the other, its track known."""
    scenario = parse(example("trailer"), "trailer")
    left, right = scenario.lifters
    foot = (left.base[0] + 0.2, left.base[1] + 0.25, 0.0)
    pivot = replace(scenario.pivot, track=1.6)
    return simulate_fixed(replace(scenario, lifters=(replace(left, base=foot), right), pivot=pivot))


def test_the_arrows_follow_the_slider(browser: Any, tmp_path: Path) -> None:
    """At several times: the push of each contact, to a hundredth of the longest arrow, and the friction rounded up."""
    record = leaning()
    lift = Measured(record)
    path = tmp_path / "report.html"
    path.write_text(write_run_page(record, measure(record), None), encoding="utf-8")
    page = browser.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(path.as_uri())
    page.wait_for_selector("#above-picture[data-u]")
    top = max(float(np.mean([s.after.max() for s in lift.sides.values()])), 1e-6)
    for time in (0.0, 40.0, lift.end / 2, lift.end):
        page.evaluate("time => document.dispatchEvent(new CustomEvent('lc:time', {detail: {time}}))", time)
        u = float(np.mean([s.just_after(np.array([time]))[0] for s in lift.sides.values()]))
        found = from_above(record.scenario, top)
        shown = page.evaluate(
            "[...document.querySelectorAll('#above-picture [data-contact]')].map(g => "
            "[Number(g.dataset.dx), Number(g.dataset.dy), g.querySelector('.needs').textContent])"
        )
        assert len(shown) == 4
        for bearing, (dx, dy, needs) in zip(found.bearings, shown, strict=True):
            along, across = (float(np.interp(u, found.u, part)) for part in (bearing.along, bearing.across))
            reach = LONGEST / found.most
            assert (dx, dy) == pytest.approx((along * reach, -across * reach), abs=LONGEST / 100)
            assert bearing.needs is not None
            near = float(np.interp(u, found.u, bearing.needs))
            assert near - 0.011 <= float(needs.split()[-1]) <= near + 0.05, "rounded up, at the next step"
    assert complaints == []


def test_what_is_not_known_is_said_beside_the_pivot() -> None:
    """Without a track there is one contact there, and its friction is not known."""
    _, data = picture(simulate_fixed(parse(example("trailer"), "trailer")))
    assert len(data["contacts"]) == 3 and set(data["contacts"][2]["needs"]) == {"friction not known"}
