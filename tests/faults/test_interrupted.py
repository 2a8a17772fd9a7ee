"""Ctrl-C and kill -9 at any instant of every command: what was there is still there, what is there is whole."""

from __future__ import annotations

import contextlib
import os
import random
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from sim.story.lift import simulate
from sim.written.reading import read
from tests.drills import as_log
from tests.faults.hands import ROOT, TRAILER, assert_whole, left, run, started, store_one

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs POSIX signals")
COMMANDS = {
    "ask": ["ask", "asked.toml", "--enter", "--weight", "2400 lb at the end", "--no-run"],
    "new": ["new", "new.toml"],
    "check": ["check", "lift.toml", "--page", "sheet.html"],
    "run": ["run", "lift.toml", "--captions", "lift.vtt", "--audio", "lift.wav"],
    "compare": ["compare", "lift.toml", "-n", "8"],
    "study": ["study", "lift.toml", "-n", "9000", "--workers", "2", "--no-changes"],
    "cadence": ["cadence", "lift.toml", "--workers", "2"],
    "rehearse": ["rehearse", "lift.toml", "--no-browser"],
    "debrief": ["debrief", "log.csv", "lift.toml", "--quick", "--write", "crew.toml"],
    "lesson": ["lesson", "the-chase"],
    "runs": ["runs"],
    "runs pick-up": ["runs", "pick-up"],
    "runs sheet": ["runs", "sheet", "--page", "pocket.html"],
    "demo": ["demo"],
}
MADE = (
    "asked.toml",
    "new.toml",
    "sheet.html",
    "lift.vtt",
    "lift.wav",
    "crew.toml",
    "pocket.html",
    "lessons/the-chase.html",
)
CHEAP = ("new", "run")  # those whose instants are tried each time; `make verify` tries all


def place(folder: Path) -> Path:
    """A folder with what a person has: a scenario, a log of a drill, a stored run."""
    folder.mkdir()
    (folder / "lift.toml").write_bytes(TRAILER.read_bytes())
    (folder / "log.csv").write_text(as_log(simulate(read(TRAILER), 1)))
    store_one(folder / "runs", seed=0, replication=0, fixed_values=False, variant="")
    return folder


def own(folder: Path) -> dict[str, bytes]:
    """The person's own files."""
    own = [folder / "lift.toml", folder / "log.csv", *(folder / "runs" / "2026-01-01-120000-before").iterdir()]
    return {str(p.relative_to(folder)): p.read_bytes() for p in own}


def reference(folder: Path, command: str) -> tuple[dict[str, bytes], list[set[str]], float]:
    """What the command writes when nothing happens to it: files, the contents of folders, how long it takes [s]."""
    begun = time.monotonic()
    if command == "rehearse":
        process = started(folder, *COMMANDS[command])
        assert process.stderr is not None and process.stderr.readline().startswith("call:")
        os.killpg(process.pid, signal.SIGKILL)
        process.communicate()
    else:
        assert run(folder, *COMMANDS[command]).returncode == 0
    lasts = time.monotonic() - begun
    files = {name: (folder / name).read_bytes() for name in MADE if (folder / name).exists()}
    return files, contents(folder), lasts


def contents(folder: Path) -> list[set[str]]:
    """What each folder that was stored holds."""
    stored = [p for p in (folder / "runs").iterdir() if not p.name.startswith((".", "2026-01-01"))]
    return [{each.name for each in p.iterdir()} for p in stored]


def group(process: subprocess.Popen[str]) -> list[int]:
    """Processes that the command has left running."""
    found = []
    for each in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = each.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if fields[0] != "Z" and int(fields[2]) == process.pid:
            found.append(int(each.parent.name))
    return found


def complains(said: str) -> bool:
    """Whether anything of ours is complained of; until `cli.py` hears Ctrl-C, Python may complain of its own start."""
    hears = next(
        n for n, line in enumerate((ROOT / "cli.py").read_text().splitlines(), 1) if line.startswith("as_usual")
    )
    ours = re.findall(rf'File "{re.escape(str(ROOT))}/(\S+)", line (\d+)', said)
    return "bug of ours" in said or any(file != "cli.py" or int(line) >= hears for file, line in ours)


def strike(
    folder: Path, command: str, how: signal.Signals, after: float, whole: dict[str, bytes], kinds: list[set[str]]
) -> None:
    """Start a command, strike it after so many seconds, and look at what it leaves."""
    before = own(folder)
    process = started(folder, *COMMANDS[command])
    time.sleep(after)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(process.pid, how)  # as a terminal does: to all of them; one alone: `test_lost_worker.py`
    try:
        _, said = process.communicate(timeout=60)
    finally:
        deadline = time.monotonic() + 10
        while (still := group(process)) and time.monotonic() < deadline:
            time.sleep(0.1)
        for number in still:
            os.kill(number, signal.SIGKILL)
    assert not still, f"{len(still)} processes were left running"
    if how == signal.SIGINT:
        assert process.returncode in (0, 130, -signal.SIGINT), said
        assert not complains(said), said
        assert left(folder) == []
    assert own(folder) == before
    for name in MADE:
        file = folder / name
        if file.exists():
            assert len(file.read_bytes()) == len(whole[name]), f"{name} is not whole"
            file.unlink()
    for each in contents(folder):
        assert each in kinds, each
    assert_whole(folder / "runs")


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGKILL])
@pytest.mark.parametrize("command", CHEAP)
def test_struck_once(tmp_path: Path, command: str, how: signal.Signals) -> None:
    """One instant near the end, where files are being written."""
    folder = place(tmp_path / "here")
    whole, kinds, lasts = reference(place(tmp_path / "reference"), command)
    strike(folder, command, how, 0.8 * lasts, whole, kinds)


@pytest.mark.slow
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGKILL])
@pytest.mark.parametrize("command", COMMANDS)
def test_struck_at_ten_random_instants(tmp_path: Path, command: str, how: signal.Signals) -> None:
    """Nothing of the person's is lost, nothing half made is taken for whole, nobody is left running; then it works."""
    seed = time.time_ns()
    draw = random.Random(seed)
    folder = place(tmp_path / "here")
    whole, kinds, lasts = reference(place(tmp_path / "reference"), command)
    for _ in range(10):
        after = draw.uniform(0.0, 1.1 * lasts)
        try:
            strike(folder, command, how, after, whole, kinds)
        except (AssertionError, subprocess.TimeoutExpired) as error:
            raise AssertionError(f"{command} after {after:.3f} s of {lasts:.3f} (seed {seed}): {error}") from error
    if command != "rehearse":
        done = run(folder, *COMMANDS[command])
        assert done.returncode == 0, done.stderr


IN_A_DESTRUCTOR = """
import signal, sys, time
import cli

class Gone:
    def __del__(self):
        signal.raise_signal(signal.SIGINT)

@cli.app.command()
def wait():
    Gone()
    time.sleep(30)

sys.argv = ["liftcadence", "wait"]
cli.main()
"""


def test_ctrl_c_in_a_destructor_is_heard() -> None:
    """Where Python can only complain of it, and go on: a moment later it stops all the same, without complaint."""
    begun = time.monotonic()
    done = subprocess.run([sys.executable, "-c", IN_A_DESTRUCTOR], cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert done.returncode == 130 and time.monotonic() - begun < 25
    assert done.stderr.strip() == "stopped"
