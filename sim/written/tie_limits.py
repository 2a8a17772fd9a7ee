"""Working load limits of ties that carry no figure of their own: looked up by size and grade, or by width."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from sim.model.units import FORCE, LENGTH, read

SLIP = 5e-5  # what a size may fall short of its row by, and still be of it [m]


@dataclass(frozen=True, slots=True)
class Limit:
    """A working load limit [N], and where the figure comes from."""

    force: float
    source: str


@cache
def table() -> Mapping[str, Any]:
    """49 CFR 393.108, as the data file has it."""
    with (files("sim.written") / "working_load_limits.toml").open("rb") as file:
        return tomllib.load(file)


def looked_up(kind: str, size: float | None, grade: int | None, width: float | None) -> Limit | None:
    """The working load limit of a chain or a webbing by its size.

    Parameters
    ----------
    kind : str
        "chain" or "webbing"; nothing else is in the table.
    size : float, optional
        Of a chain [m].
    grade : int, optional
        Of a chain; without one it counts as unmarked, grade 30 (393.108(d)).
    width : float, optional
        Of webbing [m].

    Returns
    -------
    Limit or None
        None where the table has no figure: the limit is not known. A size between two rows is the smaller one.
    """
    measure = {"chain": size, "webbing": width}.get(kind)
    if measure is None:
        return None
    rows = [row for row in table()[kind] if read(row["least"], LENGTH) <= measure + SLIP]
    if not rows:
        return None
    row, source = rows[-1], table()["source"]
    if kind == "webbing":
        return Limit(read(row["limit"], FORCE), f"{source}, webbing {row['said']}")
    counted = table()["unmarked_grade"] if grade is None else grade
    if str(counted) not in row["limit"]:
        return None
    said = f"grade {counted}" if grade is not None else f"unmarked, so grade {counted}"
    return Limit(read(row["limit"][str(counted)], FORCE), f"{source}, chain {row['said']}, {said}")


def weakest(own: Limit | None, tensioner: float | None, anchor: float | None) -> Limit | None:
    """The limit of a tie's weakest part (49 CFR 393.108(a)).

    Parameters
    ----------
    own : Limit or None
        Of the chain, webbing, rope or rod itself.
    tensioner, anchor : float, optional
        Of those parts, where they are given [N].

    Returns
    -------
    Limit or None
        None where nothing is known of the tie itself, whatever its other parts bear.
    """
    if own is None:
        return None
    parts = {"its tensioner": tensioner, "its anchor": anchor}
    others = [Limit(force, f"given in the scenario: {part}") for part, force in parts.items() if force is not None]
    return min([own, *others], key=lambda part: part.force)
