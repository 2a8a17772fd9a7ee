"""A rehearsal that is written down as it goes, so that even a program that was killed loses none of it.

The people of a seed answer the same words at the same times in the same way; so the log is the leader's words with
their times, a line each, and how far the lift had come. It is only ever added to, and is gone once the run is stored.
"""

from __future__ import annotations

import contextlib
import json
import math
import os
import time
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

from sim.model.chance import Chance
from sim.model.scenario import Scenario
from sim.rehearsal.led import Rehearsal
from sim.rehearsal.person_led import ALL
from sim.rehearsal.surprises import Surprise
from sim.stored.plain import read_plain
from sim.stored.whole import locked_elsewhere, sync_folder

LOG = ".rehearsal-"  # what the name of a log begins with; no listing of runs shows it
FORMAT = 1
MARK = 1.0  # how often it is written down how far the lift has come [s of the lift]
WORDS = ("call", "end", "stop", "seen", "bring_in")


class WordLog:
    """What the leader has said so far, in a file that is only added to; locked for as long as somebody writes it."""

    def __init__(
        self, runs: Path, head: dict[str, Any], warn: Callable[[OSError], None] = lambda trouble: None
    ) -> None:
        self.path = runs / f"{LOG}{os.getpid()}-{time.time_ns()}"
        self.head = {"format": FORMAT, **head}
        self.warn = warn
        self.file: BinaryIO | None = None  # once there is something to keep
        self.trouble: OSError | None = None  # why nothing is kept any more
        self.disk = ThreadPoolExecutor(1)  # waits for the disk, so that the lift does not

    def add(self, line: dict[str, Any]) -> None:
        """One line more. Where it cannot be written the lift goes on without."""
        if self.trouble is not None:
            return
        try:
            if self.file is None:
                self._begin()
            self._write(line)
        except OSError as trouble:
            self.trouble = trouble
            self.warn(trouble)

    def _begin(self) -> None:
        self.path.parent.mkdir(parents=True, exist_ok=True)
        self.file = self.path.open("xb")
        locked_elsewhere(self.file.fileno())  # it is now, for as long as it is open
        self._write(self.head)
        sync_folder(self.path.parent)

    def _write(self, line: dict[str, Any]) -> None:
        assert self.file is not None
        self.file.write(json.dumps(line, separators=(",", ":")).encode() + b"\n")
        self.file.flush()
        self.disk.submit(os.fsync, self.file.fileno())

    def close(self) -> None:
        """Nothing more is added; it stays there."""
        self.disk.shutdown()
        if self.file is not None:
            self.file.close()

    def discard(self) -> None:
        """It is not needed any more."""
        self.close()
        if self.file is not None:
            with contextlib.suppress(OSError):
                self.path.unlink()


class KeptRehearsal(Rehearsal):
    """A rehearsal whose words go into a log as they are heard."""

    def __init__(self, scenario: Scenario, crew: Chance, surprises: Iterable[Surprise], log: WordLog) -> None:
        self.log = log
        self.marked = 0.0  # how far the lift had come when that was last written down [s]
        super().__init__(scenario, crew, surprises)

    def advance(self, to: float) -> None:
        """Let everything happen that is due by then."""
        super().advance(to)
        begins = self.log.file is None and not self.over
        if 0.0 < to < math.inf and (begins or self.over or to >= self.marked + MARK) and self.marked < math.inf:
            self.log.add({"at": to})
            self.marked = math.inf if self.over else to  # nothing comes after the end

    def call(self, side: str = ALL, at: float | None = None) -> str:
        """Call all, or one lifter."""
        return self._heard("call", self._says(at), super().call(side, at), side)

    def end(self, at: float | None = None) -> str:
        """The person judges that it is enough."""
        return self._heard("end", self._says(at), super().end(at))

    def stop(self, at: float | None = None) -> str:
        """Everybody freezes."""
        return self._heard("stop", self._says(at), super().stop(at))

    def seen(self, what: str, where: str, at: float | None = None) -> str:
        """What was seen when stop was called; everybody goes on."""
        return self._heard("seen", self._says(at), super().seen(what, where, at), what, where)

    def bring_in(self, kind: Any, who: str, at: float | None = None) -> Surprise:
        """A surprise brought in by hand."""
        self._heard("bring_in", self._says(at), "", kind, who)
        return super().bring_in(kind, who, at)

    def _says(self, at: float | None) -> float:
        """When something is said; that is as good as a mark [s]."""
        self.marked = max(self.marked, self._at(at))
        return self._at(at)

    def _heard(self, word: str, at: float, why_not: str, *of: str) -> str:
        if not why_not:
            self.log.add({"at": at, "word": word, "of": of})
        return why_not


@dataclass(frozen=True, slots=True)
class KeptWord:
    """One line of a log: a word and what it was of, or no word: the lift had come so far."""

    at: float
    word: str = ""
    of: tuple[str, ...] = ()


@dataclass(frozen=True)
class LeftLog:
    """A log as it was found."""

    head: dict[str, Any]
    said: Sequence[KeptWord]
    trouble: str = ""  # from which line on it cannot be read, and why

    def again(self, scenario: Scenario, crew: Chance, surprises: Iterable[Surprise]) -> tuple[Rehearsal, str]:
        """The rehearsal as far as it had come: the same words, at the same times, to the same people.

        Returns
        -------
        Rehearsal
            As it then stood.
        str
            From which line on the log was of no use, and why; "" for none.
        """
        rehearsal = Rehearsal(scenario, crew, surprises)
        for n, each in enumerate(self.said, 2):
            try:
                why_not = getattr(rehearsal, each.word or "advance")(*each.of, each.at)
            except (LookupError, TypeError, ValueError) as error:
                why_not = f"{type(error).__name__}: {error}"
            if isinstance(why_not, str) and why_not:
                return (
                    rehearsal,
                    f'line {n}: "{each.word}" cannot be said there ({why_not}); what came before it counts',
                )
        return rehearsal, self.trouble


def read_log(file: Path) -> LeftLog:
    """What a log holds, as far as it can be read; a last line that is not whole was being written, and does not count.

    Raises
    ------
    OSError
        It cannot be read.
    ValueError
        It is no log of ours.
    """
    lines = read_plain(file).split(b"\n")[:-1]
    head = _json(lines[0]) if lines else None
    if not isinstance(head, dict) or type(head.get("format")) is not int:
        raise ValueError("it is no log of a rehearsal, or its first line was never written")
    if head["format"] > FORMAT:
        raise ValueError(f"it is of a later version (format {head['format']}, this one reads {FORMAT})")
    said: list[KeptWord] = []
    for n, line in enumerate(lines[1:], 2):
        each = _said(_json(line), said[-1].at if said else 0.0)
        if each is None:
            return LeftLog(head, said, f"line {n} cannot be read; what came before it counts")
        said.append(each)
    return LeftLog(head, said)


def _json(line: bytes) -> Any:
    try:
        return json.loads(line)
    except (ValueError, RecursionError):
        return None


def _said(line: Any, since: float) -> KeptWord | None:
    """A line as it was written; None if it was not."""
    if not isinstance(line, dict) or not isinstance(line.get("at"), int | float):
        return None
    at, word, of = float(line["at"]), line.get("word", ""), line.get("of", [])
    fits = (
        since <= at < math.inf and word in ("", *WORDS) and isinstance(of, list) and all(isinstance(x, str) for x in of)
    )
    takes = {"call": 1, "seen": 2, "bring_in": 2}.get(word if isinstance(word, str) else "", 0)
    return KeptWord(at, word, tuple(of)) if fits and len(of) == takes else None


def left_logs(runs: Path) -> list[Path]:
    """The logs that lie in a folder of runs and that nobody writes any more: of rehearsals that were killed."""
    try:
        return [log for log in sorted(runs.glob(f"{LOG}*")) if not _is_written(log)]
    except OSError:
        return []


def _is_written(log: Path) -> bool:
    try:
        fd = os.open(log, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    except OSError:
        return False
    try:
        return locked_elsewhere(fd)
    finally:
        os.close(fd)
