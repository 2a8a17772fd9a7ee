"""The drill timer when its browser is killed, its storage is full, its phone sleeps: no tap is lost unsaid."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import socket
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from reports.drill.timer import write_timer
from sim.drill.drilled import drilled
from sim.drill.log.lines import parse_log
from sim.examples import example
from sim.written.reading import parse
from tests.reports.browser import NAMES

pytestmark = [pytest.mark.browser, pytest.mark.skipif(os.name != "posix", reason="needs POSIX signals")]


@pytest.fixture
def timer(tmp_path: Path) -> str:
    """The page of the trailer's drill, as a file."""
    file = tmp_path / "timer.html"
    file.write_text(write_timer(parse(example("trailer"), "trailer.toml")), encoding="utf-8")
    return file.as_uri()


@contextmanager
def on_disk(playwright: Any, profile: Path) -> Iterator[tuple[Any, subprocess.Popen[bytes]]]:
    """A browser with a profile on the disk, as a person has one, that can be killed; its first page."""
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        pytest.skip("no Chromium is installed")
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    words = ["--headless=new", "--no-sandbox", f"--user-data-dir={profile}", f"--remote-debugging-port={port}"]
    process = subprocess.Popen(
        [path, *words, "--no-first-run", "--disable-gpu", "about:blank"], start_new_session=True,
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/json/version", timeout=1)
                break
            except OSError:
                time.sleep(0.1)
        browser = playwright.chromium.connect_over_cdp(f"http://127.0.0.1:{port}", timeout=60_000)
        yield browser.contexts[0].pages[0], process
    finally:
        killed(process)


def killed(process: subprocess.Popen[bytes]) -> None:
    """kill -9 to the browser and all its processes."""
    if process.poll() is None:
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


@pytest.fixture(scope="module")
def playwright() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def browser(playwright: Any) -> Iterator[Any]:
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        pytest.skip("no Chromium is installed")
    started = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
    yield started
    started.close()


def tap(page: Any, label: str, times: int = 1) -> None:
    for _ in range(times):
        page.get_by_role("button", name=label, exact=True).first.click()


def count(page: Any) -> int:
    return len(page.locator("#text").input_value().splitlines()) - 1


ALL_KEPT = "() => document.getElementById('kept').dataset.left === '0'"


@pytest.mark.parametrize(
    "after", [0.0, pytest.param(1.0, marks=pytest.mark.slow), pytest.param(20.0, marks=pytest.mark.slow)]
)
def test_what_is_said_to_be_kept_is_there_after_the_browser_was_killed(
    playwright: Any, timer: str, tmp_path: Path, after: float
) -> None:
    """Two taps, a while, four taps, killed so many seconds after the page says that all are kept: six come back."""
    with on_disk(playwright, tmp_path / "profile") as (page, process):
        page.goto(timer)
        tap(page, "Call", 2)
        page.wait_for_timeout(1500)
        tap(page, "Hold", 4)
        page.wait_for_function(ALL_KEPT, timeout=30_000)
        time.sleep(after)
        killed(process)
    with on_disk(playwright, tmp_path / "profile") as (page, _):
        page.goto(timer)
        page.wait_for_function("() => document.getElementById('text').value.split('\\n').length === 8", timeout=20_000)
        assert page.locator("#text").input_value().count("leader,hold,") == 4


def test_undone_and_begun_anew_are_kept_too(playwright: Any, timer: str, tmp_path: Path) -> None:
    """What was taken back does not come back; of a drill begun anew nothing of the old one is left."""
    with on_disk(playwright, tmp_path / "profile") as (page, process):
        page.goto(timer)
        tap(page, "Call", 3)
        tap(page, "Undo", 2)
        page.locator("#new").click()
        page.locator("#new").click()
        tap(page, "Hold", 2)
        tap(page, "Undo")
        page.wait_for_function(ALL_KEPT, timeout=30_000)
        killed(process)
    with on_disk(playwright, tmp_path / "profile") as (page, _):
        page.goto(timer)
        page.wait_for_function("() => document.getElementById('text').value.includes('hold')", timeout=20_000)
        assert page.locator("#text").input_value().splitlines()[1:] == ["0.00,leader,hold,"]


# --- storage that is full or refused

FULL = """
const put = IDBObjectStore.prototype.put;
IDBObjectStore.prototype.put = function (...what) {
  if (globalThis.full) throw new DOMException("no room", "QuotaExceededError");
  return put.apply(this, what);
};
const set = Storage.prototype.setItem;
Storage.prototype.setItem = function (...what) {
  if (globalThis.full) throw new DOMException("no room", "QuotaExceededError");
  return set.apply(this, what);
};
"""
REFUSED = """
indexedDB.constructor.prototype.open = () => { throw new DOMException("no", "SecurityError"); };
Object.defineProperty(window, "localStorage", { get() { throw new DOMException("no", "SecurityError"); } });
"""


@contextmanager
def opened(browser: Any, timer: str, script: str = "", **how: Any) -> Iterator[Any]:
    """The page, with something of the browser changed."""
    context = browser.new_context(**how)
    if script:
        context.add_init_script(script)
    page = context.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(timer)
    yield page
    assert complaints == []
    context.close()


def leaving(page: Any) -> list[str]:
    """What the browser asks when the page is closed."""
    from playwright.sync_api import Error

    asked: list[str] = []

    def dialog(found: Any) -> None:
        asked.append(found.type)
        found.dismiss()

    page.on("dialog", dialog)
    page.close(run_before_unload=True)
    deadline = time.monotonic() + 3
    with contextlib.suppress(Error):  # it has closed
        while not asked and time.monotonic() < deadline:
            page.wait_for_timeout(50)
    return asked


def test_storage_that_is_full_is_said_and_asked_about_and_made_up_for(browser: Any, timer: str) -> None:
    """Each entry that is on the page only is marked; leaving asks; once there is room all of them are kept."""
    with opened(browser, timer, FULL) as page:
        tap(page, "Call")
        page.wait_for_function(ALL_KEPT)
        page.evaluate("full = true")
        tap(page, "Hold", 2)
        said = page.locator("#trouble").inner_text()
        assert "full" in said and "2 entries are on this page only" in said and "save the log" in said
        assert page.locator("#list .unkept").count() == 2
        assert "2 not yet kept" in page.locator("#kept").inner_text()
        page.evaluate("full = false")
        page.wait_for_function(ALL_KEPT, timeout=15_000)  # it tries again by itself
        assert page.locator("#trouble").is_hidden() and page.locator("#list .unkept").count() == 0
        page.evaluate("localStorage.clear()")
        page.reload()
        page.wait_for_function("() => document.getElementById('text').value.split('\\n').length === 5")
        page.evaluate("full = true")
        tap(page, "Hold")
        assert leaving(page) == ["beforeunload"]


def test_storage_that_is_refused_is_said_and_asked_about(browser: Any, timer: str) -> None:
    """The page works all the same; once the log is saved it may be left."""
    with opened(browser, timer, REFUSED, accept_downloads=True) as page:
        tap(page, "Call", 2)
        said = page.locator("#trouble").inner_text()
        assert "refuses" in said and "Nothing is kept: 2 entries are" in said and "save the log" in said
        assert count(page) == 2 and page.locator("#kept").inner_text() == "· 2 not yet kept on this device"
        with page.expect_download():
            page.get_by_role("button", name="Save log").click()
        assert leaving(page) == []
    with opened(browser, timer, REFUSED) as page:
        tap(page, "Call")
        assert leaving(page) == ["beforeunload"]


# --- a phone that sleeps

SLEEPS = """
globalThis.slept = 0;
const date = Date.now.bind(Date);
Date.now = () => date() + slept;
let hidden = false;
Object.defineProperty(document, "visibilityState", { get: () => (hidden ? "hidden" : "visible") });
globalThis.hide = (yes) => { hidden = yes; document.dispatchEvent(new Event("visibilitychange")); };
"""


def test_a_phone_that_slept_is_said_marked_and_made_up_for(browser: Any, timer: str) -> None:
    """The page's clock stood still for 43 s of the wall's: they are added, said, and named by the debrief."""
    with opened(browser, timer, SLEEPS) as page:
        tap(page, "Call")
        page.evaluate("hide(true); slept = 43000; hide(false)")
        assert "43.0 s were added" in page.locator("#asleep").inner_text()
        tap(page, "Hold")
        log = parse_log(page.locator("#text").input_value(), "log.csv")
        assert 43 <= log.entries[1].time < 60 and log.entries[0].time == 0
        assert ["the page slept: 43.0 s were added" in str(p) for p in log.problems] == [True]
        page.reload()
        page.wait_for_function("() => document.getElementById('text').value.includes('the page slept')")


@pytest.mark.parametrize(("by", "word"), [(3_600_000, "forward"), (-3_600_000, "back")])
def test_a_device_whose_time_was_set_while_the_page_was_in_sight(browser: Any, timer: str, by: int, word: str) -> None:
    """Nobody slept: the page's clock goes on as it did, and that is said and marked, once."""
    with opened(browser, timer, SLEEPS) as page:
        tap(page, "Call")
        page.evaluate(f"slept = {by}")
        page.wait_for_function("() => !document.getElementById('asleep').hidden", timeout=10_000)
        tap(page, "Hold")
        page.wait_for_timeout(1500)
        log = parse_log(page.locator("#text").input_value(), "log.csv")
        assert log.entries[1].time < 60 and len(log.problems) == 1
        assert f"set {word} by 3600.0 s: not followed" in str(log.problems[0])


def test_the_screen_is_kept_on_where_that_can_be_asked_for(browser: Any, timer: str) -> None:
    """With the first tap, and again whenever the page is back in sight."""
    lock = """globalThis.locks = 0; globalThis.locked = null;
    Object.defineProperty(navigator, "wakeLock", { value: { request: async () => {
      locks += 1; locked = new EventTarget(); return locked; } } });"""
    with opened(browser, timer, SLEEPS + lock) as page:
        assert page.evaluate("locks") == 0
        tap(page, "Call")
        page.wait_for_function("() => locks === 1 && document.documentElement.dataset.awake === 'kept'")
        page.evaluate("locked.dispatchEvent(new Event('release')); hide(true); hide(false)")
        page.wait_for_function("() => locks === 2")


# --- on its side, and amounts


@pytest.mark.parametrize(("width", "height"), [(844, 390), (740, 360), (667, 375), (568, 320)])
def test_on_its_side_the_leaders_buttons_stand_beside_the_others(
    browser: Any, timer: str, width: int, height: int
) -> None:
    """Call, Hold, Stop and both pumps' buttons are on the screen at once and not over one another."""
    with opened(browser, timer, viewport={"width": width, "height": height}, has_touch=True, is_mobile=True) as page:
        labels = [("Leader", "Call"), ("Leader", "Hold"), ("Leader", "Stop"),
                  ("left lifter", "Stroke starts"), ("right lifter", "Stroke starts")]  # fmt: skip
        for card, label in labels:
            region = page.get_by_role("region", name=card, exact=True)
            box = region.get_by_role("button", name=label, exact=True).bounding_box()
            assert box["y"] >= 0 and box["y"] + box["height"] <= height and box["x"] + box["width"] <= width, label
            assert box["height"] >= 44 and box["width"] >= 44, label
            middle = [box["x"] + box["width"] / 2, box["y"] + box["height"] / 2]
            assert page.evaluate("([x, y]) => document.elementFromPoint(x, y).textContent", middle) == label
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_a_gap_and_a_rise_that_were_measured_are_tapped_as_numbers(browser: Any, timer: str) -> None:
    """The time is when its button was pressed; the amount is of the scenario's units; the debrief reads both."""
    with opened(browser, timer, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True) as page:
        tap(page, "Call")
        region = page.get_by_role("region", name="left strut", exact=True)
        region.get_by_role("button", name="Gap measured").click()
        page.wait_for_timeout(300)
        assert page.locator("#asked").inner_text() == "Gap at the left strut" and page.locator("#note").is_disabled()
        for key in ("1", "/", "9", "back", "8"):
            page.locator(f"#pad [data-key='{key}']").click()
        page.locator("#note").click()
        page.get_by_role("region", name="load").get_by_role("button", name="Rise measured").click()
        for key in ".5":
            page.locator(f"#pad [data-key='{key}']").click()
        page.locator("#note").click()
        page.get_by_role("button", name="Rise measured").click()
        page.locator("#leave").click()
        log = parse_log(page.locator("#text").input_value(), "log.csv")
        noted = [(e.who, e.what, e.note) for e in log.entries[1:]]
        assert noted == [("left strut", "gap", "1/8 in"), ("leader", "rise", ".5 in")] and log.problems == []
        scenario = parse(example("trailer"), "trailer.toml")
        strokes = [(who, n) for who in ("left", "right") for n in (0, 1)]
        text = page.locator("#text").input_value() + "".join(
            f"{0.1 + n / 10},{who} lifter,stroke {('start', 'end')[n]},\n" for who, n in strokes
        )
        beside = drilled([parse_log(text, "log.csv")], scenario).beside
        assert [(b.what, round(b.measured, 6)) for b in beside] == [("gap", 0.003175), ("rise", 0.0127)]
