"""A drill log as people keep them: one row an entry, from a timer page, a stopwatch sheet or a spreadsheet.

    time_s, who, what, note
    0.0, leader, call,
    0:03.4, left lifter, stroke start,
    12.8, left strut, caught,

Times are seconds, m:ss.s or h:mm:ss. What spreadsheets do to such a file is taken in: a byte order mark, semicolons or
tabs, decimal commas, trailing columns, other capitals, an apostrophe before what would be a formula. What cannot be
seen in it is passed over. A line that cannot be used is left out and named; nothing is guessed in silence.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, field, replace
from pathlib import Path

from sim.model.errors import Problem, ScenarioError, nearest
from sim.model.visible import seen, unguarded, visible

COLUMNS = {
    "time": "time_s time t seconds time(s) time[s] clock",
    "who": "who person name station",
    "what": "what event action",
    "note": "note notes remark remarks comment value",
    "observer": "observer observed_by by",
    "mark": "mark",
}
WORDS = {
    "call": "call calls called level levels",
    "stroke start": "stroke start|stroke starts|stroke begins|start stroke|strokes",
    "stroke end": "stroke end|stroke ends|end stroke|stroke|stroke stop|recovers",
    "start": "start|starts|work start|starts work|turns",
    "caught": "caught|catch|captured|capture|says caught",
    "not caught": "not caught|still chasing|chasing",
    "hold": "hold|holds",
    "resume": "resume|resumes|go on",
    "missed": "missed|misses|miss",
    "stop": "stop|stops|freeze|freezes",
    "call down": "call down|calls down|up",
    "room": "room",
    "hands in": "hands in|hand in",
    "hands out": "hands out|hand out",
    "down": "down|lower|lowers",
    "landed": "landed|lands|down again",
    "gap": "gap|gaps",
    "rise": "rise|final rise",
}
_WHAT = {
    word: what
    for what, words in WORDS.items()
    for word in (words.split("|") if "|" in words else words.split() if what == "call" else [words])
}
_TIME = re.compile(
    r"(?:(?:(?P<h>\d{1,4}):)?(?P<m>\d{1,6}):)?(?P<s>\d{1,9}(?:[.,]\d{0,12})?|[.,]\d{1,12})\s*(?:s|sec|seconds)?",
    re.IGNORECASE | re.ASCII,
)
_DIGITS = re.compile(r"[.,](\d+)")
LONGEST, MOST_ROWS = 20_000_000, 200_000  # bytes and rows: whatever is larger is no drill log
KEPT = 200  # problems named one by one


@dataclass(frozen=True, slots=True)
class LogProblem:
    """One thing about a log that its reader should know, and what was done about it."""

    file: str
    line: int  # 0: the file as a whole
    what: str
    hint: str = ""

    def __str__(self) -> str:
        where = f"{self.file}, line {self.line}" if self.line else self.file
        return visible(f"{where}: {self.what}" + (f" ({self.hint})" if self.hint else ""))


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of a log."""

    time: float  # on the observer's clock, until the clocks are brought together [s]
    who: str  # as written
    what: str  # a key of WORDS
    note: str
    line: int
    observer: str  # whose clock this is


@dataclass(slots=True)
class Log:
    """One log, read."""

    name: str
    entries: list[Entry]
    problems: list[LogProblem] = field(default_factory=list)
    tick: float = 1.0  # what its times are noted to [s]

    def say(self, line: int, what: str, hint: str = "") -> None:
        """Name a problem with a line; of very many, only so many by line."""
        if len(self.problems) < KEPT:
            self.problems.append(LogProblem(self.name, line, what, hint))
        elif len(self.problems) == KEPT:
            self.problems.append(LogProblem(self.name, 0, f"more than {KEPT} lines with problems; the rest not named"))


def read_log(path: Path | str) -> Log:
    """The log in a file.

    Raises
    ------
    ScenarioError
        The file cannot be opened, or holds no log at all.
    """
    path = Path(path)
    try:
        with path.open("rb") as file:
            written = file.read(LONGEST + 1)
        if len(written) > LONGEST:
            what = f"is too large for a drill log: more than {LONGEST / 1e6:.0f} MB"
            raise ScenarioError([Problem(str(path), what, "give the log's own file")])
        return parse_log(written, visible(path.name))
    except OSError as wrong:
        reason = (wrong.strerror or "it does not open").lower()
        raise ScenarioError([Problem(str(path), f"cannot be read: {reason}", "give the name of a drill log")]) from None


def parse_log(written: bytes | str, name: str) -> Log:
    """The log in a text.

    Raises
    ------
    ScenarioError
        It has no rows, or no column of times.
    """
    text = seen(_decoded(written) if isinstance(written, bytes) else written.removeprefix("\ufeff"), keep="\t\r\n")
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    numbered = [(n, line) for n, line in enumerate(lines, 1) if line.strip(" \t,;")]
    if len(numbered) > MOST_ROWS:
        raise ScenarioError([Problem(name, f"has more than {MOST_ROWS:,} rows", "give the log of one drill")])
    if numbered and re.fullmatch(r"sep=.", numbered[0][1].strip(), re.IGNORECASE):
        del numbered[0]
    if not numbered:
        raise ScenarioError([Problem(name, "is empty", "a drill log has the columns time_s, who, what")])
    mark = _delimiter(numbered[0][1])
    at = _columns(_cells(numbered[0][1], mark))
    if at is None:
        at = {"time": 0, "who": 1, "what": 2, "note": 3}
        if not _TIME.fullmatch(_cell(_cells(numbered[0][1], mark), 0)):
            what = "its first line names no columns time_s, who, what"
            hint = "begin it with: time_s,who,what,note"
            raise ScenarioError([Problem(f"{name}, line {numbered[0][0]}", what, hint)])
    else:
        del numbered[0]
    log = Log(name, [])
    places = 0
    for number, line in numbered:
        cells = _decimal_comma(_cells(line, mark), at, mark)
        entry = _entry(log, number, cells, at)
        if entry is not None:
            log.entries.append(entry)
            digits = _DIGITS.search(_cell(cells, at["time"]))
            places = max(places, len(digits[1].rstrip("0")) if digits else 0)
    log.tick = 10.0 ** -min(places, 3)
    _order(log)
    return log


def _decoded(written: bytes) -> str:
    if written[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return written.decode("utf-16", errors="replace")
    try:
        return written.decode("utf-8-sig")
    except UnicodeDecodeError:
        return written.decode("cp1252", errors="replace")


def _delimiter(first: str) -> str:
    """What stands between the columns: what the first line has most of; a decimal comma is no reason against."""
    if ";" in first:
        return ";"
    return "\t" if "\t" in first else ","


def _cells(line: str, mark: str) -> list[str]:
    if '"' in line:
        try:
            return [cell.strip() for cell in next(csv.reader([line], delimiter=mark, skipinitialspace=True), [])]
        except csv.Error:
            line = line.replace('"', "")
    return [cell.strip() for cell in line.split(mark)]


def _cell(cells: list[str], at: int | None) -> str:
    return unguarded(cells[at].strip("\ufeff\u00a0 ")) if at is not None and at < len(cells) else ""


def _columns(cells: list[str]) -> dict[str, int] | None:
    """Which column is which, by name; None where the first line is no heading."""
    named = [re.sub(r"\s+", "", cell.lower().strip("\ufeff")) for cell in cells]
    at = {
        column: next(n for n, name in enumerate(named) if name in names.split())
        for column, names in COLUMNS.items()
        if any(name in names.split() for name in named)
    }
    return at if {"time", "who", "what"} <= set(at) else None


def _decimal_comma(cells: list[str], at: dict[str, int], mark: str) -> list[str]:
    """A decimal comma where commas stand between the columns too: 12,5,leader,call."""
    time = at["time"]
    if mark == "," and at["who"] == time + 1 and re.fullmatch(r"[0-9]{1,3}", _cell(cells, time + 1)):
        return [*cells[:time], f"{cells[time]}.{cells[time + 1]}", *cells[time + 2 :]]
    return cells


def _entry(log: Log, number: int, cells: list[str], at: dict[str, int]) -> Entry | None:
    """A row, if it can be used."""
    written, what = _cell(cells, at["time"]), _plain(_cell(cells, at["what"]))
    time = seconds(written)
    if time is None:
        log.say(number, f'"{written[:40]}" is no time; the line is left out', "seconds, m:ss.s or h:mm:ss")
        return None
    known = _WHAT.get(what)
    if known is None:
        hint = "" if log.problems[KEPT:] else nearest(what[:40], WORDS)
        log.say(number, f'"{what[:40]}" is not known; the line is left out', hint)
        return None
    note = _cell(cells, at.get("note"))
    mark = _cell(cells, at.get("mark"))
    if mark:
        log.say(number, f"marked by the timer: {mark[:120]}", "times after it may be off by as much")
    observer = _cell(cells, at.get("observer")) or log.name
    return Entry(time, _cell(cells, at["who"]), known, note, number, observer)


def seconds(written: str) -> float | None:
    """A time as people write it [s]; None if it is none.

    >>> seconds("1:02,5"), seconds("0:01:02.5"), seconds("62.5 s"), seconds("later")
    (62.5, 62.5, 62.5, None)
    """
    found = _TIME.fullmatch(written.strip())
    if found is None:
        return None
    rest = float(found["s"].replace(",", "."))
    if (found["m"] and rest >= 60) or (found["h"] and int(found["m"]) >= 60):
        return None
    return int(found["h"] or 0) * 3600.0 + int(found["m"] or 0) * 60.0 + rest


def _plain(words: str) -> str:
    return re.sub(r"[\s_-]+", " ", words).strip().lower()


def _order(log: Log) -> None:
    """Rows in the order of time; where times run back, by line."""
    last: dict[str, Entry] = {}
    for entry in log.entries:
        if entry.what in ("gap", "rise"):  # often written down afterwards
            continue
        before = last.get(entry.observer)
        if before is not None and entry.time < before.time - 1e-9:
            hint = "two clocks? give each observer a name in a column observer" if before.time - entry.time > 5 else ""
            what = f"time runs back from {before.time:g} s to {entry.time:g} s; put in its place by its time"
            log.say(entry.line, what, hint)
        else:
            last[entry.observer] = entry
    log.entries.sort(key=lambda entry: entry.time)


def shifted(entries: list[Entry], by: float) -> list[Entry]:
    """The entries on a clock that shows so much more [s]."""
    return [replace(entry, time=entry.time + by) for entry in entries]
