"""Where something stands in a scenario file, as people are told it.

`load.cg[1]`, `device.threaded.rise_per_turn`, `lifter "left lifter" > head[2]`, and `station #2 > capture` where the
second station has no name.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from sim.model.units import quoted

LISTED = ("lifter", "station", "stage", "variant", "mishap")  # [[...]] in the file
PEOPLE = ("lifter", "station")  # of those, the ones whose names must differ
MOST = {"lifter": 10, "station": 500, "stage": 50, "variant": 20, "mishap": 100, "operator": 100, "pump": 100,
        "catcher": 500, "device": 200, "assumed": 40}  # tables of each kind in a file  # fmt: skip
MOST_CALLS = 100_000  # of one lift
DEEPEST = 12  # tables and lists in each other; no value of a scenario lies deeper

Raw = dict[str, Any]  # the file as TOML has it, whatever a person put there


def too_many(raw: Raw) -> bool:
    """Whether there are more tables of a kind than are looked at: that alone is said then."""
    counts = [(raw.get(key), most) for key, most in MOST.items()]
    counts += [(row.get("replace"), MOST["device"]) for _, row in rows(raw, "variant")]
    return any(isinstance(found, dict | list) and len(found) > most for found, most in counts)


def table(raw: Raw, key: str) -> Raw:
    """The table of that name, or an empty one."""
    found = raw.get(key)
    return found if isinstance(found, dict) else {}


def rows(raw: Raw, key: str) -> list[tuple[str, Raw]]:
    """The [[...]] tables of that name, each with its place."""
    found = raw.get(key)
    listed = found if isinstance(found, list) else []
    return [(row_place(key, at, row), row) for at, row in enumerate(listed) if isinstance(row, dict)]


def text(row: Raw, key: str) -> str | None:
    """The text under a key, if it is one."""
    found = row.get(key)
    return found if isinstance(found, str) else None


def texts(row: Raw, key: str) -> list[str]:
    """The texts in the list under a key, none if it is no list of texts."""
    found = row.get(key)
    return list(found) if isinstance(found, list) and all(isinstance(each, str) for each in found) else []


def said(got: object) -> str:
    """A value of the file in a few words."""
    if isinstance(got, str):
        return quoted(got)
    if isinstance(got, bool):
        return "true" if got else "false"
    if isinstance(got, dict):
        return "a table"
    if isinstance(got, list):
        return "a list"
    if isinstance(got, int) and abs(got) >= 10**20:
        return "a number of more than 20 digits"
    return str(got)[:60]


def row_place(key: str, at: int, row: object) -> str:
    """`lifter "left lifter"`, or `lifter #2` if it has no name."""
    name = row.get("name") if isinstance(row, dict) else None
    return f"{key} {quoted(name)}" if isinstance(name, str) and name.strip() else f"{key} #{at + 1}"


def dotted(parts: Sequence[str | int]) -> str:
    """`device.threaded.turns`, `head[2]`; a name that TOML would quote is quoted."""
    path = ""
    for part in parts:
        if isinstance(part, int):
            path += f"[{part}]"
        else:
            plain = part if re.fullmatch(r"[A-Za-z0-9_-]{1,60}", part) else quoted(part)
            path += f".{plain}" if path else plain
    return path


def place_of(path: Sequence[str | int], raw: Raw) -> str:
    """The place of a path into the file; what lies below a plain value of the file is left out."""
    written: list[str | int] = []
    here: object = raw
    for part in path:
        if not isinstance(here, dict | list):
            break
        written.append(part)
        here = _below(here, part)
    if len(written) > 1 and written[0] in LISTED and isinstance(written[1], int):
        row = _below(_below(raw, written[0]), written[1])
        start = row_place(str(written[0]), written[1], row)
        return f"{start} > {dotted(written[2:])}" if written[2:] else start
    return dotted(written) or "the file"


def _below(here: object, part: str | int) -> object:
    if isinstance(here, dict):
        return here.get(part)
    if isinstance(here, list) and isinstance(part, int) and part < len(here):
        return here[part]
    return None


def listed(written: Any) -> list[Any]:
    """What a key has that takes one or several; nothing where it is not written."""
    if written is None:
        return []
    return list(written) if isinstance(written, list) else [written]
