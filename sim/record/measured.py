"""One record, taken apart once: every place and side as lines through time, and what several measures ask of them.

Nothing here knows how the record was made: a simulated lift, a rehearsal and an observed drill are measured alike.
What it takes from the scenario is geometry (where the heads are, which side a place is on).
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from sim.model.devices import EXACT
from sim.model.motion import motion_of
from sim.model.scenario import Lifter, Scenario, Station
from sim.record.holding import Holding, Side
from sim.record.record import LEADER, Record
from sim.record.series import Array, Flags, PlaceSeries, Stretch, place_series, side_series
from sim.record.what import CALLS, SAID_CAUGHT, STANDS, What

Kind = Literal["passing", "standing", "made"]
KINDS: tuple[Kind, ...] = ("passing", "standing", "made")


@dataclass(frozen=True)
class Peak:
    """The largest of something: how much, when, and where."""

    value: float
    time: float
    where: str


class Measured:
    """One record, taken apart once for all the measures."""

    def __init__(self, record: Record) -> None:
        self.scenario: Scenario = record.scenario
        self.columns = record.columns
        self.motion = motion_of(self.scenario.load)
        self.places = place_series(self.columns)
        self.sides = side_series(self.columns)
        self.leader = self.columns.at(self.columns.who == LEADER)
        self.call_times = self._calls(CALLS)
        self.calls_before = int(self.columns.call[0])  # in the stages before, of a record that is of one stage
        self.words: list[str] = self.columns.what.tolist()  # of every row
        self._of_side = {name: rows.tolist() for name, rows in self.columns.by_side.items()}
        self._at_place = {name: rows.tolist() for name, rows in self.columns.by_station.items()}
        self.time = self.columns.time_s  # of every row [s]
        self.instants = np.unique(self.time)
        self.end = float(self.instants[-1])
        self.called = bool(self.calls_before or self.call_times.size)
        first = self.instants[:1] if self.calls_before else self.call_times
        self.first_call = float(first[0]) if self.called else self.end
        self._worked_out: dict[Hashable, Any] = {}

    def once(self, key: Hashable, work_out: Callable[[], Any]) -> Any:
        """What is worked out the first time that it is asked for, and kept for whoever asks again."""
        if key not in self._worked_out:
            self._worked_out[key] = work_out()
        return self._worked_out[key]

    def _calls(self, words: Sequence[str]) -> Array:
        """When the leader said one of these: shape (k,) [s]."""
        return self.leader.time_s[self.leader.says(*words)]

    @property
    def calls_up(self) -> Array:
        """When each call to raise was made: shape (k,) [s]."""
        return self._calls((What.CALLS, What.LEVELS))

    def of_a_side(self, whats: Sequence[str], *names: str) -> list[int]:
        """The numbers of the rows that say one of these at one of these sides, by their lifters' names."""
        return sorted(n for name in names for n in self._of_side.get(name, ()) if self.words[n] in whats)

    def at_a_place(self, whats: Sequence[str], name: str) -> list[int]:
        """The numbers of the rows that say one of these at a place."""
        return [n for n in self._at_place.get(name, ()) if self.words[n] in whats]

    def times_of(self, whats: Sequence[str], sides: Sequence[str]) -> Array:
        """When one of these happens at one of these sides: shape (k,) [s]."""
        return self.time[self.of_a_side(whats, *sides)]

    def call_at(self, time: float) -> int:
        """How many calls had been made by then."""
        return self.calls_before + int(np.searchsorted(self.call_times, time, side="right"))

    def holds(self) -> list[tuple[float, float, str]]:
        """Each hold: when it began, how long it lasted, and the station that was caught last."""
        found = []
        begun: float | None = None
        said = self.columns.at(self.columns.says(*SAID_CAUGHT))
        for time, what in zip(self.leader.time_s.tolist(), self.leader.what.tolist(), strict=True):
            if what == What.HOLDS:
                begun = time if begun is None else begun
            elif what in CALLS and begun is not None:
                last = int(np.searchsorted(said.time_s, time, side="right")) - 1
                whom = said.station[last] if last >= 0 and said.time_s[last] > begun else "not known"
                found.append((begun, time - begun, whom))
                begun = None
            elif what == What.STAGE_ENDS:  # the wait that ends a stage is none
                begun = None
        return found

    def made(self, place: PlaceSeries) -> list[Stretch]:
        """From when to when a place's gap is made: from a call down of a side of its own until that has come down."""
        where = next(w for w in self.scenario.places if w.name == place.name)
        sides = tuple(x.name for x in self.scenario.lifters if where.side in (x.side, "both"))
        found: list[Stretch] = self.once(("made", sides), lambda: [s for x in sides for s in self._called_down(x)])
        return found

    def _called_down(self, side: str) -> list[Stretch]:
        """From when to when a side was called down: from each call until it has come down."""
        ends = self.times_of((What.LET_DOWN,), (side,))
        begins = self.times_of((What.FREES,), (side,)).tolist()
        return [(begin, float(later[0]) if len(later := ends[ends > begin]) else np.inf) for begin in begins]

    def largest_gap(self, place: PlaceSeries, kind: Kind) -> Peak:
        """The largest gap of a kind at a place from the first call on."""
        peaks: dict[Kind, Peak] = self.once(("gaps", place.name), lambda: self._largest_gaps(place))
        return peaks[kind]

    def _largest_gaps(self, place: PlaceSeries) -> dict[Kind, Peak]:
        gap, late = place.gap(), place.call > 0  # its rows since the first call
        last = max(0, len(late) - int(np.count_nonzero(late)) - 1)
        stood = slice(last, last + 1)  # its last row before the first call
        times = np.concatenate([[self.first_call], place.time[late], place.time[late]])
        values = np.concatenate([gap.after[stood], gap.before[late], gap.after[late]])
        caught_before = np.concatenate([place.caught[:1], place.caught[:-1]])[late]
        caught_after, made = place.caught[late], np.zeros(len(times), dtype=bool)
        if stretches := self.made(place):
            landed = np.isin(place.time[late], [end for _, end in stretches])  # it is what it is once its side is down
            caught_after = np.where(landed, place.flag_after(place.caught, place.time[late]), caught_after)
            made = self._being_made(stretches, times, np.concatenate([[-1], place.call[late], place.call[late]]))
        caught = np.concatenate([place.caught[stood], caught_before, caught_after])
        keeps: dict[Kind, Flags] = {"passing": ~caught & ~made, "standing": caught & ~made, "made": made}
        return {
            kind: first_peak(values[keep], times[keep], place.name)
            if self.called and keep.any()
            else Peak(0.0, self.first_call, place.name)
            for kind, keep in keeps.items()
        }

    def _being_made(self, stretches: list[Stretch], times: Array, calls: NDArray[np.int64]) -> Flags:
        """Whether each gap is one that is made: the first and a half of the others just before these times [s].

        `calls`: how many calls had been made as each was written down.
        """
        before, after = during(stretches, times, before=True), during(stretches, times)
        before_it = calls < self.calls_before + np.searchsorted(self.call_times, times, side="right")
        called_down = np.isin(times, [begin for begin, _ in stretches]) & before_it  # it still stands, if it did
        after = np.where(called_down, strictly_during(stretches, times), after)
        return np.where(np.arange(len(times)) <= len(times) // 2, before, after)

    def stays(self, lost: Lifter) -> Lifter | None:
        """The lifter of the other side, if there is one."""
        return next((x for x in self.scenario.lifters if x.name != lost.name), None)

    def could_stop(self, lifter: Lifter, lifter_holds: bool) -> list[Lifter | Station]:
        """The places that could stop a side; with the lifter lost its own capture is gone too."""
        mine = [where for where in self.scenario.places if where.side in (lifter.side, "both")]
        return [where for where in mine if lifter_holds or not isinstance(where, Lifter)]

    def side(self, lifter: Lifter) -> Side:
        """U of a lifter's side and of the other one, and what all places that could stop it hold."""
        other = next((s for name, s in self.sides.items() if name != lifter.name), None)
        places = self.could_stop(lifter, lifter_holds=True)
        holds = [Holding(w, self.places[w.name], self.motion.line(w.head, w.base)) for w in places]
        return Side(self.sides[lifter.name], other, holds)

    def carries(self, where: Lifter | Station, twice: Array) -> NDArray[np.bool_]:
        """Whether the load came down onto a place and its side was not stroked since, before and after each instant.

        Parameters
        ----------
        where : Lifter or Station
            The place.
        twice : ndarray of shape (2m,)
            Each instant twice: before, and after [s].

        Returns
        -------
        ndarray of shape (2m,)
            Whether it carries, 0 or 1 times: only from settling or landing until the next stroke of a side of its own.
        """
        sides = tuple(x.name for x in self.scenario.lifters if where.side in (x.side, "both"))
        stretches = self.once(("stands", sides), lambda: self._settled(sides))
        before, after = during(stretches, twice[::2], before=True), during(stretches, twice[::2])
        return np.stack([before, after], axis=1).ravel()

    def _settled(self, sides: tuple[str, ...]) -> list[Stretch]:
        """From when to when the load stands on what holds these sides: from it came down to the next stroke of one."""
        strokes, begins = self.times_of((What.STROKES,), sides), self.times_of(STANDS, sides)
        begins[begins == self.instants[0]] = -np.inf  # there is nothing before
        ends = [float(later[0]) if len(later := strokes[strokes >= begin]) else np.inf for begin in begins]
        return list(zip(begins.tolist(), ends, strict=True))


def during(stretches: Sequence[Stretch], times: Array, before: bool = False) -> NDArray[np.bool_]:
    """Whether each of several times [s] is in one of these stretches, just after it, or just before: shape (n,)."""
    found = np.zeros(len(times), dtype=bool)
    for begin, end in stretches:
        found |= (times > begin) & (times <= end) if before else (times >= begin) & (times < end)
    return found


def strictly_during(stretches: Sequence[Stretch], times: Array) -> NDArray[np.bool_]:
    """Whether each of several times [s] is in one of these stretches, and not only as it begins or ends: shape (n,)."""
    found = np.zeros(len(times), dtype=bool)
    for begin, end in stretches:
        found |= (times > begin) & (times < end)
    return found


def first_peak(values: Array, times: Array, where: str) -> Peak:
    """The largest of values of shape (n,), at the first time [s] that it is reached."""
    reached = times[values > values.max() - EXACT]
    return Peak(float(values.max()), float(reached.min()), where)
