"""Spaces, quotes, links, long and strange paths: written where they lead, never in place of a link or a device."""

from __future__ import annotations

import os
import shlex
import stat
import threading
from pathlib import Path

import pytest

from sim.stored.whole import write_whole
from tests.faults.hands import TRAILER, assert_helps, assert_whole, here, left, store_one

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs links as POSIX has them")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, whose own path has spaces."""
    place = tmp_path / "Station 3, night's shift"
    place.mkdir()
    monkeypatch.chdir(place)
    return place


def test_a_path_with_spaces_and_quotes(folder: Path) -> None:
    """Written, checked, run; the next command that is offered can be pasted into a shell."""
    name = 'the crew\'s "own" lift.toml'
    code, _, err = here("new", name)
    assert code == 0 and Path(name).exists()
    offered = err.partition("next: ")[2].partition(", then ")[0]
    assert shlex.split(offered) == ["liftcadence", "check", name]
    for words in (["check", name, "--page", "my sheet.html"], ["run", name, "--fixed", "--out", "my runs"]):
        assert here(*words)[0] == 0
    assert Path("my sheet.html").exists()
    assert_whole(folder / "my runs")


def test_a_scenario_that_is_a_link(folder: Path) -> None:
    """Read through it; one that leads nowhere, or in a ring, is named."""
    Path("link.toml").symlink_to(TRAILER)
    Path("nowhere.toml").symlink_to("gone.toml")
    Path("ring.toml").symlink_to("ring.toml")
    assert here("check", "link.toml")[0] == 0
    for name in ("nowhere.toml", "ring.toml"):
        code, _, err = here("run", name)
        assert code == 2
        assert_helps(err, name, "cannot be read")


def test_runs_that_are_a_link(folder: Path) -> None:
    """Stored where it leads; the link stays; a run that is a link is listed and shown too."""
    Path("disk").mkdir()
    Path("runs").symlink_to("disk")
    assert here("run", str(TRAILER), "--fixed", "--no-page")[0] == 0
    assert Path("runs").is_symlink() and len(list(Path("disk").iterdir())) == 1
    before = store_one(folder / "elsewhere")
    Path("disk/2026-01-01-120000-before").symlink_to(before)
    code, out, _ = here("runs")
    assert code == 0 and "2026-01-01-120000-before" in out


@pytest.mark.parametrize("leads_to", ["gone", "runs"], ids=["nowhere", "in a ring"])
def test_runs_that_are_a_link_to_nowhere(folder: Path, leads_to: str) -> None:
    """Said, with where it leads; the link is as it was."""
    Path("runs").symlink_to(leads_to)
    code, out, err = here("run", str(TRAILER), "--fixed", "--no-page")
    assert code == 2 and "largest gap" in out and os.readlink("runs") == leads_to
    assert_helps(err, "runs", "--out")


@pytest.mark.parametrize("there", [True, False])
def test_a_file_that_is_a_link_is_written_where_it_leads(folder: Path, there: bool) -> None:
    """The link stays a link; what it leads to has the new text."""
    Path("drive").mkdir()
    real = Path("drive/lift.toml")
    if there:
        real.write_text("old")
    Path("lift.toml").symlink_to(real)
    assert here("new", "lift.toml", "--force")[0] == 0
    assert Path("lift.toml").is_symlink() and real.read_text().startswith("#") and left(folder) == []


def test_a_link_to_a_file_that_is_there_is_not_written_over_unasked(folder: Path) -> None:
    """Whatever the name it goes by."""
    Path("real.toml").write_text("worked on for hours")
    Path("lift.toml").symlink_to("real.toml")
    code, _, err = here("new", "lift.toml")
    assert code == 2 and Path("real.toml").read_text() == "worked on for hours"
    assert_helps(err, "lift.toml", "--force")


def test_what_is_no_file_is_written_to_and_not_replaced(folder: Path) -> None:
    """A pipe: whoever reads it gets the text, and it is still a pipe."""
    os.mkfifo("pipe")
    heard: list[str] = []
    reader = threading.Thread(target=lambda: heard.append(Path("pipe").read_text()))
    reader.start()
    write_whole(Path("pipe"), "the page")
    reader.join(10)
    assert heard == ["the page"] and stat.S_ISFIFO(os.stat("pipe").st_mode)


def test_who_may_read_a_file_stays_as_it_was(folder: Path) -> None:
    """Written over with --force, a private file is still private."""
    Path("lift.toml").write_text("old")
    Path("lift.toml").chmod(0o600)
    assert here("new", "lift.toml", "--force")[0] == 0
    assert stat.S_IMODE(os.stat("lift.toml").st_mode) == 0o600


def test_names_as_long_as_they_may_be_and_longer(folder: Path) -> None:
    """255 letters are written; 300 are refused by name, wherever they stand."""
    longest, longer = "x" * 250 + ".toml", "x" * 300 + ".toml"
    assert here("new", longest)[0] == 0 and Path(longest).exists()
    for words in (
        ["new", longer],
        ["ask", longer, "--enter"],
        ["run", longer],
        ["runs", "show", longer],
        ["run", str(TRAILER), "--fixed", "--no-page", "--out", longer],
        ["check", str(TRAILER), "--page", longer],
    ):
        code, _, err = here(*words)
        assert code == 2, words
        assert_helps(err, longer[:40])


@pytest.mark.parametrize(
    "words",
    [
        ["new", "gone/lift.toml"],
        ["check", str(TRAILER), "--page", "."],
        ["lesson", "only-what-you-need", "--out", "file"],
    ],
    ids=lambda words: words[0],
)
def test_where_no_file_can_be(folder: Path, words: list[str]) -> None:
    """A folder that is not there, one in the way of a file, a file in the way of one."""
    Path("file").write_text("mine")
    code, _, err = here(*words)
    assert code == 2 and Path("file").read_text() == "mine"
    assert_helps(err)
