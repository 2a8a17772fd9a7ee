"""A chart on a page and the same chart in a picture are one figure: `charts.js` and `figures.finished`, `gaps.chosen`.

Only the texts that are left out for want of room may differ: the page measures them, Python can only estimate.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from reports.lift.gaps import chosen, gap_figure
from reports.lift.pressed import pressed
from reports.lift.run_page import write_run_page
from reports.lift.timeline import timeline_figure
from reports.paper.figures import Figure, finished
from reports.views.stands import pressed_time
from sim.model.units import Units
from sim.record.measures import measure
from tests.reports.views.mirrored import mirrored

pytestmark = pytest.mark.browser
DRAWN = """([name, station, units]) => {
  const chart = document.querySelector(`[data-figure=${name}]`);
  if (document.documentElement.dataset.units !== units) document.querySelector(`[data-set-units=${units}]`).click();
  const choice = document.querySelector(`[data-choose-for=${chart.id}]`);
  if (station && choice && choice.value !== station) {
    choice.value = station;
    choice.dispatchEvent(new Event("change"));
  }
  return JSON.stringify({data: chart.data, layout: chart.layout, width: chart.clientWidth});
}"""


MORE = [("pressure lost", 1024), ("at its limit", 1024)]  # each of them on a telephone, the trailer on a desk too


@pytest.mark.parametrize(
    ("name", "width"),
    [
        pytest.param(name, width, marks=[pytest.mark.slow] if (name, width) in MORE else [])
        for name in ("trailer", "pressure lost", "at its limit")
        for width in (1024, 390)
    ]
    + [("down again", 1024)],
)
def test_a_chart_on_the_page_is_the_one_in_the_picture(browser: Any, tmp_path: Path, name: str, width: int) -> None:
    """Whichever station is chosen, in inches and in millimetres, on a desk and on a telephone."""
    record = mirrored(name)
    gaps, lanes = (pressed(figure, pressed_time(record)) for figure in (gap_figure(record), timeline_figure(record)))
    (tmp_path / "page.html").write_text(write_run_page(record, measure(record)), encoding="utf-8")
    page = browser.new_page(viewport={"width": width, "height": 900}, color_scheme="light")
    page.goto((tmp_path / "page.html").as_uri())
    page.wait_for_selector("html[data-charts=drawn]", timeout=30_000)
    stations = page.eval_on_selector_all("[data-choose-for] option", "options => options.map((each) => each.value)")
    assert len(stations) in (0, len(record.scenario.places))
    units: Units
    for units in ("us", "si"):
        for station in stations or [record.scenario.places[0].name]:
            there = read(page, "gaps", station, units)
            assert not differences(finished(chosen(gaps, station), units, there["width"], 430), there)
        there = read(page, "timeline", "", units)
        assert not differences(finished(lanes, units, there["width"], 430), there)
    page.close()


def read(page: Any, name: str, station: str, units: Units) -> dict[str, Any]:
    """A chart as it is drawn."""
    drawn: dict[str, Any] = json.loads(page.evaluate(DRAWN, [name, station, units]))
    return drawn


def differences(here: Figure, there: dict[str, Any]) -> list[str]:
    """Where the page's figure has something else than the picture's."""
    assert len(here["data"]) == len(there["data"])
    found = []
    for n, (own, trace) in enumerate(zip(here["data"], there["data"], strict=True)):
        left_out = {"text"} if "fit" in trace.get("meta", {}) else set()
        found += unlike({k: v for k, v in own.items() if k not in left_out}, trace, f"data[{n}]")
    return found + unlike({k: v for k, v in here["layout"].items() if k != "height"}, there["layout"], "layout")


def unlike(here: Any, there: Any, where: str) -> list[str]:
    """The paths at which two values differ; what only the page has, is plotly's own."""
    if isinstance(here, dict) and isinstance(there, dict):
        return [path for key, value in here.items() for path in unlike(value, there.get(key), f"{where}.{key}")]
    if isinstance(here, list | tuple) and isinstance(there, list) and len(here) == len(there):
        pairs = enumerate(zip(here, there, strict=True))
        return [path for n, (own, other) in pairs for path in unlike(own, other, f"{where}[{n}]")]
    if isinstance(here, float | int) and isinstance(there, float | int) and not isinstance(here, bool):
        return [] if here == pytest.approx(there, rel=1e-9, abs=1e-12) else [f"{where}: {here} | {there}"]
    return [] if here == there else [f"{where}: {here!r} | {there!r}"]
