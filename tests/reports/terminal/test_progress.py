"""Practice over sessions, as a small chart."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from reports.terminal.progress import bars, progress
from sim.stored.store import Stored


def session(title: str, over: int, gap: float, needless: float, **more: Any) -> Stored:
    """A stored rehearsal, as far as the chart looks at it."""
    rehearsal = {"needless_hold_s": needless, "interval_sd_s": None, "surprises": [{"noticed_after_s": None}]}
    summary = {
        "kind": "rehearsal", "title": title, "outcome": "raised", "over_limit_calls": over,
        "largest_gap": {"gap_m": gap}, "rehearsal": rehearsal, **more,
    }  # fmt: skip
    return Stored(Path("x"), summary)


def test_a_bar_stands_for_each_session_the_newest_on_the_right() -> None:
    """Heights from nothing to the largest; what is not known is a dot, not a zero."""
    assert bars([8.0, 4.0, 0.0, None]) == "█▅▁·" and bars([0.0, 0.0]) == "▁▁" and bars([]) == ""


def test_practice_of_one_lift_is_charted_from_its_second_session_on() -> None:
    """The store gives the newest first; other runs, damaged ones and lifts rehearsed once are passed over."""
    found = [
        session("nose", 0, 0.004, 1.0),
        Stored(Path("y"), None, "damaged"),
        session("van", 1, 0.01, 1.0),
        Stored(Path("z"), {"title": "nose", "outcome": "raised"}),
        session("nose", 6, 0.02, 9.0),
    ]
    lines = progress(found)
    assert lines[0].startswith("practice of nose: 2 sessions") and not any("van" in line for line in lines)
    assert "█▁  first 6, last 0" in lines[1] and "first 20.0 mm, last 4.0 mm" in lines[2]
    assert "first not known" in lines[4]
    assert progress(found[:3]) == []
