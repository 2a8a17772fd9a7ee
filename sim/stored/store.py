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
from sim.record.record import COLUMNS, Record, from_csv
from sim.record.what import Outcome
from sim.stored.whole import being_made, clear_leftovers, discard, try_out

RUNS = Path("runs")
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
        What it holds, by file name.
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
        for name, content in files.items():
            data = content.encode() if isinstance(content, str) else content
            (making / name).write_bytes(data)
        place = _rename(making, runs / f"{datetime.now():%Y-%m-%d-%H%M%S}-{slug(title)}")
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
        text = (path / "summary.json").read_text(encoding="utf-8")
        summary = json.loads(text, parse_constant=_number, parse_float=_number)
    except FileNotFoundError:
        return Stored(path, None, "no summary.json: not a run of ours, or damaged")
    except (OSError, ValueError, RecursionError) as error:
        return Stored(path, None, f"summary.json cannot be read: {error}")
    if not isinstance(summary, dict) or type(summary.get("format")) is not int:
        return Stored(path, None, "summary.json is not one of ours")
    if summary["format"] > FORMAT:
        return Stored(path, None, f"made by a later version (format {summary['format']}, this one reads {FORMAT})")
    missing = [key for key in ("title", "outcome") if not isinstance(summary.get(key), str)]
    if missing:
        return Stored(path, None, f"summary.json lacks {', '.join(missing)}")
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
    found = [look_at(Path(name))] if name and _is_folder(Path(name)) else []
    found = found or [s for s in stored(runs) if (name == "last" and s.summary) or name in s.path.name]
    if not found:
        raise StoreError(name, f'no run of that name in "{runs}"', "liftcadence runs: lists those that are there")
    if found[0].summary is None:
        raise damaged(found[0], found[0].trouble)
    return found[0]


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:  # a name that is too long for one
        return False


def damaged(run: Stored, trouble: str) -> StoreError:
    """What to say of a run that was stored, and cannot be used as it is."""
    hint = "nothing was changed in it; whatever it still holds can be opened by hand"
    return StoreError(str(run.path), trouble, hint)


def record_of(run: Stored, scenario: Scenario) -> Record:
    """A stored lift as it went, read from its own events: for one that a person called, and no seed simulates again.

    Raises
    ------
    StoreError
        Its events, or what its summary says of them, cannot be read.
    """
    import pandas as pd

    assert run.summary is not None
    kinds: dict[str, Any] = COLUMNS
    empty = {name: [""] for name, kind in COLUMNS.items() if kind != "str"}
    try:
        events = pd.read_csv(
            run.path / "events.csv", dtype=kinds, keep_default_na=False, na_values=empty, float_precision="round_trip"
        )
        outcome = Outcome(run.summary["outcome"])
        said = (run.summary[key] for key in ("reason", "seed", "replication", "fixed_values"))
        return Record(scenario, from_csv(events[list(COLUMNS)]), outcome, *said)
    except (OSError, ValueError, KeyError) as error:
        raise damaged(run, f"events.csv cannot be read: {error}") from None
