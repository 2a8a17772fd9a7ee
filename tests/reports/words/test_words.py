"""How figures are said."""

from __future__ import annotations

from reports.words.plain import limit

INCH = 0.0254


def test_a_limit_is_said_as_it_was_set_and_as_a_gauge_block_is_marked() -> None:
    """Sixteenths of an inch as fractions, anything else as a figure without needless digits."""
    assert [limit(n * INCH, "us") for n in (0.125, 0.5, 1, 1.375, 3, 0)] == [
        "1/8 in", "1/2 in", "1 in", "1 3/8 in", "3 in", "0 in",
    ]  # fmt: skip
    assert [limit(n, "si") for n in (0.005, 0.006, 0.0025, INCH)] == ["5 mm", "6 mm", "2.5 mm", "25.4 mm"]
    assert limit(0.2 * INCH, "us") == "0.2 in"


def test_a_limit_is_never_said_larger_than_it_is() -> None:
    """Whoever holds at what is said holds soon enough."""
    assert limit(0.005, "us") == "0.19 in"  # 0.19685
    assert limit(INCH / 16, "si") == "1.5 mm"  # 1.5875
    assert limit(INCH / 8, "si") == "3.175 mm"
