"""The room of a rehearsal: one calls, the others watch; all are simulated the same; what is stored when it is over."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterator
from contextlib import AsyncExitStack
from pathlib import Path
from typing import Any

import pytest
from websockets.exceptions import ConnectionClosed

from sim.record.measures import measure
from sim.stored.store import record_of, stored
from tests.reports.live.served import Person, Served, begun, serving, short_lift, to_the_end

FAST = 20.0


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """A short rehearsal at twenty times its speed."""
    with serving(short_lift(), tmp_path, speed=FAST) as it:
        yield it


# --- one calls, the others watch


def test_one_calls_and_the_second_watches(served: Served) -> None:
    """A watcher cannot call; the caller cannot bring in surprises; the caller is not simulated of them."""

    async def two() -> None:
        async with served.socket() as one, served.socket() as other:
            caller, watcher = await begun(one), Person(other)
            await watcher.until("welcome", role="watcher")
            await watcher.say(type="call")
            await watcher.until("refused", what="call")
            await caller.say(type="surprise", kind="slow", who="strut collar")
            await caller.until("refused", what="surprise")
            await watcher.say(type="surprise", kind="slow", who="nobody")
            await watcher.until("refused", what="surprise")
            await watcher.say(type="surprise", kind="slow", who="strut collar")
            await watcher.until("surprises", surprises=[{"kind": "slow", "who": "strut collar", "call": 1}])
            scored = await to_the_end(caller)
            assert not any(m["type"] == "surprises" for m in caller.got)
            assert "strut collar" in scored["surprises"][0] and "not named" in scored["surprises"][0]

    asyncio.run(two())


def test_without_its_caller_the_lift_waits_and_the_place_is_kept(served: Served) -> None:
    """The caller's socket drops in mid-stroke: nothing moves until it is back; another does not get its place."""

    async def drops() -> None:
        async with served.socket("&watch=1") as looking:
            watcher = Person(looking)
            async with served.socket() as one:
                caller = Person(one)
                seat = (await caller.until("welcome", role="caller"))["seat"]
                await caller.say(type="start")
                await caller.say(type="call")
                await caller.until_row("strokes")
            await watcher.until("state", phase="away")
            stood = served.room.clock.time()
            async with served.socket("&seat=wrong") as stranger:
                await Person(stranger).until("welcome", role="watcher")
            await asyncio.sleep(0.2)
            assert served.room.clock.time() == stood
            async with served.socket(f"&seat={seat}") as back:
                caller = Person(back)
                await caller.until("welcome", role="caller")
                await watcher.until("state", phase="running")
                assert (await to_the_end(caller))["outcome"] == "raised"

    asyncio.run(drops())


def test_the_same_page_again_takes_its_own_place(served: Served) -> None:
    """A tablet that lost the network comes back before the old socket is known to be dead."""

    async def again() -> None:
        async with served.socket() as old:
            seat = (await Person(old).until("welcome", role="caller"))["seat"]
            async with served.socket(f"&seat={seat}") as second:
                await Person(second).until("welcome", role="watcher")
            async with served.socket(f"&seat={seat}&again=1") as new:
                await Person(new).until("welcome", role="caller")
                with pytest.raises(ConnectionClosed):
                    while True:
                        await asyncio.wait_for(old.recv(), 5)

    asyncio.run(again())


def test_fifty_watchers_see_every_event_in_order(served: Served) -> None:
    """Some from the start, some coming late; all see the same rows as the record has, one after the other."""

    async def all_of_them() -> list[list[dict[str, Any]]]:
        async with AsyncExitStack() as stack:
            caller = await begun(await stack.enter_async_context(served.socket()))
            opened = [await stack.enter_async_context(served.socket("&watch=1")) for _ in range(25)]
            await caller.say(type="call")
            await caller.until_row("strokes")
            opened += [await stack.enter_async_context(served.socket("&watch=1")) for _ in range(25)]
            watchers = [Person(o) for o in opened]
            done = asyncio.gather(*(w.until("scored") for w in watchers))
            await to_the_end(caller)
            await done
            await asyncio.gather(*(o.close() for o in opened))
            return [caller.rows, *(w.rows for w in watchers)]

    rows = asyncio.run(all_of_them())
    assert all(r == rows[0] for r in rows)
    record = served.room.rehearsal.book.rows
    simulated = [(r["time_s"], r["who"], r["what"]) for r in rows[0] if r.get("who")]
    assert simulated == [(row.time_s, row.who, row.what) for row in record if row.who]


# --- afterwards


def test_a_rehearsal_is_stored_as_one_with_its_report(served: Served, tmp_path: Path) -> None:
    """Kind "rehearsal", the rule's figures beside it, events that give the record again; the report is served, too."""
    token = served.live.token
    assert served.get(f"/report?token={token}")[0] == 404

    async def whole() -> dict[str, Any]:
        async with served.socket() as one:
            return await to_the_end(await begun(one))

    scored = asyncio.run(whole())
    (run,) = stored(tmp_path)
    assert run.summary is not None and run.path.name == scored["stored"]
    assert run.summary["kind"] == "rehearsal" and run.summary["rehearsal"]["by_the_rule"]["outcome"] == "raised"
    assert run.summary["rehearsal"]["speed"] == FAST and run.summary["calls"] == 2
    kept = ["events.csv", "report.html", "scenario.toml", "sha256.txt", "summary.json"]
    assert sorted(p.name for p in run.path.iterdir()) == kept
    assert served.get(f"/report?token={token}")[0] == 200
    again = record_of(run, served.room.rehearsal.as_written)
    record = served.room.rehearsal.record(0)
    assert again.events.to_csv() == record.events.to_csv() and (again.outcome, again.reason) == (
        "raised",
        record.reason,
    )
    assert (again.events.dtypes == record.events.dtypes).all() and measure(again) == measure(record)
    words = " ".join(json.dumps(scored).lower().replace('"', " ").replace(",", " ").split())
    assert not {"safe", "secure", "ok", "pass", "passed"} & set(words.split())


def test_stop_is_answered_with_what_was_seen(served: Served) -> None:
    """All are frozen until then, and no call is heard."""

    async def stops() -> dict[str, Any]:
        async with served.socket() as one:
            caller = await begun(one)
            await caller.say(type="call")
            await caller.until_row("strokes")
            await caller.say(type="stop")
            await caller.until("state", phase="frozen")
            await caller.say(type="call")
            await caller.until("refused", what="call")
            await caller.say(type="seen", what="gap", where="strut")
            await caller.until("state", phase="running")
            return await to_the_end(caller)

    assert "a gap over the limit (strut)" in asyncio.run(stops())["stops"][0]
