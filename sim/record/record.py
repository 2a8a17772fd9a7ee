"""A lift as it went: the book that the story writes in, and the record that it becomes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from operator import itemgetter
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.model.scenario import Scenario
from sim.record.columns import COLUMNS, Columns, as_table
from sim.record.what import Outcome, What

if TYPE_CHECKING:
    import pandas as pd

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

    def columns(self) -> Columns:
        """The record, in the order of time; at one instant in the order written."""
        rows = sorted(self.rows, key=itemgetter(0))
        columns = {name: _blank(kind, len(rows)) for name, kind in COLUMNS.items()}
        for sort in (LeaderRow, SideRow, PlaceRow):
            at = np.array([n for n, row in enumerate(rows) if type(row) is sort], dtype=np.intp)
            own = zip(*[row for row in rows if type(row) is sort], strict=True)
            for name, values in zip(sort._fields, own, strict=len(at) > 0):
                columns[name][at] = [*map(str, values)] if name == "what" else values
        columns["gap_m"] = np.maximum(0.0, columns["demand_m"] - columns["captured_m"])  # held above it: no gap
        return Columns(**columns)


def _blank(kind: str, n: int) -> NDArray[Any]:
    """One column of n rows that say nothing."""
    match kind:
        case "float64":
            return np.full(n, np.nan)
        case "str":  # an array of numpy's makes each as wide as the longest, and a note may be long
            return np.full(n, "", dtype=object)
    return np.zeros(n, dtype=bool if kind == "boolean" else kind)


@dataclass(frozen=True)
class Record:
    """One lift as it went: everything the measures, the page and the pictures are made from."""

    scenario: Scenario
    columns: Columns
    outcome: Outcome
    reason: str  # in plain words
    seed: int
    replication: int
    fixed: bool = False  # simulated at mean values, without chance
    observed: str = ""  # the log that its times come from; "": a simulated lift

    @cached_property
    def events(self) -> pd.DataFrame:
        """The same rows as a DataFrame, made when it is first asked for."""
        return as_table(self.columns)
