"""A real browser for the tests that need one; skipped with a word where there is none, unless REQUIRE_BROWSER=1."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


def chromium_path() -> str:
    """Where Chromium is; the test is skipped with a word where there is none."""
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        if os.environ.get("REQUIRE_BROWSER"):
            pytest.fail("no Chromium is installed, and REQUIRE_BROWSER is set")
        pytest.skip("no Chromium is installed")
    return path


@contextmanager
def chromium() -> Iterator[Any]:
    """Headless Chromium, driven by playwright."""
    path = chromium_path()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield browser
        browser.close()


# Texts of the charts that are shown, with their boxes: too small, out of the chart, or over one another.
SHARED = """const shared = (p, q) => Math.min(p.right, q.right) - Math.max(p.left, q.left) > 1
  && Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top) > 2;"""
CHART_FAULTS = (
    f"() => {{ {SHARED}"
    + """
  const faults = [];
  for (const chart of document.querySelectorAll("[data-figure]")) {
    const room = chart.getBoundingClientRect();
    const texts = [...chart.querySelectorAll("svg text")].filter((t) => t.textContent.trim());
    const boxes = texts.map((t) => [t, t.getBoundingClientRect()]).filter(([, box]) => box.width);
    for (const [t, box] of boxes) {
      const size = parseFloat(getComputedStyle(t).fontSize);
      if (size < 9) faults.push(`small (${size}): ${t.textContent}`);
      const across = box.left < room.left - 1 || box.right > room.right + 1;
      if (across || box.top < room.top - 1 || box.bottom > room.bottom + 1)
        faults.push(`cut: ${t.textContent}`);
    }
    for (let a = 0; a < boxes.length; a += 1) for (let b = a + 1; b < boxes.length; b += 1) {
      const [s, p] = boxes[a], [t, q] = boxes[b];
      if (shared(p, q))
        faults.push(`over one another: ${s.textContent} | ${t.textContent}`);
    }
  }
  return faults;
}"""
)
# Of the page itself: out of the window (but for what scrolls), or blocks of one parent over one another.
PAGE_FAULTS = (
    f"() => {{ {SHARED}"
    + """
  const faults = [];
  if (document.documentElement.scrollWidth > innerWidth) faults.push("the page scrolls sideways");
  for (const e of document.querySelectorAll("body *")) {
    if (e.closest("svg, .scroll, pre, .skip, .lift-drawing")) continue;
    const box = e.getBoundingClientRect();
    const out = box.width && (box.left < -1 || box.right > innerWidth + 1);
    if (out) faults.push(`out of the window: ${e.tagName} ${e.className}`);
    if (/^(H1|H2|DT|DD|P|BUTTON|TH)$/.test(e.tagName) && e.scrollWidth > e.clientWidth + 1 && e.clientWidth)
      faults.push(`cut: ${e.tagName} ${e.textContent.slice(0, 40)}`);
  }
  for (const parent of document.querySelectorAll("main, .bar, .figures, .head, .tools, .key, .sheet, .figures div")) {
    const all = [...parent.children].map((e) => [e, e.getBoundingClientRect()]);
    const boxes = all.filter(([, b]) => b.width && b.height);
    for (let a = 0; a < boxes.length; a += 1) for (let b = a + 1; b < boxes.length; b += 1) {
      const [s, p] = boxes[a], [t, q] = boxes[b];
      if (shared(p, q))
        faults.push(`over one another: ${s.tagName} ${s.className} | ${t.tagName} ${t.className}`);
    }
  }
  return faults;
}"""
)
# On a telephone: what is pressed and lower than a thumb needs (44 px; links in the bar 40).
SMALL_TARGETS = """() => [...document.querySelectorAll("button, select, summary, .bar nav a, input[type=range]")]
  .map((e) => [e, e.getBoundingClientRect()])
  .filter(([e, box]) => box.width && box.height < (e.tagName === "A" ? 40 : 43.5))
  .map(([e, box]) => `${e.tagName} ${e.textContent.trim().slice(0, 30)}: ${Math.round(box.height)} px`)"""
