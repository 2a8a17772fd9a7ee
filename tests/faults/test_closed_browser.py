"""The browser is closed during a rehearsal: nothing moves, nothing is lost, and it goes on from there."""

from __future__ import annotations

import asyncio
import signal
import time
from pathlib import Path
from typing import Any

import pytest

from sim.stored.store import stored
from tests.faults.hands import TRAILER, assert_whole, started
from tests.reports.browser import chromium
from tests.reports.live.served import Person, begun, serving, short_lift, to_the_end


def test_closed_in_mid_stroke_and_opened_again(tmp_path: Path) -> None:
    """No goodbye: the connection is cut. The lift waits; opened again, all that was simulated is simulated again."""

    async def cut(served: Any) -> tuple[list[Any], list[Any], dict[str, Any]]:
        async with served.socket() as one:
            before = Person(one)
            seat = (await before.until("welcome", role="caller"))["seat"]
            await before.say(type="start")
            await before.say(type="call")
            await before.until_row("strokes")
            one.transport.abort()
        deadline = time.monotonic() + 60
        while served.room.seat.page is not None and time.monotonic() < deadline:
            await asyncio.sleep(0.02)
        stood = served.room.clock.time()
        await asyncio.sleep(0.3)
        assert served.room.phase == "away" and served.room.clock.time() == stood
        async with served.socket(f"&seat={seat}") as again:
            after = Person(again)
            await after.until("welcome", role="caller")
            await after.until_row("strokes")
            simulated = list(after.rows)
            return before.rows, simulated, await to_the_end(after)

    with serving(short_lift(), tmp_path, speed=20.0) as served:
        before, simulated, scored = asyncio.run(cut(served))
    assert simulated[: len(before)] == before and scored["outcome"] == "raised"
    assert_whole(tmp_path)


def test_closed_once_the_lift_is_over_it_is_stored_and_the_command_leaves(tmp_path: Path) -> None:
    """The page is gone before the figures come: the run is there, whole."""

    async def over(served: Any) -> None:
        async with served.socket() as socket:
            caller = await begun(socket)
            await caller.say(type="end")
            await caller.until("state", phase="over")

    with serving(short_lift(), tmp_path, speed=20.0) as served:
        asyncio.run(over(served))
        deadline = time.monotonic() + 15
        while not served.room.scored.is_set() and time.monotonic() < deadline:
            time.sleep(0.05)
    assert [run.summary["kind"] for run in stored(tmp_path) if run.summary] == ["rehearsal"]
    assert_whole(tmp_path)


def test_closed_and_never_opened_again_ctrl_c_breaks_off(tmp_path: Path) -> None:
    """130, said so, nothing half stored."""
    process = started(tmp_path, "rehearse", str(TRAILER), "--no-browser")
    assert process.stderr is not None
    assert process.stderr.readline().startswith("call:")
    while "Ctrl-C" not in process.stderr.readline():
        pass
    time.sleep(0.5)
    process.send_signal(signal.SIGINT)
    _, said = process.communicate(timeout=30)
    assert process.returncode == 130 and "nothing is stored" in said and "Traceback" not in said
    assert not (tmp_path / "runs").exists()


@pytest.mark.browser
@pytest.mark.slow
def test_a_real_browser_closed_and_opened_again(tmp_path: Path) -> None:
    """The tab is closed in mid-lift; opened again in the same browser, it calls again."""
    with serving(short_lift(), tmp_path, speed=4.0) as served, chromium() as browser:
        context = browser.new_context()
        page = context.new_page()
        page.goto(served.address)
        page.click("#start")
        page.wait_for_function("() => document.getElementById('state').textContent.includes('under way')")
        page.close()
        deadline = time.monotonic() + 60
        while served.room.seat.page is not None and time.monotonic() < deadline:
            time.sleep(0.02)
        assert served.room.phase == "away"
        page = context.new_page()
        page.goto(served.address)
        page.wait_for_function(
            "() => document.getElementById('state').textContent.startsWith('You call')", timeout=60_000
        )
        assert served.room.phase == "running"
