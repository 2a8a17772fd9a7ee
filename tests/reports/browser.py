"""A real browser for the tests that need one; skipped with a word where there is none, unless REQUIRE_BROWSER=1."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


@contextmanager
def chromium() -> Iterator[Any]:
    """Headless Chromium, driven by playwright."""
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        if os.environ.get("REQUIRE_BROWSER"):
            pytest.fail("no Chromium is installed, and REQUIRE_BROWSER is set")
        pytest.skip("no Chromium is installed")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield browser
        browser.close()
