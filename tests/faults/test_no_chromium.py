"""Chromium is missing, or cannot draw: everything else is done and kept, and what to do is said."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.faults.hands import TRAILER, assert_helps, here

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs a shell script as browser")


@pytest.fixture
def nowhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, on a machine without a browser."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("reports.slides.pictures.find_browser", lambda: "")
    return tmp_path


def test_a_run_is_stored_and_shown_and_the_picture_that_needs_none_is_drawn(nowhere: Path) -> None:
    """2 for the pictures that are missing; the run, its figures and the SVG are there."""
    code, out, err = here("run", str(TRAILER), "--fixed", "--no-page", "--pictures", "slides")
    assert code == 2 and "largest gap" in out and "stored in runs" in err
    assert_helps(err, "no Chrome or Chromium was found", "apt install chromium", "BROWSER_PATH")
    assert sorted(p.name for p in (nowhere / "slides").iterdir()) == ["drawing.csv", "drawing.svg"]
    assert len(list((nowhere / "runs").iterdir())) == 1


def test_a_comparison_is_not_begun_for_pictures_that_cannot_be_drawn(
    nowhere: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Said before thousands of lifts are simulated, not after."""
    monkeypatch.setattr("reports.commands.compare.compare_ways", lambda *_, **__: pytest.fail("lifts were simulated"))
    code, _, err = here("compare", str(TRAILER), "--pictures", "slides")
    assert code == 2
    assert_helps(err, "no Chrome or Chromium was found")


def test_a_lesson_s_page_is_written_without_its_pictures(nowhere: Path) -> None:
    """The page needs no browser to be written."""
    code, _, err = here("lesson", "only-what-you-need", "--pictures")
    assert code == 2 and (nowhere / "lessons" / "only-what-you-need.html").exists()
    assert_helps(err, "no Chrome or Chromium was found")


@pytest.mark.parametrize("script", ["exit 1", "echo drawn", "exit 0"])
def test_a_browser_that_does_not_draw(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, script: str) -> None:
    """One that ends at once, with or without a word: its name, and what to try; no half picture."""
    broken = tmp_path / "browser"
    broken.write_text(f"#!/bin/sh\n{script}\n")
    broken.chmod(0o755)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("reports.slides.pictures.find_browser", lambda: str(broken))
    code, _, err = here("run", str(TRAILER), "--fixed", "--no-page", "--pictures", "slides")
    assert code == 2 and sorted(p.name for p in (tmp_path / "slides").iterdir()) == ["drawing.svg"]
    assert_helps(err, str(broken), "could not draw")


def test_a_folder_for_pictures_that_is_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Named; it is as it was."""
    monkeypatch.chdir(tmp_path)
    Path("slides").write_text("mine")
    code, _, err = here("run", str(TRAILER), "--fixed", "--no-page", "--pictures", "slides")
    assert code == 2 and Path("slides").read_text() == "mine"
    assert_helps(err, "slides")
