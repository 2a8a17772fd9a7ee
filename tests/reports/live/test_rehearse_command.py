"""`liftcadence rehearse`, as a person starts it: the address, the stored run, how it leaves."""

from __future__ import annotations

import asyncio
import re
import signal
import socket
import subprocess
import sys
import time
from importlib.resources import files
from pathlib import Path
from typing import Any
from urllib.request import urlopen

import pexpect
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


def until_said(process: subprocess.Popen[str], word: str) -> str:
    """What the command says until a line has that word."""
    assert process.stderr is not None
    said = ""
    while line := process.stderr.readline():
        said += line
        if word in line:
            return said
    raise AssertionError(said)


def test_from_the_command_to_the_stored_run(tmp_path: Path) -> None:
    """The address works; it sums up at once; the report stays for the room, pages or none, until Ctrl-C: 0."""
    process, address = started(tmp_path, "--speed", "4", "--seed", "3")
    scored = asyncio.run(ended_at_once(address))
    said = until_said(process, "until Ctrl-C")
    assert "stopped: 0 calls" in said and scored["stored"] in said
    report = re.search(r"report: +(http://\S+)", said)
    assert report
    time.sleep(3.0)  # all pages have been closed for longer than anybody leaves between two
    with urlopen(report[1], timeout=60) as answer:
        assert answer.status == 200 and "by the rule" in answer.read().decode()
    process.send_signal(signal.SIGINT)
    out, said = process.communicate(timeout=120)
    assert process.returncode == 0 and out == "" and "Traceback" not in said and "broken off" not in said
    (run,) = stored(tmp_path)
    assert run.summary is not None and run.summary["kind"] == "rehearsal" and run.summary["seed"] == 3


def test_broken_off_nothing_is_stored(tmp_path: Path) -> None:
    """Ctrl-C before the end: said so, nothing left behind, 130."""
    process, _ = started(tmp_path)
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


def test_a_server_that_was_stopped_counts_no_time_of_the_lift(tmp_path: Path) -> None:
    """The process stands still for five seconds, as where a laptop sleeps: the lift's time goes on where it was."""
    process, address = started(tmp_path)
    where, _, token = address.removeprefix("http://").partition("/?token=")
    uri: Any = f"ws://{where}/ws?token={token}"
    origin: Any = f"http://{where}"

    async def stopped() -> tuple[float, float, str]:
        async with connect(uri, origin=origin, max_size=None, close_timeout=0.5) as it:
            caller = await begun(it)
            before = (await caller.until("time"))["time"]
            process.send_signal(signal.SIGSTOP)
            await asyncio.sleep(5.0)
            process.send_signal(signal.SIGCONT)
            notice = await caller.until("notice")
            return before, notice["time_s"], notice["words"]

    until_said(process, "Ctrl-C")
    try:
        before, after, words = asyncio.run(stopped())
        assert after - before < 4.5 and "stood still" in words
    finally:
        process.kill()
        process.communicate()


def test_f_at_the_terminal_frees_the_seat(tmp_path: Path) -> None:
    """Typed while the caller's page lies open: it watches, the seat is free; and the code is on the terminal."""
    command = ["-m", "cli", "rehearse", TRAILER, "--no-browser", "--out", str(tmp_path), "--host", "0.0.0.0"]
    terminal = pexpect.spawn(
        sys.executable, command, cwd=str(ROOT), timeout=120, encoding="utf-8", dimensions=(60, 100)
    )
    try:
        terminal.expect(r"call: +http://([^\s/]+)/\?token=(\S+)")
        where, token = terminal.match.groups()
        port = where.rpartition(":")[2]
        if not where.startswith("127."):  # it is in a network
            terminal.expect("█▀▀▀▀▀█|▀▀▀▀▀|█ ▄▄▄▄▄ █")
        terminal.expect("frees the caller's seat")
        terminal.expect("Ctrl-C")

        async def freed() -> None:
            uri: Any = f"ws://127.0.0.1:{port}/ws?token={token}"
            origin: Any = f"http://127.0.0.1:{port}"
            async with connect(uri, origin=origin, max_size=None, close_timeout=0.5) as it:
                caller = Person(it)
                await caller.until("welcome", role="caller")
                terminal.sendline("f")
                await caller.until("welcome", role="watcher")
                await caller.until("state", seat_is_free=True)

        asyncio.run(freed())
        terminal.sendintr()
        terminal.expect("broken off")
    finally:
        terminal.close(force=True)
