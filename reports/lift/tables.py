"""What the charts show, as rows: for the tables under them, and for the CSV files beside the pictures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.record.measured import Measured
from sim.record.record import Record
from sim.record.series import PlaceSeries
from sim.record.what import CALLS


@dataclass(frozen=True, slots=True)
class CallRow:
    """One call, up to the next one."""

    call: int  # 0: before the first call
    start: float  # [s]
    called: str
    hold: float | None  # how long the leader held after it [s]
    waited_for: str
    gaps: dict[str, float]  # the largest of each station [m]
    open: dict[str, float]  # how long each station was open [s]

    @property
    def largest(self) -> tuple[float, str]:
        """The largest gap of all stations, and where."""
        where = max(self.gaps, key=lambda name: self.gaps[name], default="")
        return (self.gaps.get(where, 0.0), where)


def call_rows(record: Record) -> list[CallRow]:
    """The lift, call by call."""
    lift = Measured(record)
    whom = lift.leader.note[lift.leader.says(*CALLS)].tolist()
    calls = [(0, 0.0, "")] if lift.first_call > 0 else []
    calls += [(n, t, who) for n, (t, who) in enumerate(zip(lift.call_times.tolist(), whom, strict=True), 1)]
    ends = [start for _, start, _ in calls[1:]] + [lift.end]
    holds = lift.holds()
    rows = []
    for (call, start, called), end in zip(calls, ends, strict=True):
        hold = next(((seconds, station) for at, seconds, station in holds if start <= at < end), (None, ""))
        gaps = {name: _largest(place, start, end) for name, place in lift.places.items()}
        opens = {name: _open(place, start, end) for name, place in lift.places.items()}
        rows.append(CallRow(call, start, called, hold[0], hold[1], gaps, opens))
    return rows


def _largest(place: PlaceSeries, start: float, end: float) -> float:
    """The largest gap between two times [m]."""
    gap, ends = place.gap(), np.array([start, end])
    inside = (place.time > start) & (place.time < end)
    values = np.concatenate(
        [gap.before[inside], gap.after[inside], gap.just_after(ends[:1]), gap.just_before(ends[1:])]
    )
    return max(0.0, float(values.max()))


def _open(place: PlaceSeries, start: float, end: float) -> float:
    """How long a station was open between two times [s]."""
    begins, ends = np.clip(place.time[:-1], start, end), np.clip(place.time[1:], start, end)
    return float(np.sum((ends - begins)[place.open[:-1]]))
