"""The pages in a real browser: nothing leaves them, nothing is cut or overlaps, and every switch does what it says."""

from __future__ import annotations

import gzip
import re
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from reports.lift.run_page import write_run_page
from reports.many.compare import label, write_compare_page
from reports.paper.figures import TRACES
from sim.check import check
from sim.many.compared import compare
from sim.model.draw import Draw
from sim.record.measures import measure
from sim.record.record import Record
from sim.story.lift import simulate
from tests.reports.browser import CHART_FAULTS, PAGE_FAULTS
from tests.reports.shapes import SHAPES, shape

pytestmark = pytest.mark.browser
WIDTHS = (390, 1024, 1920)
AXE = Path(__file__).parents[1] / "vendor" / "axe.min.js.gz"


@dataclass
class Opened:
    """A page in the browser, and what it asked for and complained of."""

    page: Any
    requests: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)


def open_page(browser: Any, file: Path, width: int = 1024, **more: Any) -> Opened:
    """The page, drawn."""
    page = browser.new_page(viewport={"width": width, "height": 900}, **more)
    opened = Opened(page)
    page.on("request", lambda request: opened.requests.append(request.url))
    page.on("console", lambda message: opened.said.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: opened.said.append(str(error)))
    page.goto(file.as_uri())
    page.wait_for_selector("html[data-charts=drawn]", timeout=30_000)
    return opened


@cache
def many_calls() -> Record:
    """Twelve stations, half of them pinned with cribbing beside the pin, and 150 calls or more."""
    base, other = shape("trailer").scenario, shape("pinned with cribbing").scenario
    stations = []
    for n in range(12):
        like = (base if n % 4 < 2 else other).stations[n % 2]
        name = f"{like.side} strut with a long name at place {n // 2 + 1}"
        hands = tuple(f"{name}, {device.name}" for device in like.capture)
        stations.append(replace(like, name=name, catchers=hands))
    lifters = [replace(x, travel_per_pump=0.00028, operator=replace(x.operator, fill=Draw(1.0))) for x in base.lifters]
    return simulate(replace(base, stations=tuple(stations), lifters=tuple(lifters)), 1)


def test_the_page_of_150_calls_and_twelve_stations_is_under_1_5_mb(files: dict[str, Path]) -> None:
    """With the drawing, the checks, and every gap of every call."""
    assert measure(many_calls())["calls"] >= 150
    assert files["many calls"].stat().st_size < 1_500_000


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The page of every shape, and a comparison."""
    folder = tmp_path_factory.mktemp("pages")
    written = {}
    for number, name in enumerate(SHAPES):
        record = shape(name)
        written[name] = folder / f"{number}.html"
        written[name].write_text(
            write_run_page(record, measure(record), check(record.scenario, record).findings), encoding="utf-8"
        )
    many = many_calls()
    written["many calls"] = folder / "many.html"
    findings = check(many.scenario, many).findings
    written["many calls"].write_text(write_run_page(many, measure(many), findings), encoding="utf-8")
    side_by_side = [shape(name) for name in ("trailer", "pinned with cribbing", "no holds")]
    many_lifts = compare([(label(r.scenario), r.scenario) for r in side_by_side], n=20, workers=1)
    written["compare"] = folder / "compare.html"
    written["compare"].write_text(
        write_compare_page(side_by_side, [measure(r) for r in side_by_side], many=many_lifts), encoding="utf-8"
    )
    return written


PAGES = [*SHAPES, "many calls", "compare"]
WIDE_TOO = {"twelve stations", "many calls", "compare"}  # what has most in it; the others at the phone's width


@pytest.mark.parametrize(
    ("name", "width"),
    [
        pytest.param(name, width, marks=[] if width == WIDTHS[0] or name in WIDE_TOO else [pytest.mark.slow])
        for name in PAGES
        for width in WIDTHS
    ],
)
def test_nothing_leaves_nothing_fails_nothing_is_cut_or_overlaps(
    browser: Any, files: dict[str, Path], name: str, width: int
) -> None:
    """At phone, tablet and wall-screen width, in the units of the scenario and in the others."""
    opened = open_page(browser, files[name], width)
    assert opened.page.evaluate(CHART_FAULTS) == []
    assert opened.page.evaluate(PAGE_FAULTS) == []
    opened.page.click("[data-set-units]:not([aria-pressed=true])")
    assert opened.page.evaluate(CHART_FAULTS) == []
    assert opened.page.evaluate(PAGE_FAULTS) == []
    assert opened.requests == [files[name].as_uri()]
    assert opened.said == []
    opened.page.close()


@pytest.mark.parametrize(
    "name",
    [
        "trailer",
        "dropped",
        "compare",
        *(pytest.param(n, marks=pytest.mark.slow) for n in ("pinned with cribbing", "re-set", "stopped")),
    ],
)
def test_the_switch_of_units_changes_every_figure(browser: Any, files: dict[str, Path], name: str) -> None:
    """No inch is left in SI, no millimetre in US, in text, tables and charts; and back again nothing has changed."""
    page = open_page(browser, files[name]).page
    read = """() => {
      document.querySelectorAll("details:not([data-stay])").forEach((d) => (d.open = true));
      const charts = [...document.querySelectorAll("svg text")].map((t) => t.textContent).join("\\n");
      return document.querySelector("main").innerText + "\\n" + charts;
    }"""
    units = page.evaluate("document.documentElement.dataset.units")
    before = page.evaluate(read)
    for wanted, gone in (("si", r"[0-9][ \u00a0](in|lb|ft-lb|psi|ft)\b"), ("us", r"[0-9][ \u00a0](mm|kN|J|MPa|m)\b")):
        page.click(f"[data-set-units={wanted}]")
        text = page.evaluate(read)
        assert [found[0] for found in re.finditer(rf".*{gone}.*", text)] == []
        assert re.search(r"[0-9][ \u00a0](mm|in)\b", text)
    page.click(f"[data-set-units={units}]")
    assert page.evaluate(read) == before
    page.close()


def test_the_gap_chart_is_redrawn_in_other_units_and_for_another_station(browser: Any, files: dict[str, Path]) -> None:
    """Axis and peak in millimetres are 25.4 times those in inches; the choice moves the diamond."""
    page = open_page(browser, files["trailer"]).page
    peak = """() => { const c = document.getElementById("chart-gaps");
      const t = c.data.find((t) => t.meta?.role === "peak" && t.visible); return [t.meta.station, t.x[0], t.y[0]]; }"""
    summary = measure(shape("trailer"))
    station, time, inches = page.evaluate(peak)
    assert (station, time) == (
        summary["largest_gap"]["station"],
        pytest.approx(summary["largest_gap"]["time_s"], abs=1e-3),
    )
    page.click("[data-set-units=si]")
    assert (
        page.evaluate(peak)[2] == pytest.approx(25.4 * inches) == pytest.approx(1000 * summary["largest_gap"]["gap_m"])
    )
    other = next(name for name in summary["stations"] if name != station)
    page.select_option("[data-choose-for=chart-gaps]", other)
    assert page.evaluate(peak)[0] == other
    page.close()


def test_both_charts_step_from_call_to_call_by_keyboard(browser: Any, files: dict[str, Path]) -> None:
    """The same stretch of time in both; back to the whole lift."""
    page = open_page(browser, files["trailer"]).page
    ranges = """() => ["timeline", "gaps"].map((n) => document.getElementById(`chart-${n}`).layout.xaxis.range)"""
    whole = page.evaluate(ranges)
    page.focus("[data-step='1']")
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    timeline, gaps = page.evaluate(ranges)
    assert timeline == gaps and timeline[1] - timeline[0] < (whole[0][1] - whole[0][0]) / 3
    assert page.inner_text("[data-stepper] .now") == "call 2"
    assert page.evaluate(CHART_FAULTS) == []
    page.focus("[data-step='0']")
    page.keyboard.press("Enter")
    assert page.evaluate(ranges) == whole
    page.close()


def test_the_cursor_of_the_charts_follows_the_time(browser: Any, files: dict[str, Path]) -> None:
    """Simulated by "lc:time", wherever it comes from; a click in a chart simulates it."""
    page = open_page(browser, files["trailer"]).page
    page.evaluate("document.addEventListener('lc:time', (e) => (window.heard = e.detail))")
    page.locator("#chart-gaps").scroll_into_view_if_needed()
    box = page.locator("#chart-gaps .nsewdrag").first.bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    heard = page.evaluate("window.heard")
    end = measure(shape("trailer"))["duration_s"]
    assert heard["source"] == "chart" and heard["time"] == pytest.approx(end / 2, abs=0.02 * end)
    for cursor in page.query_selector_all(".cursor"):
        assert cursor.bounding_box()["x"] == pytest.approx(box["x"] + box["width"] / 2, abs=2)
    page.close()


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("name", ["trailer", pytest.param("pinned with cribbing", marks=pytest.mark.slow), "compare"])
def test_axe_finds_no_serious_fault(browser: Any, files: dict[str, Path], name: str, theme: str) -> None:
    """axe-core, in light and dark, with everything unfolded."""
    page = open_page(browser, files[name], color_scheme=theme).page
    page.evaluate("document.querySelectorAll('details').forEach((d) => (d.open = true))")
    page.evaluate(gzip.decompress(AXE.read_bytes()).decode("utf-8"))
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")["violations"]
    serious = [
        (v["id"], [n["html"][:150] for n in v["nodes"]][:3]) for v in found if v["impact"] in ("serious", "critical")
    ]
    assert serious == []
    page.close()


def test_the_switch_of_colours_wins_over_the_system(browser: Any, files: dict[str, Path]) -> None:
    """Dark by the system, light by the switch; the charts with it."""
    page = open_page(browser, files["trailer"], color_scheme="dark").page
    dark = page.evaluate("document.getElementById('chart-gaps').layout.font.color")
    page.click("[data-set-theme=light]")
    light = page.evaluate("document.getElementById('chart-gaps').layout.font.color")
    assert (dark, light) == ("#eaf0f4", "#13202b")
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(19, 32, 43)"
    page.close()


def test_the_bundle_knows_every_type_of_trace_that_is_allowed(browser: Any, files: dict[str, Path]) -> None:
    """It would draw another as a scatter, in silence."""
    page = open_page(browser, files["compare"]).page
    assert set(TRACES) <= set(page.evaluate("Object.keys(Plotly.PlotSchema.get().traces)"))
    page.close()


def test_printed_it_fits_the_paper(browser: Any, files: dict[str, Path]) -> None:
    """Nothing is wider than the sheet, and what was folded is shown."""
    page = open_page(browser, files["trailer"]).page
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert page.evaluate("[...document.querySelectorAll('[data-figure] .main-svg')].every((s) => s.clientWidth <= 700)")
    assert page.evaluate("[...document.querySelectorAll('details:not([data-stay])')].every((d) => d.open)")
    assert page.pdf(format="Letter").startswith(b"%PDF")
    page.close()
