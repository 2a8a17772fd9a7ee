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
from typing import Any

import numpy as np
import pandas as pd

from sim.model.scenario import Scenario
from sim.model.visible import guarded, unguarded

COLUMNS = {
    "time_s": "float64",
    "call": "int64",  # calls made so far
    "who": "str",  # the leader, a lifter (its operator) or a catcher
    "what": "str",
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
_NAN = float("nan")


class Book:
    """Where the story writes down what happens, in any order of times."""

    def __init__(self) -> None:
        self.rows: list[tuple[Any, ...]] = []

    def leader(self, time: float, call: int, what: str, note: str = "") -> None:
        """What the leader does."""
        self.rows.append(
            (time, call, LEADER, what, "", "", _NAN, _NAN, _NAN, _NAN, None, None, None, "", _NAN, _NAN, _NAN, note)
        )

    def lifter(
        self, time: float, call: int, who: str, what: str, side: str, u: float, travel: float, rise: float
    ) -> None:
        """Where a side stands."""
        self.rows.append(
            (time, call, who, what, "", "", _NAN, _NAN, _NAN, _NAN, None, None, None, side, u, travel, rise, "")
        )

    def place(
        self,
        time: float,
        call: int,
        who: str,
        what: str,
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
        gap = demand - captured
        self.rows.append(
            (
                time, call, who, what, station, device, demand, before, captured, gap, open_, hands, caught,
                "", _NAN, _NAN, _NAN, "",
            )
        )  # fmt: skip

    def table(self) -> pd.DataFrame:
        """The record, in the order of time; at one instant in the order written."""
        rows = sorted(self.rows, key=lambda row: row[0])
        kinds: dict[str, Any] = COLUMNS
        columns = zip(kinds.items(), zip(*rows, strict=True), strict=True)
        return pd.DataFrame({name: _column(values, kind) for (name, kind), values in columns})


def _column(values: tuple[Any, ...], kind: Any) -> Any:
    """One column; texts as they are: an array of numpy's makes each as wide as the longest, and a note may be long."""
    if kind == "str":
        return pd.Series(np.array(values, dtype=object), dtype=kind)
    return pd.array(values, dtype=kind)


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
    outcome: str  # "raised", "stopped", "not-reached" or "dropped"
    reason: str  # in plain words
    seed: int
    replication: int
    fixed: bool = False  # simulated at mean values, without chance
    observed: str = ""  # the log that its times come from; "": a simulated lift
