"""A network that can freeze, for the tests: nothing is lost and nothing comes through, until it thaws."""

from __future__ import annotations

import asyncio
import contextlib
import threading
from collections.abc import Iterator
from contextlib import contextmanager


class Network:
    """What lies between a browser and a port of this machine."""

    def __init__(self, to: int) -> None:
        self.to = to
        self.port = 0
        self.loop = asyncio.new_event_loop()
        self.open = asyncio.Event()
        self.connections: set[asyncio.Task[None]] = set()

    def freeze(self) -> None:
        """Nothing more comes through, either way; new connections are made and get no answer."""
        self._done(self.open.clear)

    def thaw(self) -> None:
        """All that was held back comes through, and what follows."""
        self._done(self.open.set)

    def _done(self, act: object) -> None:
        async def doing() -> None:
            act()  # type: ignore[operator]

        asyncio.run_coroutine_threadsafe(doing(), self.loop).result(10)

    async def serve(self, ready: threading.Event) -> None:
        """Pass on what comes, until cancelled."""
        self.open.set()
        server = await asyncio.start_server(self._connection, "127.0.0.1", 0)
        self.port = server.sockets[0].getsockname()[1]
        ready.set()
        async with server:
            try:
                await server.serve_forever()
            finally:
                for task in self.connections:
                    task.cancel()
                await asyncio.gather(*self.connections, return_exceptions=True)

    async def _connection(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        if task := asyncio.current_task():
            self.connections.add(task)
        with contextlib.suppress(OSError, asyncio.CancelledError):
            await self.open.wait()
            there_reader, there_writer = await asyncio.open_connection("127.0.0.1", self.to)
            await asyncio.gather(self._pass_on(reader, there_writer), self._pass_on(there_reader, writer))

    async def _pass_on(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        with contextlib.suppress(OSError):
            while data := await reader.read(65536):
                await self.open.wait()
                writer.write(data)
                await writer.drain()
        with contextlib.suppress(OSError, RuntimeError):
            writer.close()


@contextmanager
def network(to: int) -> Iterator[Network]:
    """A network to a port, until the context ends."""
    between, ready = Network(to), threading.Event()
    tasks: list[asyncio.Task[None]] = []

    def run() -> None:
        asyncio.set_event_loop(between.loop)
        tasks.append(between.loop.create_task(between.serve(ready)))
        with contextlib.suppress(asyncio.CancelledError):
            between.loop.run_until_complete(tasks[0])

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    assert ready.wait(10)
    try:
        yield between
    finally:
        between.loop.call_soon_threadsafe(tasks[0].cancel)
        thread.join(10)
