"""Runs on disk: a folder each, there whole or not at all.

A run is written beside its place, under a name that no listing shows, and then renamed (`whole.py`).
"""

from __future__ import annotations

import hashlib
import json
import math
import os
import platform
import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib import metadata
from pathlib import Path
from typing import Any

from sim.model.errors import StoreError
from sim.model.scenario import Scenario
from sim.record.measures import FORMAT
from sim.record.record import Record
from sim.record.what import Outcome
from sim.stored.plain import read_plain
from sim.stored.sums import EVENTS, SCENARIO, SUMS, as_stored, sums_of, what_is_wrong
from sim.stored.whole import being_made, clear_leftovers, discard, sync_folder, try_out, write_through

RUNS = Path("runs")
SUMMARY = "summary.json"
ELSEWHERE = "make room there, or name a folder that you may write to (--out)"
LIBRARIES = ("simpy", "numpy", "pandas", "pydantic", "plotly")


def provenance(scenario: Scenario) -> dict[str, Any]:
    """What a result was made with: versions, the scenario's fingerprint, when."""
    return {
        **versions(),
        "scenario_sha256": hashlib.sha256(scenario.text.encode()).hexdigest(),
        "made_at": datetime.now(UTC).isoformat(timespec="seconds"),
    }


def json_text(data: Any) -> str:
    """JSON that every reader takes: no NaN."""
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)


def versions() -> dict[str, str]:
    """The versions of what is at work here."""
    ours, libraries = _version("liftcadence"), {name: _version(name) for name in LIBRARIES}
    return {"liftcadence": ours, "python": platform.python_version(), **libraries}


def _version(name: str) -> str:
    try:
        return metadata.version(name)
    except metadata.PackageNotFoundError:
        return "not installed"


def save(title: str, files: Mapping[str, str | bytes], runs: Path = RUNS) -> Path:
    """Store one run whole.

    Parameters
    ----------
    title : str
        What the folder is named after, with the time.
    files : mapping of str to str or bytes
        What it holds, by file name; beside them goes a file of their hashes.
    runs : Path
        The folder of stored runs; made if it is not there.

    Returns
    -------
    Path
        The run's folder.

    Raises
    ------
    StoreError
        It could not be written (disk full, no right to write): nothing of it is left.
    """
    making = being_made(runs)
    try:
        if not runs.is_dir():
            try_out(runs)
        making.mkdir(parents=True)
        data = {name: content.encode() if isinstance(content, str) else content for name, content in files.items()}
        for name, content in {**data, SUMS: sums_of(data)}.items():
            write_through(making / name, content)
        sync_folder(making)
        place = _rename(making, runs / f"{datetime.now():%Y-%m-%d-%H%M%S}-{slug(title)}")
        sync_folder(runs)
    except OSError as error:
        discard(making)
        raise StoreError(str(runs), f"cannot be written to: {error.strerror or error}", ELSEWHERE) from None
    except BaseException:
        discard(making)
        raise
    clear_leftovers(runs)
    return place


def see_that_it_can_be_written(runs: Path) -> None:
    """Find out before long work, not after it, that nothing can be stored there.

    Raises
    ------
    StoreError
        Nothing can, as things stand.
    """
    try:
        try_out(runs)
    except OSError as error:
        raise StoreError(str(runs), f"cannot be written to: {error.strerror or error}", ELSEWHERE) from None


def slug(title: str) -> str:
    """A title as part of a folder's name: letters and digits of any script that it can hold, at most 40 of them."""
    letters = unicodedata.normalize("NFC", title.lower())
    named = "".join(x if unicodedata.category(x)[0] in "LNM" and _can_be_named(x) else "-" for x in letters)
    return re.sub("-+", "-", named).strip("-")[:40].rstrip("-") or "lift"


def _can_be_named(letter: str) -> bool:
    """Whether this machine's file names can hold a letter: with LANG=C some cannot."""
    try:
        return bool(os.fsencode(letter))
    except UnicodeEncodeError:
        return False


def _rename(making: Path, wanted: Path) -> Path:
    for n in range(1, 1000):
        place = wanted if n == 1 else wanted.with_name(f"{wanted.name}-{n}")
        try:
            if not place.exists():
                return making.rename(place)
        except (FileExistsError, NotADirectoryError):
            continue
        except OSError:
            if not place.exists():
                raise
    raise OSError(f"{wanted.name}: a thousand runs of this name are there already")


@dataclass(frozen=True)
class Stored:
    """One folder of `runs/`: what it holds, or why it cannot be read."""

    path: Path
    summary: dict[str, Any] | None
    trouble: str = ""


def stored(runs: Path = RUNS) -> Iterator[Stored]:
    """Every folder in `runs/`, the newest first; damaged and unknown ones with their trouble named.

    Raises
    ------
    StoreError
        There is such a folder, and it cannot be read.
    """
    try:
        found = sorted(p for p in runs.iterdir() if p.is_dir() and not p.name.startswith("."))
    except (FileNotFoundError, NotADirectoryError):
        return
    except OSError as error:
        why = f"cannot be read: {error.strerror or error}"
        raise StoreError(str(runs), why, "name another folder with --out") from None
    for path in reversed(found):
        yield look_at(path)


def look_at(path: Path) -> Stored:
    """One stored run, or what is wrong with it."""
    try:
        data = read_plain(path / SUMMARY)
        wrong = what_is_wrong(path, SUMMARY, data)
        if wrong:
            return Stored(path, None, wrong)
        summary = json.loads(data.decode(), parse_constant=_number, parse_float=_number)
    except FileNotFoundError:
        return Stored(path, None, f"no {SUMMARY}: not a run of ours, or damaged")
    except OSError as error:
        return Stored(path, None, f"{SUMMARY} cannot be read: {error.strerror or error}")
    except json.JSONDecodeError as error:
        return Stored(path, None, f"{SUMMARY} cannot be read: line {error.lineno} is cut off or damaged")
    except UnicodeDecodeError:
        return Stored(path, None, f"{SUMMARY} cannot be read: it is not UTF-8 text")
    except RecursionError:
        return Stored(path, None, f"{SUMMARY} cannot be read: it is nested too deep to be one of ours")
    except ValueError as error:
        return Stored(path, None, f"{SUMMARY} cannot be read: {error}")
    if not isinstance(summary, dict) or type(summary.get("format")) is not int:
        return Stored(path, None, f"{SUMMARY} is not one of ours")
    if summary["format"] > FORMAT:
        return Stored(path, None, f"made by a later version (format {summary['format']}, this one reads {FORMAT})")
    missing = [key for key in ("title", "outcome") if not isinstance(summary.get(key), str)]
    if missing:
        return Stored(path, None, f"{SUMMARY} lacks {', '.join(missing)}")
    return Stored(path, summary)


def _number(text: str) -> float:
    """A number of a summary; ours are all finite."""
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(f"{text[:20]} is no figure")
    return value


def find(name: str, runs: Path = RUNS) -> Stored:
    """The stored run of this name, or the newest whose name contains it; `last` is the newest of all.

    Raises
    ------
    StoreError
        There is none, or it cannot be read.
    """
    found = look_for(name, runs)
    if found.summary is None:
        raise damaged(found, found.trouble)
    return found


def look_for(name: str, runs: Path = RUNS) -> Stored:
    """The same, also if it is damaged.

    Raises
    ------
    StoreError
        There is none.
    """
    found = [look_at(Path(name))] if name and _is_folder(Path(name)) else []
    found = found or [s for s in stored(runs) if (name == "last" and s.summary) or name in s.path.name]
    if not found:
        raise StoreError(name, f'no run of that name in "{runs}"', "liftcadence runs: lists those that are there")
    return found[0]


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:  # a name that is too long for one
        return False


def damaged(run: Stored, trouble: str) -> StoreError:
    """What to say of a run that was stored, and cannot be used as it is: what is wrong, and what can still be done."""
    whole = as_stored(run.path)
    can = []
    if any(name.endswith(".html") for name in whole or os.listdir(run.path)):
        can.append(f"liftcadence runs open {run.path} opens its page")
    seed = (run.summary or {}).get("seed")
    if type(seed) is int and SCENARIO in whole and (run.summary or {}).get("kind") != "rehearsal":
        can.append(f"liftcadence run {run.path / SCENARIO} --seed {seed} simulates it again")
    hint = f"nothing was changed in it{'; still as stored: ' if whole else ''}{', '.join(whole)}"
    return StoreError(
        str(run.path), trouble, "; ".join([hint, *can]) + ("" if can else "; what it holds can be read by hand")
    )


def file_of(run: Stored, name: str) -> bytes:
    """A file of a stored run, which is seen to be what was stored.

    Raises
    ------
    StoreError
        It is missing, is no plain file, or is another than was stored.
    """
    try:
        data = read_plain(run.path / name)
    except FileNotFoundError:
        raise damaged(run, f"{name} is missing") from None
    except OSError as error:
        raise damaged(run, f"{name} cannot be read: {error.strerror or error}") from None
    wrong = what_is_wrong(run.path, name, data, run.summary)
    if wrong:
        raise damaged(run, wrong)
    return data


def record_of(run: Stored, scenario: Scenario) -> Record:
    """A stored lift as it went, read from its own events: for one that a person called, and no seed simulates again.

    Raises
    ------
    StoreError
        Its events, or what its summary says of them, cannot be read.
    """
    from sim.stored.events import events_of

    assert run.summary is not None
    data = file_of(run, EVENTS)
    try:
        outcome = Outcome(run.summary["outcome"])
        said = (run.summary[key] for key in ("reason", "seed", "replication", "fixed_values"))
        return Record(scenario, events_of(data, scenario, outcome), outcome, *said)
    except KeyError as error:
        raise damaged(run, f'{SUMMARY} lacks "{error.args[0]}", without which {EVENTS} cannot be read') from None
    except ValueError as error:
        raise damaged(run, f"{EVENTS} cannot be read: {error}") from None
