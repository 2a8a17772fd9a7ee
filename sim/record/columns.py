"""The event record as plain arrays, one a column; as a file, and as a DataFrame for whoever asks.

Three sorts of rows stand in one table, told apart by `what` and by which numbers they have: what the leader does;
where a side stands (`side`: the lifter's name, u, ram travel, rise of its head); what a place holds (`station`, demand,
captured before and after, gap, flags). Between two rows of one side u runs evenly; between two rows of one place demand
and captured do, from what was after the first to what was before the second. So the record is exact,
however far apart the rows.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sim.model.visible import guarded, unguarded

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = {
    "time_s": "float64",
    "call": "int64",  # calls made so far
    "who": "str",  # the leader, a lifter (its operator) or a catcher
    "what": "str",  # a word of `what.What`
    "station": "str",  # a station, or a lifter for its own capture
    "device": "str",
    "demand_m": "float64",
    "captured_before_m": "float64",
    "captured_m": "float64",
    "gap_m": "float64",
    "open": "boolean",
    "hands": "boolean",
    "caught": "boolean",
    "side": "str",  # the lifter's name
    "u": "float64",  # hinge angle [rad] or rise [m]
    "ram_travel_m": "float64",
    "rise_m": "float64",
    "note": "str",
}
TEXTS = [name for name, kind in COLUMNS.items() if kind == "str"]
FLAGS = [name for name, kind in COLUMNS.items() if kind == "boolean"]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Whole = NDArray[np.int64]
Names = NDArray[np.object_]  # of str
Some = Flags | NDArray[np.intp] | list[int] | slice


@dataclass(frozen=True)
class Columns:
    """The rows of a record, in the order of time: arrays of shape (rows,), named as `COLUMNS`.

    What a row does not say is nan, "" or False there.
    """

    time_s: Array
    call: Whole
    who: Names
    what: Names
    station: Names
    device: Names
    demand_m: Array
    captured_before_m: Array
    captured_m: Array
    gap_m: Array
    open: Flags
    hands: Flags
    caught: Flags
    side: Names
    u: Array
    ram_travel_m: Array
    rise_m: Array
    note: Names

    def __len__(self) -> int:
        return len(self.time_s)

    @cached_property
    def by_side(self) -> dict[str, NDArray[np.intp]]:
        """The numbers of each side's rows, by its lifter's name."""
        return rows_of(self.side)

    @cached_property
    def by_station(self) -> dict[str, NDArray[np.intp]]:
        """The numbers of each place's rows, by its name."""
        return rows_of(self.station)

    def at(self, rows: Some) -> Columns:
        """Some of the rows: those of a flag of shape (rows,), or of these numbers."""
        return Columns(*(getattr(self, name)[rows] for name in COLUMNS))

    def says(self, *whats: str) -> Flags:
        """Which rows say one of these: shape (rows,)."""
        return np.array([what in whats for what in self.what.tolist()], dtype=bool)

    def then(self, later: Columns) -> Columns:
        """These rows, and others after them."""
        return Columns(*(np.concatenate([getattr(self, name), getattr(later, name)]) for name in COLUMNS))


def rows_of(names: Names) -> dict[str, NDArray[np.intp]]:
    """The numbers of the rows, each of shape (k,), of everyone whom a column names; who comes first stands first."""
    found: dict[str, list[int]] = {}
    for row, name in enumerate(names.tolist()):
        if name:
            found.setdefault(name, []).append(row)
    return {name: np.array(rows, dtype=np.intp) for name, rows in found.items()}


def as_csv(columns: Columns) -> str:
    """The record as a file, its texts such that no spreadsheet runs one (`visible.guarded`)."""
    cells = {name: getattr(columns, name).tolist() for name in COLUMNS}
    for name, kind in COLUMNS.items():
        if kind == "str":
            cells[name] = _turned(cells[name], guarded)
        elif kind == "float64":
            cells[name] = ["" if value != value else value for value in cells[name]]  # nan differs from itself
        elif kind == "boolean":
            cells[name] = [value if place else "" for value, place in zip(cells[name], cells["station"], strict=True)]
    made = io.StringIO()
    rows = csv.writer(made, lineterminator="\n")
    rows.writerow(COLUMNS)
    rows.writerows(zip(*cells.values(), strict=True))
    return made.getvalue()


def _turned(texts: list[str], turn: Callable[[str], str]) -> list[str]:
    """Texts, each turned; there are few of them, over and over."""
    other = {text: turn(text) for text in set(texts)}
    return [other[text] for text in texts]


def as_table(columns: Columns) -> pd.DataFrame:
    """The record as a DataFrame: columns as in `COLUMNS`, flags only known where a place stands."""
    import pandas as pd

    table: dict[str, Any] = {name: getattr(columns, name) for name in COLUMNS}
    no_place = columns.station == ""
    table |= {name: pd.arrays.BooleanArray(table[name], no_place) for name in FLAGS}
    return pd.DataFrame(table | {name: pd.Series(table[name], dtype="str") for name in TEXTS})


def of_table(table: pd.DataFrame) -> Columns:
    """The record of a DataFrame that has its columns."""
    kinds: dict[str, Any] = {"str": {"dtype": object}, "boolean": {"dtype": bool, "na_value": False}}
    arrays: dict[str, Any] = {
        name: table[name].to_numpy(**kinds.get(kind, {"dtype": kind})) for name, kind in COLUMNS.items()
    }
    return Columns(**arrays)


def unguarded_table(table: pd.DataFrame) -> pd.DataFrame:
    """A DataFrame that was read from a record's file, its texts as they were before `as_csv`."""
    return table.assign(**{name: _turned(table[name].tolist(), unguarded) for name in TEXTS})
