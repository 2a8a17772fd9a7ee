"""A lift that a person calls: the story of `lift.py`, its leader replaced by one who waits for the person's word.

    rehearsal = Rehearsal(scenario, Crew(seed))
    rehearsal.advance(3.2)      # let the crew act until 3.2 s
    rehearsal.call()            # the person calls; or call("left lifter"), end(), stop(), seen("slow", "left strut")

On the way down a call goes in three words, each once what was asked for before it is done: up (clear of what it rests
on), room, down. All three are `call()`; `rehearsal.lift.asks` says which is due.

Who drives it decides how fast its time goes: `wall_clock.py` for a person, nothing at all for a script. To hold is not
to call, so a hold is written down where the rule would have held: at the look that the person let go by.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from math import inf
from typing import Any

import simpy

from sim.model.chance import Chance
from sim.model.scenario import Scenario
from sim.record.record import Book, Record
from sim.record.what import Outcome, What
from sim.rehearsal.person_led import ALL, PersonLed
from sim.rehearsal.surprises import Surprise, short_pumps, surprised
from sim.story.clock import LOOKS, on_grid
from sim.story.lift import Lift
from sim.story.site import Site

NOTHING = "nothing"  # what was seen when nothing was


@dataclass(frozen=True, slots=True)
class Stop:
    """One use of the stop key, and what the leader said had been seen."""

    time: float
    seconds: float
    what: str  # a kind of surprise, "gap" or NOTHING
    where: str


class Rehearsal:
    """One lift under a person's call, from start to end."""

    def __init__(self, scenario: Scenario, crew: Chance, surprises: Iterable[Surprise] = ()) -> None:
        self.as_written = scenario
        self.surprises = list(surprises)
        self.chance = short_pumps(crew, self.surprises)
        self.scenario = surprised(scenario, self.surprises)
        self.book = Book()
        self.lift = PersonLed(Site(self.scenario, self.chance, self.book))
        self.stops: list[Stop] = []
        self.handed_over: list[float] = []  # when somebody else took the calling over [s]
        self.frozen_at: float | None = None
        self.broken_off = ""  # why, if it was
        self.lift.set_going()

    # --- time

    @property
    def now(self) -> float:
        """The time of the last thing that happened [s]."""
        return self.lift.env.now

    @property
    def due(self) -> float:
        """When the next thing happens; infinite when all wait for the leader, or stand frozen [s]."""
        return inf if self.over or self.frozen_at is not None else self.lift.env.peek()

    @property
    def over(self) -> bool:
        """Whether the lift has ended."""
        return bool(self.broken_off) or not self.lift.people.leader.is_alive

    def advance(self, to: float) -> None:
        """Let everything happen that is due by then."""
        while self.due <= to:
            self.lift.env.step()

    # --- the person

    def call(self, side: str = ALL, at: float | None = None) -> str:
        """Call all, or one lifter; why not, if nobody could hear it."""
        if side != ALL and all(side != x.name for x in self.scenario.lifters):
            return f"there is no {side}"
        why_not = self._why_not(at)
        if why_not or not self.lift.all_ready:
            return why_not or self.lift.busy

        def said(_: simpy.Event) -> None:
            self.lift.word = side
            self.lift.site.wake_leader()

        return self._say(said, at)

    def end(self, at: float | None = None) -> str:
        """The person judges that it is enough; why not, if that cannot be said now."""
        why_not = self._why_not(at)
        if why_not:
            return why_not

        def said(_: simpy.Event) -> None:
            self.lift.ends = True
            self.lift.site.wake_leader()

        return self._say(said, at)

    def stop(self, at: float | None = None) -> str:
        """Everybody freezes until the leader has said what was seen."""
        self.advance(self._at(at))
        if self.over or self.frozen_at is not None:
            return "nothing to stop"
        self._say(lambda _: self.lift.mishaps.freezes(), at)
        self.frozen_at = self.now
        return ""

    def seen(self, what: str, where: str, at: float | None = None) -> str:
        """What was seen when stop was called; everybody goes on."""
        if self.frozen_at is None:
            return "nobody has called stop"
        start, self.frozen_at = self.frozen_at, None
        seconds = on_grid(max(0.0, self._at(at) - start))
        self.stops.append(Stop(start, seconds, what, where))
        self.lift.mishaps.put_off(seconds)
        why_not = self._say(lambda _: self.lift.mishaps.resumes(), start + seconds)
        if what == "false-caught":
            self._check_again(where)
        return why_not

    def bring_in(self, kind: Any, who: str, at: float | None = None) -> Surprise:
        """A surprise brought in by hand: from the next call on."""
        self.advance(self._at(at))
        surprise = Surprise(kind, who, self.lift.site.call + 1, by_hand=True)
        self.surprises.append(surprise)
        mishap = surprise.mishap()
        if mishap is not None:
            self.lift.mishaps.all += (mishap,)
        if kind == "short":
            self.chance.since.setdefault(who, surprise.call)
        return surprise

    def break_off(self, why: str, at: float | None = None) -> None:
        """Nobody leads it any more: it ends as it stands, unless it has ended."""
        self.advance(self._at(at))
        if self.over:
            return
        if self.frozen_at is None:
            self._say(lambda _: self.lift.mishaps.stand_still(), at)
        self.broken_off = f"broken off: {why}"
        self.lift.say(What.STOPPED, self.broken_off)

    def record(self, seed: int, replication: int = 0, fixed: bool = False) -> Record:
        """The lift as it went, once it is over."""
        assert self.over
        ended = (Outcome.STOPPED, self.broken_off) if self.broken_off else self.lift.people.leader.value
        outcome, reason = ended  # type: ignore[misc]
        return Record(self.as_written, self.book.columns(), outcome, reason, seed, replication, fixed)

    def run_by_the_rule(self, seed: int, replication: int = 0, fixed: bool = False) -> Record:
        """The same people and surprises under a leader who keeps the rule."""
        by_the_rule = replace(self.as_written, leader=replace(self.as_written.leader, rule="stop-until-caught"))
        book = Book()
        crew = short_pumps(self.chance.crew, self.surprises)
        outcome, reason = Lift(Site(surprised(by_the_rule, self.surprises), crew, book)).run()
        return Record(by_the_rule, book.columns(), outcome, reason, seed, replication, fixed)

    # --- how a word reaches the lift

    def _at(self, at: float | None) -> float:
        return self.now if at is None else max(self.now, on_grid(at))

    def _why_not(self, at: float | None) -> str:
        if self.frozen_at is not None:
            return "everybody is frozen"
        self.advance(self._at(at))
        if self.over:
            return "the lift is over"
        return "" if self.lift.asks else self.lift.under_way

    def _say(self, said: Callable[[simpy.Event], None], at: float | None) -> str:
        env, when = self.lift.env, self._at(at)
        word = env.event()
        word._ok, word._value = True, None
        assert word.callbacks is not None
        word.callbacks.append(said)
        env.schedule(word, LOOKS, when - env.now)
        self.advance(when)
        return ""

    def _check_again(self, where: str) -> None:
        """A catcher who was told so goes back to a station that was said to be caught and is not."""
        site = self.lift.site
        for d in site.devices:
            if d.place.name == where and d.catcher in site.false_reports:
                site.false_reports.discard(d.catcher)
                d.caught = False
                site.wake(d.catcher)
        self.advance(self.now)
