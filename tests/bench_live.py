"""How fast a rehearsal answers, and whether a long one leaks: `python -m tests.bench_live`.

key press to drawn frame    ten watchers, Chromium: median and 95 %
fifty watchers              from a call to the last watcher's row
an hour                     of calling, at three hundred times its speed: memory and tasks at the end
"""

from __future__ import annotations

import asyncio
import gc
import statistics
import sys
import tempfile
import time
import tracemalloc
from contextlib import AsyncExitStack
from pathlib import Path
from typing import Any

from reports.live import room as rooms
from reports.live.start import Settings, prepare
from sim.model.scenario import Scenario
from tests.builders import MM, collar, lift, operator, station, two_lifters
from tests.reports.browser import chromium
from tests.reports.live.served import Person, begun, serving

# Run in the page: press the key, and count until the first frame in which that call stands in the drawing.
PRESS = """() => new Promise((done) => {
  const desk = document.getElementById("desk"), before = Number(desk.dataset.drawn || 0), start = performance.now();
  dispatchEvent(new KeyboardEvent("keydown", {key: " ", bubbles: true, cancelable: true}));
  const look = () => Number(desk.dataset.drawn || 0) > before ? done(performance.now() - start)
    : performance.now() - start > 2000 ? done(null) : requestAnimationFrame(look);
  requestAnimationFrame(look);
})"""


def many_calls(calls: int) -> Scenario:
    """A lift that a call raises by a tenth of a millimetre, with a crew that is quick to answer."""
    hands = operator(react=0.05, stroke=0.1, recover=0.05)
    rest = {"operator": hands, "travel_per_pump": 0.1 * MM}
    sides = two_lifters(collar(seat=0.05), left=rest, right=rest)
    return lift(calls * 0.1 * MM, *sides, station(collar(seat=0.05), name="strut"), pace=0.3, max_calls=10**6)


def key_to_frame(presses: int = 60, watchers: int = 10) -> list[float]:
    """From a key press to the frame that shows the call [ms]."""

    async def watched(served: Any, until: asyncio.Event) -> None:
        async with AsyncExitStack() as stack:
            people = [Person(await stack.enter_async_context(served.socket("&watch=1"))) for _ in range(watchers)]
            listening = [asyncio.ensure_future(p.until("never")) for p in people]
            await until.wait()
            for task in listening:
                task.cancel()
            await asyncio.gather(*listening, return_exceptions=True)

    import threading

    found: list[float] = []
    with tempfile.TemporaryDirectory() as runs, serving(many_calls(1000), Path(runs)) as served, chromium() as browser:
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.goto(served.address)
        page.wait_for_selector("#desk[data-phase=ready]")
        loop, until = asyncio.new_event_loop(), asyncio.Event()
        thread = threading.Thread(target=lambda: loop.run_until_complete(watched(served, until)), daemon=True)
        thread.start()
        page.keyboard.press("Enter")
        page.wait_for_selector("#desk[data-phase=running]")
        while len(found) < presses:
            page.wait_for_timeout(450)
            took = page.evaluate(PRESS)
            if took is not None:
                found.append(took)
        loop.call_soon_threadsafe(until.set)
        thread.join(20)
    return found


async def to_the_last_watcher(served: Any, watchers: int, calls: int) -> list[float]:
    """From a call's sending until the last of so many has its row [ms]."""
    arrived: dict[int, list[float]] = {}

    async def look(person: Person) -> None:
        while True:
            before = len(person.rows)
            await person.frame()
            for row in person.rows[before:]:
                if row.get("what") == "calls":
                    arrived.setdefault(row["call"], []).append(time.perf_counter())

    sent = []
    async with AsyncExitStack() as stack:
        caller = await begun(await stack.enter_async_context(served.socket()))
        opened = [await stack.enter_async_context(served.socket("&watch=1")) for _ in range(watchers)]
        looking = [asyncio.ensure_future(look(p)) for p in [caller, *map(Person, opened)]]
        for _ in range(calls):
            await asyncio.sleep(0.5)
            sent.append(time.perf_counter())
            await caller.say(type="call")
        await asyncio.sleep(0.5)
        for task in looking:
            task.cancel()
        await asyncio.gather(*looking, *(o.close() for o in opened), return_exceptions=True)
    assert len(arrived) == calls and all(len(times) == watchers + 1 for times in arrived.values())
    return [1000 * (max(arrived[n]) - at) for n, at in enumerate(sent, 1)]


async def an_hour(speed: float = 300.0) -> tuple[float, int, int, int, int]:
    """Calls as fast as the crew hears them, pages coming and going: growth of memory, tasks, calls, rows, simulated."""
    live, _ = prepare(many_calls(10**6), Settings(runs=Path(tempfile.mkdtemp()), browser=False))
    room = live.room
    room.clock = rooms.WallClock(speed)
    keeping = asyncio.create_task(room.keep_time())
    page = room.enter("", False, False, lambda: None)
    page.heard = float("inf")  # it beats
    room.started = True
    room.clock.go()
    base_tasks, memory = len(asyncio.all_tasks()), []
    next_look = 0.0
    while room.clock.time() < 3600:
        room.rehearsal.call(at=room.clock.time())
        room.word.set()
        other = room.enter("", False, True, lambda: None)
        await asyncio.sleep(0.002)
        while room.frame(page):
            pass
        room.leave(other)
        if room.clock.time() > next_look:
            gc.collect()
            kept = sum(sys.getsizeof(text) for text, _ in room.sent)
            memory.append((tracemalloc.get_traced_memory()[0] - kept) / len(room.rehearsal.book.rows))
            next_look += 600
    tasks = len(asyncio.all_tasks()) - base_tasks
    keeping.cancel()
    simulated = sum(len(text) for text, _ in room.sent)
    return memory[-1] / memory[1], tasks, room.rehearsal.lift.site.call, len(room.rehearsal.book.rows), simulated


def main() -> None:
    """Print the figures."""
    times = sorted(key_to_frame())
    most = times[int(0.95 * len(times)) - 1]
    print(f"key press to drawn frame, ten watchers, {len(times)} presses: ", end="")
    print(f"median {statistics.median(times):.0f} ms, 95 % {most:.0f} ms, largest {times[-1]:.0f} ms")
    with tempfile.TemporaryDirectory() as runs, serving(many_calls(1000), Path(runs)) as served:
        late = sorted(asyncio.run(to_the_last_watcher(served, 50, 20)))
    print(f"call to the last of fifty watchers: median {statistics.median(late):.0f} ms, largest {late[-1]:.0f} ms")
    tracemalloc.start()
    growth, tasks, calls, rows, simulated = asyncio.run(an_hour())
    print(f"an hour: {calls} calls, {rows} rows, {simulated / 1e6:.1f} MB simulated; tasks left over {tasks}; "
          f"memory a row, at the end against after ten minutes: {growth:.2f}")  # fmt: skip


if __name__ == "__main__":
    main()
