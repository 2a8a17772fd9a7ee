"""What each file of a stored run was when it was stored: its SHA-256, in a file that `sha256sum -c` reads too."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sim.stored.plain import read_plain

SUMS = "sha256.txt"
SMALL = 1_000_000  # bytes of that file
SCENARIO, EVENTS = "scenario.toml", "events.csv"
_LINE = re.compile(r"([0-9a-f]{64})  (\S.*)")


def sums_of(files: Mapping[str, bytes]) -> bytes:
    """The text of that file for these, a line each."""
    return "".join(f"{_sum(data)}  {name}\n" for name, data in sorted(files.items())).encode()


def stored_sums(folder: Path) -> dict[str, str] | None:
    """By name of the file; None for a run of a version before, which had none.

    Raises
    ------
    OSError
        There is such a file, and it cannot be read.
    """
    try:
        text = read_plain(folder / SUMS, SMALL).decode(errors="replace")
    except FileNotFoundError:
        return None
    found = (_LINE.fullmatch(line) for line in text.splitlines())
    return {match[2]: match[1] for match in found if match}


def what_is_wrong(folder: Path, name: str, data: bytes, summary: Mapping[str, Any] | None = None) -> str:
    """Why a file is not the one that was stored with its run; "" if it is, or if nobody can tell.

    Parameters
    ----------
    folder : Path
        The run's.
    name : str
        Of the file.
    data : bytes
        What it holds now.
    summary : mapping, optional
        The run's: it knows its scenario too.

    Returns
    -------
    str
        In plain words.
    """
    other = (
        f"{name} is not what was stored with this run: it was exchanged, cut off or damaged (its SHA-256 is not that in"
    )
    try:
        sums = stored_sums(folder)
    except OSError as error:
        return f"{SUMS}, which says whether {name} is as it was stored, cannot be read: {error.strerror or error}"
    if sums is not None and name not in sums:
        return f"{SUMS} has no line for {name}: one of them was changed after the run was stored"
    if sums is not None and sums[name] != _sum(data):
        return f"{other} {SUMS})"
    made = (summary or {}).get("provenance")
    known = made.get("scenario_sha256") if isinstance(made, Mapping) and name == SCENARIO else None
    return f"{other} summary.json)" if isinstance(known, str) and known != _sum(data) else ""


def wrong_files(folder: Path, summary: Mapping[str, Any]) -> list[str]:
    """What is wrong with the scenario and the events of a run, a sentence each."""
    found = []
    try:
        sums = stored_sums(folder)
    except OSError as error:
        return [f"{SUMS} cannot be read: {error.strerror or error}"]
    for name in (SCENARIO, EVENTS):
        try:
            found.append(what_is_wrong(folder, name, read_plain(folder / name), summary))
        except FileNotFoundError:
            found.append(f"{name} is missing" if name in (sums or {}) else "")
        except OSError as error:
            found.append(f"{name} cannot be read: {error.strerror or error}")
    return [each for each in found if each]


def as_stored(folder: Path) -> list[str]:
    """The files of a run that are as they were stored; none where nobody can tell."""
    try:
        sums = stored_sums(folder) or {}
    except OSError:
        return []
    found = []
    for name in sorted(sums):
        try:
            if _sum(read_plain(folder / name)) == sums[name]:
                found.append(name)
        except (OSError, ValueError):
            continue
    return found


def _sum(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
