"""A page of a rehearsal in a real browser, for the tests: what a person sees there and presses."""

from __future__ import annotations

import contextlib
import json
import time
from typing import Any

from tests.reports.live.served import Served

PATIENCE = 60_000  # how long a test waits for a state that has to come, however busy the machine [ms]
CAUGHT = "() => liveLift.drawing.record.at(liveLift.now()).places.every(place => place.caught)"
RISE = "() => Number(document.getElementById('drawing').dataset.pointRiseM)"
ANSWERED = """number => Number(document.getElementById("desk").dataset.calls) >= number
  || document.getElementById("answer").textContent !== ''"""
TWO_FRAMES = "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done())))"


class Page:
    """A page of the rehearsal, and all that the browser complained of."""

    def __init__(
        self,
        browser: Any,
        served: Served,
        more: str = "",
        port: int | None = None,
        before: str = "",
        kept: dict[str, str] | None = None,
        patient: bool = True,
        **settings: Any,
    ) -> None:
        """A page that is opened.

        `port`: by way of another; `before`: a script run before the page's; `kept`: what the browser remembers;
        `patient`: on a busy machine nothing is late, nor anybody gone for being slow.
        """
        self.complaints: list[str] = []
        self.context = browser.new_context(**({"viewport": {"width": 1024, "height": 768}} | settings))
        self.context.set_default_timeout(PATIENCE)
        for name, value in (kept or {}).items():
            before += f"localStorage.setItem({json.dumps(name)}, {json.dumps(value)});"
        if before:
            self.context.add_init_script(before)
        self.page = self.context.new_page()
        self.page.on("console", lambda message: self.complaints.append(message.text))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.goto(served.live.address("127.0.0.1", port or served.port) + more)
        if patient:
            self.page.evaluate(f"Object.assign(LIVE_LINK, {{gone: {PATIENCE}, answer: {PATIENCE}, by: {PATIENCE}}})")

    def phase(self, phase: str) -> None:
        """Wait until the rehearsal is there."""
        self.page.wait_for_selector(f"#desk[data-phase={phase}]")

    def begin(self, key: str = "Enter") -> None:
        """The caller begins: pressed again where that was not heard."""
        from playwright.sync_api import TimeoutError as TookTooLong

        self.phase("ready")
        end = time.monotonic() + PATIENCE / 1000
        while self.page.get_attribute("#desk", "data-phase") != "running" and time.monotonic() < end:
            self.press(key)
            with contextlib.suppress(TookTooLong):
                self.page.wait_for_selector("#desk[data-phase=running]", timeout=PATIENCE / 10)
        self.phase("running")

    def press(self, key: str) -> None:
        """A key, wherever the focus is."""
        self.page.keyboard.press(key)

    def call(self, number: int, key: str = "Space") -> None:
        """Call once all are ready: pressed again after each answer that it was not heard."""
        end = time.monotonic() + PATIENCE / 1000
        while time.monotonic() < end:
            self.page.evaluate("document.getElementById('answer').textContent = ''")
            self.press(key)
            self.page.wait_for_function(ANSWERED, arg=number)
            if self.page.get_attribute("#desk", "data-calls") == str(number):
                return
            self.page.wait_for_timeout(100)
        raise AssertionError(f"call {number} was not heard: {self.page.inner_text('#answer')}")

    def has_risen(self, metres: float) -> None:
        """Wait until the drawing has risen further than that."""
        self.page.wait_for_function(f"metres => ({RISE})() > metres", arg=metres)

    def end(self) -> None:
        """E, and E once more, which is no bounce of the first."""
        self.press("e")
        self.page.wait_for_selector("#end-asked:not([hidden])")
        self.page.wait_for_timeout(600)
        self.press("e")

    def scored(self) -> str:
        """What the page says afterwards."""
        self.page.wait_for_selector("#afterwards:not([hidden])")
        return str(self.page.inner_text("#afterwards"))
