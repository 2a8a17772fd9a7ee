"""The way down of a drill, as it was heard: nothing of it is computed but what times lie apart.

A lowering call begins with "call down"; then "room" is said, hands go in and come out, "down" is said, and the load has
landed. What the model makes of the same words stands beside it, at its people's mean times.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import Any

import numpy as np

from sim.drill.log.lines import Entry, Log
from sim.drill.log.names import NamesInLog
from sim.model.scenario import Scenario
from sim.record.what import What
from sim.story.lift import simulate_fixed

CALL, ROOM, IN, OUT, DOWN, LANDED = "call down", "room", "hands in", "hands out", "down", "landed"
FREEING, HANDS, LOWERING = "freeing", "hands in", "lowering"  # the parts of a call
PARTS = (FREEING, HANDS, LOWERING)


@dataclass(slots=True)
class HeardDown:
    """One lowering call, as it was heard; a time that nobody noted is None [s]."""

    called: float
    room: float | None = None
    hands_in: float | None = None  # the first to go in
    hands_out: float | None = None  # the last to come out
    down: float | None = None
    landed: float | None = None  # the last side to land
    still_in: list[str] = field(default_factory=list)  # whose hands are in
    remarks: list[str] = field(default_factory=list)

    def part(self, name: str) -> float | None:
        """How long one part of it took [s]; None where an end of it was not noted."""
        begin, end = {
            FREEING: (self.called, self.room),
            HANDS: (self.hands_in, self.hands_out),
            LOWERING: (self.down, self.landed),
        }[name]
        return None if begin is None or end is None else end - begin


@dataclass(frozen=True, slots=True)
class DrilledDown:
    """The way down of a drill, and what the plan has for the same."""

    calls: list[HeardDown]
    plan: dict[str, float]  # mean of each part over the plan's calls [s]

    def mean(self, name: str) -> float | None:
        """Mean of a part over the calls in which it was noted [s]."""
        times = [time for call in self.calls if (time := call.part(name)) is not None]
        return float(np.mean(times)) if times else None

    def as_json(self) -> dict[str, Any]:
        """For machines to read."""
        return {
            "calls": [{k: v for k, v in asdict(call).items() if k != "still_in"} for call in self.calls],
            "mean_s": {name: self.mean(name) for name in PARTS},
            "plan_mean_s": self.plan,
        }


def split(log: Log) -> list[Entry]:
    """Take out of a log, and give back, all that was noted from the first call down on."""
    begins = min((e.time for e in log.entries if e.what == CALL), default=np.inf)
    down = [e for e in log.entries if e.time >= begins]
    log.entries = [e for e in log.entries if e.time < begins]
    return down


def way_down(entries: Sequence[Entry], log: Log, scenario: Scenario) -> DrilledDown | None:
    """What was heard of the way down; None where nothing was.

    Parameters
    ----------
    entries : sequence of Entry
        From the first call down on.
    log : Log
        What is to be said of a line is said of it.
    scenario : Scenario
        The plan.
    """
    calls: list[HeardDown] = []
    people = NamesInLog(scenario)
    for entry in entries:
        if entry.what == CALL:
            calls.append(HeardDown(entry.time))
        elif not calls:
            log.say(entry.line, f"{entry.what} before any call down; the line is left out")
        elif entry.what not in (ROOM, IN, OUT, DOWN, LANDED):
            continue  # strokes, captures: of the call's own parts
        elif entry.what in (IN, OUT) and people.find(entry.who) is None:
            log.say(entry.line, f'"{entry.who[:40]}" is nobody here; the line is left out', people.hint(entry.who))
        else:
            _heard(calls[-1], entry)
    return DrilledDown(calls, planned(scenario)) if calls else None


def _heard(call: HeardDown, entry: Entry) -> None:
    """One word of a lowering call, and what is to be asked about when it came."""
    if entry.what == ROOM:
        call.room = entry.time
    elif entry.what == IN:
        if call.room is None:
            call.remarks.append(f"{entry.who}: hands in before room was called")
        call.hands_in = entry.time if call.hands_in is None else call.hands_in
        call.still_in.append(entry.who)
    elif entry.what == OUT:
        call.hands_out = entry.time
        call.still_in = [who for who in call.still_in if who != entry.who]
    elif entry.what == DOWN:
        if call.still_in:
            call.remarks.append(f"down was called with hands in: {', '.join(call.still_in)}")
        call.down = entry.time
    else:
        call.landed = entry.time


def planned(scenario: Scenario) -> dict[str, float]:
    """How long each part of a lowering call takes in the plan: means at mean times [s]; empty: none."""
    if not scenario.comes_down:
        return {}
    columns = simulate_fixed(replace(scenario, mishaps=())).columns
    found: dict[str, list[float]] = {name: [] for name in PARTS}
    for call in columns.call[columns.says(What.CALLS_DOWN)].tolist():
        own = columns.at(columns.call == call)
        called, room, lowers, landed = (
            own.time_s[own.says(word)] for word in (What.CALLS_DOWN, What.ROOM, What.LOWERS, What.LET_DOWN)
        )
        if len(room):
            found[FREEING].append(float(room[0] - called[0]))
        if len(lowers):
            found[HANDS].append(float(lowers[0] - room[0]))
            landed = landed[landed > lowers[0]]
            if len(landed):
                found[LOWERING].append(float(landed[-1] - lowers[0]))
    return {name: float(np.mean(each)) for name, each in found.items() if each}
