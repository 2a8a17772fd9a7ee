"""The observer's timer on a phone without a network: what is tapped is kept, undone, saved, and read as a drill log."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from reports.drill.timer import write_timer
from sim.drill.drilled import drilled
from sim.drill.log.lines import read_log
from sim.examples import example
from sim.model.scenario import Scenario
from sim.model.visible import guarded
from sim.written.reading import parse

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def scenario() -> Scenario:
    return parse(example("trailer"), "trailer.toml")


@pytest.fixture
def phone(browser: Any, scenario: Scenario, tmp_path: Path) -> Iterator[Any]:
    """The page, opened from disk, offline, on a small touch screen; any request or error fails the test."""
    file = tmp_path / "timer.html"
    file.write_text(write_timer(scenario), encoding="utf-8")
    context = browser.new_context(
        viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True, accept_downloads=True, offline=True
    )
    page = context.new_page()
    faults: list[str] = []
    page.on("request", lambda r: faults.append(r.url) if not r.url.startswith(("file:", "blob:")) else None)
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda said: faults.append(said.text) if said.type in ("error", "warning") else None)
    page.goto(file.as_uri())
    yield page
    assert faults == []
    context.close()


def tap(page: Any, card: str, label: str) -> None:
    page.get_by_role("region", name=card, exact=True).get_by_role("button", name=label, exact=True).tap()


def entries(page: Any) -> list[str]:
    return [row.split(",", 1)[1] for row in page.locator("#text").input_value().splitlines()[1:]]


def test_what_is_tapped_outlives_a_reload_and_is_saved_as_a_log_that_debrief_reads(
    phone: Any, scenario: Scenario, tmp_path: Path
) -> None:
    tap(phone, "Leader", "Call")
    tap(phone, "left lifter", "Stroke starts")
    phone.wait_for_timeout(120)
    tap(phone, "left lifter", "Stroke ends")
    phone.reload()
    assert phone.locator("#count").inner_text() == "3 entries"
    tap(phone, "left lifter", "Stroke starts")
    phone.reload()  # in the middle of a stroke: the button still waits for its end
    tap(phone, "left lifter", "Stroke ends")
    tap(phone, "left strut", "Caught")
    tap(phone, "Leader", "Hold")
    phone.get_by_role("button", name="Undo").tap()
    with phone.expect_download() as download:
        phone.get_by_role("button", name="Save log").tap()
    saved = tmp_path / "saved.csv"
    download.value.save_as(saved)
    assert download.value.suggested_filename.startswith("trailer-nose-off-a-kerb-block-drill-2")
    log = read_log(saved)
    what = [(e.who, e.what) for e in log.entries]
    stroke = [("left lifter", "stroke start"), ("left lifter", "stroke end")]
    assert what == [("leader", "call"), *stroke, *stroke, ("left strut", "caught")]
    assert log.problems == []
    assert log.entries[0].time == 0
    assert 0.1 < log.entries[2].time - log.entries[1].time < 5
    drill = drilled([log], scenario)
    assert drill.summary["calls"] == 1


def test_undo_takes_back_one_tap_at_a_time(phone: Any) -> None:
    tap(phone, "Leader", "Call")
    tap(phone, "Leader", "Stop")
    tap(phone, "Leader", "Resume")
    assert entries(phone) == ["leader,call,", "leader,stop,", "leader,resume,"]
    phone.get_by_role("button", name="Undo").tap()
    phone.get_by_role("region", name="Leader").get_by_role("button", name="Resume").wait_for()
    phone.get_by_role("button", name="Undo").tap()
    phone.get_by_role("button", name="Undo").tap()
    assert entries(phone) == []
    assert phone.get_by_role("button", name="Undo").is_disabled()


def test_a_new_drill_asks_twice_before_it_drops_the_log(phone: Any) -> None:
    tap(phone, "Leader", "Call")
    phone.locator("#new").tap()
    assert len(entries(phone)) == 1
    phone.locator("#new").tap()
    assert entries(phone) == []


DAMAGE = """() => localStorage.setItem(JSON.parse(document.getElementById("setup").textContent).store, '{"zero": 1,')"""
FORGET = """() => new Promise((done) => {
  const asked = indexedDB.open(JSON.parse(document.getElementById("setup").textContent).store);
  asked.onsuccess = () => {
    const change = asked.result.transaction("log", "readwrite");
    change.objectStore("log").put("nothing", 0);
    change.oncomplete = done;
  };
})"""


def test_a_copy_that_is_damaged_is_made_up_for_by_the_store(phone: Any) -> None:
    tap(phone, "Leader", "Call")
    phone.wait_for_selector("#kept[data-left='0']")
    phone.evaluate(DAMAGE)
    phone.reload()
    phone.wait_for_function("() => document.getElementById('text').value.includes('call')")
    assert entries(phone) == ["leader,call,"]


def test_where_both_are_damaged_the_log_is_empty_and_is_kept_again(phone: Any) -> None:
    tap(phone, "Leader", "Call")
    phone.wait_for_selector("#kept[data-left='0']")
    phone.evaluate(DAMAGE)
    phone.evaluate(FORGET)
    phone.reload()
    assert entries(phone) == []
    tap(phone, "Leader", "Hold")
    phone.wait_for_selector("#kept[data-left='0']")
    phone.evaluate(DAMAGE)
    phone.reload()
    phone.wait_for_function("() => document.getElementById('text').value.includes('hold')")
    assert entries(phone) == ["leader,hold,"]


def test_every_button_is_large_and_nothing_is_wider_than_the_screen(phone: Any) -> None:
    phone.get_by_role("button", name="Gap measured").first.tap()  # the pad's keys too
    faults = phone.evaluate(
        """() => [...document.querySelectorAll("button")].map((b) => [b.textContent, b.getBoundingClientRect()])
          .filter(([, box]) => box.height < 44 || box.width < 44 || box.right > innerWidth).map(([name]) => name)"""
    )
    assert faults == []
    assert phone.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_the_leaders_buttons_stay_on_the_screen_wherever_one_has_scrolled_to(phone: Any) -> None:
    for to in ("0", "document.body.scrollHeight / 3"):
        phone.evaluate(f"scrollTo(0, {to})")
        for label in ("Call", "Hold", "Stop"):
            box = phone.get_by_role("button", name=label, exact=True).bounding_box()
            assert box["y"] >= 0 and box["y"] + box["height"] <= 740


def test_left_stands_beside_right(phone: Any) -> None:
    left, right = (
        phone.get_by_role("region", name=f"{side} strut", exact=True).bounding_box() for side in ("left", "right")
    )
    assert left["y"] == right["y"] and left["x"] + left["width"] <= right["x"]


def test_the_log_guards_a_cell_as_python_does(phone: Any) -> None:
    """An apostrophe before what a spreadsheet would run: the script's rule is `sim.model.visible.guarded`."""
    cells = ["".join(letters) for n in (1, 2, 3) for letters in product("=;'\"\ta", repeat=n)]
    cells += [f"{before}{sign}1" for before in ("", "x", "x;", "''") for sign in "=+-@\uff1d\uff0b\uff0d\uff20"]
    store = phone.evaluate("JSON.parse(document.getElementById('setup').textContent).store")
    keep = "([store, taps]) => localStorage.setItem(store, JSON.stringify({zero: 0, taps}))"
    phone.evaluate(keep, [store, [[0, cell, cell, cell] for cell in cells]])
    phone.reload()
    rows = list(csv.reader(phone.locator("#text").input_value().split("\n")))[1:-1]
    assert rows == [["0.00", *[guarded(cell)] * 3] for cell in cells]
