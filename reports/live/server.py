"""The server of a rehearsal: one page, one socket, and the report once there is one. Nothing else is served.

It listens on this machine only, unless given an address; and then, as here, only to those who have the token of this
start.
"""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import socket
from collections.abc import Callable
from dataclasses import dataclass, field

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect
from uvicorn.protocols.http.auto import AutoHTTPProtocol

from reports.live.gate import Gate
from reports.live.messages import Allowance, read
from reports.live.room import Room
from reports.live.seat import BEAT, Page

MOST_PAGES = 200
MOST_FRAME = 4096  # bytes of one frame from a page; a larger one closes its socket before it is read
SILENT = 5.0  # how long a whole request is waited for [s]


@dataclass
class Live:
    """A rehearsal being served."""

    room: Room
    page: str  # HTML
    report: Callable[[], str]  # HTML of the full report, "" until there is one
    token: str = field(default_factory=lambda: secrets.token_urlsafe(16))
    server: uvicorn.Server | None = None  # while it is being served
    loop: asyncio.AbstractEventLoop | None = None

    def leave(self) -> None:
        """Serve no more."""
        if self.server is not None:
            self.server.should_exit = True

    def soon(self, act: Callable[[], None]) -> None:
        """Do something in the event loop, from another thread."""
        if self.loop is not None and not self.loop.is_closed():
            self.loop.call_soon_threadsafe(act)

    def app(self, host: str) -> Gate:
        """The application, behind its gate."""
        app = Starlette(
            routes=[
                Route("/", self.serve_page, methods=["GET"]),
                Route("/report", self.serve_report, methods=["GET"]),
                WebSocketRoute("/ws", self.serve_socket),
            ],
        )
        app.router.redirect_slashes = False
        return Gate(app, host, self.token)

    async def serve_page(self, _: Request) -> Response:
        """The page."""
        return HTMLResponse(self.page)

    async def serve_report(self, _: Request) -> Response:
        """The full report, once the lift is over."""
        report = self.report()
        return HTMLResponse(report) if report else PlainTextResponse("not yet", status_code=404)

    async def serve_socket(self, socket: WebSocket) -> None:
        """One page's socket, from its coming to its going."""
        if len(self.room.pages) >= MOST_PAGES:
            await socket.close(1013)
            return
        await socket.accept()
        asked = socket.query_params
        away = asyncio.Event()
        page = self.room.enter(
            asked.get("seat", "")[:100], asked.get("again") == "1", asked.get("watch") == "1", away.set
        )
        both = [
            asyncio.ensure_future(work) for work in (self._listen(socket, page), self._send(socket, page), away.wait())
        ]
        try:
            await asyncio.wait(both, return_when=asyncio.FIRST_COMPLETED)
        finally:
            self.room.leave(page)
            for task in both:
                task.cancel()
            await asyncio.gather(*both, return_exceptions=True)
            with contextlib.suppress(RuntimeError, OSError, WebSocketDisconnect):
                await socket.close(1000 if away.is_set() else 1008)

    async def _listen(self, socket: WebSocket, page: Page) -> None:
        """Hear a page until it goes, or says what is no message, or says too much."""
        allowance = Allowance()
        while True:
            received = await socket.receive()
            if received["type"] != "websocket.receive" or not allowance.spend():
                return
            message = read(received.get("text") or "")
            if message is None:
                return
            self.room.hear(page, message)

    async def _send(self, socket: WebSocket, page: Page) -> None:
        """Send a page what it has not been sent, and the time at every beat."""
        while True:
            await socket.send_text(self.room.frame(page) or f"[{self.room.time()}]")
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(BEAT):
                    await page.news.wait()

    def address(self, host: str, port: int) -> str:
        """What to open."""
        name = f"[{host}]" if ":" in host else host
        return f"http://{name}:{port}/?token={self.token}"


def serve(
    live: Live, host: str, listening: socket.socket, opened: Callable[[], None], scored: Callable[[], None]
) -> None:
    """Serve a rehearsal until it is interrupted; its report, too, once it is scored."""
    asyncio.run(served(live, host, listening, opened, scored))


async def served(
    live: Live,
    host: str,
    listening: socket.socket,
    opened: Callable[[], None] = lambda: None,
    scored: Callable[[], None] = lambda: None,
) -> None:
    """The same, within an event loop."""
    config = uvicorn.Config(
        live.app(host),
        http=Impatient,
        log_config=None,
        access_log=False,
        lifespan="off",
        server_header=False,
        proxy_headers=False,
        ws_max_size=MOST_FRAME,
        ws_per_message_deflate=False,
        ws_ping_interval=5.0,
        ws_ping_timeout=10.0,
        timeout_graceful_shutdown=1,
        limit_concurrency=2 * MOST_PAGES,
    )
    server = live.server = uvicorn.Server(config)
    keeping = asyncio.create_task(live.room.keep_time())
    saying = asyncio.create_task(_say(live, scored))

    def failed(task: asyncio.Task[None]) -> None:
        if not task.cancelled() and task.exception():
            live.leave()

    keeping.add_done_callback(failed)
    live.loop = asyncio.get_running_loop()
    live.loop.call_later(0.1, opened)
    try:
        await server.serve(sockets=[listening])
    finally:
        for task in (keeping, saying):
            task.cancel()
        results = await asyncio.gather(keeping, saying, return_exceptions=True)
    for result in results:
        if isinstance(result, Exception):
            raise result


async def _say(live: Live, scored: Callable[[], None]) -> None:
    """Say that all is scored and stored, once it is."""
    await live.room.scored.wait()
    scored()


class Impatient(AutoHTTPProtocol):  # type: ignore[misc,valid-type]
    """The server's own protocol, which waits for a first request for ever; this one does not."""

    def connection_made(self, transport: asyncio.Transport) -> None:
        """Somebody has connected."""
        super().connection_made(transport)
        self.loop.call_later(SILENT, self.give_up)

    def give_up(self) -> None:
        """Close it, if no request has come; one that has become a socket is the socket's."""
        if self.cycle is None and self.transport.get_protocol() is self:
            self.transport.close()
