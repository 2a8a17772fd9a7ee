"""The disk is full: what was worked out is shown, what was there stays, nothing half written is left."""

from __future__ import annotations

import asyncio
import errno
import os
from pathlib import Path
from typing import Any

import pytest

from sim.stored.whole import write_whole
from tests.faults.hands import TRAILER, assert_helps, here, left, run, store_one
from tests.reports.live.served import begun, serving, short_lift

FULL = os.strerror(errno.ENOSPC)


@pytest.fixture
def full(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, on a disk that takes 1000 bytes of each file, and then no more."""
    monkeypatch.chdir(tmp_path)
    store_one(tmp_path / "runs", seed=0, replication=0, fixed_values=True, variant="")
    opened = Path.open

    def fills(path: Path, mode: str = "r", *rest: Any, **more: Any) -> Any:
        file = opened(path, mode, *rest, **more)
        if mode in ("wb", "xb"):
            write = file.raw.write if hasattr(file, "raw") else file.write

            class Full:
                def __enter__(self) -> Full:
                    return self

                def __exit__(self, *_: object) -> None:
                    file.close()

                def write(self, data: bytes) -> int:
                    write(data[:1000])
                    if len(data) > 1000:
                        raise OSError(errno.ENOSPC, FULL)
                    return len(data)

            return Full()
        return file

    monkeypatch.setattr(Path, "open", fills)
    return tmp_path


@pytest.mark.parametrize(
    ("words", "shown"),
    [
        (["run", str(TRAILER), "--fixed"], "largest gap"),
        (["run", str(TRAILER), "--fixed", "--json"], '"outcome": "raised"'),
        (["compare", str(TRAILER), "-n", "2", "--workers", "1"], "pinned with cribbing"),
        (["study", str(TRAILER), "-n", "20", "--workers", "1", "--no-changes"], "largest gap"),
    ],
)
def test_what_was_simulated_is_shown_though_it_cannot_be_stored(full: Path, words: list[str], shown: str) -> None:
    """The figures on stdout, the reason on stderr, 2; the runs that were there are there, and no others."""
    code, out, err = here(*words)
    assert code == 2 and shown in out
    assert_helps(err, FULL, "runs", "--out")
    shown_there = [p.name for p in (full / "runs").iterdir() if not p.name.startswith(".blocks-")]  # for --resume
    assert shown_there == ["2026-01-01-120000-before"] and left(full) == []


@pytest.mark.parametrize(
    ("words", "file"),
    [
        (["new", "lift.toml", "--force"], "lift.toml"),
        (["check", str(TRAILER), "--page", "sheet.html"], "sheet.html"),
        (["lesson", "only-what-you-need"], "lessons/only-what-you-need.html"),
        (["debrief", "--timer", str(TRAILER), "--page", "timer.html", "--force"], "timer.html"),
        (["runs", "sheet", "--page", "pocket.html"], "pocket.html"),
    ],
)
def test_the_file_that_was_there_stays(full: Path, words: list[str], file: str) -> None:
    """2, with the file's name; it holds what it held before."""
    (full / file).parent.mkdir(exist_ok=True)
    (full / file).write_text("worked on for hours")
    code, _, err = here(*words)
    assert code == 2
    assert_helps(err, FULL, file)
    assert (full / file).read_text() == "worked on for hours" and left(full) == []


def test_a_long_study_is_not_begun_where_nothing_can_be_stored(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Found out at once, not after an hour: no lift is simulated."""
    monkeypatch.setattr("reports.commands.many.study_lift", lambda *_, **__: pytest.fail("lifts were simulated"))

    def full_disk(path: Path, *_: Any, **__: Any) -> None:
        raise OSError(errno.ENOSPC, FULL, str(path))

    monkeypatch.setattr(Path, "mkdir", full_disk)
    code, _, err = here("study", str(TRAILER), "--out", str(tmp_path / "runs"))
    assert code == 2
    assert_helps(err, FULL)


def test_a_rehearsal_that_cannot_be_stored_there_is_stored_elsewhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody leads the same lift twice: it goes into the home folder, whole, and the page says where."""
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    (tmp_path / "runs").write_text("a file where the folder should be")
    with serving(short_lift(), tmp_path / "runs", speed=20.0) as it:
        scored = asyncio.run(ended(it))
    folder = Path(scored["stored"])
    assert folder.parent == tmp_path / "home" / "liftcadence-runs" and (folder / "events.csv").exists()
    assert it.afterwards.trouble is not None and "runs" in str(it.afterwards.trouble)


def test_a_rehearsal_that_can_be_stored_nowhere_is_still_on_the_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page gets its figures, and the report is served, to be saved from the browser."""
    nowhere = tmp_path / "runs"
    nowhere.write_text("a file where the folder should be")
    monkeypatch.setenv("HOME", str(nowhere))
    monkeypatch.setattr("tempfile.tempdir", str(nowhere))
    with serving(short_lift(), nowhere, speed=20.0) as it:
        scored = asyncio.run(ended(it))
        status, page = it.get(f"/report?token={it.live.token}")
    assert scored["stored"] == "" and scored["figures"] and status == 200 and "</html>" in page


async def ended(it: Any) -> dict[str, Any]:
    """A rehearsal that is ended as soon as it has begun."""
    async with it.socket() as socket:
        caller = await begun(socket)
        await caller.say(type="end")
        return await caller.until("scored")


@pytest.mark.skipif(not Path("/dev/full").is_char_device(), reason="needs /dev/full")
def test_a_full_disk_behind_stdout_is_said(tmp_path: Path) -> None:
    """`run > report.txt` on a full disk: the run is stored, the loss is said, 2."""
    with Path("/dev/full").open("w") as stdout:
        done = run(tmp_path, "run", str(TRAILER), "--no-page", "--fixed", stdout=stdout)
    assert done.returncode == 2 and len(list((tmp_path / "runs").iterdir())) == 1
    assert_helps(done.stderr, FULL)


@pytest.mark.skipif(not Path("/dev/full").is_char_device(), reason="needs /dev/full")
def test_a_device_is_written_to_and_not_replaced() -> None:
    """`--page /dev/full` fails like a full disk, and /dev/full is still a device."""
    with pytest.raises(OSError, match=FULL):
        write_whole(Path("/dev/full"), "words")
    assert Path("/dev/full").is_char_device()
