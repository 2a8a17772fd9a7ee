"""What a log says, by person: calls, strokes, captures, holds and stops, on one clock that starts with the lift.

Its time stands still while a stop lasts (`Observed.clock` gives the time of day back), so that
a stop is in nobody's time.
Nothing is inferred here (`course.py` does that); a row that cannot be is named by its line and left out.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from sim.drill.log.lines import Entry, Log
from sim.drill.log.names import NamesInLog, Person, Spot
from sim.model.devices.protocol import can_capture
from sim.model.errors import Problem, ScenarioError
from sim.model.scenario import Scenario
from sim.model.units import LENGTH, QuantityError, read

WAY_DOWN = ("room", "hands in", "hands out", "down", "landed")  # said of a lowering call, which there is none of yet
DOUBLE = 0.3  # the same button twice within this is one tap [s]
EARLY = 60.0  # a clock may run so long before the first entry, and still be the lift's own [s]


@dataclass(slots=True)
class Heard:
    """One call as it was heard."""

    time: float
    line: int
    sides: tuple[str, ...]  # the lifters called
    strokes: int | None = None  # as the note has it
    missed: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class Mark:
    """The start or the end of a stroke."""

    time: float
    end: bool
    line: int


@dataclass(slots=True, eq=False)
class Capture:
    """One "caught" as it was heard; it may be any of several devices of one person."""

    time: float
    line: int
    used: bool = False


@dataclass(frozen=True, slots=True)
class Sized:
    """Something measured during the drill."""

    time: float
    what: str  # "gap" or "rise"
    where: str  # a place; "" for the needed point
    value: float  # [m]
    line: int


@dataclass(slots=True)
class Observed:
    """A whole drill as observed."""

    log: Log
    calls: list[Heard] = field(default_factory=list)
    marks: dict[str, list[Mark]] = field(default_factory=dict)  # by lifter
    captures: dict[Spot, list[Capture]] = field(default_factory=dict)
    starts: dict[Spot, list[float]] = field(default_factory=dict)  # work seen to begin
    chasing: dict[Spot, list[float]] = field(default_factory=dict)  # seen not to be caught yet
    holds: list[float] = field(default_factory=list)
    stops: list[tuple[float, float]] = field(default_factory=list)  # when, and for how long
    sized: list[Sized] = field(default_factory=list)
    end: float = 0.0
    zero: float = 0.0  # where the lift's clock starts on the log's [s]
    ended_in_stop: bool = False

    def clock(self, time: float) -> float:
        """What a clock that runs on through the stops shows at a time [s]."""
        return time + sum(seconds for since, seconds in self.stops if since < time)


def observe(log: Log, scenario: Scenario) -> Observed:
    """Sort a log by person.

    Raises
    ------
    ScenarioError
        There is no call in it.
    """
    if not any(entry.what == "call" for entry in log.entries):
        hint = "calls are rows such as 0.0,leader,call" + (f"; {log.problems[0]}" if log.problems else "")
        raise ScenarioError([Problem(log.name, "holds no call", hint)])
    seen = Observed(log, zero=_zero(log, scenario))
    people = NamesInLog(scenario)
    lifters = tuple(lifter.name for lifter in scenario.lifters)
    stop: float | None = None
    lost = 0.0
    for entry in log.entries:
        clock = entry.time - seen.zero
        time = clock - lost if stop is None else stop
        seen.end = max(seen.end, clock)
        if entry.what == "call":
            _call(seen, people, entry, time, lifters)
        elif entry.what == "hold":
            seen.holds.append(time)
        elif entry.what == "stop":
            stop = time if stop is None else stop
        elif entry.what == "resume":
            if stop is not None:
                seconds = clock - lost - stop
                seen.stops.append((stop, seconds))
                stop, lost = None, lost + seconds
        elif entry.what in WAY_DOWN:
            log.say(entry.line, f"{entry.what} before any call down; the line is left out")
        elif entry.what in ("gap", "rise"):
            _sized(seen, people, entry, clock)
        else:
            _by_person(seen, people, entry, time)
    seen.ended_in_stop = stop is not None
    return seen


def _zero(log: Log, scenario: Scenario) -> float:
    """Where the lift's clock starts on the log's: at its zero, if it began with it; not with a time of day."""
    first = log.entries[0].time
    call = next(entry.time for entry in log.entries if entry.what == "call")
    slack = any(can_capture(d, d.at_start(x.slack), 0.0) for x in scenario.stations for d in x.capture)
    if first >= call and not slack:
        return call
    return 0.0 if first <= EARLY else first


def _call(seen: Observed, people: NamesInLog, entry: Entry, time: float, lifters: tuple[str, ...]) -> None:
    if seen.calls and time - seen.calls[-1].time < DOUBLE:
        seen.log.say(entry.line, "a second call at once; taken as one")
        return
    named = [
        person.lifter
        for words in (entry.who, *re.split(r"[,+/&]| and ", entry.note))
        if (person := people.find(words)) is not None and person.lifter
    ]
    if not people.leads(entry.who) and not named:
        what = f'"{entry.who[:40]}" is nobody here; taken as the leader\'s call'
        seen.log.say(entry.line, what, people.hint(entry.who))
    strokes = re.search(r"\b(\d{1,3}) strokes?\b", entry.note)
    sides = tuple(name for name in lifters if name in named) or lifters
    seen.calls.append(Heard(time, entry.line, sides, int(strokes[1]) if strokes else None))


def _by_person(seen: Observed, people: NamesInLog, entry: Entry, time: float) -> None:
    person = people.find(entry.who)
    if person is None:
        what = f'"{entry.who[:40]}" is nobody here' if entry.who else "names nobody"
        seen.log.say(entry.line, f"{what}; the line is left out", people.hint(entry.who))
    elif entry.what in ("stroke start", "stroke end", "missed"):
        _at_the_pump(seen, person, entry, time)
    else:
        _at_a_device(seen, people, person, entry, time)


def _at_the_pump(seen: Observed, person: Person, entry: Entry, time: float) -> None:
    if not person.lifter:
        seen.log.say(entry.line, f'"{person.name}" works no pump; the line is left out')
    elif not seen.calls:
        seen.log.say(entry.line, f"{entry.what} before any call; the line is left out")
    elif entry.what == "missed":
        seen.calls[-1].missed.add(person.lifter)
    else:
        marks = seen.marks.setdefault(person.lifter, [])
        mark = Mark(time, entry.what == "stroke end", entry.line)
        if marks and marks[-1].end == mark.end and time - marks[-1].time < DOUBLE:
            seen.log.say(entry.line, f"a second {entry.what} at once; taken as one")
        else:
            marks.append(mark)


def _at_a_device(seen: Observed, people: NamesInLog, person: Person, entry: Entry, time: float) -> None:
    spots = person.spots
    if len({place for place, _ in spots}) > 1:
        where = people.find(entry.note)
        chosen = tuple(s for s in spots if where is not None and s in where.spots)
        if not chosen:
            what = f'"{person.name}" works at several stations; taken for the one that is being worked at'
            seen.log.say(entry.line, what, "name the station, or put it in the note")
        spots = chosen or spots
    if not spots:
        seen.log.say(entry.line, f'"{person.name}" keeps up no device; the line is left out')
        return
    several = len({place for place, _ in spots}) > 1
    shared = Capture(time, entry.line)  # one of them: whichever is worked at uses it
    for spot in spots:
        if entry.what == "start":
            seen.starts.setdefault(spot, []).append(time)
        elif entry.what == "not caught":
            seen.chasing.setdefault(spot, []).append(time)
        else:
            seen.captures.setdefault(spot, []).append(shared if several else Capture(time, entry.line))


def _sized(seen: Observed, people: NamesInLog, entry: Entry, time: float) -> None:
    where, person = "", people.find(entry.who)
    if entry.what == "gap":
        if person is None or not person.spots:
            seen.log.say(entry.line, f'a gap at "{entry.who[:40]}", which is no station here', people.hint(entry.who))
            return
        where = person.spots[0][0]
    try:
        value = read(entry.note, LENGTH)
    except QuantityError as wrong:
        seen.log.say(entry.line, f"the measured {entry.what} is left out: {wrong.what}", wrong.hint)
        return
    seen.sized.append(Sized(time, entry.what, where, value, entry.line))
