"""A rehearsal being served, for the tests: in a thread of its own, on a free port."""

from __future__ import annotations

import asyncio
import json
import socket
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from websockets.asyncio.client import ClientConnection, connect

from reports.live.afterwards import Afterwards
from reports.live.network import listen
from reports.live.room import Room
from reports.live.seat import BEAT
from reports.live.server import Live, served
from reports.live.start import Settings, prepare
from sim.model.scenario import Scenario
from tests.builders import MM, collar, lift, operator, station, two_lifters


def short_lift(turns: float = 2.0, **rest: Any) -> Scenario:
    """Two calls and a hold, over in some ten seconds: two lifters, a strut; `turns` a second at its collars."""
    hands = operator(react=0.2, stroke=0.4, recover=0.2)
    device = collar(seat=0.2, turns=turns)
    sides = two_lifters(device, left={"operator": hands}, right={"operator": hands})
    return lift(15 * MM, *sides, station(device, name="strut"), pace=1.0, gap_limit=1 * MM, **rest)


class Served:
    """What is served, and where."""

    def __init__(self, live: Live, afterwards: Afterwards, listening: socket.socket) -> None:
        self.live, self.afterwards, self.listening = live, afterwards, listening
        self.port = int(listening.getsockname()[1])

    @property
    def room(self) -> Room:
        """The rehearsal's room; only to be looked at from another thread."""
        return self.live.room

    @property
    def address(self) -> str:
        """What to open in a browser."""
        return self.live.address("127.0.0.1", self.port)

    def get(self, path: str, **headers: str) -> tuple[int, str]:
        """What the server answers to a request: status and text."""
        request = urllib.request.Request(f"http://127.0.0.1:{self.port}{path}", headers=headers)
        try:
            with urllib.request.urlopen(request, timeout=10) as answer:
                return answer.status, answer.read().decode()
        except urllib.error.HTTPError as error:
            return error.code, error.read().decode()

    def from_outside(self, act: Callable[[], None]) -> None:
        """Do something where the rehearsal is being served, from this thread."""
        self.live.soon(act)

    def socket(self, more: str = "", token: str | None = None, origin: str | None = "") -> Any:
        """A connection to the rehearsal: a context for `async with`."""
        token = self.live.token if token is None else token
        origin = f"http://127.0.0.1:{self.port}" if origin == "" else origin
        address: Any = f"ws://127.0.0.1:{self.port}/ws?token={token}{more}"
        return connect(address, origin=origin, max_size=None, close_timeout=0.5)  # type: ignore[arg-type]


@contextmanager
def serving(scenario: Scenario, runs: Path, host: str = "127.0.0.1", **settings: Any) -> Iterator[Served]:
    """A rehearsal that is served until the context ends."""
    live, afterwards = prepare(scenario, Settings(runs=runs, browser=False, **settings))
    listening = listen(host, 0)
    run = served(live, host, listening)
    thread = threading.Thread(target=lambda: asyncio.run(run), daemon=True)
    thread.start()
    try:
        yield Served(live, afterwards, listening)
    finally:
        live.leave()
        thread.join(10)


class Person:
    """One page, as a script has it: what it was simulated, and what it says."""

    def __init__(self, socket: ClientConnection) -> None:
        self.socket = socket
        self.beats, self.beat_at = True, 0.0
        self.got: list[dict[str, Any]] = []
        self.rows: list[dict[str, Any]] = []
        self.refused: list[dict[str, Any]] = []

    async def say(self, **message: Any) -> None:
        """Send a message."""
        await self.socket.send(json.dumps(message))

    async def until(self, kind: str, **values: Any) -> dict[str, Any]:
        """Listen until a message of a kind comes that has these values."""
        seen = 0
        while True:
            for message in self.got[seen:]:
                seen += 1
                if message["type"] == kind and all(message.get(k) == v for k, v in values.items()):
                    self.got = self.got[seen:]
                    return message
            await self.frame()

    async def until_row(self, what: str) -> dict[str, Any]:
        """Listen until something has happened."""
        while True:
            row = next((row for row in self.rows if row.get("what") == what), None)
            if row is not None:
                return row
            await self.frame()

    async def frame(self) -> None:
        """Listen to one frame, and answer it as a page does."""
        for message in json.loads(await asyncio.wait_for(self.socket.recv(), 60)):
            if message["type"] == "rows":
                self.rows += message["rows"]
            if message["type"] == "refused":
                self.refused.append(message)
            self.got.append(message)
        if self.beats and time.monotonic() > self.beat_at:
            self.beat_at = time.monotonic() + BEAT
            await self.say(type="beat")


async def begun(socket: ClientConnection) -> Person:
    """The caller, the lift under way."""
    person = Person(socket)
    await person.until("welcome", role="caller")
    await person.say(type="start")
    await person.until("state", phase="running")
    return person


async def to_the_end(caller: Person) -> dict[str, Any]:
    """Two calls, the second as soon as anybody can hear it, and the end once all is caught."""
    while (calls := calls_heard(caller)) < 2:
        await caller.say(type="call")
        refusals = len(caller.refused)
        while len(caller.refused) == refusals and calls_heard(caller) == calls:
            await caller.frame()
        await asyncio.sleep(0.03)
    await caller.say(type="end")
    return await caller.until("scored")


def calls_heard(caller: Person) -> int:
    """How many calls there have been."""
    return sum(row.get("what") == "calls" for row in caller.rows)
