"""The clock is set back or ahead while a rehearsal is led: its time goes on, nothing is called late, it is stored."""

from __future__ import annotations

import asyncio
import time
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from sim.rehearsal.wall_clock import WallClock
from sim.stored.store import save, stored
from tests.faults.hands import assert_whole
from tests.reports.live.served import begun, serving, short_lift, to_the_end

DAY = 86_400.0


@pytest.mark.parametrize("by", [-DAY, DAY], ids=["back", "ahead"])
def test_a_rehearsal_goes_on_though_the_clock_is_set(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, by: float
) -> None:
    """A day, in mid-lift: time never goes back nor leaps, the lift is raised and stored whole."""
    right = time.time

    async def whole(served: Any) -> dict[str, Any]:
        async with served.socket() as socket:
            caller = await begun(socket)
            await caller.say(type="call")
            await caller.until_row("strokes")
            monkeypatch.setattr(time, "time", lambda: right() + by)
            monkeypatch.setattr(time, "time_ns", lambda: int((right() + by) * 1e9))
            scored = await to_the_end(caller)
            scored["times"] = [row["time_s"] for row in caller.rows if "time_s" in row]
            return scored

    begin = time.monotonic()
    with serving(short_lift(), tmp_path, speed=20.0) as served:
        scored = asyncio.run(whole(served))
    took = (time.monotonic() - begin) * 20.0
    assert scored["outcome"] == "raised" and scored["times"] == sorted(scored["times"])
    assert 0 < scored["times"][-1] <= took
    assert_whole(tmp_path)


def test_the_lift_s_time_is_not_the_clock_s(monkeypatch: pytest.MonkeyPatch) -> None:
    """Set back by a day, it is as far as before."""
    clock = WallClock(1.0)
    clock.go()
    monkeypatch.setattr(time, "time", lambda: 0.0)
    assert 0.0 <= clock.time() < 1.0


def test_two_runs_of_one_second_simulated_twice_by_the_clock_are_both_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The clock is set back by an hour, and the same second comes again: neither takes the other's place."""
    summary = '{"format": 1, "title": "x", "outcome": "raised", "provenance": {}}'

    class Fixed:
        @staticmethod
        def now(*_: Any) -> datetime:
            return datetime(2026, 10, 25, 2)

    monkeypatch.setattr("sim.stored.store.datetime", Fixed)
    both = [save("x", {"summary.json": summary, "n": n}, tmp_path) for n in ("first", "second")]
    assert [place.joinpath("n").read_text() for place in both] == ["first", "second"] and len(
        list(stored(tmp_path))
    ) == 2
