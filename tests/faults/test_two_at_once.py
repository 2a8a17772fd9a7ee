"""Two at once: neither loses anything of the other's."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from sim.many.blocks import folder_for
from sim.stored.store import save
from sim.stored.whole import being_made, write_whole
from sim.written.reading import read
from tests.faults.hands import ROOT, TRAILER, assert_whole, left, started

FILES = {"summary.json": '{"format": 1, "title": "x", "outcome": "raised", "provenance": {}}', "scenario.toml": "x"}


def test_two_runs_at_once_are_both_stored_whole(tmp_path: Path) -> None:
    """Two processes, one scenario, one folder, the same second."""
    both = [started(tmp_path, "run", str(TRAILER), "--seed", seed, "--no-page") for seed in "12"]
    for process in both:
        _, err = process.communicate(timeout=120)
        assert process.returncode == 0, err
    assert len(list((tmp_path / "runs").iterdir())) == 2 and left(tmp_path) == []
    assert_whole(tmp_path / "runs")


def test_many_that_store_under_one_name_all_get_a_folder(tmp_path: Path) -> None:
    """Twenty threads, five runs each, one title: a hundred folders, each whole."""

    def store() -> None:
        for _ in range(5):
            save("same", FILES, tmp_path)

    threads = [threading.Thread(target=store) for _ in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(list(tmp_path.iterdir())) == 100
    assert_whole(tmp_path)


def test_what_another_is_making_is_not_cleared_whatever_its_clock_says(tmp_path: Path) -> None:
    """A run that has been writing since yesterday is left alone while its process is there."""
    making = being_made(tmp_path)
    making.mkdir()
    os.utime(making, (0, 0))
    save("other", FILES, tmp_path)
    write_whole(tmp_path / "file", "x")
    assert making.is_dir()


def test_of_two_that_write_one_new_file_the_second_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both found the name free: the one that is later does not write over the other's."""
    place = tmp_path / "lift.toml"
    monkeypatch.setattr("sim.stored.whole._status", lambda _: None)
    write_whole(place, "mine", over=False)
    with pytest.raises(FileExistsError):
        write_whole(place, "yours", over=False)
    assert place.read_text() == "mine" and left(tmp_path) == []


def test_a_reader_never_finds_half_a_file(tmp_path: Path) -> None:
    """Written over again and again while it is read: always the one or the other, whole."""
    place, stop = tmp_path / "page.html", threading.Event()
    texts = ("a" * 300_000, "b" * 300_000)
    write_whole(place, texts[0])

    def write() -> None:
        while not stop.is_set():
            for text in texts:
                write_whole(place, text)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        assert all(place.read_text() in texts for _ in range(50))
    finally:
        stop.set()
        writer.join()


KEEPS = """
import sys
from dataclasses import replace
from pathlib import Path
from sim.many import blocks
from sim.written.reading import read

blocks.KEEP_AFTER = 0.0
scenario = read(sys.argv[1])
first = blocks.blocks_of(scenario, 0, 20)[0]
folder = blocks.folder_for(scenario, 0, Path("runs"), resume=False)
blocks.simulate_all([first, replace(first, first=20)], 1, folder=folder)
print("simulated", flush=True)
sys.stdin.read()
"""


def test_a_second_study_of_the_same_leaves_the_blocks_of_the_first_alone(tmp_path: Path) -> None:
    """The first keeps them while the second begins and ends; once it is gone they are cleared."""
    scenario, runs = read(TRAILER), tmp_path / "runs"
    first = subprocess.Popen(
        [sys.executable, "-c", KEEPS, str(TRAILER)], cwd=tmp_path, env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert first.stdout is not None and first.stdout.readline() == "simulated\n"
    for _ in ("begins", "ends"):
        second = folder_for(scenario, 0, runs, resume=False)
        assert len(list(runs.rglob("*.parquet"))) == 2 and not second.exists()
    first.communicate("")
    folder_for(scenario, 0, runs, resume=False)
    assert list(runs.rglob("*.parquet")) == []


TOGETHER = KEEPS.replace(
    'print("simulated", flush=True)\nsys.stdin.read()\n',
    """
print("simulated", flush=True)
sys.stdin.readline()
blocks.clear(folder)
print("cleared", flush=True)
sys.stdin.read()
""",
)


def test_two_that_are_identical_leave_no_blocks(tmp_path: Path) -> None:
    """Both keep theirs in one folder and end at once, each while the other is still there: nothing is left."""
    both = [
        subprocess.Popen(
            [sys.executable, "-c", TOGETHER, str(TRAILER)], cwd=tmp_path, env=os.environ | {"PYTHONPATH": str(ROOT)},
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )
        for _ in range(2)
    ]  # fmt: skip
    for word in ("simulated\n", "cleared\n"):
        for each in both:
            assert each.stdin is not None and each.stdout is not None
            assert each.stdout.readline() == word
        for each in both:
            if word == "simulated\n":
                each.stdin.write("\n")  # type: ignore[union-attr]
                each.stdin.flush()  # type: ignore[union-attr]
    left = list((tmp_path / "runs").glob(".blocks-*"))
    for each in both:
        each.communicate("")
    assert left == []


def test_blocks_of_another_version_are_not_gone_on_from(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What another numpy, or another version of ours, has simulated lies in a folder apart."""
    scenario = read(TRAILER)
    here = folder_for(scenario, 0, tmp_path, resume=True)
    assert here == folder_for(scenario, 0, tmp_path, resume=True)
    monkeypatch.setattr("sim.many.blocks.versions", lambda: {"liftcadence": "9.9"})
    assert folder_for(scenario, 0, tmp_path, resume=True) != here
