"""What the browser tests of a rehearsal share: no page of one test is left open in the next."""

from collections.abc import Iterator
from typing import Any

import pytest


@pytest.fixture(name="browser")
def emptied_browser(browser: Any) -> Iterator[Any]:
    """The browser of all tests of a file; what a test opened in it is closed afterwards."""
    yield browser
    for context in browser.contexts:
        context.close()


@pytest.fixture
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody is gone for being slow: a page is, once its socket is closed."""
    monkeypatch.setattr("reports.live.seat.GONE", 60.0)
