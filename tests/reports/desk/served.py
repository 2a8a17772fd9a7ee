"""A desk being served, for the tests: in a thread of its own, its studies short."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import uvicorn

from reports.desk.folder import OURS, Folder
from reports.desk.server import Desk
from reports.live.network import listen

LIFTS = 20  # of a study


@contextmanager
def served(folder: Path, port: int = 0) -> Iterator[str]:
    """A desk on a folder, until the context ends: where it is."""
    (folder / OURS).mkdir(exist_ok=True)
    desk = Desk(Folder(folder), "word")
    desk.jobs.lifts = LIFTS
    listening = listen("127.0.0.1", port)
    server = uvicorn.Server(uvicorn.Config(desk.app("127.0.0.1"), log_config=None, lifespan="off"))
    thread = threading.Thread(target=lambda: asyncio.run(server.serve(sockets=[listening])), daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{listening.getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join(30)
        listening.close()
        desk.jobs.close()
