"""No terminal, or not even open streams: cron, a service, a notebook, an editor's task."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.faults.hands import TRAILER, assert_helps, here, run


def test_questions_nobody_can_answer_are_an_error_and_not_a_wait(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`ask` without a terminal: which question is open, and how to answer it without one."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", open(os.devnull))  # noqa: SIM115
    code, _, err = here("ask", "mine.toml")
    assert code == 2 and not Path("mine.toml").exists()
    assert_helps(err, "--enter")


@pytest.mark.skipif(os.name != "posix", reason="needs a POSIX shell")
@pytest.mark.parametrize("closed", [">&-", "2>&-", "<&- >&- 2>&-"])
def test_streams_that_are_closed_from_the_start(tmp_path: Path, closed: str) -> None:
    """The run is simulated and stored as ever, 0; nothing of what would be printed gets into a file that was opened."""
    done = run(tmp_path, "run", str(TRAILER), "--no-page", "--fixed", through=closed)
    assert done.returncode == 0 and "Traceback" not in done.stderr + done.stdout
    (folder,) = (tmp_path / "runs").iterdir()
    assert (folder / "scenario.toml").read_bytes() == TRAILER.read_bytes()
    assert (folder / "events.csv").read_text().startswith("time_s,")


@pytest.mark.parametrize("term", ["dumb", "", "no-such-terminal"])
def test_a_terminal_that_can_do_nothing_gets_plain_text(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, term: str
) -> None:
    """No escapes where they would stand there as letters."""
    monkeypatch.setenv("TERM", term)
    code, out, err = here("check", str(TRAILER))
    assert code == 0 and "\x1b" not in out + err


def test_no_home_and_no_environment(tmp_path: Path) -> None:
    """As under cron: nothing but a path."""
    done = run(
        tmp_path, "run", str(TRAILER), "--no-page", "--fixed", env={"HOME": "/nonexistent", "TERM": "", "LANG": ""}
    )
    assert done.returncode == 0 and "largest gap" in done.stdout
