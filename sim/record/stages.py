"""The stages of a lift, each a record of its own: what is asked of a lift is asked of a stage by the same code."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim.record.columns import Columns
from sim.record.record import Record
from sim.record.what import STANDS, What

KEPT = (*STANDS, What.FREES)  # what still holds of a side when the next stage begins,
UNDONE = (What.STROKES, What.LET_DOWN)  # and what ends it


def stage_records(record: Record) -> list[Record]:
    """A record of each stage that was begun, in order; none where the scenario has no stages.

    Each begins with a row for every side and place, as they stood.
    """
    whole = record.columns
    begins = np.flatnonzero(whole.says(What.STAGE_BEGINS)).tolist()
    bounds = list(zip(begins, [*begins[1:], len(whole)], strict=True))
    first = [whole.at(slice(bounds[0][1]))] if bounds else []
    return [replace(record, columns=each) for each in (*first, *(_part(whole, a, b) for a, b in bounds[1:]))]


def _part(whole: Columns, begin: int, end: int) -> Columns:
    before, rows = whole.at(slice(begin)), whole.at(slice(begin, end))
    owned = [own for by_name in (before.by_side, before.by_station) for own in by_name.values()]
    stood = before.at([int(own[-1]) for own in owned])
    opening = replace(
        stood,
        time_s=np.full(len(owned), rows.time_s[0]),
        call=np.full(len(owned), rows.call[0]),
        what=np.array([_as_it_stood(before.what[own].tolist()) for own in owned], dtype=object),
        device=np.full(len(owned), "", dtype=object),
        captured_before_m=stood.captured_m,
    )
    return opening.then(rows)


def _as_it_stood(words: list[str]) -> str:
    """What the last row of a side or a place is to say: whether it stands on what holds it, or is coming down."""
    last = next((word for word in reversed(words) if word in (*KEPT, *UNDONE)), "")
    return last if last in KEPT else str(What.STARTS)


@dataclass(frozen=True, slots=True)
class StageSpan:
    """A stage that was begun: what it does, from when to when [s]."""

    number: int
    do: str
    start: float
    end: float


def stages_of(leader: Columns, end: float) -> list[StageSpan]:
    """The stages that were begun, from the rows of the leader."""
    begins = leader.at(leader.says(What.STAGE_BEGINS))
    starts = begins.time_s.tolist()
    notes = [note.split() for note in begins.note.tolist()]
    spans = zip(notes, starts, [*starts, end][1:], strict=True)
    return [StageSpan(int(number), do, start, until) for (number, do), start, until in spans]
