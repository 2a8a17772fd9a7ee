"""What the second doubt came to: a study's answers over what is assumed, and over other crews."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

Answers = dict[str, float]  # the means of the time and of the largest gap, and each chance by its name


@dataclass(frozen=True, slots=True)
class Assumption:
    """One value that nobody measured: the answers with it at its low, and at its high."""

    path: str
    low: str
    high: str
    at_low: Answers
    at_high: Answers


@dataclass(frozen=True, slots=True)
class AtOnce:
    """All that is assumed at once."""

    what: str  # a key of `doubt.AT_ONCE`
    ends: dict[str, str]  # path -> the end it is at, as written; those not named stay as they are
    answers: Answers


@dataclass(frozen=True, slots=True)
class Doubt:
    """The answers as written, over what is assumed, and over other crews."""

    n: int  # replications of each end, the same people
    marked: bool  # whether the file marks anything; else all times a fifth shorter and longer stand in
    as_written: Answers  # of those replications
    values: tuple[Assumption, ...]
    at_once: tuple[AtOnce, ...] = ()
    not_at_once: str = ""  # why some of it, or all of it, was not simulated
    idle: tuple[str, ...] = ()  # marked, and no part of this lift
    left_out: tuple[str, ...] = ()  # marked, and not simulated: it was stopped before
    crew_n: int = 0
    crews: tuple[Answers, ...] = field(default=(), repr=False)

    def over_assumed(self, answer: str) -> tuple[float, float] | None:
        """The range of an answer over everything that was simulated of what is assumed; None if nothing was."""
        ends = [each for bar in self.values for each in (bar.at_low, bar.at_high)]
        if not ends:
            return None
        simulated = [each[answer] for each in (self.as_written, *ends, *(each.answers for each in self.at_once))]
        return min(simulated), max(simulated)

    def over_crews(self, answer: str) -> tuple[float, float] | None:
        """The range of an answer over other crews; None if they were not asked."""
        simulated = [each[answer] for each in self.crews]
        return (min(simulated), max(simulated)) if simulated else None

    def ends(self, bar: Assumption, answer: str) -> tuple[float, float]:
        """How low and how high an answer is over one assumed value alone."""
        simulated = (self.as_written[answer], bar.at_low[answer], bar.at_high[answer])
        return min(simulated), max(simulated)

    def widest(self, answer: str) -> list[Assumption]:
        """What the answer hangs on, the most of it first."""
        ends = {bar.path: self.ends(bar, answer) for bar in self.values}
        return sorted(self.values, key=lambda bar: ends[bar.path][0] - ends[bar.path][1])

    def as_json(self) -> dict[str, Any]:
        """For machines to read."""
        return {
            "marked": self.marked,
            "replications_each": self.n,
            "as_written": self.as_written,
            "values": [
                {"path": b.path, "low": b.low, "high": b.high, "at_low": b.at_low, "at_high": b.at_high}
                for b in self.widest("duration_s")
            ],
            "all_at_once": [{"what": e.what, "ends": e.ends, "answers": e.answers} for e in self.at_once],
            "not_at_once": self.not_at_once,
            "not_in_this_lift": list(self.idle),
            "not_told": list(self.left_out),
            "over_assumed": {each: listed(self.over_assumed(each)) for each in self.as_written},
            "crews": len(self.crews),
            "replications_a_crew": self.crew_n,
            "over_crews": {each: listed(self.over_crews(each)) for each in self.as_written},
        }


def listed(ends: tuple[float, float] | None) -> list[float] | None:
    """A range for machines to read; null where there is none."""
    return None if ends is None else list(ends)
