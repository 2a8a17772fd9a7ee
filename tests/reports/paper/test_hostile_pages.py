"""Markup, templates and escapes in every name: each page shows them as text, and nothing of them runs."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from reports.drill.debrief_page import write_debrief_page
from reports.drill.timer import write_timer
from reports.lessons.page import write_booklet
from reports.lift import call_sheet
from reports.lift.run_page import write_run_page
from reports.live.page import write_live_page
from reports.many.cadence_page import write_cadence_page
from reports.many.compare import label, write_compare_page
from reports.many.study_page import write_study_page
from reports.sheet.sheet import write_sheet
from reports.slides.pictures import timeline_table
from reports.stored.run import result_of
from sim.check import check
from sim.drill.debriefed import debrief
from sim.drill.log.lines import parse_log
from sim.lessons import LESSONS
from sim.many.cadence import cadence
from sim.many.compared import compare
from sim.many.study import study
from sim.model.scenario import Scenario
from sim.model.visible import visible
from sim.record.measures import measure
from sim.story.lift import simulate, simulate_fixed
from sim.written.reading import parse, variants
from tests.drills import as_log
from tests.hostile import NAMES, OVER, Page, faults, overdone, scenario, text

ASSUMED = '\n[assumed]\n"device.{}.turns" = ["0.1 /s", "0.9 /s"]\n'


def run_page(found: Scenario) -> str:
    lift = result_of(simulate(found, 1))
    return write_run_page(lift.record, lift.summary, lift.sheet.findings)


def compare_page(found: Scenario) -> str:
    ways = [found, *(variants(found) if found.title == NAMES["title"] else [])]
    records = [simulate_fixed(way) for way in ways]
    names = [label(way) for way in ways]
    many = compare(list(zip(names, ways, strict=True)), n=4, workers=1)
    return write_compare_page(records, [measure(record) for record in records], names, many)


def study_page(found: Scenario) -> str:
    if found.title == NAMES["title"]:
        found = parse(text() + ASSUMED.format(json.dumps(NAMES["threaded"]).replace('"', '\\"')), "file")
    return write_study_page(study(found, 30, workers=1), NAMES["title"])


def cadence_page(found: Scenario) -> str:
    return write_cadence_page(cadence(found, n=20, paces=(0.0, 8.0), limits=(0.0127,), workers=1))


def debrief_page(found: Scenario) -> str:
    log = as_log(simulate(found, 1)) + f'90,"{NAMES["left strut"]}x","{NAMES["title"]}",\n95,x{OVER},call,\n'
    logs = [parse_log(log, f"{NAMES['title']}{n}.csv") for n in range(2)]
    return write_debrief_page(debrief(logs, found, NAMES["title"], plan=False))


PAGES: dict[str, Callable[[Scenario], str]] = {
    "run": run_page,
    "compare": compare_page,
    "study": study_page,
    "cadence": cadence_page,
    "check": lambda found: write_sheet(check(found), found),
    "lesson": lambda found: write_booklet(found, answers=True, names=[next(iter(LESSONS))]),
    "debrief": debrief_page,
    "live": lambda found: write_live_page(found, 1.0, "numbers"),
    "call sheet": lambda found: call_sheet.sheet(simulate_fixed(found)),
    "timer": write_timer,
}
SHOWS = {  # besides the title, which is on all
    "run": ("left lifter", "left strut", "left hand", "threaded"),
    "compare": ("pinned", "no holds", "threaded"),
    "study": ("left strut", "threaded"),
    "check": ("left lifter", "left strut"),
    "debrief": ("left lifter", "left strut", "threaded", "steady"),
    "live": ("left lifter", "left strut", "left hand"),
    "call sheet": ("left lifter", "left strut", "left hand", "threaded"),
    "timer": ("left lifter", "left strut", "left hand", "threaded"),
}


@pytest.fixture(scope="module")
def pages() -> dict[str, str]:
    """Each kind of page, of the lift as it is read."""
    found = scenario()
    return {kind: write(found) for kind, write in PAGES.items()}


def allowed_scripts(page: Page) -> set[str]:
    """What the page's own policy lets run."""
    policy = next(attrs["content"] for tag, attrs in page.tags if attrs.get("http-equiv") == "Content-Security-Policy")
    return set(re.findall(r"'sha256-[^']+'", policy.split("script-src")[1].split(";")[0]))


def digest(source: str) -> str:
    return "'sha256-" + base64.b64encode(hashlib.sha256(source.encode()).digest()).decode() + "'"


@pytest.mark.parametrize("kind", PAGES)
def test_names_are_text_on_every_page(kind: str, pages: dict[str, str]) -> None:
    """No element, attribute or script comes of them; what is written is there to be read, letter for letter."""
    page = Page(pages[kind])
    tags = {tag for tag, _ in page.tags}
    assert not tags & {"img", "iframe", "object", "embed", "base", "form"} - ({"form"} if kind == "live" else set())
    for tag, attrs in page.tags:
        assert not [key for key in attrs if key.startswith("on")], (tag, attrs)
        assert not any("javascript:" in attrs.get(key, "") for key in ("href", "src", "xlink:href", "action")), attrs
        assert tag != "a" or re.fullmatch(r"#.*|lift-[0-9]+\.html", attrs["href"]), attrs
    runs = [s for s, (_, attrs) in zip(page.scripts, scripts_of(page), strict=True) if "type" not in attrs]
    assert {digest(source) for source in runs} <= allowed_scripts(page)
    assert "{{7*7}}" in page.text and "49" not in re.findall(r"script>(\d+)", page.text)
    for name in ("title", *SHOWS.get(kind, ())):
        assert NAMES[name] in page.text + given(page), name
    assert "&lt;script" not in page.text and "&amp;lt;" not in page.text  # nothing is escaped twice


def given(page: Page) -> str:
    """All texts that its scripts get."""
    values = [source for source, (_, attrs) in zip(page.scripts, scripts_of(page), strict=True)
              if attrs.get("type") == "application/json"]  # fmt: skip
    return "\n".join(text for source in values for text in texts_of(json.loads(source)))


def texts_of(value: Any) -> list[str]:
    if isinstance(value, dict):
        return [text for key, each in value.items() for text in (key, *texts_of(each))]
    if isinstance(value, list):
        return [text for each in value for text in texts_of(each)]
    return [value] if isinstance(value, str) else []


def scripts_of(page: Page) -> list[tuple[str, dict[str, str]]]:
    return [(tag, attrs) for tag, attrs in page.tags if tag == "script"]


@pytest.mark.parametrize("kind", PAGES)
def test_what_scripts_are_given_is_whole(kind: str, pages: dict[str, str]) -> None:
    """JSON that ends where it should; labels of charts hold no tag and no placeholder but ours."""
    page = Page(pages[kind])
    found = 0
    for source, (_, attrs) in zip(page.scripts, scripts_of(page), strict=True):
        if attrs.get("type") == "application/json":
            assert "<" not in source and "\u2028" not in source
            json.loads(source)
            found += 1
        elif attrs.get("type") == "text/plain" and attrs["id"] != "plotly-js":
            value = json.loads(gzip.decompress(base64.b64decode(source)))
            assert faults(value if attrs["id"] in ("figures", "charts") else {}) == []
            found += 1
    assert found or kind in ("check", "call sheet")


@pytest.mark.parametrize("kind", PAGES)
def test_what_cannot_be_seen_is_written_out_on_every_page(kind: str) -> None:
    """Overrides of direction, line separators and escapes that a program hands on."""
    page = Page(PAGES[kind](overdone(scenario())))
    assert not re.search(
        r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]", " ".join(page.words)
    )
    assert visible(OVER, keep="\r") in " ".join(page.words)


def test_the_tables_of_pictures_hold_the_names(pages: dict[str, str]) -> None:
    """As they are: what guards them in a file is the file's business (test_hostile_files)."""
    from reports.lift.lanes import lanes_of

    people = {row[0] for row in timeline_table(lanes_of(simulate_fixed(scenario())))}
    assert NAMES["left hand"] in people


# --- in a browser

WATCH = """() => {
  window.__said = [];
  for (const name of ["alert", "confirm", "prompt"]) window[name] = (words) => window.__said.push(words);
}"""


@pytest.mark.browser
@pytest.mark.parametrize("kind", PAGES)
def test_nothing_of_a_name_runs_in_a_browser(kind: str, pages: dict[str, str], browser: Any, tmp_path: Path) -> None:
    """Opened, drawn, hovered and switched to the other units: no request, no violation of the policy, no error."""
    file = tmp_path / "page.html"
    file.write_text(pages[kind], encoding="utf-8")
    page = browser.new_page()
    faults_seen: list[str] = []
    page.on("pageerror", lambda error: faults_seen.append(str(error)))
    page.on("console", lambda said: faults_seen.append(said.text) if "Security" in said.text else None)
    page.on(
        "request",
        lambda asked: None if asked.url.startswith(("file:", "data:", "blob:")) else faults_seen.append(asked.url),
    )
    page.goto(file.as_uri())
    if "data-figure" in pages[kind]:
        page.wait_for_selector("html[data-charts=drawn]", timeout=20_000)
        texts = page.eval_on_selector_all("svg text", "all => all.map((text) => text.textContent)")
        shown = " ".join(texts)
        assert kind != "run" or NAMES["threaded"][:12] in shown  # as it is written, its bracket and all
        assert page.locator("svg a, svg img, svg iframe").count() == 0
        for bar in page.locator(".barlayer .point path").all()[:3]:
            bar.hover(force=True, timeout=2000)
    assert page.evaluate("typeof window.pwned") == "undefined"
    assert page.locator("img[src=x], iframe, svg[onload]").count() == 0
    assert [each for each in faults_seen if "ws" not in each] == []
    page.close()
