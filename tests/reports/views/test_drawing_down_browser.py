"""The drawing of a lift that comes down again: it follows the slider down, and says what is made, and who is at it."""

from __future__ import annotations

from typing import Any

import pytest

from reports.views.stands import pressed_time
from sim.record.measures import measure
from sim.record.what import What
from tests.reports.drawn import Opened
from tests.reports.shapes import shape

pytestmark = pytest.mark.browser
CARDS = """[...document.querySelectorAll(".lift-cards:not(.lift-drops) .lift-card")].map(card => card.innerText)"""


def test_the_load_comes_down_with_the_slider_and_made_gaps_are_said(browser: Any, tmp_path: Any) -> None:
    """While a gap is made no card is over its limit; the words of the way down stand over the picture."""
    record = shape("down again, pinned with cribbing")
    summary, events = measure(record), record.events
    opened = Opened(browser, record, tmp_path)
    page = opened.page
    assert {f"stage {n}: {do}" for n, do in enumerate(("raise", "raise", "hold", "lower"), 1)} <= set(
        page.eval_on_selector_all(".lift-controls button", "all => all.map((each) => each.textContent)")
    )
    page.get_by_role("button", name="go to the stage 4: lower").click()
    top = opened.read("pointRiseM")
    assert top == pytest.approx(summary["stages"][2]["end_rise_m"], abs=1e-4)
    rises = []
    for word, said in (
        (What.ROOM, "Hands in"),
        (What.LOWERS, "Hands out. Down"),
        (What.CALLS_DOWN, "clear of what it rests on"),
    ):
        time = float(events.loc[events["what"] == word, "time_s"].iloc[-2])
        opened.seek(time + 1e-4)
        rises.append(opened.read("pointRiseM"))
        assert said in page.inner_text(".lift-caption")
        cards = page.evaluate(CARDS)
        assert all("made on purpose" in card and "over the limit" not in card and "▲" not in card for card in cards)
    assert max(rises) < 0.3 * top
    hands = events[(events["hands"] == True) & (events["what"] == What.PLACE)].iloc[-1]  # noqa: E712
    opened.seek(float(hands["time_s"]) + 1e-4)
    assert any("taking timber off" in card for card in page.evaluate(CARDS))
    opened.seek(summary["duration_s"])
    assert opened.read("pointRiseM") == pytest.approx(0.0, abs=1e-9)
    assert "Lowered" in page.inner_text(".lift-caption")
    assert opened.complaints == []
    page.close()


def test_a_long_stand_goes_by_quickly_and_takes_no_more_of_the_slider_than_of_the_timeline(
    browser: Any, tmp_path: Any
) -> None:
    """Ten minutes of standing: the slider is as long as the time axis, says true times, and Play is soon through."""
    record = shape("down again")
    time, end = pressed_time(record), measure(record)["duration_s"]
    ((start, to, _),) = time.stretches
    assert to - start > 500
    opened = Opened(browser, record, tmp_path)
    page = opened.page
    slider = page.locator(".lift-slider")
    assert float(slider.get_attribute("max")) == pytest.approx(time.at(end), abs=0.01)
    for true in (start / 2, start + 0.25 * (to - start), to, (to + end) / 2, end):
        slider.evaluate("(s, v) => { s.value = v; s.dispatchEvent(new Event('input')) }", time.at(true))
        shown = opened.read("time")  # the slider goes by twentieths of a second, in a stand of more than one
        assert shown == pytest.approx(true, abs=0.06 if not start < true <= to else 0.06 * (to - start) / 10)
        assert float(slider.input_value()) == pytest.approx(time.at(true), abs=0.06)
    opened.seek(start + 1e-4)
    page.get_by_role("button", name="play or pause").click()
    page.wait_for_function("end => document.querySelector('.lift-drawing').dataset.time > end", arg=to, timeout=60_000)
    page.get_by_role("button", name="play or pause").click()
    assert opened.complaints == []
    page.close()
