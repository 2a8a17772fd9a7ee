"""The desk from the command to its end."""

from __future__ import annotations

import asyncio
import contextlib
import webbrowser
from collections.abc import Callable
from pathlib import Path

import uvicorn

from reports.desk.folder import held, say_where
from reports.desk.server import Desk
from reports.live.network import listen
from sim.model.errors import Refused

HOST = "127.0.0.1"
PORT = 4747  # always the same: what a browser keeps hangs on it
MOST_AT_ONCE = 64


def open_desk(path: Path, port: int, browser: bool, say: Callable[[str], None]) -> None:
    """Serve a folder until Ctrl-C.

    Raises
    ------
    Refused
        The folder or the port cannot be had.
    """
    with held(path) as folder:
        try:
            listening = listen(HOST, port)
        except OSError as error:
            what = f"port {port} is in use, or may not be listened at: {error.strerror or error}"
            hint = "another desk or program has it: close that, or give this one another (--port 4748)"
            raise Refused(what, hint) from None
        desk = Desk(folder, folder.token())
        address = f"http://{HOST}:{int(listening.getsockname()[1])}/?token={desk.token}"
        say_where(folder, address)
        say(f"desk:   {address}\nCtrl-C closes it; everything is saved as you go")

        def opened() -> None:
            if browser and not webbrowser.open(address):
                say("no browser here; open the address yourself")

        try:
            with contextlib.suppress(KeyboardInterrupt):
                asyncio.run(_served(desk, listening, opened))
        finally:
            desk.jobs.close()


async def _served(desk: Desk, listening: object, opened: Callable[[], None]) -> None:
    config = uvicorn.Config(
        desk.app(HOST),
        log_config=None,
        access_log=False,
        lifespan="off",
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=1,
        limit_concurrency=MOST_AT_ONCE,
    )
    asyncio.get_running_loop().call_later(0.1, opened)
    await uvicorn.Server(config).serve(sockets=[listening])  # type: ignore[list-item]
