"""A pipe is closed before all is written, as by `| head -1`: no complaint, 0, and what was to be stored is stored."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from sim.story.lift import simulate
from sim.written.reading import read
from tests.drills import as_log
from tests.faults.hands import TRAILER, run

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs a POSIX shell")
QUIET = {"run": 1, "compare": 1, "study": 1}  # commands that store something, and how much
COMMANDS = [
    ["run", str(TRAILER), "--no-page"],
    ["check", str(TRAILER)],
    ["new", "--schema"],
    ["lesson"],
    ["runs", "--json"],
    ["--help"],
    ["compare", str(TRAILER), "-n", "4", "--workers", "1", "--no-page"],
    ["study", str(TRAILER), "-n", "40", "--workers", "1", "--no-page", "--no-changes"],
]
CHEAP, DEAR = COMMANDS[:2], COMMANDS[2:]


def first_line(pipe: str) -> str:
    """A shell's words after a command: somebody reads a line of it and goes; the code is the command's."""
    return f"{pipe} head -n 1 >/dev/null; exit ${{PIPESTATUS[0]}}"


def closed(folder: Path, words: list[str], pipe: str) -> None:
    """Run a command into a pipe that somebody closes after a line."""
    done = run(folder, *words, through=first_line(pipe))
    assert done.returncode == 0, done.stderr
    for word in ("Traceback", "Exception", "Errno", "error"):
        assert word not in done.stderr, done.stderr
    stored = list((folder / "runs").iterdir()) if (folder / "runs").exists() else []
    assert len(stored) == QUIET.get(words[0], 0) and not any(p.name.startswith(".") for p in stored)


@pytest.mark.parametrize("words", CHEAP, ids=lambda words: words[0])
def test_stdout_is_closed_early(tmp_path: Path, words: list[str]) -> None:
    """`liftcadence ... | head -1`."""
    closed(tmp_path, words, "|")


@pytest.mark.parametrize("pipe", ["|", "2>&1 |"])
def test_what_is_written_after_the_answer_is_written_all_the_same(tmp_path: Path, pipe: str) -> None:
    """A drill's scenario with the crew's own times, a lift's captions: both come after what is shown."""
    lift = tmp_path / "lift.toml"
    lift.write_text(TRAILER.read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "drill.csv").write_text(as_log(simulate(read(lift), seed=5)), encoding="utf-8")
    for words, file in (
        (["debrief", "drill.csv", "lift.toml", "--quick", "--no-page", "--write"], "own.toml"),
        (["run", "lift.toml", "--no-page", "--captions"], "calls.vtt"),
    ):
        done = run(tmp_path, *words, file, through=first_line(pipe))
        assert (done.returncode, "Traceback" in done.stderr) == (0, False), done.stderr
        assert (tmp_path / file).stat().st_size > 100
    assert read(tmp_path / "own.toml").title == read(lift).title
    assert len(list((tmp_path / "runs").iterdir())) == 2


@pytest.mark.slow
@pytest.mark.parametrize("words", DEAR, ids=lambda words: words[0])
def test_stdout_of_the_others_is_closed_early(tmp_path: Path, words: list[str]) -> None:
    """The same."""
    closed(tmp_path, words, "|")


@pytest.mark.slow
@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_both_are_closed_early(tmp_path: Path, words: list[str]) -> None:
    """`liftcadence ... 2>&1 | head -1`."""
    closed(tmp_path, words, "2>&1 |")
