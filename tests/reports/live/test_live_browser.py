"""A rehearsal in a real browser, by key presses: start to scored end, a hold, a stop, a caller who drops, watchers."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from sim.stored.store import stored
from tests.reports.live.opened import CAUGHT, RISE, TWO_FRAMES, Page
from tests.reports.live.served import serving, short_lift

pytestmark = [pytest.mark.browser, pytest.mark.usefixtures("patient")]
SPEED = 4.0


def test_a_short_lift_by_key_presses_from_start_to_scored_end(browser: Any, tmp_path: Path) -> None:
    """Enter, space, hold until all is caught, space, E: the load rises; the figures stand beside the rule's."""
    with serving(short_lift(), tmp_path, speed=SPEED) as served:
        caller = Page(browser, served)
        caller.begin()
        caller.call(1)
        caller.has_risen(0.004)
        caller.page.wait_for_function(CAUGHT)
        caller.call(2, "PageDown")
        caller.has_risen(0.018)
        caller.end()
        text = caller.scored()
        assert re.search("Raised: 2 calls in .*; by the rule 2 calls in", text) and "the rule, same people" in text
        assert re.search(r"calls\s+2\s+2", text)
        words = set(re.findall(r"[a-z]+", caller.page.inner_text("body").lower()))
        assert not {"safe", "secure", "ok", "pass", "passed"} & words
        assert "Never work under a load held only by a jack" in caller.page.inner_text("#cautions")
        assert caller.complaints == []
        report = caller.page.evaluate("document.getElementById('report').href")
        caller.page.goto(report)
        assert "built in a test" in caller.page.title() and caller.complaints == []
        beside = caller.page.inner_text("#beside")  # the stored report has the same table
        assert "Raised: 2 calls in" in beside and re.search(r"calls\s+2\s+2", beside)
        (run,) = stored(tmp_path)
        assert run.summary is not None and run.summary["kind"] == "rehearsal"


def test_stop_asks_what_was_seen_and_the_answer_is_scored(browser: Any, tmp_path: Path) -> None:
    """S in mid-stroke: a question, the drawing stands still; answered, all goes on."""
    with serving(short_lift(), tmp_path, speed=SPEED) as served:
        caller = Page(browser, served)
        caller.phase("ready")
        caller.page.click("#start")
        caller.phase("running")
        caller.call(1)
        caller.press("s")
        caller.page.wait_for_selector("#seen[open]")
        caller.page.evaluate(TWO_FRAMES)
        stood = caller.page.evaluate(RISE)
        caller.press("Space")
        caller.page.wait_for_timeout(300)
        assert caller.page.evaluate(RISE) == stood and caller.page.get_attribute("#desk", "data-calls") == "1"
        caller.page.keyboard.press("Escape")
        assert caller.page.is_visible("#seen")
        caller.page.select_option("#seen-what", "gap")
        caller.page.click("#seen button")
        caller.phase("running")
        caller.page.wait_for_function(CAUGHT)
        caller.end()
        assert "a gap over the limit" in caller.scored() and caller.complaints == []


def test_the_caller_drops_and_returns_while_two_watch(browser: Any, tmp_path: Path) -> None:
    """Its page is loaded again: the watchers see the lift wait, and it goes on with the same caller where it was."""
    with serving(short_lift(), tmp_path, speed=SPEED, help_level="voices", surprises=True) as served:
        caller = Page(browser, served)
        caller.phase("ready")
        watchers = [Page(browser, served), Page(browser, served, "&watch=1")]
        for watcher in watchers:
            watcher.page.wait_for_selector("#desk[data-role=watcher]")
            assert watcher.page.is_visible("#instructor") and not watcher.page.is_visible("#calling")
        caller.begin("Space")  # as Enter does
        caller.call(1)
        caller.page.goto("about:blank")
        for watcher in watchers:
            watcher.phase("away")
        stood = watchers[0].page.evaluate("liveLift.now()")
        watchers[0].page.wait_for_timeout(300)
        assert watchers[0].page.evaluate("liveLift.now()") == pytest.approx(stood, abs=0.02)
        caller.page.goto(served.address)
        caller.phase("running")
        assert caller.page.get_attribute("#desk", "data-role") == "caller"
        assert caller.page.get_attribute("#desk", "data-calls") == "1"
        watchers[0].page.select_option("#surprise-kind", "short")
        watchers[0].page.click("#bring-in button")
        watchers[1].page.wait_for_selector("#surprises li:has-text('a pump gives too little')")
        caller.call(2)
        assert not caller.page.is_visible(".lift-views") and watchers[0].page.is_visible(".lift-views")
        caller.end()
        caller.scored()
        for watcher in watchers:
            watcher.scored()
            assert watcher.complaints == []


@pytest.mark.parametrize(
    "width", [390, pytest.param(820, marks=pytest.mark.slow), pytest.param(1920, marks=pytest.mark.slow)]
)
def test_the_page_fits_a_telephone_a_tablet_and_a_wall(browser: Any, tmp_path: Path, width: int) -> None:
    """Nothing sticks out, and what is pressed is large enough for a glove; a tap calls; a gap that stays is marked."""
    never_closed = short_lift(turns=0.001)  # so that nothing hangs on when one looks
    with serving(never_closed, tmp_path, speed=SPEED, help_level="drawing") as served:
        caller = Page(browser, served, viewport={"width": width, "height": 1180}, has_touch=True)
        caller.phase("ready")
        caller.page.tap("#start")
        caller.phase("running")
        caller.page.tap("#call-all")
        caller.page.wait_for_selector("#desk[data-calls='1']")
        caller.page.wait_for_selector(".lift-tag.lift-over", state="attached")
        assert caller.page.evaluate("document.documentElement.scrollWidth") <= width
        caller.page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
        foot = caller.page.query_selector("#cautions").bounding_box()
        for button in caller.page.query_selector_all("#calling button"):
            box = button.bounding_box()
            assert box["width"] >= 70 and box["height"] >= 70
            if width < 1200:  # what is pressed stays on the screen wherever one has scrolled to, and covers nothing
                assert box["y"] >= 0 and box["y"] + box["height"] <= 1180 and box["y"] >= foot["y"] + foot["height"]
        assert not caller.page.is_visible(".lift-cards") and caller.page.is_visible(".lift-views")
        marks = (
            "[...document.querySelectorAll('.lift-over-mark')].some(mark => getComputedStyle(mark).display !== 'none')"
        )
        assert not caller.page.evaluate(marks)
        assert caller.complaints == []
