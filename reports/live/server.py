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

from reports.live.gate import Gate
from reports.live.messages import Allowance, read
from reports.live.room import Page, Room
from reports.live.silent import Impatient

MOST_PAGES = 200
MOST_FRAME = 4096  # bytes of one frame from a page; a larger one closes its socket before it is read
LINGER = 2.0  # seconds without a page, once all is stored, after which the server leaves


@dataclass
class Live:
    """A rehearsal being served."""

    room: Room
    page: str  # HTML
    report: Callable[[], str]  # HTML of the full report, "" until there is one
    token: str = field(default_factory=lambda: secrets.token_urlsafe(16))
    server: uvicorn.Server | None = None  # while it is being served

    def leave(self) -> None:
        """Serve no more."""
        if self.server is not None:
            self.server.should_exit = True

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
        """Send a page what it has not been sent."""
        while True:
            frame = self.room.frame(page)
            if frame:
                await socket.send_text(frame)
            await page.news.wait()

    def address(self, host: str, port: int) -> str:
        """What to open."""
        name = f"[{host}]" if ":" in host else host
        return f"http://{name}:{port}/?token={self.token}"


def listen(host: str, port: int) -> socket.socket:
    """A socket that listens there; OSError where that cannot be."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    return socket.create_server((host, port), family=family)


def serve(live: Live, host: str, listening: socket.socket, opened: Callable[[], None] = lambda: None) -> None:
    """Serve a rehearsal until it is stored and its pages are closed, or until it is interrupted."""
    asyncio.run(served(live, host, listening, opened))


async def served(live: Live, host: str, listening: socket.socket, opened: Callable[[], None]) -> None:
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
    leaving = asyncio.create_task(_leave(live))

    def failed(task: asyncio.Task[None]) -> None:
        if not task.cancelled() and task.exception():
            live.leave()

    keeping.add_done_callback(failed)
    asyncio.get_running_loop().call_later(0.1, opened)
    try:
        await server.serve(sockets=[listening])
    finally:
        for task in (keeping, leaving):
            task.cancel()
        results = await asyncio.gather(keeping, leaving, return_exceptions=True)
    for result in results:
        if isinstance(result, Exception):
            raise result


async def _leave(live: Live) -> None:
    """Leave once all is stored and nobody is there any more."""
    await live.room.scored.wait()
    empty = 0.0
    while empty < LINGER:
        await asyncio.sleep(0.5)
        empty = 0.0 if live.room.pages else empty + 0.5
    live.leave()
