"""Who did what when: the record of a lift as lanes of blocks, one lane a person.

Read from the event record alone. A block lasts from one row of a person to the next; what the row says names it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from reports.words.work import STEPS, STEPS_DOWN
from sim.record.columns import Columns, rows_of
from sim.record.measured import Measured
from sim.record.record import LEADER, Record
from sim.record.series import Stretch, less
from sim.record.stages import StageSpan, stages_of
from sim.record.what import CALLS, SAID_CAUGHT, What

# What a row begins: the kind of block, and what the person is doing, in words.
OPERATOR: dict[str, tuple[str, str]] = {
    What.REACTS: ("react", "reacts to the call"),
    What.STROKES: ("stroke", "strokes"),
    What.RECOVERS: ("recover", "recovers"),
    What.SETTLES: ("other", "lets go: the load settles"),
    What.SETTLED: ("other", "packs the lifter up for another run"),
    What.OPENS: ("lower", "opens the valve: the load comes down"),
    What.LET_DOWN: ("recover", "shuts the valve"),
}
CATCHER: dict[str, tuple[str, str]] = {
    What.WALKS: ("react", "walks over"),
    What.REACTS: ("react", "reacts"),
    **{step: (doing.block, doing.does) for step, doing in STEPS.items()},
}
ENDS_WORK = (What.FALLS, What.SETTLES)  # of a station: whoever was at work there is interrupted


@dataclass(frozen=True, slots=True)
class LaneBlock:
    """Somebody doing something for a while."""

    lane: int
    kind: str  # a kind of `timeline.KINDS`
    start: float  # [s]
    end: float
    call: int
    what: str  # in words
    where: str = ""  # the station
    gap_start: float | None = None  # of the station [m]
    gap_end: float | None = None
    hands: bool = False  # hands are in


class _Row(NamedTuple):
    """What the lanes of those at the stations are made of: of each row of the record, these columns."""

    time_s: float
    who: str
    what: str
    station: str
    device: str
    call: int
    gap_m: float
    open: bool
    caught: bool
    hands: bool
    captured_before_m: float
    demand_m: float


def _rows(columns: Columns) -> list[_Row]:
    return [_Row(*cells) for cells in zip(*(getattr(columns, name).tolist() for name in _Row._fields), strict=True)]


@dataclass(frozen=True, slots=True)
class Lane:
    """One person."""

    name: str
    role: str  # what they are at, in words


@dataclass(frozen=True, slots=True)
class Hold:
    """The leader waits with the next call."""

    start: float
    end: float
    station: str  # the last to be caught


@dataclass(frozen=True)
class Lanes:
    """A whole lift."""

    lanes: list[Lane]
    blocks: list[LaneBlock]
    calls: list[tuple[float, str]]  # when, and who was called
    down: list[bool]  # of each call, whether it is one on the way down
    holds: list[Hold]
    caught: list[tuple[int, float, float]]  # lane, from, to: all that this catcher keeps up is caught
    end: float
    outcome: str
    stages: list[StageSpan]  # none where the scenario has none


def lanes_of(record: Record) -> Lanes:
    """The lanes of a record: the leader, then side by side of the load its operator and its catchers."""
    lift = Measured(record)
    columns, leader = lift.columns, lift.leader
    people = _people(record)
    names = {lane.name: number for number, lane in enumerate(people)}
    catchers = {name for where in record.scenario.places for name in where.catchers}
    blocks = _operators(columns, names)
    blocks += _catchers(columns, names, catchers, lift.end, _rooms(leader, lift.end))
    called = leader.at(leader.says(*CALLS))
    spans = stages_of(leader, lift.end)
    return Lanes(
        lanes=people,
        blocks=blocks + _others(leader, columns) + [_stands(span) for span in spans if span.do == "hold"],
        calls=list(zip(called.time_s.tolist(), called.note.tolist(), strict=True)),
        down=called.says(What.CALLS_DOWN).tolist(),
        holds=[Hold(start, start + seconds, station) for start, seconds, station in lift.holds()],
        caught=_caught(record, names, lift),
        end=lift.end,
        outcome=record.outcome,
        stages=spans,
    )


def _stands(span: StageSpan) -> LaneBlock:
    return LaneBlock(0, "other", span.start, span.end, 0, "stands: the load is held by what has captured it")


def _rooms(leader: Columns, end: float) -> list[tuple[float, float]]:
    """From when to when devices were being let down: from the leader's word for it until the load was to come down."""
    asked, over = (leader.time_s[leader.says(word)].tolist() for word in (What.ROOM, What.LOWERS))
    return [(start, min((t for t in over if t >= start), default=end)) for start in asked]


def _people(record: Record) -> list[Lane]:
    scenario = record.scenario
    lanes = {LEADER: Lane(LEADER, "calls and holds")}
    for side in ("left", "right", "both"):
        for lifter in scenario.lifters:
            if lifter.side == side:
                lanes[lifter.name] = Lane(lifter.name, "at the pump")
        kept: dict[str, list[str]] = {}
        for where in scenario.places:
            if where.side == side:
                for device, catcher in zip(where.capture, where.catchers, strict=True):
                    what = device.name if catcher.startswith(where.name) else f"{device.name} at {where.name}"
                    kept.setdefault(catcher, []).append(what)
        for catcher, devices in kept.items():
            before = lanes.get(catcher)
            said = ", ".join(dict.fromkeys(devices))
            lanes[catcher] = Lane(catcher, f"{before.role}, {said}" if before else said)
    return list(lanes.values())


def _operators(columns: Columns, names: dict[str, int]) -> list[LaneBlock]:
    blocks = []
    moving = columns.at(~columns.says(What.FREEZES, What.RESUMES))
    for lifter, rows in rows_of(moving.side).items():
        times, whats, calls = (each[rows].tolist() for each in (moving.time_s, moving.what, moving.call))
        for n, what in enumerate(whats[:-1]):
            if what in OPERATOR and times[n + 1] > times[n]:
                if what == What.SETTLED and whats[n + 1] != What.IN_CONTACT:
                    continue
                kind, words = OPERATOR[what]
                blocks.append(LaneBlock(names[lifter], kind, times[n], times[n + 1], calls[n], words))
    return blocks


def _catchers(
    columns: Columns, names: dict[str, int], catchers: set[str], end: float, rooms: list[tuple[float, float]]
) -> list[LaneBlock]:
    blocks = []
    at_stations = columns.at(columns.station != "")
    ended = at_stations.at(at_stations.says(*ENDS_WORK))
    stops = {station: ended.time_s[rows].tolist() for station, rows in rows_of(ended.station).items()}
    for catcher, own in rows_of(at_stations.who).items():
        if catcher not in catchers:
            continue
        rows, kind, words = _rows(at_stations.at(own)), "other", ""
        for row, then in zip(rows, [*rows[1:], None], strict=True):
            if row.what == What.SLOWS:  # whatever was under way
                words = f"{words}, slower from here on"
            elif row.what in STEPS_DOWN and any(start <= row.time_s < over for start, over in rooms):
                kind, words, _ = STEPS_DOWN[row.what]
            elif row.what in CATCHER:
                kind, words = CATCHER[row.what]
            else:
                continue
            until = end if then is None else then.time_s
            until = min([until, *(t for t in stops.get(row.station, []) if t > row.time_s)])
            if until <= row.time_s:
                continue
            block, does = ("open", f"{words}: open, nothing holds here") if row.open else (kind, words)
            gap_end = None
            if then is not None and then.station == row.station and then.time_s == until:
                gap_end = then.demand_m - then.captured_before_m
            lane = names[catcher]
            hands = row.hands and row.what in STEPS
            at = (row.station, row.gap_m, gap_end, hands)
            blocks.append(LaneBlock(lane, block, row.time_s, until, row.call, does, *at))
    return blocks


def _others(leader: Columns, columns: Columns) -> list[LaneBlock]:
    """What stands in the leader's lane besides calls and holds: a stop called, a re-set, the last wait."""
    blocks = []
    times, whats = leader.time_s.tolist(), leader.what.tolist()
    calls, notes = leader.call.tolist(), leader.note.tolist()
    resumes = columns.time_s[columns.says(What.RESUMES)].tolist()
    contact = columns.time_s[columns.says(What.IN_CONTACT)].tolist()
    rooms = dict(_rooms(leader, times[-1] if times else 0.0))
    for n, what in enumerate(whats):
        later = times[n + 1] if n + 1 < len(times) else times[n]
        if what == What.FREEZES:
            until, words = min((t for t in resumes if t > times[n]), default=later), "stop called: everything stands"
        elif what in (What.RE_SETS, What.RUNS_OUT):
            of = "re-set" if what == What.RE_SETS else "packing out"
            until, words = min((t for t in contact if t > times[n]), default=later), f"{of} of the {notes[n]}"
        elif what == What.ROOM:
            until, words = rooms[times[n]], "making room: waits until all hands are out"
        elif what == What.HOLDS and not any(w in (*CALLS, What.RE_SETS) for w in whats[n + 1 :]):
            until, words = times[-1], f"waits until the last is caught: {notes[n]}"
        else:
            continue
        if until > times[n]:
            blocks.append(LaneBlock(0, "other", times[n], until, calls[n], words))
    return blocks


def _caught(record: Record, names: dict[str, int], lift: Measured) -> list[tuple[int, float, float]]:
    """When all that a catcher keeps up was caught; a gap that is being made is not."""
    mine: dict[str, set[tuple[str, str]]] = {}
    for where in record.scenario.places:
        for device, catcher in zip(where.capture, where.catchers, strict=True):
            mine.setdefault(catcher, set()).add((where.name, device.name))
    stretches = []
    for catcher, devices in mine.items():
        stations = {station for station, _ in devices}
        here = np.array([station in stations for station in lift.columns.station.tolist()])
        held = _all_held(_rows(lift.columns.at(here)), catcher, devices, lift.end)
        made = [stretch for station in stations for stretch in lift.made(lift.places[station])]
        stretches += [(names[catcher], start, end) for start, end in sorted(less(held, made))]
    return stretches


def _all_held(rows: list[_Row], catcher: str, devices: set[tuple[str, str]], end: float) -> Iterator[Stretch]:
    """From when to when all these devices, each (station, device), were caught."""
    held, since = set[tuple[str, str]](), None
    for row in rows:
        here = {each for each in devices if each[0] == row.station}
        if row.what in SAID_CAUGHT and (row.station, row.device) in devices:
            held.add((row.station, row.device))
        elif row.caught:
            held |= here
        elif row.what in (What.MOVES, What.SETTLES, What.FALLS) or (row.who == catcher and row.what in CATCHER):
            held -= here
        if held == devices and since is None:
            since = row.time_s
        elif held != devices and since is not None:
            if row.time_s > since:
                yield since, row.time_s
            since = None
    if since is not None and end > since:
        yield since, end
