"""A worker process is lost, once or again and again: the same result, or a sentence; nobody is left running."""

from __future__ import annotations

import contextlib
import errno
import os
import signal
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import sim.many.blocks as blocks
from sim.batch import lifts_of
from sim.model.errors import KnownError
from sim.written.reading import read
from tests.faults.hands import TRAILER, started

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs POSIX signals")
FEW = 40  # replications of each block: cheap


def some(n: int) -> list[blocks.Block]:
    """So many small blocks of one lift."""
    first = blocks.blocks_of(read(TRAILER), 0, FEW)[0]
    return [replace(first, first=FEW * k) for k in range(n)]


def dies(monkeypatch: pytest.MonkeyPatch, folder: Path, times: int) -> None:
    """The worker that is given the second block dies, so many times."""

    def lifts(scenario: Any, seed: int, first: int, *rest: Any) -> Any:
        if first == FEW:
            for n in range(times):
                with contextlib.suppress(FileExistsError):
                    (folder / f"death-{n}").touch(exist_ok=False)
                    os.kill(os.getpid(), signal.SIGKILL)
        return lifts_of(scenario, seed, first, *rest)

    monkeypatch.setattr(blocks, "lifts_of", lifts)


def test_a_block_whose_worker_died_is_simulated_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Killed twice in mid-block: every row is there once, and the same as without."""
    whole = blocks.together(blocks.simulate_all(some(3), workers=1))
    dies(monkeypatch, tmp_path, times=2)
    simulated = blocks.together(blocks.simulate_all(some(3), workers=2))
    assert len(list(tmp_path.glob("death-*"))) == 2
    assert simulated.equals(whole) and list(simulated["replication"]) == list(range(3 * FEW))


def test_a_worker_that_always_dies_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Too little memory, say: an error with a hint, not a bug of ours."""
    dies(monkeypatch, tmp_path, times=50)
    with pytest.raises(KnownError, match="hint: "):
        blocks.simulate_all(some(2), workers=2)


def test_deaths_of_workers_that_still_got_on_do_not_end_a_long_study(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One death for each of six blocks: each is simulated at its second try, and so all are."""

    def lifts(scenario: Any, seed: int, first: int, *rest: Any) -> Any:
        with contextlib.suppress(FileExistsError):
            (tmp_path / f"death-{first}").touch(exist_ok=False)
            os.kill(os.getpid(), signal.SIGKILL)
        return lifts_of(scenario, seed, first, *rest)

    monkeypatch.setattr(blocks, "lifts_of", lifts)
    assert len(blocks.together(blocks.simulate_all(some(6), workers=2))) == 6 * FEW


def test_a_block_that_cannot_be_kept_is_simulated_all_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The disk is full: blocks are kept only so that an interrupted study can go on; the study itself needs none."""

    def full(*_: Any, **__: Any) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(blocks, "KEEP_AFTER", 0.0)
    monkeypatch.setattr("pandas.DataFrame.to_parquet", full)
    assert len(blocks.together(blocks.simulate_all(some(2), workers=1, folder=tmp_path))) == 2 * FEW


@pytest.mark.slow
def test_no_worker_outlives_a_study_that_was_killed(tmp_path: Path) -> None:
    """kill -9 to the study alone: a few seconds later its workers are gone too."""
    from tests.faults.test_interrupted import group

    process = started(tmp_path, "study", str(TRAILER), "-n", "200000", "--workers", "2")
    deadline = time.monotonic() + 30
    while len(group(process)) < 3 and time.monotonic() < deadline:
        time.sleep(0.1)
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    deadline = time.monotonic() + 10
    while (still := group(process)) and time.monotonic() < deadline:
        time.sleep(0.1)
    for number in still:
        os.kill(number, signal.SIGKILL)
    assert not still
