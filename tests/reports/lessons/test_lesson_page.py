"""The page of a lesson in a real browser: sliders, switches, print."""

from __future__ import annotations

import re
import shutil
import subprocess
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from numpy.testing import assert_allclose

import sim
from reports.lessons.page import write_booklet, write_lesson
from reports.lessons.picture import row_of, rows_of
from sim.lessons import LESSONS, Computed, questions
from sim.model.errors import ScenarioError
from sim.model.units import INCH, show_up
from tests.builders import lesson

pytestmark = pytest.mark.browser
PAPERS = ("Letter", "A4")


@cache
def html(name: str, answers: bool = True) -> str:
    """A lesson's page on the trailer."""
    return write_lesson(name, answers=answers)


def opened(browser: Any, folder: Path, page: str, width: int = 1280) -> Any:
    """The page, drawn, with whatever it said on the console and asked of the network."""
    file = folder / "lesson.html"
    file.write_text(page, encoding="utf-8")
    tab = browser.new_page(viewport={"width": width, "height": 900})
    tab.faults = []
    tab.on("console", lambda said: tab.faults.append(said.text))
    tab.on("pageerror", lambda wrong: tab.faults.append(str(wrong)))
    tab.on("request", lambda asked: asked.url.startswith("file:") or tab.faults.append(asked.url))
    tab.goto(file.as_uri())
    tab.wait_for_selector("html[data-lessons=drawn]", timeout=120_000)  # however busy the machine is
    return tab


def slide(tab: Any, name: str, at: int) -> None:
    """Move a slider as a person does."""
    tab.locator(f'[data-control="{name}"]').evaluate(
        "(slider, at) => { slider.value = at; slider.dispatchEvent(new Event('input', { bubbles: true })); }", at
    )


def drawn(tab: Any, name: str) -> list[tuple[float, float]]:
    """The points of the trace of that name in the moving picture."""
    found = tab.evaluate(
        "(name) => { const found = document.querySelector('.moving').data.find((t) => t.name === name);"
        " return [found.x, found.y]; }",
        name,
    )
    return [(x, y) for x, y in zip(*found, strict=True) if x is not None and y is not None]


def test_the_drawn_gap_is_the_model_s_at_every_setting(browser: Any, tmp_path: Path) -> None:
    """Lesson 1: line, standing dots, seconds out, and the figures read out."""
    computed = lesson("between-the-pins")
    tab = opened(browser, tmp_path, html("between-the-pins"))
    for case, strokes in ((0, 0), (1, 2), (2, 3), (4, 1), (6, 2)):
        see_the_gap(tab, computed, case, strokes)
    assert not tab.faults


def see_the_gap(tab: Any, computed: Computed, case: int, strokes: int) -> None:
    """One setting of lesson 1."""
    slide(tab, "case", case)
    slide(tab, "strokes", strokes)
    setting = {"case": case, "strokes": computed.controls[1].settings[strokes]}
    line = rows_of(computed.tables["gap"], setting)
    expected = list(zip(line["rise_m"] / INCH, line["gap_m"] / INCH, strict=True))
    assert_allclose(drawn(tab, "passing gap"), expected, rtol=1e-5, atol=1e-9)
    standing = line[line["standing"]].drop_duplicates(["rise_m", "gap_m"])
    assert len(drawn(tab, "standing gap")) == len(standing)
    out = rows_of(computed.tables["pin out"], setting)
    assert sum(y for _, y in drawn(tab, "pin out")) == pytest.approx(out["out_s"].sum())
    row = row_of(computed.tables["cases"], setting)
    read_out = tab.locator(".readout").inner_text()
    assert show_up(row["largest_drop_m"], "length", "us") in read_out
    assert show_up(row["mean_left_m"], "length", "us") in read_out
    assert tab.locator(".slider output").first.inner_text() == computed.controls[0].say(case, "us")


def test_the_drawn_chase_is_the_model_s_at_every_setting(browser: Any, tmp_path: Path) -> None:
    """Lesson 2: the slow catcher's gap under the first rule, as far as it is shown."""
    computed = lesson("the-chase")
    tab = opened(browser, tmp_path, html("the-chase"))
    for places in ((0, 0), (1, 0), (2, 3), (3, 1), (3, 5)):
        see_the_chase(tab, computed, places)
    assert not tab.faults


def see_the_chase(tab: Any, computed: Computed, places: tuple[int, int]) -> None:
    """One setting of lesson 2."""
    for control, at in zip(computed.controls, places, strict=True):
        slide(tab, control.name, at)
    factor, pace = (c.settings[n] for c, n in zip(computed.controls, places, strict=True))
    gaps = computed.tables["gap"]
    gaps = gaps[(gaps["factor"] == factor) & (gaps["pace_s"] == pace) & (gaps["rule"] == "keep-pace")]
    gaps = gaps[gaps["who"] == "slow catcher"]
    shown = drawn(tab, "gap, slow catcher")
    assert len(shown) > 5
    expected = list(zip(gaps["time_s"], gaps["gap_m"] / INCH, strict=True))[: len(shown)]
    assert_allclose(shown, expected, rtol=1e-5, atol=1e-9)


def test_the_drawn_peak_is_the_model_s_at_every_setting(browser: Any, tmp_path: Path) -> None:
    """Lesson 3: the marked point and the factor read out."""
    computed = lesson("what-a-gap-costs")
    tab = opened(browser, tmp_path, html("what-a-gap-costs"))
    for places in ((0, 0), (2, 1), (4, 2), (5, 4), (6, 5)):
        see_the_peak(tab, computed, places)
    assert not tab.faults


def see_the_peak(tab: Any, computed: Computed, places: tuple[int, int]) -> None:
    """One setting of lesson 3."""
    for control, at in zip(computed.controls, places, strict=True):
        slide(tab, control.name, at)
    gap, give = (c.settings[n] for c, n in zip(computed.controls, places, strict=True))
    factor = 1 + (1 + 2 * gap / give) ** 0.5
    ((x, y),) = drawn(tab, "this setting")
    assert x == pytest.approx(gap / INCH, rel=1e-5)
    assert y == pytest.approx(factor * computed.facts["static_N"] / 4.4482216, rel=1e-4)
    assert f"{factor:.2f} times" in tab.locator(".readout").inner_text()


SMALL_PRINT = """() => { const small = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let text = walk.nextNode(); text; text = walk.nextNode()) {
    const of = text.parentElement, points = 0.75 * parseFloat(getComputedStyle(of).fontSize);
    const shown = text.data.trim() && !/SCRIPT|STYLE/.test(of.tagName) && of.getClientRects().length;
    if (shown && points < 7.99) small.push([points, text.data.trim()]);
  } return small; }"""  # in print nothing is under 8 points
DRAWN = """(chart) => JSON.stringify([
  chart.data.map((t) => [t.x, t.y, t.base, t.text, t.marker?.color]), chart.layout.annotations, chart.layout.shapes])"""


@pytest.mark.parametrize(  # the first three are moved by the tests above too
    "name", [pytest.param(name, marks=[pytest.mark.slow] if x.number <= 3 else []) for name, x in LESSONS.items()]
)
def test_every_slider_of_every_lesson_moves_its_picture_its_figures_and_its_words(
    browser: Any, tmp_path: Path, name: str
) -> None:
    """From where it starts to either end and back: each place has its own picture and words, and back is as before."""
    tab = opened(browser, tmp_path, html(name))
    chart, readout = tab.locator(".moving"), tab.locator(".readout")

    def seen(slider: Any) -> tuple[str, str, str]:
        return chart.evaluate(DRAWN), readout.inner_text(), slider.locator("+ output").inner_text()

    for slider in tab.locator("[data-control]").all():
        start, last = int(slider.input_value()), int(slider.get_attribute("max") or 0)
        before = seen(slider)
        keys = [key for key, place in (("Home", 0), ("End", last)) if place != start]
        assert keys, "a slider with nowhere to go"
        for key in keys:
            slider.press(key)
            picture, figures, words = seen(slider)
            assert picture != before[0] and figures != before[1] and words != before[2]
            assert slider.get_attribute("aria-valuetext") == words
        slide(tab, slider.get_attribute("data-control"), start)
        assert seen(slider) == before
    assert tab.faults == []
    tab.close()


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=[pytest.mark.slow] if x.number > 1 else []) for name, x in LESSONS.items()]
)
def test_a_lesson_prints_on_two_pages_and_with_answers_on_four(browser: Any, tmp_path: Path, name: str) -> None:
    """On Letter and on A4, at the most; every question and every answer whole, the answers apart; no type too small."""
    asked = questions(LESSONS[name], lesson(name), "us", 0)
    for answers, most in ((False, 2), (True, 4)):
        tab = opened(browser, tmp_path, write_lesson(name, answers=False) if not answers else html(name))
        tab.emulate_media(media="print")
        assert tab.evaluate(SMALL_PRINT) == []
        tab.emulate_media(media="null")
        for paper in PAPERS:
            sheets = printed(tab, tmp_path / f"{paper}.pdf", paper)
            assert len(sheets) <= most, (name, paper)
            apart = next((n for n, s in enumerate(sheets) if squeezed(f"{LESSONS[name].title}: answers") in s), None)
            handout, worked = "".join(sheets[:apart]), "".join(sheets[apart:])
            for question in asked:
                assert squeezed(question.ask) in handout
                if answers:
                    assert squeezed(question.result) in worked
                    assert squeezed(question.formula) in worked
            assert squeezed(LESSONS[name].aim) in handout
            assert squeezed(LESSONS[name].texts["sources"].rsplit("\n- ", 1)[-1]) in handout
            assert squeezed("Never work under a load held only by a jack") in handout


def test_the_booklet_has_contents_lessons_answers_words_and_sources(browser: Any, tmp_path: Path) -> None:
    """Three lessons: each on at most four pages with its answers; links from the contents lead to what is there."""
    names = ("what-a-gap-costs", "only-what-you-need", "steep-or-flat")
    tab = opened(browser, tmp_path, write_booklet(sim.load("van"), answers=True, seed=2, names=names))
    assert tab.evaluate("[...document.querySelectorAll('a[href^=\"#\"]')].every((a) => document.querySelector(a.hash))")
    for paper in PAPERS:
        sheets = printed(tab, tmp_path / f"{paper}.pdf", paper)
        assert len(sheets) <= 1 + 4 * len(names) + 2
        for name in names:
            assert squeezed(LESSONS[name].title) in sheets[0] and squeezed(LESSONS[name].aim) in sheets[0]
            assert sum(squeezed(LESSONS[name].aim) in sheet for sheet in sheets[1:]) == 1
            assert squeezed(LESSONS[name].texts["sources"].rsplit("\n- ", 1)[-1]) in sheets[-1]
        assert "thrusttheoutwardpushatthefootofaleaningstrut" in sheets[-2]
        assert "levelling" not in sheets[-2]  # none of the three says it


@pytest.mark.parametrize("name", list(LESSONS))
def test_the_switch_turns_every_figure(browser: Any, tmp_path: Path, name: str) -> None:
    """No inch, pound or foot is left on the screen in SI, and no millimetre in US units."""
    tab = opened(browser, tmp_path, html(name))
    parts = ".sliders, .readout, .moving, .ask, .answers"
    shown = f"() => [...document.querySelectorAll('{parts}')].map((e) => e.innerText).join(' ')"
    us = tab.evaluate(shown)
    tab.locator('[data-set-units="si"]').click()
    si = tab.evaluate(shown)
    assert not re.search(r"\d (mm|kN|J)\b", us)
    assert not re.search(r"\d (in|lb|ft-lb)\b", si)
    assert not tab.faults


@pytest.mark.parametrize(
    ("name", "width"),
    [
        pytest.param(
            name, width, marks=[] if width == 390 or (name, width) == ("the-chase", 1920) else [pytest.mark.slow]
        )
        for name in ("between-the-pins", "the-chase", "what-a-gap-costs")
        for width in (390, 1024, 1920)
    ],
)
def test_nothing_is_cut_or_overlaps(browser: Any, tmp_path: Path, name: str, width: int) -> None:
    """The page is no wider than the screen, and within the picture no title lies over another, nor out of it."""
    tab = opened(browser, tmp_path, html(name), width)
    assert tab.evaluate("document.documentElement.scrollWidth") <= width
    boxes = tab.evaluate(
        """() => { const chart = document.querySelector('.moving').getBoundingClientRect();
          return [...document.querySelectorAll('.moving .annotation, .moving .g-xtitle, .moving .legend')].map((e) => {
            const b = e.getBoundingClientRect();
            const [left, top] = [chart.left, chart.top];
            return [b.left - left, b.top - top, b.right - left, b.bottom - top, e.textContent]; })
            .filter((b) => b[2] > b[0]).map((b) => [...b, chart.width, chart.height]); }"""
    )
    assert boxes
    for left, top, right, bottom, text, wide, high in boxes:
        assert left >= -1 and top >= -1 and right <= wide + 1 and bottom <= high + 1, text
    titles = [b for b in boxes if len(b[4]) > 12]
    for n, a in enumerate(titles):
        for b in titles[n + 1 :]:
            apart = a[2] <= b[0] + 2 or b[2] <= a[0] + 2 or a[3] <= b[1] + 3 or b[3] <= a[1] + 3
            assert apart, (a[4], b[4])


def test_an_unknown_lesson_is_named_with_the_nearest() -> None:
    """One error, with what to do."""
    with pytest.raises(ScenarioError, match='did you mean "the-chase"'):
        write_lesson("the-chaise")


def test_a_title_with_markup_shows_as_text(browser: Any, tmp_path: Path) -> None:
    """Whatever a person calls the lift."""
    from dataclasses import replace

    odd = replace(sim.load("trailer"), title="<b>Nose</b> & <script>alert(1)</script>")
    tab = opened(browser, tmp_path, write_lesson("steep-or-flat", odd))
    assert "<b>Nose</b> & <script>" in tab.locator(".opening .what").inner_text()
    assert not tab.faults


def printed(tab: Any, path: Path, paper: str) -> list[str]:
    """The text of each page of the page printed on this paper, without its white space."""
    if not shutil.which("pdftotext"):
        pytest.skip("no pdftotext is installed")
    tab.pdf(path=str(path), format=paper)
    text = subprocess.run(["pdftotext", "-raw", str(path), "-"], capture_output=True, text=True, check=True).stdout
    return [squeezed(sheet) for sheet in text.split("\f")[:-1]]


def squeezed(text: str) -> str:
    """A text without white space: lines break where they like."""
    return re.sub(r"\s+", "", text)
