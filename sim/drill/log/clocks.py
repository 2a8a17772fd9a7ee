"""Several observers of one drill, each with a clock of their own: brought together by the calls that both heard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.drill.log.lines import Entry, Log, shifted
from sim.model.errors import Problem, ScenarioError

SAME = 1.0  # two observers' times of one thing are this near, once their clocks agree [s]
LOOKED_AT = 400  # calls of each observer that an offset is sought from


@dataclass(frozen=True, slots=True)
class ObserverClock:
    """One observer's clock against the first observer's."""

    observer: str
    offset: float  # added to this observer's times [s]
    shared: int  # calls that both heard
    spread: float  # standard deviation of what is left between them [s]


def together(logs: Sequence[Log]) -> tuple[Log, list[ObserverClock]]:
    """The logs of one drill as one, on the clock of the observer who heard the most calls.

    Parameters
    ----------
    logs : sequence of Log
        Of one drill; each observer named in them has a clock of their own.

    Returns
    -------
    Log
        With every entry once.
    list of Clock
        How the clocks stood; empty where there is only one.

    Raises
    ------
    ScenarioError
        Two observers have no calls in common.
    """
    by_observer: dict[str, list[Entry]] = {}
    for n, log in enumerate(logs):
        for entry in log.entries:
            mark = entry.observer if entry.observer != log.name or len(logs) == 1 else f"{log.name} ({n + 1})"
            by_observer.setdefault(mark, []).append(entry)
    problems = [problem for log in logs for problem in log.problems]
    one = Log(" + ".join(log.name for log in logs), [], problems, max(log.tick for log in logs))
    if len(by_observer) < 2:
        one.entries = [entry for entries in by_observer.values() for entry in entries]
        return one, []
    heard = {name: calls_of(entries) for name, entries in by_observer.items()}
    first = max(heard, key=lambda name: len(heard[name]))
    kept, clocks = list(by_observer[first]), [ObserverClock(first, 0.0, len(heard[first]), 0.0)]
    for name, entries in by_observer.items():
        if name == first:
            continue
        clock = offset(name, heard[first], heard[name])
        if clock is None:
            what = f'the clocks of "{first}" and "{name}" do not go together: fewer than two calls that both heard'
            raise ScenarioError([Problem(one.name, what, "log the calls in every log of one drill")])
        clocks.append(clock)
        kept += new_ones(kept, shifted(entries, clock.offset))
    one.entries = sorted(kept, key=lambda entry: entry.time)
    return one, clocks


def calls_of(entries: Sequence[Entry]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """When calls were heard: shape (n,) [s]."""
    return np.array([entry.time for entry in entries if entry.what == "call"], dtype=np.float64)


def offset(name: str, first: np.ndarray, second: np.ndarray) -> ObserverClock | None:
    """How a second clock stands against the first, from the calls that both heard; some may have escaped either.

    The offset under which most of the second's calls fall on one of the first's; then the median of what is left.
    Of each the times of its calls, shape (n,) [s].
    """
    a, b = first[:LOOKED_AT], second[:LOOKED_AT]
    if not a.size or not b.size:
        return None
    apart = np.sort((a[:, None] - b[None, :]).ravel())
    votes = np.searchsorted(apart, apart + SAME, side="right") - np.arange(len(apart))
    best = int(np.argmax(votes))
    within = apart[best : best + int(votes[best])]
    guess = float(np.median(within))
    at = np.searchsorted(first, second + guess)
    near = [first[np.clip(at + k, 0, len(first) - 1)] - second for k in (-1, 0)]
    left = np.where(np.abs(near[0] - guess) < np.abs(near[1] - guess), near[0], near[1])
    left = left[np.abs(left - guess) <= SAME]
    if len(left) < min(2, len(first), len(second)):
        return None
    return ObserverClock(name, float(np.median(left)), len(left), float(np.std(left, ddof=1)) if len(left) > 1 else 0.0)


def new_ones(kept: Sequence[Entry], more: Sequence[Entry]) -> list[Entry]:
    """What the second observer saw and the first did not: the same thing within a second is the same."""
    seen: dict[tuple[str, str], list[float]] = {}
    for entry in kept:
        seen.setdefault(_key(entry), []).append(entry.time)
    times = {key: np.sort(np.array(values)) for key, values in seen.items()}
    return [entry for entry in more if _key(entry) not in times or _apart(times[_key(entry)], entry.time) > SAME]


def _key(entry: Entry) -> tuple[str, str]:
    return ("" if entry.what == "call" else " ".join(entry.who.lower().split()), entry.what)


def _apart(times: np.ndarray, time: float) -> float:
    at = int(np.searchsorted(times, time))
    return float(min(abs(times[k] - time) for k in (at - 1, at) if 0 <= k < len(times)))
