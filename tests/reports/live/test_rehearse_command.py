"""`liftcadence rehearse`, as a person starts it: the address, the stored run, how it leaves."""

from __future__ import annotations

import asyncio
import re
import signal
import socket
import subprocess
import sys
from importlib.resources import files
from pathlib import Path
from typing import Any

from websockets.asyncio.client import connect

from sim.stored.store import stored
from tests.reports.live.served import Person, begun

CLI = [sys.executable, "-m", "cli"]
ROOT = Path(__file__).parents[3]
TRAILER = str(files("sim.examples") / "trailer.toml")


def started(folder: Path, *options: str) -> tuple[subprocess.Popen[str], str]:
    """The command under way, and the address that it has printed for the caller."""
    command = [*CLI, "rehearse", TRAILER, "--no-browser", "--out", str(folder), *options]
    process = subprocess.Popen(command, cwd=ROOT, stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert process.stderr is not None
    line = process.stderr.readline()
    found = re.match(r"call: +(http://\S+)", line)
    if found is None:
        process.kill()
        raise AssertionError(line + process.stderr.read())
    return process, found[1]


async def ended_at_once(address: str) -> dict[str, Any]:
    """One call, and the end."""
    where, _, token = address.removeprefix("http://").partition("/?token=")
    uri: Any = f"ws://{where}/ws?token={token}"
    for _ in range(100):
        try:
            async with connect(uri, origin=f"http://{where}", max_size=None, close_timeout=0.5) as it:  # type: ignore[arg-type]
                caller = await begun(it)
                await caller.say(type="end")
                return await Person(it).until("scored")
        except OSError:
            await asyncio.sleep(0.1)  # it has printed its address, and is about to answer there
    raise AssertionError("nobody answers")


def test_from_the_command_to_the_stored_run(tmp_path: Path) -> None:
    """The address works; once all pages are closed the command sums up and leaves with 0."""
    process, address = started(tmp_path, "--speed", "4", "--seed", "3")
    scored = asyncio.run(ended_at_once(address))
    out, said = process.communicate(timeout=120)
    assert process.returncode == 0 and out == "" and "Traceback" not in said
    assert "stopped: 0 calls" in said and scored["stored"] in said
    (run,) = stored(tmp_path)
    assert run.summary is not None and run.summary["kind"] == "rehearsal" and run.summary["seed"] == 3


def test_broken_off_nothing_is_stored(tmp_path: Path) -> None:
    """Ctrl-C before the end: said so, nothing left behind, 130."""
    process, _ = started(tmp_path)
    import time

    time.sleep(1.0)
    process.send_signal(signal.SIGINT)
    _, said = process.communicate(timeout=120)
    assert process.returncode == 130 and "nothing is stored" in said and "Traceback" not in said
    assert list(tmp_path.iterdir()) == []


def test_where_it_cannot_listen_it_says_so(tmp_path: Path) -> None:
    """A port that is taken, an unknown level of help: exit 2, with a hint."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        for options in (["--port", str(taken.getsockname()[1])], ["--help-level", "ghosts"]):
            done = subprocess.run(
                [*CLI, "rehearse", TRAILER, "--no-browser", *options],
                cwd=ROOT,
                capture_output=True,
                text=True,
                timeout=120,
            )
            assert done.returncode == 2 and "hint:" in done.stderr and "Traceback" not in done.stderr
