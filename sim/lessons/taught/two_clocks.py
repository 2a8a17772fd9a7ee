"""Stroke and capture as lanes on two clocks: who was doing what, from when to when, in the first calls of a lift."""

from __future__ import annotations

from typing import Any

import pandas as pd

from sim.record.columns import Columns
from sim.record.record import LEADER, Record
from sim.record.what import CALLS, What

SLOW, OTHER = "slow catcher", "other catchers"
ENDS = (What.RECOVERS, What.READY, What.CAUGHT, What.CAPTURES, What.NOTHING_TO_CAPTURE)


def lanes(record: Record, station: str) -> pd.DataFrame:
    """Who was doing what in the first calls: strokes on the one clock, turning and seating on the other."""
    columns = record.columns
    lifter = next(
        x
        for x in record.scenario.lifters
        if next(s.side for s in record.scenario.stations if s.name == station) in (x.side, "both")
    )
    others = [s.name for s in record.scenario.stations if s.name != station][:1]
    rows: list[dict[str, Any]] = []
    leader = columns.at(columns.who == LEADER)
    calls = leader.time_s[leader.says(*CALLS)].tolist()
    rows += [
        {"lane": "leader", "what": "call", "from_s": t, "to_s": t, "call": n} for n, t in enumerate(calls, start=1)
    ]
    held = None
    for time, what in zip(leader.time_s.tolist(), leader.what.tolist(), strict=True):
        if what == What.HOLDS:
            held = time
        elif held is not None:
            rows.append({"lane": "leader", "what": "hold", "from_s": held, "to_s": time, "call": 0})
            held = None
    rows += _stretches(columns.at(columns.who == lifter.name), "operator", {What.STROKES: "stroke"})
    for lane, name in ((SLOW, station), *((OTHER, n) for n in others)):
        own = columns.at((columns.station == name) & (columns.who != ""))
        rows += _stretches(own, lane, {What.TURNS: "turn", What.SEATS: "seat"})
    return pd.DataFrame(rows)


def first_calls(bars: pd.DataFrame) -> pd.DataFrame:
    """The same first stretch of both rules: until five calls have gone out without holds, or three with."""
    ends = []
    for (factor, pace), both in bars.groupby(["factor", "pace_s"]):
        until = []
        for rule, number in (("keep-pace", 6), ("stop-until-caught", 4)):
            calls = both.loc[(both["rule"] == rule) & (both["what"] == "call"), "from_s"].tolist()
            until.append(calls[min(number, len(calls)) - 1])
        ends.append({"factor": factor, "pace_s": pace, "until_s": max(until)})
    bars = bars.merge(pd.DataFrame(ends), on=["factor", "pace_s"])
    return bars[bars["from_s"] <= bars["until_s"]].reset_index(drop=True)


def _stretches(own: Columns, lane: str, doing: dict[What, str]) -> list[dict[str, Any]]:
    """From each row that begins one of these to the next that ends it."""
    rows: list[dict[str, Any]] = []
    begun: tuple[str, float] | None = None
    for time, what in zip(own.time_s.tolist(), own.what.tolist(), strict=True):
        if begun is not None and (what in doing or what in ENDS):
            rows.append({"lane": lane, "what": begun[0], "from_s": begun[1], "to_s": time, "call": 0})
            begun = None
        if what in doing:
            begun = doing[what], time
    return rows
