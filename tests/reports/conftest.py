"""What the tests of pages share: one browser for all tests of a file."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.reports.browser import chromium


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Headless Chromium; the test is skipped with a word where there is none."""
    with chromium() as opened:
        yield opened
