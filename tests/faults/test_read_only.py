"""`runs/` cannot be written: said before long work, and after short with what was simulated; it can still be read."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import Any

import pytest

from tests.faults.hands import TRAILER, assert_helps, here, store_one
from tests.sim.stored.test_store import SUMMARY

READ_ONLY = os.strerror(errno.EROFS)
LIFT = str(TRAILER)


@pytest.fixture
def read_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with one stored run, on a disk where nothing can be made or removed (as root, rights would not do)."""
    store_one(tmp_path / "runs", seed=0, replication=0, fixed_values=True, variant="")
    monkeypatch.chdir(tmp_path)
    opened = Path.open

    def refused(path: Path, *_: Any, **__: Any) -> Any:
        raise OSError(errno.EROFS, READ_ONLY, str(path))

    def reads_only(path: Path, mode: str = "r", *rest: Any, **more: Any) -> Any:
        return opened(path, mode, *rest, **more) if mode in ("r", "rb") else refused(path)

    monkeypatch.setattr(Path, "open", reads_only)
    for name in ("mkdir", "unlink", "rename", "replace"):
        monkeypatch.setattr(Path, name, refused)
    return tmp_path


def test_a_run_is_shown_though_it_cannot_be_stored(read_only: Path) -> None:
    """The lift on stdout, the reason on stderr, 2."""
    code, out, err = here("run", LIFT, "--fixed", "--no-page")
    assert code == 2 and "largest gap" in out
    assert_helps(err, READ_ONLY, "runs", "--out")


@pytest.mark.parametrize(
    "words",
    [
        ["study", LIFT],
        ["cadence", LIFT],
        ["compare", LIFT],
        ["rehearse", LIFT, "--no-browser"],
        ["debrief", "log.csv", LIFT],
    ],
    ids=lambda words: words[0],
)
def test_long_work_is_not_begun(read_only: Path, monkeypatch: pytest.MonkeyPatch, words: list[str]) -> None:
    """Said at once: no lift is simulated, no address is given out."""
    for simulated in ("many.study_lift", "many.find_cadence", "compare.compare_ways", "rehearse.rehearse_in_browser"):
        monkeypatch.setattr(f"reports.commands.{simulated}", lambda *_, **__: pytest.fail("it was begun"))
    code, out, err = here(*words)
    assert code == 2 and out == ""
    assert_helps(err, READ_ONLY, "runs", "--out")


def test_questions_are_not_asked_for_a_file_that_cannot_be_written(read_only: Path) -> None:
    """Nine answers are a person's work too."""
    code, _, err = here("ask", "mine.toml")
    assert code == 2 and "What is raised" not in err
    assert_helps(err, READ_ONLY, "mine.toml")


def test_an_asked_scenario_that_cannot_be_written_after_all_is_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk has become full meanwhile: the scenario stands on stdout."""
    monkeypatch.chdir(tmp_path)

    def full(*_: Any, **__: Any) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("reports.commands.talk.write_whole", full)
    code, out, err = here("ask", "mine.toml", "--enter", "--no-run")
    assert code == 2 and "weight" in out and not (tmp_path / "mine.toml").exists()
    assert_helps(err, "mine.toml", os.strerror(errno.ENOSPC))


def test_what_is_there_is_still_listed_and_shown(read_only: Path) -> None:
    """Reading writes nothing."""
    code, out, _ = here("runs")
    assert code == 0 and "2026-01-01-120000-before" in out
    code, out, _ = here("runs", "show", "--json")
    assert code == 0 and '"Before"' in out


def test_a_folder_that_cannot_be_read_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither empty nor a bug of ours."""

    def refused(path: Path) -> Any:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))

    monkeypatch.setattr(Path, "iterdir", refused)
    code, _, err = here("runs", "--out", str(tmp_path))
    assert code == 2
    assert_helps(err, "cannot be read", os.strerror(errno.EACCES))


def test_a_file_where_the_runs_should_be(tmp_path: Path) -> None:
    """Said; the file is as it was; a listing finds nothing there."""
    (tmp_path / "runs").write_text(SUMMARY)
    code, _, err = here("run", LIFT, "--fixed", "--no-page", "--out", str(tmp_path / "runs"))
    assert code == 2 and (tmp_path / "runs").read_text() == SUMMARY
    assert_helps(err, "runs", "--out")
    assert here("runs", "--out", str(tmp_path / "runs"))[0] == 0
