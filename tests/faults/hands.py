"""What the tests of faults share: a command under a fault, and what must hold whatever happens to it."""

from __future__ import annotations

import json
import os
import shlex
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

from sim.stored.store import stored
from sim.stored.whole import UNFINISHED
from tests import commands

ROOT = Path(__file__).parents[2]
CLI = [sys.executable, "-m", "cli"]
TRAILER = ROOT / "sim" / "examples" / "trailer.toml"


def started(
    folder: Path, *words: str, env: Mapping[str, str] | None = None, through: str = "", **how: object
) -> subprocess.Popen[str]:
    """A command under way in a folder, in a session of its own, with nothing to type on; `through` what of a shell."""
    paths = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    simulated = {k: v for k, v in os.environ.items() if k != "COLUMNS"} | {"PYTHONPATH": paths} | dict(env or {})
    streams = {"stdin": subprocess.DEVNULL, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE} | how
    command = [*CLI, *words]
    if through:
        command = ["bash", "-c", f"{shlex.join(command)} {through}"]
    return subprocess.Popen(command, cwd=folder, text=True, env=simulated, start_new_session=True, **streams)  # type: ignore[call-overload,no-any-return]


def run(
    folder: Path, *words: str, env: Mapping[str, str] | None = None, through: str = "", **how: object
) -> subprocess.CompletedProcess[str]:
    """A command from its start to its end."""
    process = started(folder, *words, env=env, through=through, **how)
    out, err = process.communicate(timeout=300)
    return subprocess.CompletedProcess(words, process.returncode, out or "", err or "")


def here(*words: str) -> tuple[int, str, str]:
    """A command in this process, where it stands: its exit code, stdout, stderr."""
    done = commands.run(Path.cwd(), *words)
    return done.returncode, done.stdout, done.stderr


def assert_helps(said: str, *words: str) -> None:
    """What a person is simulated: a sentence with these words and what to do, no traceback, no bug of ours."""
    assert "Traceback" not in said and "bug of ours" not in said and "Exception ignored" not in said, said
    assert "hint: " in said, said
    for word in words:
        assert word in said, said


def assert_whole(runs: Path) -> None:
    """Every run that is listed is whole: no trouble, its events and pages complete."""
    for run in stored(runs):
        assert run.summary is not None, run.trouble
        assert (run.path / "scenario.toml").exists() and "provenance" in run.summary
        for page in run.path.glob("*.html"):
            assert page.read_text(encoding="utf-8").rstrip().endswith("</html>"), page


def left(folder: Path) -> list[str]:
    """What was being made, and is still there under its hidden name."""
    return [str(p.relative_to(folder)) for p in folder.rglob(f"{UNFINISHED}*")]


def store_one(runs: Path, **changed: object) -> Path:
    """A stored run, small, to be there before something goes wrong."""
    folder = runs / "2026-01-01-120000-before"
    folder.mkdir(parents=True)
    summary = {"format": 1, "title": "Before", "outcome": "raised", "provenance": {}, **changed}
    (folder / "summary.json").write_text(json.dumps(summary))
    (folder / "scenario.toml").write_bytes(TRAILER.read_bytes())
    return folder
