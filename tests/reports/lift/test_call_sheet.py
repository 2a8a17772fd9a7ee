"""The call sheet: what is on it, and that it prints on one page."""

from __future__ import annotations

import html
import re
import shutil
import subprocess
from dataclasses import replace

import pytest

from reports.lift import call_sheet
from reports.words.plain import clock
from sim.model.units import show, show_up
from sim.record.measures import measure
from tests.reports.shapes import SHAPES, TITLE, shape


def words_of(page: str) -> str:
    """What a reader sees."""
    seen = re.sub(r"<(style|script)\b.*?</\1>", " ", page, flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", seen)))


@pytest.mark.parametrize("name", SHAPES)
def test_everybody_and_every_number_a_leader_needs_is_on_it(name):
    """Who, how many strokes and pumps, the limit; every place and every catcher by name."""
    record = shape(name)
    words, summary = words_of(call_sheet.sheet(record)), measure(record)
    for where in (*record.scenario.lifters, *record.scenario.stations):
        assert where.name in words
        assert all(catcher in words for catcher in where.catchers)
    assert all(f"{number} at {lifter}" in words for lifter, number in summary["pumps"].items())
    for word in ("lift", "hold", "stop", "caught"):
        assert f"“{word}”" in words
    assert "Never work under a load held only by a jack" in words


@pytest.mark.parametrize("name", SHAPES)
def test_no_word_of_approval_is_on_it(name):
    """It never says that anything is safe, secure, OK or passes."""
    assert not re.search(r"\b(safe|safely|secure|ok|pass|passes)\b", words_of(call_sheet.sheet(shape(name))), re.I)


def test_a_weight_that_is_not_known_reads_so():
    """Only a scale reading at one end: the weight is not known."""
    record = shape("trailer")
    unknown = replace(record.scenario, load=replace(record.scenario.load, weight_known=False))
    assert "not known" in words_of(call_sheet.sheet(replace(record, scenario=unknown)))


def test_markup_in_a_title_is_text():
    """It shows as it was written."""
    page = call_sheet.sheet(shape("twelve stations"))
    assert TITLE in words_of(page) or html.escape(TITLE) in page
    assert "<script>alert" not in page


def test_either_units():
    """In the scenario's units, or in those asked for."""
    record = shape("trailer")
    assert "5.00 in" in words_of(call_sheet.sheet(record))
    assert "127.0 mm" in words_of(call_sheet.sheet(record, "si"))


def test_a_lift_that_comes_down_has_the_words_of_the_way_down_in_their_order() -> None:
    """Up, clear, hands in, hands out, down, stop; how far a call goes, what each device does, what this lift had."""
    record = shape("down again, pinned with cribbing")
    words, summary = words_of(call_sheet.sheet(record)), measure(record)
    down = words[words.index("page 2: the way down") :]
    places = [down.index(f"“{word}”") for word in ("up", "clear", "hands in", "hands out", "down", "stop")]
    assert places == sorted(places)
    assert "no further than 1/4 in below where the load stood" in down
    assert "pinned (pin): pin out, and in at a hole further down; hands are in. It holds only every 2 in" in down
    for number, stage in enumerate(summary["stages"], 1):
        assert f"{number}. {stage['do']}" in down and clock(stage["duration_s"]) in down
    made = summary["largest_made_gap"]
    assert f"{show_up(made['gap_m'], 'length', 'us')} at the {made['station']}, call {made['call']}" in down
    raised = show(summary["stages"][1]["end_rise_m"], "length", "us")
    assert f"raised {raised}, held 10 min, let down to the start" in words
    assert "lowered, 0.00 in once settled" not in words


def test_a_lift_that_only_goes_up_has_one_page() -> None:
    """And none of these words."""
    assert "hands out”" not in words_of(call_sheet.sheet(shape("trailer")))


FULLEST = ["trailer", "twelve stations", "re-set"]


@pytest.mark.browser
@pytest.mark.parametrize(
    "names", [FULLEST, pytest.param([n for n in SHAPES if n not in FULLEST], marks=pytest.mark.slow)], ids=str
)
def test_it_prints_on_one_page_of_letter_and_of_a4(browser, tmp_path, names):
    """Every shape of lift; printed by Chromium, counted by pdfinfo. With and without its script."""
    if shutil.which("pdfinfo") is None:
        pytest.skip("pdfinfo (poppler-utils) is not installed")
    for script in (True, False):
        for name in names:
            if not script and name == "twelve stations":
                continue  # without a script the type stays at the size that is guessed
            path = tmp_path / "sheet.html"
            path.write_text(call_sheet.sheet(shape(name)), encoding="utf-8")
            page = browser.new_page(java_script_enabled=script)
            complaints: list[str] = []
            page.on("console", lambda message, to=complaints: to.append(message.text))
            page.on("pageerror", lambda error, to=complaints: to.append(str(error)))
            page.goto(path.as_uri())
            for paper in ("Letter", "A4"):
                page.pdf(path=tmp_path / "sheet.pdf", format=paper)
                simulated = subprocess.run(
                    ["pdfinfo", tmp_path / "sheet.pdf"], capture_output=True, text=True, check=True
                )
                pages = 2 if name.startswith("down again") else 1  # the way down has one of its own
                assert re.search(rf"Pages:\s+{pages}\n", simulated.stdout), (name, paper, script)
            assert complaints == []
            page.close()


@pytest.mark.browser
def test_the_type_is_large(browser):
    """At least 10 pt for the lift that ships, 7 pt with twelve stations and names as long as may be; nothing is cut."""
    for name, least in (("trailer", 10.0), ("twelve stations", 7.0)):
        page = browser.new_page(viewport={"width": 900, "height": 800})
        page.set_content(call_sheet.sheet(shape(name)))
        size = page.evaluate("parseFloat(getComputedStyle(document.getElementById('sheet')).fontSize) * 72 / 96")
        assert size >= least, (name, size)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        page.close()


@pytest.mark.browser
def test_on_a_telephone_no_word_to_say_is_broken_and_the_plan_can_be_read(browser):
    """The quotes stay at their word; the smallest letters of the plan are 10 px high."""
    page = browser.new_page(viewport={"width": 390, "height": 800})
    page.set_content(call_sheet.sheet(shape("trailer")))
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    rows = """[...document.querySelectorAll(".words th")].map((th) => { const range = document.createRange();
      range.selectNodeContents(th); return [th.innerText, range.getClientRects().length]; })"""
    assert dict(page.evaluate(rows))["“CAUGHT”"] == 1
    letters = "[...document.querySelectorAll('.plan text')].map((t) => t.getBoundingClientRect().height)"
    assert min(page.evaluate(letters)) >= 10
    page.close()
