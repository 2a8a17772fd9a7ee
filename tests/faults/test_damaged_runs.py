"""A stored run that is damaged, or from a later version: named and passed over, never a bug of ours, never changed."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from reports.commands.lift import run as run_lift
from tests.faults.hands import TRAILER, assert_helps, here

WRONG = (None, "x", -1, 1e308, [], {}, True)
READERS = (["runs"], ["runs", "--json"], ["runs", "show"], ["runs", "sheet", "--page", "pocket.html"])


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One run, as it is stored."""
    runs = tmp_path_factory.mktemp("whole") / "runs"
    run_lift(TRAILER, fixed=True, as_json=True, out=runs, page=False)
    (folder,) = runs.iterdir()
    return folder


@pytest.fixture
def stored(whole: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of it in `runs/`, and nothing else."""
    monkeypatch.chdir(tmp_path)
    return Path(shutil.copytree(whole, tmp_path / "runs" / whole.name))


def test_a_run_of_a_later_version_is_named_and_left_alone(stored: Path) -> None:
    """The list says so and goes on, 0; whoever asks for it by name is simulated, 2; its files are as they were."""
    text = (stored / "summary.json").read_text().replace('"format": 1,', '"format": 2,', 1)
    (stored / "summary.json").write_text(text)
    code, out, _ = here("runs")
    assert code == 0 and "later version (format 2, this one reads 1)" in out
    code, _, err = here("runs", "show", stored.name)
    assert code == 2 and (stored / "summary.json").read_text() == text
    assert_helps(err, "later version")


@pytest.mark.parametrize("missing", ["summary.json", "scenario.toml"])
@pytest.mark.parametrize("left", [None, 0, 100])
def test_a_file_that_is_missing_empty_or_cut_off(stored: Path, missing: str, left: int | None) -> None:
    """Listing goes on; showing says which file, 2."""
    whole_text = (stored / missing).read_bytes()
    (stored / missing).unlink()
    if left is not None:
        (stored / missing).write_bytes(whole_text[:left])
    assert here("runs")[0] == 0
    code, _, err = here("runs", "show", stored.name)
    assert code == 2
    assert_helps(err)


@pytest.mark.parametrize("text", ['{"format": 1, "title": NaN}', '{"a": 1e999}', "[" * 100_000, "\0", '"' + "9" * 5000])
def test_a_summary_that_is_no_json_of_ours(stored: Path, text: str) -> None:
    """Figures that are none, nesting without end, zeros that a power cut left: named, for a machine too."""
    (stored / "summary.json").write_text(text)
    code, out, _ = here("runs", "--json")
    assert code == 0 and json.loads(out)[0]["trouble"]
    code, _, err = here("runs", "show", stored.name)
    assert code == 2
    assert_helps(err, "summary.json")


def places(data: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Every key of a summary, three deep."""
    for key, value in data.items() if isinstance(data, dict) and len(path) < 3 else ():
        yield (*path, key)
        yield from places(value, (*path, key))


@pytest.mark.parametrize("every", [12, pytest.param(1, marks=pytest.mark.slow)])
def test_a_summary_with_any_of_its_figures_missing_or_of_another_kind(stored: Path, every: int) -> None:
    """Each key in turn is taken out, or holds something else: shown, or said to be damaged; never a bug of ours."""
    text = (stored / "summary.json").read_text()
    summary = json.loads(text)
    for n, path in list(enumerate(places(summary)))[::every]:
        changed = json.loads(text)
        at = changed
        for key in path[:-1]:
            at = at[key]
        if n // every % (len(WRONG) + 1):
            at[path[-1]] = WRONG[n // every % (len(WRONG) + 1) - 1]
        else:
            del at[path[-1]]
        (stored / "summary.json").write_text(json.dumps(changed))
        for words in READERS[:3]:
            code, _, err = here(*words)
            allowed = (0, 2) if words[1:] == ["show"] else (0,)
            assert code in allowed and "bug of ours" not in err and "Traceback" not in err, (path, words, err)


@pytest.mark.parametrize(
    "change",
    [
        lambda s: {key: value for key, value in s.items() if key != "seed"},
        lambda s: s | {"seed": "three", "replication": None, "fixed_values": False},
        lambda s: s | {"variant": "no such variant"},
        lambda s: {key: value for key, value in s.items() if key != "reason"} | {"kind": "rehearsal"},
    ],
)
def test_a_call_sheet_of_a_damaged_run(stored: Path, change: Any) -> None:
    """What cannot be simulated again is said, and no sheet is written."""
    summary = json.loads((stored / "summary.json").read_text())
    (stored / "summary.json").write_text(json.dumps(change(summary)))
    code, _, err = here("runs", "sheet", stored.name, "--page", "pocket.html")
    assert code == 2 and not Path("pocket.html").exists()
    assert_helps(err)


@pytest.mark.parametrize("events", ["", "time_s,call\n1,2\n", "time_s\nsoon\n", "\0\0\0", None])
def test_events_of_a_rehearsal_that_cannot_be_read(stored: Path, events: str | None) -> None:
    """No seed simulates it again: the events are needed, and it is said that they cannot be read."""
    summary = json.loads((stored / "summary.json").read_text()) | {"kind": "rehearsal"}
    (stored / "summary.json").write_text(json.dumps(summary))
    (stored / "events.csv").unlink()
    if events is not None:
        (stored / "events.csv").write_text(events)
    code, _, err = here("runs", "sheet", stored.name, "--page", "pocket.html")
    assert code == 2 and not Path("pocket.html").exists()
    assert_helps(err, "events.csv")
