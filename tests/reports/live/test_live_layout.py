"""The drawing stays in sight above what is pressed, or beside it: telephone, tablet and laptop, however held."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from sim.examples import example
from sim.model.scenario import Scenario
from sim.written.reading import parse
from tests.reports.live.opened import TWO_FRAMES, Page
from tests.reports.live.served import serving, short_lift

pytestmark = [pytest.mark.browser, pytest.mark.usefixtures("patient")]
HELD = {
    "telephone": (390, 844),
    "telephone across": (844, 390),
    "small telephone": (360, 640),
    "small telephone across": (640, 360),
    "tablet": (820, 1180),
    "tablet across": (1180, 820),
}
LAPTOPS = {"laptop": (1280, 800), "desk": (1920, 1080)}

# What of the drawing is out of the window, under what is pressed, or under the line at the top.
COVERED = """() => {
  const found = [], box = (e) => e.getBoundingClientRect();
  const dock = box(document.querySelector(".live-dock")), desk = box(document.getElementById("desk"));
  for (const view of document.querySelectorAll(".lift-view")) {
    const v = box(view), name = view.getAttribute("aria-label").slice(0, 12);
    if (v.height < 60 || v.width < 80) found.push(`${name}: too small, ${v.width} x ${v.height}`);
    if (v.left < -1 || v.right > innerWidth + 1 || v.top < -1 || v.bottom > innerHeight + 1) found.push(`${name}: out, ${v.bottom}`);
    if (v.bottom > dock.top + 1 && v.right > dock.left + 1) found.push(`${name}: under the buttons, ${v.bottom} of ${dock.top}`);
    if (v.top < desk.bottom - 1) found.push(`${name}: under the line at the top`);
  }
  for (const button of document.querySelectorAll("#calling button, #end")) {
    const b = box(button);
    if (b.left < -1 || b.right > innerWidth + 1 || b.top < -1 || b.bottom > innerHeight + 1) found.push(`${button.id}: out`);
    if (b.height < 44 || b.width < 44) found.push(`${button.id}: too small, ${b.width} x ${b.height}`);
  }
  const slack = document.getElementById("slack"), s = box(slack);
  const seen = document.elementFromPoint(s.left + 20, (s.top + s.bottom) / 2);
  if (slack.textContent && seen !== slack) found.push(`"${slack.textContent}" is not seen`);
  if (document.documentElement.scrollWidth > innerWidth) found.push("the page scrolls sideways");
  return found;
}"""  # noqa: E501


LAST_GAP = """() => document.querySelector(".lift-cards:not(.lift-drops) > :last-child")
  .scrollIntoView({block: "end", behavior: "instant"})"""


def low_and_wide() -> Scenario:
    """The trailer of the examples."""
    return parse(example("trailer"), "trailer.toml")


def looked_at(page: Page, sizes: dict[str, tuple[int, int]]) -> dict[str, list[str]]:
    """What is amiss at each size: as it stands there, and scrolled to the last of the gaps."""
    found = {}
    for name, (width, height) in sizes.items():
        page.page.set_viewport_size({"width": width, "height": height})
        page.page.evaluate("scrollTo({top: 0, behavior: 'instant'})")
        page.page.evaluate(TWO_FRAMES)
        found[name] = page.page.evaluate(COVERED)
        if height > 400:  # across, a telephone has no room for more than the drawing at a time
            page.page.evaluate(LAST_GAP)
            page.page.evaluate(TWO_FRAMES)
            found[f"{name}, scrolled"] = page.page.evaluate(COVERED)
    return {name: faults for name, faults in found.items() if faults}


@pytest.mark.parametrize("made", [low_and_wide, pytest.param(short_lift, marks=pytest.mark.slow)])
def test_the_drawing_stays_above_what_is_pressed(browser: Any, tmp_path: Path, made: Any) -> None:
    """Turned over and back in mid-lift, with a mouse and with a thumb; one load low and wide, one high and narrow."""
    with serving(made(), tmp_path) as served:
        for sizes, is_mobile in ((HELD, True), (LAPTOPS, False)):
            page = Page(browser, served, has_touch=is_mobile, is_mobile=is_mobile)
            if is_mobile:
                page.phase("ready")
                page.page.click("#start")
            else:
                page.page.wait_for_selector("#desk[data-role=watcher]")
                served.from_outside(served.room.free_the_seat)
                page.page.click("#take")
                page.page.click("#take-yes")
            page.phase("running")
            if is_mobile:
                page.call(1)
            if made is low_and_wide:  # it has slack to take up
                page.page.wait_for_function("() => document.getElementById('slack').textContent !== ''", timeout=60_000)
            assert looked_at(page, sizes) == {}


def test_a_lost_connection_and_the_question_before_the_end_cover_nothing(browser: Any, tmp_path: Path) -> None:
    """On a telephone: the long words of the one, and the other over the drawing only while it is asked."""
    with serving(low_and_wide(), tmp_path) as served:
        page = Page(browser, served, has_touch=True, is_mobile=True, viewport={"width": 390, "height": 844})
        page.phase("ready")
        page.page.click("#start")
        page.phase("running")
        page.page.tap("#end")
        asked = page.page.query_selector("#end-asked").bounding_box()
        call = page.page.query_selector("#call-all").bounding_box()
        assert asked["y"] >= 0 and asked["y"] + asked["height"] < call["y"]
        page.page.tap("#end-no")
        page.page.evaluate("() => { liveLift.link.hear = () => {}; liveLift.link.lose(); }")
        page.phase("lost")
        page.page.evaluate("liveLift.fit()")
        page.page.evaluate(TWO_FRAMES)
        assert page.page.evaluate(COVERED) == []
