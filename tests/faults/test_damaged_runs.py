"""A stored run that is damaged, or from a later version: named and passed over, never a bug of ours, never changed."""

from __future__ import annotations

import json
import os
import shutil
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from reports.commands.lift import run as run_lift
from sim.stored.plain import MOST
from sim.stored.store import save
from sim.stored.sums import SUMS, sums_of
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
def hashed(whole: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of it in `runs/`, and nothing else."""
    monkeypatch.chdir(tmp_path)
    return Path(shutil.copytree(whole, tmp_path / "runs" / whole.name))


@pytest.fixture
def stored(hashed: Path) -> Path:
    """The same as a version before stored it, without the hashes of its files."""
    (hashed / SUMS).unlink()
    return hashed


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


# --- by their hashes


def half(data: bytes) -> bytes:
    """Cut in half, at the end of a line."""
    lines = data.splitlines(keepends=True)
    return b"".join(lines[: len(lines) // 2])


def reversed_(data: bytes) -> bytes:
    """The first line, then the others from the last on."""
    first, *others = data.splitlines(keepends=True)
    return b"".join([first, *reversed(others)])


CHANGES = {
    "exchanged": lambda data: data.replace(b"0.25", b"0.35").replace(b"6.0,", b"6.5,", 1) + b"\n",
    "cut in half": half,
    "reversed": reversed_,
    "one bit": lambda data: data[:-2] + bytes([data[-2] ^ 1]) + data[-1:],
    "empty": lambda data: b"",
}
ONE_LIFT = (["runs", "sheet", "--page", "pocket.html"], ["runs", "pictures", "last", "slides"])


@pytest.mark.parametrize("name", ["scenario.toml", "events.csv"])
@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("kind", ["lift", "rehearsal"])
def test_a_file_that_is_not_what_was_stored_is_named(hashed: Path, name: str, change: str, kind: str) -> None:
    """No call sheet, no picture from it; its name, its run, and what can still be done; the list names it too."""
    if kind == "rehearsal":
        as_rehearsal(hashed)
    (hashed / name).write_bytes(CHANGES[change]((hashed / name).read_bytes()))
    for words in ONE_LIFT:
        code, _, err = here(*words)
        assert code == 2 and not Path("pocket.html").exists() and not Path("slides").exists()
        assert_helps(err, f"{name} is not what was stored", hashed.name, "still as stored: ")
        assert ("simulates it again" in err) == (kind == "lift" and name == "events.csv")
    code, out, _ = here("runs")
    assert code == 0 and f"damaged: {hashed.name}: {name} is not what was stored" in out.replace("\n", " ")


def as_rehearsal(folder: Path) -> None:
    """The same run as if a person had called it, hashes and all."""
    summary = json.loads((folder / "summary.json").read_text()) | {"kind": "rehearsal"}
    (folder / "summary.json").write_text(json.dumps(summary))
    (folder / SUMS).write_bytes(sums_of({p.name: p.read_bytes() for p in folder.iterdir() if p.name != SUMS}))


@pytest.mark.parametrize("change", CHANGES)
def test_a_summary_that_is_not_what_was_stored(hashed: Path, change: str) -> None:
    """Its figures are shown nowhere; what else the run holds is named."""
    (hashed / "summary.json").write_bytes(CHANGES[change]((hashed / "summary.json").read_bytes()))
    code, _, err = here("runs", "show", hashed.name)
    assert code == 2
    assert_helps(err, "summary.json is not what was stored", "still as stored: events.csv, scenario.toml")
    assert "passed over" in here("runs")[1]


def test_the_scenario_of_an_old_run_is_checked_too(stored: Path) -> None:
    """Its summary has always had the scenario's hash."""
    (stored / "scenario.toml").write_bytes((stored / "scenario.toml").read_bytes() + b"\n")
    code, _, err = here("runs", "sheet", stored.name, "--page", "pocket.html")
    assert code == 2 and not Path("pocket.html").exists()
    assert_helps(err, "scenario.toml is not what was stored", "summary.json")


def test_an_old_run_still_opens(stored: Path) -> None:
    """Without hashes: listed, shown, its call sheet written."""
    code, out, _ = here("runs")
    assert code == 0 and "damaged" not in out and "passed over" not in out
    assert here("runs", "show")[0] == 0 and here("runs", "sheet", "--page", "pocket.html")[0] == 0


def test_what_is_left_of_the_hashes_is_said(hashed: Path) -> None:
    """Without a line for a file that is needed, nobody can tell."""
    (hashed / SUMS).write_text("nonsense\n")
    code, _, err = here("runs", "show", hashed.name)
    assert code == 2
    assert_helps(err, SUMS, "summary.json")


# --- events of an old rehearsal: no hash says that they are as they were


def renamed(events: str) -> str:
    """One lifter goes by another name."""
    return events.replace("left lifter", "lost lifter")


WRONG_EVENTS = {
    "a header only": (lambda e: e.partition("\n")[0] + "\n", "only its first line is left"),
    "inf": (lambda e: e.replace(",0.0,", ",inf,", 1), "infinite"),
    "no time": (lambda e: e.replace("\n0.0,", "\n,", 1), "time is no figure"),
    "a renamed lifter": (renamed, '"lost lifter" is no'),
    "half of it": (lambda e: half(e.encode()).decode(), "ends before the lift does"),
    "reversed": (lambda e: reversed_(e.encode()).decode(), "before that of the line above"),
    "a figure missing": (lambda e: e.replace(",starts,,,,,,,,,,left lifter,0.0,", ",starts,,,,,,,,,,left lifter,,", 1),
                         "a figure is missing"),
    "a place missing": (lambda e: "".join(x for x in e.splitlines(True) if "left strut" not in x), "no line of"),
    "a column missing": (lambda e: e.replace("captured_m", "captured"), "lacks captured_m"),
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG_EVENTS)
def test_events_that_a_person_changed_are_named(stored: Path, what: str) -> None:
    """The line and what is wrong with it, in our words; no sheet and no picture."""
    change, word = WRONG_EVENTS[what]
    summary = json.loads((stored / "summary.json").read_text()) | {"kind": "rehearsal"}
    (stored / "summary.json").write_text(json.dumps(summary))
    before = (stored / "events.csv").read_text()
    changed = change(before)
    assert changed != before
    (stored / "events.csv").write_text(changed)
    for words in ONE_LIFT:
        code, _, err = here(*words)
        assert code == 2 and not Path("pocket.html").exists()
        assert_helps(err, "events.csv cannot be read", word)


# --- what is no plain file


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes with a name")
@pytest.mark.parametrize("name", ["summary.json", "scenario.toml", "events.csv", SUMS, "report.html"])
@pytest.mark.parametrize("what", ["a pipe", "a device", "too large", "a folder"])
def test_what_is_no_plain_file_is_not_waited_for(
    hashed: Path, name: str, what: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A pipe that nobody writes to, /dev/zero, a file without end, a folder: named at once, by every command."""
    as_rehearsal(hashed)
    place = hashed / name
    place.unlink(missing_ok=True)
    if what == "a pipe":
        os.mkfifo(place)
    elif what == "a device":
        place.symlink_to("/dev/zero")
    elif what == "a folder":
        place.mkdir()
    else:
        with place.open("wb") as file:
            file.truncate(2 * MOST)  # a hole: it takes no room
    monkeypatch.setattr("webbrowser.open", lambda _: True)
    for words in (["runs"], ["runs", "--json"], ["runs", "show", hashed.name], ONE_LIFT[0], ["runs", "open"]):
        signal.alarm(60)  # whoever waits for the pipe is ended
        code, _, err = here(*words)
        signal.alarm(0)
        assert code in (0, 2) and "bug of ours" not in err and "Traceback" not in err, err
        assert code == 0 or "hint: " in err, err


def test_every_file_is_on_the_disk_before_its_folder_has_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Files and folder are given to the disk, then renamed, then the folder above: a power cut loses no part."""
    synced: list[str] = []
    real = os.fsync

    def fsync(fd: int) -> None:
        synced.append(os.readlink(f"/proc/self/fd/{fd}"))
        real(fd)

    monkeypatch.setattr(os, "fsync", fsync)
    place = save("A lift", {"a.txt": "one", "b.txt": b"two"}, tmp_path / "runs")
    names = [Path(each).name for each in synced]
    assert names[:3] == ["a.txt", "b.txt", SUMS] and names[3].startswith(".making-") and names[4] == "runs"
    assert all(".making-" in each for each in synced[:4]) and place.is_dir()
