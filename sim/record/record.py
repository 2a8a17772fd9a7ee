"""The event record of a lift: one row an event, the numbers as they are after it.

Three sorts of rows stand in one table, told apart by `what` and by which numbers they have: what the leader does;
where a side stands (`side`: the lifter's name, u, ram travel, rise of its head); what a place holds (`station`, demand,
captured before and after, gap, flags). Between two rows of one side u runs evenly; between two rows of one place demand
and captured do, from what was after the first to what was before the second. So the table is exact,
however far apart the rows.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from operator import attrgetter
from typing import Any, NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sim.model.scenario import Scenario
from sim.model.visible import guarded, unguarded
from sim.record.what import Outcome, What

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
LEADER = "leader"


class LeaderRow(NamedTuple):
    """What the leader does. Fields are named as the columns that they fill."""

    time_s: float
    call: int
    who: str
    what: str
    note: str


class SideRow(NamedTuple):
    """Where a side stands."""

    time_s: float
    call: int
    who: str
    what: str
    side: str
    u: float
    ram_travel_m: float
    rise_m: float


class PlaceRow(NamedTuple):
    """What a place holds, and held just before."""

    time_s: float
    call: int
    who: str
    what: str
    station: str
    device: str
    demand_m: float
    captured_before_m: float
    captured_m: float
    open: bool
    hands: bool
    caught: bool


Row = LeaderRow | SideRow | PlaceRow
_row = tuple.__new__  # `_row(SideRow, (...))` is `SideRow(...)` in half the time, and the story writes a row an event


class Book:
    """Where the story writes down what happens, in any order of times."""

    def __init__(self) -> None:
        self.rows: list[Row] = []

    def leader(self, time: float, call: int, what: What, note: str = "") -> None:
        """What the leader does."""
        self.rows.append(_row(LeaderRow, (time, call, LEADER, what, note)))

    def lifter(
        self, time: float, call: int, who: str, what: What, side: str, u: float, travel: float, rise: float
    ) -> None:
        """Where a side stands."""
        self.rows.append(_row(SideRow, (time, call, who, what, side, u, travel, rise)))

    def place(
        self,
        time: float,
        call: int,
        who: str,
        what: str,  # a `What`, or the word of a device that is not ours
        station: str,
        device: str,
        demand: float,
        before: float,
        captured: float,
        open_: bool,
        hands: bool,
        caught: bool,
    ) -> None:
        """What a place holds, and held just before."""
        self.rows.append(
            _row(
                PlaceRow,
                (time, call, who, what, station, device, demand, before, captured, open_, hands, caught),
            )
        )

    def table(self) -> pd.DataFrame:
        """The record, in the order of time; at one instant in the order written."""
        rows = sorted(self.rows, key=attrgetter("time_s"))
        columns = {name: _blank(kind, len(rows)) for name, kind in COLUMNS.items()}
        for sort in (LeaderRow, SideRow, PlaceRow):
            at = [n for n, row in enumerate(rows) if type(row) is sort]
            for name, values in zip(sort._fields, zip(*(rows[n] for n in at), strict=True), strict=bool(at)):
                plain = [*map(str, values)] if name == "what" else values
                columns[name][at] = np.array(plain, dtype=columns[name].dtype)
        columns["gap_m"] = np.maximum(0.0, columns["demand_m"] - columns["captured_m"])  # held above it: no gap
        no_place = columns["station"] == ""
        return pd.DataFrame({name: _column(columns[name], kind, no_place) for name, kind in COLUMNS.items()})


def _blank(kind: str, n: int) -> NDArray[Any]:
    """One column of n rows that say nothing."""
    match kind:
        case "float64":
            return np.full(n, np.nan)
        case "str":  # an array of numpy's makes each as wide as the longest, and a note may be long
            return np.full(n, "", dtype=object)
    return np.zeros(n, dtype=bool if kind == "boolean" else kind)


def _column(values: NDArray[Any], kind: Any, unknown: NDArray[np.bool_]) -> Any:
    """One column as the table has it; flags are only known where a place stands."""
    if kind == "str":
        return pd.Series(values, dtype=kind)
    return pd.arrays.BooleanArray(values, unknown.copy()) if kind == "boolean" else values


TEXTS = [name for name, kind in COLUMNS.items() if kind == "str"]


def as_csv(events: pd.DataFrame) -> str:
    """The record as a file, its texts such that no spreadsheet runs one (`visible.guarded`)."""
    return _texts(events, guarded).to_csv(index=False, lineterminator="\n")


def from_csv(events: pd.DataFrame) -> pd.DataFrame:
    """The record as it was before `as_csv`, from a table that was read of its file."""
    return _texts(events, unguarded)


def _texts(events: pd.DataFrame, turned: Callable[[str], str]) -> pd.DataFrame:
    """The same with its texts turned; there are few of them, over and over."""
    other = {word: turned(word) for name in TEXTS for word in events[name].unique()}
    if all(word == now for word, now in other.items()):
        return events
    return events.assign(**{name: events[name].map(other).astype(events[name].dtype) for name in TEXTS})


@dataclass(frozen=True, slots=True)
class Record:
    """One lift as it went: everything the measures, the page and the pictures are made from."""

    scenario: Scenario
    events: pd.DataFrame  # columns as in COLUMNS
    outcome: Outcome
    reason: str  # in plain words
    seed: int
    replication: int
    fixed: bool = False  # simulated at mean values, without chance
    observed: str = ""  # the log that its times come from; "": a simulated lift
