"""LANG=C, and names in other scripts: simulated, stored, listed and read again, whatever the terminal can show."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from sim.written.reading import read
from tests.faults.hands import TRAILER, assert_whole, here, run

PLAIN = {"LC_ALL": "C", "LANG": "C"}
ASCII = {**PLAIN, "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}  # as an old system, or a foreign one, has it
NAMES = {
    "arabic": "الرافعة اليسرى",
    "hebrew": "מגבה שמאלי",
    "chinese": "左侧千斤顶",
    "japanese": "左のジャッキ",
    "korean": "왼쪽 잭",
    "hindi": "बायाँ जैक",
    "thai": "แม่แรงซ้าย",
    "russian": "левый домкрат",
    "combining": "vérin gauche",
    "emoji": "left \U0001f69b\u200d\U0001f527",
    "astral": "\U00020000\U0001d4cf",
}


def in_script(folder: Path, name: str) -> Path:
    """The trailer, its title and a lifter in a script, in a file of that name."""
    text = TRAILER.read_text().replace('"left lifter"', json.dumps(name, ensure_ascii=False))
    lines = [f'title = "{name}"' if line.startswith("title") else line for line in text.splitlines()]
    file = folder / f"{name}.toml"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return file


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES.keys())
def test_a_name_in_another_script(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    """On the screen, in the events, in the summary, in the list, found by a part of it."""
    monkeypatch.chdir(tmp_path)
    file = in_script(tmp_path, name)
    code, out, _ = here("run", file.name, "--fixed", "--json", "--no-page")
    assert code == 0 and name in json.loads(out)["pumps"]
    (folder,) = (tmp_path / "runs").iterdir()
    assert name in (folder / "events.csv").read_text(encoding="utf-8")
    assert read(folder / "scenario.toml").title == name
    code, out, _ = here("runs", "show", folder.name[18:])
    assert code == 0 and name in out
    assert len(os.fsencode(folder.name)) <= 200


def test_a_very_long_name_in_another_script_still_makes_a_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four bytes a letter: a folder's name has 255 bytes and no more."""
    monkeypatch.chdir(tmp_path)
    in_script(tmp_path, "\U00020000" * 60).rename("lift.toml")
    assert here("run", "lift.toml", "--fixed", "--no-page")[0] == 0
    assert_whole(tmp_path / "runs")


@pytest.mark.skipif(os.name != "posix", reason="needs POSIX locales")
def test_lang_c(tmp_path: Path) -> None:
    """An ASCII terminal and ASCII file names: stored whole, the names in the files as they are; on screen as can be."""
    file = in_script(tmp_path, NAMES["arabic"]).rename(tmp_path / "lift.toml")
    done = run(tmp_path, "run", file.name, "--fixed", env=ASCII)
    assert done.returncode == 0 and "Traceback" not in done.stderr and "largest gap" in done.stdout
    (folder,) = (tmp_path / "runs").iterdir()
    assert folder.name.isascii() and NAMES["arabic"] in (folder / "events.csv").read_text(encoding="utf-8")
    assert_whole(tmp_path / "runs")


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="needs POSIX locales")
@pytest.mark.parametrize("env", [PLAIN, ASCII], ids=["utf-8 mode", "ascii"])
@pytest.mark.parametrize(
    "words",
    [
        ["check", "{}", "--page", "sheet.html"],
        ["run", "{}"],
        ["compare", "{}", "-n", "4"],
        ["study", "{}", "-n", "40", "--no-changes"],
        ["debrief", "--timer", "{}", "--page", "timer.html"],
        ["new", "mine.toml"],
        ["lesson", "only-what-you-need", "--scenario", "{}"],
        ["lesson"],
        ["runs"],
        ["demo"],
    ],
    ids=lambda words: words[0],
)
def test_every_command_with_lang_c(tmp_path: Path, words: list[str], env: dict[str, str]) -> None:
    """A file with a name in another script, too."""
    file = in_script(tmp_path, NAMES["chinese"])
    done = run(tmp_path, *(word.format(file.name) for word in words), env=env)
    assert done.returncode == 0, done.stderr
    assert_whole(tmp_path / "runs")


@pytest.mark.skipif(os.name != "posix", reason="file names are bytes there")
def test_a_file_name_that_is_no_text(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Bytes that are no UTF-8, and a scenario without a title, which is called after its file."""
    monkeypatch.chdir(tmp_path)
    name = os.fsdecode(b"lift-\xff.toml")
    text = "\n".join(line for line in TRAILER.read_text().splitlines() if not line.startswith("title"))
    Path(name).write_text(text)
    for words in (["run", name, "--fixed"], ["study", name, "-n", "20", "--workers", "1", "--no-changes"]):
        code, _, err = here(*words)
        assert code == 0, err
    assert len(list((tmp_path / "runs").iterdir())) == 2
    assert_whole(tmp_path / "runs")
