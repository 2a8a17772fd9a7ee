"""Stored runs: a folder appears whole or not at all; what is damaged or strange is named."""

import errno
import hashlib
import json
import os
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest

from sim.model.errors import StoreError
from sim.stored.store import find, look_at, provenance, save, slug, stored
from sim.stored.sums import SUMS
from sim.stored.whole import UNFINISHED
from tests.builders import MM, lift, lifter

SUMMARY = json.dumps({"format": 1, "title": "Trailer", "outcome": "raised"})
FILES = {"summary.json": SUMMARY, "events.csv": "time_s\n0\n", "report.html": b"<html>\xc3\xa9</html>"}


def test_a_run_is_stored_whole_under_its_title(tmp_path):
    """Every file as it was given, and their hashes, in a folder named after time and title; nothing else is left."""
    place = save("Trailer nose, off a kerb!", FILES, tmp_path / "runs")
    assert place.name.endswith("-trailer-nose-off-a-kerb")
    given = {name: text if isinstance(text, bytes) else text.encode() for name, text in FILES.items()}
    assert {p.name: p.read_bytes() for p in place.iterdir() if p.name != SUMS} == given
    by_name = {name: hashlib.sha256(data).hexdigest() for name, data in given.items()}
    assert (place / SUMS).read_text() == "".join(f"{by_name[name]}  {name}\n" for name in sorted(given))
    assert [p.name for p in (tmp_path / "runs").iterdir()] == [place.name]


def test_two_runs_of_one_second_get_names_of_their_own(tmp_path):
    """All twenty are there."""
    places = {save("same", FILES, tmp_path) for _ in range(20)}
    assert len(places) == 20
    assert all(p.is_dir() for p in places)


KILLED = """
import os, random, signal, sys, time
from pathlib import Path
from sim.stored.store import save

runs, files = Path(sys.argv[1]), {f"file-{n}": b"x" * 200_000 for n in range(40)}
begin = time.perf_counter()
save("measured", files, runs)
seconds = time.perf_counter() - begin
random.seed(int(sys.argv[2]))
for n in range(10):
    ready, ready_end = os.pipe()
    child = os.fork()
    if child == 0:
        os.write(ready_end, b"!")
        save(f"killed {n}", files, runs)
        signal.pause()
    os.read(ready, 1)
    time.sleep(random.uniform(0, 1.1 * seconds))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and SIGKILL")
def test_a_run_killed_at_any_instant_is_there_whole_or_not_at_all(tmp_path):
    """kill -9 at ten random instants of `save`: what shows has all forty files; the next run still works."""
    runs = tmp_path / "runs"
    seed = str(time.time_ns())
    subprocess.run(
        [sys.executable, "-c", KILLED, str(runs), seed],
        check=True,
        timeout=60,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)},
    )
    shown = [s.path for s in stored(runs)]
    assert 1 <= len(shown) <= 11
    for path in shown:
        files = [p for p in path.iterdir() if p.name != SUMS]
        assert [p.stat().st_size for p in files] == [200_000] * 40, f"seed {seed}: {path.name}"
        assert len((path / SUMS).read_text().splitlines()) == 40, f"seed {seed}: {path.name}"
    hidden = [p for p in runs.iterdir() if p not in shown]
    assert all(p.name.startswith(UNFINISHED) for p in hidden)
    assert len(hidden) + len(shown) >= 2, f"seed {seed}: no save was under way when it was killed"
    assert look_at(save("after", FILES, runs)).summary is not None


def test_what_an_interrupted_run_left_is_cleared_once_it_is_an_hour_old(tmp_path):
    """Not before, nor while its maker is at work, whatever the clock says: it may be another run's, written now."""
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    old, young, working, strange = (
        tmp_path / f"{UNFINISHED}{name}"
        for name in (f"{ended.pid}-{10**18}", f"{ended.pid}-{10**18 + 1}", f"{os.getppid()}-{10**18}", "a-person's-own")
    )
    for left in (old, young, working, strange):
        left.mkdir()
    for left in (old, working, strange):
        os.utime(left, (time.time() - 3700,) * 2)
    save("next", FILES, tmp_path)
    assert not old.exists()
    assert young.exists() and working.exists() and strange.exists()
    assert [s.path.name.endswith("next") for s in stored(tmp_path)] == [True]


READ_ONLY = """
import os, sys
from pathlib import Path
from sim.model.errors import StoreError
from sim.stored.store import save

os.chdir(sys.argv[1])
if os.getuid() == 0:
    os.setuid(65534)
try:
    save("t", {"summary.json": "{}"}, Path("."))
except StoreError as error:
    print(error)
"""


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="needs POSIX rights")
def test_a_folder_that_may_not_be_written_is_named(tmp_path):
    """A StoreError that says which and why, and nothing is left (as another user where we are root)."""
    tmp_path.chmod(0o555)
    try:
        out = subprocess.run(
            [sys.executable, "-c", READ_ONLY, str(tmp_path)],
            capture_output=True,
            text=True,
            check=True,
            env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path), "LC_ALL": "C"},
        ).stdout
    finally:
        tmp_path.chmod(0o755)
    assert f"error: .: cannot be written to: {os.strerror(errno.EACCES)}" in out and "hint: " in out
    assert list(tmp_path.iterdir()) == []


def test_a_file_where_the_runs_should_be_is_named(tmp_path):
    """Not a traceback."""
    place = tmp_path / "runs"
    place.write_text("no folder")
    with pytest.raises(StoreError, match="runs"):
        save("t", FILES, place)


def test_a_full_disk_leaves_nothing(tmp_path, monkeypatch):
    """No space after the first file: said, and the half run is gone."""
    opened = Path.open

    def full(self, *how, **more):
        if self.name == "events.csv":
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return opened(self, *how, **more)

    monkeypatch.setattr(Path, "open", full)
    with pytest.raises(StoreError, match=os.strerror(errno.ENOSPC)):
        save("t", FILES, tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "no summary.json"),
        ('{"format": 1, "title"', "cannot be read"),
        (b"\xff\xfe\x00", "cannot be read"),
        ("[1, 2]", "not one of ours"),
        ('{"title": "x"}', "not one of ours"),
        ('{"format": "1"}', "not one of ours"),
        ('{"format": 99, "title": "x", "outcome": "raised"}', "later version"),
        ('{"format": 1, "title": "x"}', "lacks outcome"),
    ],
)
def test_a_damaged_or_unknown_folder_is_shown_with_its_trouble(tmp_path, content, said):
    """And the good ones beside it are not harmed."""
    good, bad = save("good", FILES, tmp_path), tmp_path / "0-bad"
    bad.mkdir()
    if content is not None:
        (bad / "summary.json").write_bytes(content if isinstance(content, bytes) else content.encode())
    shown = {s.path: s for s in stored(tmp_path)}
    assert shown[good].summary["title"] == "Trailer"
    assert shown[bad].summary is None
    assert said in shown[bad].trouble
    with pytest.raises(StoreError, match="0-bad"):
        find("0-bad", tmp_path)


def test_a_summary_that_is_a_folder_is_named_too(tmp_path):
    """It cannot be read."""
    (tmp_path / "odd" / "summary.json").mkdir(parents=True)
    assert "cannot be read" in look_at(tmp_path / "odd").trouble


def test_files_and_hidden_folders_are_no_runs(tmp_path):
    """A README beside the runs; and runs that are not there at all."""
    (tmp_path / "README.md").write_text("x")
    (tmp_path / ".git").mkdir()
    assert list(stored(tmp_path)) == []
    assert list(stored(tmp_path / "nowhere")) == []


def test_runs_are_listed_the_newest_first_and_found_by_a_part_of_their_name(tmp_path):
    """`last` is the newest that can be read; of several that match, the newest."""
    for name in ("2026-01-01-120000-van", "2026-01-02-120000-trailer", "2026-01-03-120000-van"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "summary.json").write_text(SUMMARY)
    (tmp_path / "2026-01-04-damaged").mkdir()
    assert [s.path.name[:10] for s in stored(tmp_path)] == ["2026-01-04", "2026-01-03", "2026-01-02", "2026-01-01"]
    assert find("last", tmp_path).path.name == "2026-01-03-120000-van"
    assert find("trailer", tmp_path).path.name == "2026-01-02-120000-trailer"
    assert find("van", tmp_path).path.name == "2026-01-03-120000-van"
    assert find(str(tmp_path / "2026-01-01-120000-van"), tmp_path).path.name == "2026-01-01-120000-van"
    with pytest.raises(StoreError, match="crane"):
        find("crane", tmp_path)


def test_a_title_becomes_a_part_of_a_name():
    """Letters and digits of any script, at most 40, and never empty or a way out of the folder."""
    assert slug("Trailer: nose / off") == "trailer-nose-off"
    assert slug("Küche 2") == "küche-2" == slug("Ku\u0308che 2")
    assert slug("رفع العربة") == "رفع-العربة" and slug("拖车") == "拖车" and slug("हिन्दी") == "हिन्दी"
    assert slug("../../etc") == "etc"
    assert slug("!!!") == "lift"
    assert len(slug("x y " * 40)) <= 40


def test_a_name_that_is_cut_off_between_two_words_ends_in_a_letter():
    """39 letters, a gap, and a word more: the gap would be the fortieth."""
    assert slug(39 * "x" + " y") == 39 * "x"
    assert slug(38 * "x" + " y") == 38 * "x" + "-y"


def test_a_run_of_this_format_is_read_and_one_of_the_very_next_is_not(tmp_path):
    """Format 1 is ours; 2 is a later version's, which may have changed what a key means."""
    for number in (1, 2):
        (tmp_path / f"{number}").mkdir()
        (tmp_path / f"{number}" / "summary.json").write_text(SUMMARY.replace('"format": 1', f'"format": {number}'))
    assert look_at(tmp_path / "1").summary == {"format": 1, "title": "Trailer", "outcome": "raised"}
    assert look_at(tmp_path / "2").summary is None
    assert look_at(tmp_path / "2").trouble == "made by a later version (format 2, this one reads 1)"


def test_a_result_says_what_it_was_made_with():
    """Versions, when, and the scenario's fingerprint: another text, another fingerprint."""
    scenario = lift(1 * MM, lifter())
    said = provenance(scenario)
    assert {"liftcadence", "python", "numpy", "simpy", "made_at"} <= set(said)
    assert said["scenario_sha256"] == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"  # of ""
    assert provenance(replace(scenario, text="x"))["scenario_sha256"] != said["scenario_sha256"]
