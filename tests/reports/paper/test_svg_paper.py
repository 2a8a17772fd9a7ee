"""Places beside each other on paper."""

from __future__ import annotations

import pytest

from reports.paper.svg_paper import spread


def test_places_are_moved_apart_by_as_little_as_can_be() -> None:
    """Three that want one place stand around it; one that stands far off stays; none leaves its room."""
    assert spread([50.0, 50.0, 50.0, 90.0], 0, 100, 10) == [40, 50, 60, 90]
    assert spread([1.0, 1.0], 0, 100, 10) == [0, 10]
    assert spread([99.0, 99.0], 0, 100, 10) == [90, 100]
    assert spread([20.0, 28.0, 60.0], 0, 100, 10) == pytest.approx([19, 29, 60])
