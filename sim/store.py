"""Runs on disk: a folder each, there whole or not at all.

A run is written beside its place, under a name that no listing shows, and then renamed. Whatever interrupts the writing
leaves at most such a folder behind, which the next run clears away once it is an hour old.
"""

from __future__ import annotations

import hashlib
import json
import os
import platform
import re
import shutil
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib import metadata
from pathlib import Path
from typing import Any

from sim.errors import StoreError
from sim.measures import FORMAT
from sim.record import COLUMNS, Record
from sim.scenario import Scenario

RUNS = Path("runs")
UNFINISHED = ".making-"
LIBRARIES = ("simpy", "numpy", "pandas", "pydantic", "plotly")


def provenance(scenario: Scenario) -> dict[str, Any]:
    """What a result was made with: versions, the scenario's fingerprint, when."""
    return {
        "liftcadence": _version("liftcadence"),
        "python": platform.python_version(),
        **{name: _version(name) for name in LIBRARIES},
        "scenario_sha256": hashlib.sha256(scenario.text.encode()).hexdigest(),
        "made_at": datetime.now(UTC).isoformat(timespec="seconds"),
    }


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
    making = runs / f"{UNFINISHED}{os.getpid()}-{time.time_ns()}"
    try:
        making.mkdir(parents=True)
        _clear_leftovers(runs)
        for name, content in files.items():
            data = content.encode() if isinstance(content, str) else content
            (making / name).write_bytes(data)
        return _rename(making, runs / f"{datetime.now():%Y-%m-%d-%H%M%S}-{slug(title)}")
    except OSError as error:
        shutil.rmtree(making, ignore_errors=True)
        raise StoreError(str(runs), error.strerror or str(error)) from None


def slug(title: str) -> str:
    """A title as part of a folder's name: letters and digits of any script, at most 40 of them."""
    return re.sub(r"[\W_]+", "-", title.lower()).strip("-")[:40].rstrip("-") or "lift"


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


def _clear_leftovers(runs: Path) -> None:
    for left in runs.glob(f"{UNFINISHED}*"):
        if time.time() - left.stat().st_mtime > 3600:
            shutil.rmtree(left, ignore_errors=True)


@dataclass(frozen=True)
class Stored:
    """One folder of `runs/`: what it holds, or why it cannot be read."""

    path: Path
    summary: dict[str, Any] | None
    trouble: str = ""


def stored(runs: Path = RUNS) -> Iterator[Stored]:
    """Every folder in `runs/`, the newest first; damaged and unknown ones with their trouble named."""
    if not runs.is_dir():
        return
    for path in sorted((p for p in runs.iterdir() if p.is_dir()), reverse=True):
        if not path.name.startswith("."):
            yield look_at(path)


def look_at(path: Path) -> Stored:
    """One stored run, or what is wrong with it."""
    try:
        summary = json.loads((path / "summary.json").read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Stored(path, None, "no summary.json: not a run of ours, or damaged")
    except (OSError, ValueError) as error:
        return Stored(path, None, f"summary.json cannot be read: {error}")
    if not isinstance(summary, dict) or not isinstance(summary.get("format"), int):
        return Stored(path, None, "summary.json is not one of ours")
    if summary["format"] > FORMAT:
        return Stored(path, None, f"made by a later version (format {summary['format']}, this one reads {FORMAT})")
    missing = [key for key in ("title", "outcome") if key not in summary]
    if missing:
        return Stored(path, None, f"summary.json lacks {', '.join(missing)}")
    return Stored(path, summary)


def find(name: str, runs: Path = RUNS) -> Stored:
    """The stored run of this name, or the newest whose name contains it; `last` is the newest of all.

    Raises
    ------
    StoreError
        There is none, or it cannot be read.
    """
    found = [look_at(Path(name))] if name and Path(name).is_dir() else []
    found = found or [s for s in stored(runs) if (name == "last" and s.summary) or name in s.path.name]
    if not found:
        raise StoreError(name, f'no run of that name in "{runs}"')
    if found[0].summary is None:
        raise StoreError(found[0].path.name, found[0].trouble)
    return found[0]


def record_of(run: Stored, scenario: Scenario) -> Record:
    """A stored lift as it went, read from its own events: for one that a person called, and no seed tells again.

    Raises
    ------
    StoreError
        Its events cannot be read.
    """
    import pandas as pd

    assert run.summary is not None
    kinds: dict[str, Any] = COLUMNS
    empty = {name: [""] for name, kind in COLUMNS.items() if kind != "str"}
    try:
        events = pd.read_csv(
            run.path / "events.csv", dtype=kinds, keep_default_na=False, na_values=empty, float_precision="round_trip"
        )
    except (OSError, ValueError) as error:
        raise StoreError(run.path.name, f"events.csv cannot be read: {error}") from None
    summary = run.summary
    said = (summary[key] for key in ("outcome", "reason", "seed", "replication", "fixed_values"))
    return Record(scenario, events[list(COLUMNS)], *said)
