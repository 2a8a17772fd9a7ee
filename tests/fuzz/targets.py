"""What people and pages send in, and what may come of it: each target takes any bytes, and fails where a program would.

`fuzz.py` throws made-up inputs at them for as long as it is simulated; `test_corpus.py` replays those that were kept.
"""

from __future__ import annotations

import asyncio
import json
import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

from reports.live import messages
from reports.live.gate import Gate
from reports.live.room import Room
from reports.live.seat import Page
from sim.check import check
from sim.drill.debriefed import debrief
from sim.drill.log.lines import parse_log
from sim.examples import example
from sim.model.chance import Crew
from sim.model.errors import KnownError, Refused, ScenarioError
from sim.model.scenario import Scenario
from sim.record.measures import measure
from sim.rehearsal.led import Rehearsal
from sim.rehearsal.wall_clock import WallClock
from sim.story.lift import simulate, simulate_fixed
from sim.written.reading import parse
from tests.reports.live.served import short_lift

CALLS = 8  # of a scenario that is read, so many are simulated
PLACES = 12  # of one with more than these, none
LINES = 60  # of a log, so many are debriefed
UNREADABLE = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
PYTHON = re.compile(r"Traceback|<class|\bNoneType\b|\(\('|\bfunction-|object at 0x|pydantic|\('[^)]*',")


def scenario(data: bytes) -> None:
    """A scenario's text gives a scenario, or all that is wrong with it; and what was read can be simulated."""
    text = data.decode("utf-8", errors="replace")
    try:
        found = parse(text, "fuzzed.toml")
    except KnownError as error:
        _told_well(error)
        return
    if len(found.places) > PLACES:
        return
    json.dumps(check(_short(found)).as_json(), allow_nan=False)
    for record in (simulate_fixed(_short(found)), simulate(_short(found), seed=1)):
        json.dumps(measure(record), allow_nan=False)


def _short(found: Scenario) -> Scenario:
    return replace(found, leader=replace(found.leader, max_calls=min(found.leader.max_calls, CALLS)))


def drill_log(data: bytes) -> None:
    """A drill log gives a log that can be debriefed, or what is wrong with it; each line left out is named."""
    try:
        log = parse_log(data, "fuzzed.csv")
        if len(log.entries) <= LINES:
            found = debrief([log], _trailer(), plan=False)
            json.dumps(found.as_json(), allow_nan=False)
    except KnownError as error:
        _told_well(error)
        return
    for problem in log.problems:
        assert problem.what and not UNREADABLE.search(str(problem)), str(problem)


@cache
def _trailer() -> Scenario:
    return parse(example("trailer"), "trailer.toml")


def socket(data: bytes) -> None:
    """Lines that pages send: `.5` lets time pass, `w` and `c` say which page speaks, all else is a message as it is."""
    asyncio.run(_in_a_room(data.decode("utf-8", errors="replace").split("\n")[:40]))


async def _in_a_room(lines: list[str]) -> None:
    now = [0.0]
    room = Room(Rehearsal(short_lift(), Crew(0)), 1.0, lambda _: {})
    room.clock = WallClock(1.0, lambda: now[0])
    pages = {"c": room.enter("", False, False, lambda: None), "w": room.enter("", False, True, lambda: None)}
    speaks = pages["c"]
    for line in lines:
        if line in pages:
            speaks = pages[line]
        elif re.fullmatch(r"\.[0-9]", line):
            for _ in range(int(10 * float(line))):
                now[0] += 1.0
                room.hear(pages["c"], messages.Beat(type="beat"))
        else:
            _let_in(line)
            message = messages.read(line)
            if message is None:
                continue
            room.hear(speaks, message)
        for page in pages.values():
            _simulated(room, page)


def _simulated(room: Room, page: Page) -> None:
    """All that a page is sent is JSON that every reader takes."""
    while frame := room.frame(page):
        for message in json.loads(frame, parse_constant=_no_constant):
            assert isinstance(message["type"], str)


def _no_constant(name: str) -> Any:
    raise AssertionError(f"{name} is no JSON")


def _let_in(line: str) -> None:
    """Nobody comes in who has not the token."""
    host, _, query = line.partition(" ")
    headers = [(b"host", host.encode("utf-8", "replace")), (b"origin", f"http://{host}".encode("utf-8", "replace"))]
    scope = {"type": "websocket", "headers": headers, "query_string": query.encode("utf-8", "replace")}
    assert not Gate(None, "127.0.0.1", "a-token-that-nobody-guesses").lets_in(scope)


TARGETS: dict[str, Callable[[bytes], None]] = {"scenario": scenario, "drill_log": drill_log, "socket": socket}


def _told_well(error: KnownError) -> None:
    """Where, what, and what to do about it; in words of ours; nothing in it that a terminal would obey."""
    said = str(error)
    assert said.startswith("error: "), said
    assert not UNREADABLE.search(said), repr(said)
    assert not PYTHON.search(said), said
    assert len(said) < 100_000, len(said)
    if isinstance(error, ScenarioError):
        assert error.problems
        for problem in error.problems:
            assert problem.place and problem.what and problem.hint, problem
    else:
        assert isinstance(error, Refused) and error.args[1], said
