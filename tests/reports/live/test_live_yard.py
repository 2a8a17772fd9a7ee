"""A rehearsal in a yard, in a real browser: a thumb beside the button, a network that stalls, a phone that dies."""

from __future__ import annotations

import random
import time
from pathlib import Path
from typing import Any

import pytest

from tests.reports.live.freezing import network
from tests.reports.live.opened import PATIENCE, TWO_FRAMES, Page
from tests.reports.live.served import Served, serving, short_lift

pytestmark = pytest.mark.browser
STILL = 700  # long enough for what must not happen to have happened [ms]
ANSWER = "() => document.getElementById('answer').textContent"


def under_way(browser: Any, served: Served, **settings: Any) -> Page:
    """The caller's page, the lift begun."""
    caller = Page(browser, served, **settings)
    caller.begin()
    return caller


def calls(page: Page) -> str | None:
    """How many calls the page shows."""
    return page.page.get_attribute("#desk", "data-calls")


# --- what is pressed is what has the focus


@pytest.mark.usefixtures("patient")
def test_space_on_stop_stops(browser: Any, tmp_path: Path) -> None:
    """The focus is on Stop: Space and Enter stop, and call nothing."""
    with serving(short_lift(), tmp_path) as served:
        caller = under_way(browser, served)
        for key in ("Space", "Enter"):
            caller.page.focus("#stop")
            caller.press(key)
            caller.page.wait_for_selector("#seen[open]")
            assert calls(caller) == "0"
            caller.page.select_option("#seen-what", "nothing")
            caller.page.click("#seen button")
            caller.phase("running")
        assert len(served.room.rehearsal.stops) == 2 and caller.complaints == []


@pytest.mark.usefixtures("patient")
def test_space_on_any_other_button_presses_that_button(browser: Any, tmp_path: Path) -> None:
    """The units, one lifter only, End; on Call itself Space and Enter call, once."""
    with serving(short_lift(), tmp_path, speed=4.0) as served:
        caller = under_way(browser, served)
        for units, key in (("us", "Space"), ("si", "Enter"), ("us", "Enter")):
            caller.page.focus(f"[data-set-units={units}]")
            caller.press(key)
            caller.page.wait_for_function("units => document.documentElement.dataset.units === units", arg=units)
        caller.page.focus("#end")
        caller.press("Space")
        caller.page.wait_for_selector("#end-asked:not([hidden])")
        caller.press("Space")  # the focus is on "No, go on"
        caller.page.wait_for_selector("#end-asked[hidden]", state="attached")
        assert calls(caller) == "0" and caller.page.get_attribute("#desk", "data-phase") == "running"
        caller.page.focus("[data-call='right lifter']")
        caller.press("Enter")
        caller.page.wait_for_selector("#desk[data-calls='1']")
        assert [row.note for row in served.room.rehearsal.book.rows if row.what == "levels"] == ["right lifter"]
        caller.page.focus("#call-all")
        caller.call(2, "Enter")
        assert caller.complaints == []


@pytest.mark.usefixtures("patient")
def test_the_end_is_asked_once_more_and_apart_from_stop(browser: Any, tmp_path: Path) -> None:
    """A touch of End ends nothing; a bounce does not either; Stop, and to call, take the question back."""
    with serving(short_lift(), tmp_path) as served:
        caller = under_way(browser, served, viewport={"width": 390, "height": 844}, has_touch=True)
        stop, end = (caller.page.query_selector(which).bounding_box() for which in ("#stop", "#end"))
        assert stop["y"] - (end["y"] + end["height"]) > 100  # a hand apart
        caller.page.tap("#end")
        caller.page.wait_for_selector("#end-asked:not([hidden])")
        yes = caller.page.query_selector("#end-yes").bounding_box()
        assert yes["y"] >= end["y"] + end["height"]  # not under the thumb that asked
        caller.page.evaluate("() => { liveLift.keys.asked = performance.now(); liveElement('end-yes').click(); }")
        caller.page.wait_for_timeout(STILL)
        assert served.room.phase == "running"
        caller.page.tap("#call-all")
        caller.page.wait_for_selector("#end-asked[hidden]", state="attached")
        caller.page.wait_for_selector("#desk[data-calls='1']")
        caller.page.tap("#end")
        caller.page.wait_for_timeout(STILL)
        caller.page.tap("#end-yes")
        assert "Stopped" in caller.scored()


# --- a network that stalls


def test_a_frozen_network_is_seen_and_what_was_pressed_in_it_never_happens(browser: Any, tmp_path: Path) -> None:
    """Said, greyed out, the clock still; nothing pressed is carried out after the thaw; the lift waited meanwhile."""
    with serving(short_lift(), tmp_path) as served, network(served.port) as between:
        caller = Page(browser, served, port=between.port, patient=False)
        caller.begin()
        watcher = Page(browser, served, "&watch=1")
        watcher.phase("running")
        between.freeze()
        caller.page.evaluate("() => { liveLift.keys.call(''); liveLift.keys.stop(); }")
        caller.phase("lost")
        caller.page.wait_for_function(f"() => ({ANSWER})().startsWith('No answer: ')")
        assert "NO CONNECTION" in caller.page.inner_text("#state")
        assert caller.page.evaluate("Number(getComputedStyle(document.getElementById('picture')).opacity)") < 0.5
        assert all(not button.is_enabled() for button in caller.page.query_selector_all("#calling button, #end"))
        stood = caller.page.evaluate("liveLift.now()")
        watcher.phase("away")
        lift_stood = served.room.clock.time()
        caller.press("Space")
        caller.page.wait_for_timeout(2000)
        assert caller.page.evaluate("liveLift.now()") == stood
        assert served.room.clock.time() == lift_stood and abs(stood - lift_stood) < 10.0
        between.thaw()
        caller.phase("running")
        caller.page.wait_for_timeout(STILL)
        assert calls(caller) == "0" and served.room.rehearsal.stops == []
        assert served.room.rehearsal.lift.site.call == 0
        assert "No answer" in caller.page.evaluate(ANSWER)  # still, for who looks up only now
        caller.call(1)
        watcher.page.wait_for_selector("#desk[data-calls='1']")


@pytest.mark.slow
def test_of_ten_freezes_nothing_is_carried_out_later(browser: Any, tmp_path: Path) -> None:
    """At random instants and for 1.2 to 8 s, Call and Stop pressed in each: never carried out; then a call is heard."""
    seed = time.time_ns()
    draw = random.Random(seed)
    with serving(short_lift(), tmp_path) as served, network(served.port) as between:
        caller = Page(browser, served, port=between.port, patient=False)
        caller.begin()
        for _ in range(10):
            caller.phase("running")
            caller.page.wait_for_timeout(draw.uniform(0, 1500))
            between.freeze()
            caller.page.wait_for_timeout(draw.uniform(0, 300))
            caller.page.evaluate("() => { liveLift.keys.call(''); liveLift.keys.stop(); }")
            caller.page.wait_for_timeout(draw.uniform(1200, 8000))
            between.thaw()
            caller.page.wait_for_timeout(STILL)
            caller.phase("running")
            lift = served.room.rehearsal
            assert (lift.lift.site.call, lift.stops, lift.frozen_at) == (0, [], None), f"seed {seed}"
            assert "No answer" in caller.page.evaluate(ANSWER), f"seed {seed}"
        caller.call(1)


@pytest.mark.usefixtures("patient")
def test_a_watcher_without_a_network_says_so_and_the_lift_goes_on(browser: Any, tmp_path: Path) -> None:
    """Its clock is still and its drawing grey; thawed, it is where the lift is."""
    with serving(short_lift(), tmp_path) as served, network(served.port) as between:
        caller = under_way(browser, served)
        watcher = Page(browser, served, "&watch=1", port=between.port, patient=False)
        watcher.phase("running")
        between.freeze()
        watcher.phase("lost")
        stood = watcher.page.evaluate("liveLift.now()")
        caller.call(1)
        watcher.page.wait_for_timeout(1500)
        assert watcher.page.evaluate("liveLift.now()") == stood and calls(watcher) == "0"
        between.thaw()
        watcher.phase("running")
        watcher.page.wait_for_selector("#desk[data-calls='1']")
        watcher.page.wait_for_function("stood => liveLift.now() > stood", arg=stood)


# --- the caller's seat


@pytest.mark.usefixtures("patient")
def test_a_watcher_takes_the_seat_of_a_caller_who_is_gone(
    browser: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The caller's browser is killed: after a while a watcher may call, is asked, all are shown; the old watches."""
    monkeypatch.setattr("reports.live.seat.KEPT", 3.0)
    with serving(short_lift(), tmp_path, surprises=True, help_level="drawing") as served:
        caller = under_way(browser, served)
        watchers = [Page(browser, served, "&watch=1") for _ in range(2)]
        for watcher in watchers:
            watcher.phase("running")
            assert not watcher.page.is_visible("#seat")
        seat = caller.page.evaluate("localStorage.getItem('liftcadence seat')")
        caller.context.close()
        for watcher in watchers:
            watcher.phase("away")
            watcher.page.wait_for_selector("#seat:not([hidden])")
        first, second = watchers
        first.page.click("#take")
        assert first.page.is_visible("#take-asked")
        first.page.click("#take-no")
        assert first.page.get_attribute("#desk", "data-role") == "watcher"
        first.page.click("#take")
        first.page.click("#take-yes")
        first.page.wait_for_selector("#desk[data-role=caller]")
        for watcher in watchers:
            watcher.phase("running")
            watcher.page.wait_for_function(
                "document.getElementById('notice').textContent.includes(\"taken the caller's seat\")"
            )
            assert not watcher.page.is_visible("#seat")
        assert not first.page.is_visible("#instructor") and not first.page.is_visible(".lift-cards")
        old = Page(browser, served, kept={"liftcadence seat": seat})
        old.page.wait_for_selector("#desk[data-role=watcher]")
        first.call(1)
        first.page.evaluate(TWO_FRAMES)
        first.end()
        for page in (first, second):
            assert "took the calling over" in page.scored()


@pytest.mark.usefixtures("patient")
def test_the_seat_is_freed_at_the_terminal_while_its_page_lies_open(browser: Any, tmp_path: Path) -> None:
    """A phone in a pocket: its page watches from then on, the lift waits, somebody else calls."""
    with serving(short_lift(), tmp_path) as served:
        caller = under_way(browser, served)
        watcher = Page(browser, served, "&watch=1")
        watcher.phase("running")
        served.from_outside(served.room.free_the_seat)
        for page in (caller, watcher):
            page.page.wait_for_selector("#seat:not([hidden])")
            page.phase("away")
        watcher.page.click("#take")
        watcher.page.click("#take-yes")
        watcher.phase("running")
        caller.page.wait_for_selector("#desk[data-role=watcher][data-phase=running]")
        caller.press("Space")
        caller.page.wait_for_timeout(STILL)
        assert calls(caller) == "0"
        watcher.call(1)
        caller.page.wait_for_selector("#desk[data-calls='1']")


# --- site data blocked

BLOCKED = """for (const store of ["localStorage", "sessionStorage"])
  Object.defineProperty(window, store, {get() { throw new DOMException("blocked", "SecurityError"); }});"""


def test_a_browser_that_keeps_nothing_calls_all_the_same(browser: Any, tmp_path: Path) -> None:
    """Site data is blocked: connected, said, and the seat is its own for as long as the page is open."""
    with serving(short_lift(), tmp_path, speed=4.0) as served, network(served.port) as between:
        caller = Page(browser, served, port=between.port, before=BLOCKED, patient=False)
        caller.phase("ready")
        assert caller.page.is_visible("#not-kept")
        caller.begin()
        between.freeze()
        caller.phase("lost")
        caller.page.wait_for_timeout(4000)  # until it has tried again by a new connection
        between.thaw()
        caller.page.wait_for_selector("#desk[data-phase=running][data-role=caller]", timeout=PATIENCE)
        caller.call(1)
        caller.end()
        caller.scored()
