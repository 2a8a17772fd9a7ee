"""The drawing's layout in a real browser: nothing overlaps or is cut, from phone to wall."""

from __future__ import annotations

import pytest

from sim.record.measures import measure
from tests.reports.drawn import Opened
from tests.reports.shapes import SHAPES, shape

pytestmark = pytest.mark.browser
WIDTHS = ((390, 844), (1024, 768), (1920, 1080))
FULL = {"trailer", "twelve stations", "dropped", "re-set"}  # the other shapes only in `make verify`
OVERLAPS = """() => {
  const kinds = ".lift-tag circle, .lift-view, .lift-card, .lift-status, .lift-caption, .lift-answers, .lift-slider, "
    + ".lift-drawing button, .lift-drawing select, .lift-drawing figcaption";
  const boxes = [...document.querySelectorAll(kinds)].map(e => [e, e.getBoundingClientRect()])
    .filter(([, box]) => box.width > 0);
  const found = [];
  for (let a = 0; a < boxes.length; a += 1) for (let b = a + 1; b < boxes.length; b += 1) {
    const [x, p] = boxes[a], [y, q] = boxes[b];
    if (x.contains(y) || y.contains(x)) continue;
    const across = Math.min(p.right, q.right) - Math.max(p.left, q.left);
    if (across > 1 && Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top) > 1)
      found.push(`${x.className.baseVal ?? x.className} ${y.className.baseVal ?? y.className}`);
  }
  return found;
}"""
CUT = """() => [...document.querySelectorAll(".lift-drawing *")].filter(e => {
  const box = e.getBoundingClientRect();
  return box.width > 0 && (box.left < -1 || box.right > innerWidth + 1) && !e.closest(".lift-ghost");
}).map(e => `${e.tagName} ${e.className.baseVal ?? e.className}`)"""


@pytest.mark.parametrize("name", [pytest.param(n, marks=[] if n in FULL else [pytest.mark.slow]) for n in SHAPES])
def test_nothing_overlaps_or_is_cut_from_phone_to_wall(browser, name, tmp_path):
    """At 390, 1024 and 1920 px, as the lift goes on: boxes of tags, cards, controls, texts; no text under 9 px."""
    record = shape(name)
    for width, height in WIDTHS:
        opened = Opened(browser, record, tmp_path, viewport={"width": width, "height": height})
        for share in (0.0, 0.37, 1.0):
            opened.seek(share * measure(record)["duration_s"])
            assert opened.page.evaluate(OVERLAPS) == [], (width, share)
            assert opened.page.evaluate(CUT) == [], (width, share)
        assert opened.page.evaluate("document.documentElement.scrollWidth") <= width
        sizes = opened.page.evaluate(
            "[...document.querySelectorAll('.lift-drawing text')].map(t => parseFloat(getComputedStyle(t).fontSize))"
        )
        assert min(sizes) >= 9
        assert opened.complaints == []
        opened.page.close()


def test_it_is_laid_out_anew_when_the_window_changes(browser, tmp_path):
    """From wall to phone and back: the same picture as if opened there."""
    opened = Opened(browser, shape("trailer"), tmp_path, viewport={"width": 1024, "height": 768})
    before = opened.read("scale")
    opened.page.set_viewport_size({"width": 390, "height": 844})
    opened.page.wait_for_function(f"Math.abs(document.querySelector('.lift-drawing').dataset.scale - {before}) > 1")
    assert opened.page.evaluate(CUT) == []
    opened.page.set_viewport_size({"width": 1024, "height": 768})
    opened.page.wait_for_function(f"Math.abs(document.querySelector('.lift-drawing').dataset.scale - {before}) < 1e-6")
    opened.page.close()
