"""The stages of a lift, each a record of its own: what is asked of a lift is asked of a stage by the same code."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from sim.record.record import LEADER, Record
from sim.record.what import STANDS, What

KEPT = (*STANDS, What.FREES)  # what still holds of a side when the next stage begins,
UNDONE = (What.STROKES, What.LET_DOWN)  # and what ends it


def stage_records(record: Record) -> list[Record]:
    """A record of each stage that was begun, in order; none where the scenario has no stages.

    Each begins with a row for every side and place, as they stood.
    """
    events = record.events
    begins = np.flatnonzero((events["who"] == LEADER) & (events["what"] == What.STAGE_BEGINS)).tolist()
    bounds = list(zip(begins, [*begins[1:], len(events)], strict=True))
    first = [events.iloc[: bounds[0][1]]] if bounds else []
    return [replace(record, events=each) for each in (*first, *(_part(events, a, b) for a, b in bounds[1:]))]


def _part(events: pd.DataFrame, begin: int, end: int) -> pd.DataFrame:
    before, rows = events.iloc[:begin], events.iloc[begin:end]
    stood = [
        _as_it_stood(own)
        for column in ("side", "station")
        for _, own in before[before[column] != ""].groupby(column, sort=False)
    ]
    now = rows.iloc[0]
    opening = pd.concat(stood).assign(time_s=now["time_s"], call=now["call"], device="")
    opening["captured_before_m"] = opening["captured_m"]
    return pd.concat([opening, rows], ignore_index=True)


def _as_it_stood(own: pd.DataFrame) -> pd.DataFrame:
    """The last row of a side or a place; its word says whether a side stands on what holds it, or is coming down."""
    words = own["what"][own["what"].isin([*KEPT, *UNDONE])]
    kept = str(words.iloc[-1]) if len(words) and words.iloc[-1] in KEPT else str(What.STARTS)
    return own.iloc[[-1]].assign(what=kept)


@dataclass(frozen=True, slots=True)
class StageSpan:
    """A stage that was begun: what it does, from when to when [s]."""

    number: int
    do: str
    start: float
    end: float


def stages_of(leader: pd.DataFrame, end: float) -> list[StageSpan]:
    """The stages that were begun, from the rows of the leader."""
    begins = leader[leader["what"] == What.STAGE_BEGINS]
    starts = begins["time_s"].tolist()
    notes = [note.split() for note in begins["note"].tolist()]
    spans = zip(notes, starts, [*starts, end][1:], strict=True)
    return [StageSpan(int(number), do, start, until) for (number, do), start, until in spans]
