"""The pages of a cadence and of a debrief in a real browser: nothing complains, is cut, overlaps or mixes units."""

from __future__ import annotations

import gzip
import re
from pathlib import Path
from typing import Any

import pytest

from reports.drill.debrief_page import write_debrief_page
from reports.many.cadence_page import write_cadence_page
from sim.drill.debriefed import debrief
from sim.drill.log.lines import parse_log
from sim.examples import example
from sim.many.cadence import cadence
from sim.story.lift import simulate
from sim.written.reading import parse
from tests.drills import as_log
from tests.reports.browser import CHART_FAULTS, PAGE_FAULTS, SMALL_TARGETS

pytestmark = pytest.mark.browser
AXE = Path(__file__).parents[1] / "vendor" / "axe.min.js.gz"
PAGES = ("cadence", "debrief")
WORDS = """() => [...document.querySelectorAll("main > section:not(#crew, #origin)")].map((e) => e.innerText)
  .concat([...document.querySelectorAll("svg text")].map((t) => t.textContent)).join("\\n")"""
OTHERS = {"us": r"[0-9][ \u00a0](mm|kN|J)\b", "si": r"[0-9][ \u00a0](in|lb|ft-lb)\b"}


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A cadence of the trailer, and a debrief of two drills with it."""
    folder = tmp_path_factory.mktemp("pages")
    scenario = parse(example("trailer"), "trailer.toml")
    logs = [parse_log(as_log(simulate(scenario, seed), starts=True), f"drill {seed}.csv") for seed in range(2)]
    pages = {
        "cadence": write_cadence_page(
            cadence(scenario, n=60, paces=(0.0, 6.0, 10.0), limits=(0.003175, 0.0127), workers=1)
        ),
        "debrief": write_debrief_page(debrief(logs, scenario, "trailer.toml", plan=False)),
    }
    for name, page in pages.items():
        (folder / f"{name}.html").write_text(page, encoding="utf-8")
    return {name: folder / f"{name}.html" for name in pages}


@pytest.mark.parametrize("width", [390, pytest.param(1024, marks=pytest.mark.slow)])
@pytest.mark.parametrize("name", PAGES)
def test_nothing_complains_is_cut_overlaps_or_is_too_small(
    browser: Any, files: dict[str, Path], name: str, width: int
) -> None:
    """In both units; on a telephone all that is pressed is as high as a thumb is wide."""
    page = browser.new_page(viewport={"width": width, "height": 900})
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(files[name].as_uri())
    page.wait_for_selector("html[data-charts=drawn]", timeout=30_000)
    for units in ("si", "us"):
        page.click(f"[data-set-units={units}]")
        assert page.evaluate(CHART_FAULTS) == []
        assert page.evaluate(PAGE_FAULTS) == []
        page.evaluate("document.querySelectorAll('details:not([data-stay])').forEach((d) => (d.open = true))")
        words = page.evaluate(WORDS)
        assert re.findall(OTHERS[units], words) == []
    if width == 390:
        assert page.evaluate(SMALL_TARGETS) == []
    assert said == []
    page.close()


@pytest.mark.parametrize("name", PAGES)
def test_axe_finds_no_fault(browser: Any, files: dict[str, Path], name: str) -> None:
    """axe-core, everything unfolded, in the dark."""
    page = browser.new_page(color_scheme="dark")
    page.goto(files[name].as_uri())
    page.wait_for_selector("html[data-charts=drawn]", timeout=30_000)
    page.evaluate("document.querySelectorAll('details').forEach((d) => (d.open = true))")
    page.evaluate(gzip.decompress(AXE.read_bytes()).decode("utf-8"))
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")["violations"]
    assert [(v["id"], [n["html"][:150] for n in v["nodes"]][:3]) for v in found if v["impact"] != "minor"] == []
    page.close()
