"""What goes wrong in a rehearsal without being announced, drawn by seed: is it noticed, and how fast?

They are the scenario's own mishaps (`slow`, `missed`, `false-caught`) and two more that only a rehearsal has: a pump
that has become `short`, and a tie that had `slack` from the start.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Literal, get_args

import numpy as np

from sim.model.chance import Chance
from sim.model.devices.protocol import on_a_strut
from sim.model.draw import Draw
from sim.model.scenario import Mishap, Scenario

Kind = Literal["slow", "missed", "short", "slack", "false-caught"]
KINDS: tuple[Kind, ...] = get_args(Kind)
BY_HAND: tuple[Kind, ...] = ("slow", "missed", "short", "false-caught")  # slack is there from the start or not at all
SLOWER = 2.5  # times as long, from then on
SHORTER = 0.5  # share of its strokes that a short pump still delivers
LEAST_SLACK = 0.010  # [m]
MOST = 3  # surprises in one rehearsal
STREAM = 9  # keeps these draws apart from those of the crew


@dataclass(frozen=True, slots=True)
class Surprise:
    """One thing that goes wrong, with whom, and from which call on."""

    kind: Kind
    who: str  # a catcher (slow, false-caught), a lifter (missed, short), a station (slack)
    call: int
    by_hand: bool = False

    def mishap(self) -> Mishap | None:
        """The same as the scenario would say it; None for what a scenario has no word for."""
        if self.kind in ("short", "slack"):
            return None
        return Mishap(self.kind, self.call, self.who, factor=SLOWER)  # type: ignore[arg-type]


@dataclass(slots=True)
class ShortPumps:
    """A crew some of whose pumps deliver less, each from a call on; otherwise the same people."""

    crew: Chance
    since: dict[str, int] = field(default_factory=dict)  # lifter -> call

    def draw(self, person: str, quantity: str, of: Draw, call: int) -> float:
        """The crew's own value; of a short pump's fill, a part."""
        value = self.crew.draw(person, quantity, of, call)
        short = quantity == "fill" and person in self.since and call >= self.since[person]
        return value * SHORTER if short else value

    def happens(self, person: str, quantity: str, chance: float, call: int) -> bool:
        """As with the crew."""
        return self.crew.happens(person, quantity, chance, call)


def draw_surprises(scenario: Scenario, seed: int, calls: int) -> tuple[Surprise, ...]:
    """Up to three surprises of different kinds for a lift of about so many calls: the same seed, the same surprises."""
    chance = np.random.Generator(np.random.Philox(key=np.array([seed, STREAM], dtype=np.uint64)))
    found: list[Surprise] = []
    for kind in chance.permutation(np.array(KINDS)).tolist():
        whom = possible(scenario, kind)
        first = 2 if calls > 2 else 1
        call = 0 if kind == "slack" else int(chance.integers(first, max(first + 1, calls)))
        pick = int(chance.integers(len(whom))) if whom else 0
        if whom and len(found) < MOST:
            found.append(Surprise(kind, whom[pick], call))
    return tuple(found)


def possible(scenario: Scenario, kind: str) -> list[str]:
    """Whom a surprise can happen to in this scenario."""
    if kind in ("missed", "short"):
        return [x.name for x in scenario.lifters]
    if kind == "slack":
        return [x.name for x in scenario.stations if x.tie is not None and on_a_strut(x.capture)]
    return list(dict.fromkeys(c for where in scenario.places for c in where.catchers))


def where(scenario: Scenario, surprise: Surprise) -> list[str]:
    """The places, or the lifter, that a leader who has seen it may name."""
    if surprise.kind in ("missed", "short", "slack"):
        return [surprise.who]
    return [where.name for where in scenario.places if surprise.who in where.catchers]


def surprised(scenario: Scenario, surprises: Iterable[Surprise]) -> Scenario:
    """The scenario with its surprises in it, as far as a scenario can say them."""
    surprises = tuple(surprises)
    mishaps = tuple(m for m in (s.mishap() for s in surprises) if m is not None)
    slack = {s.who for s in surprises if s.kind == "slack"}
    more = max(LEAST_SLACK, 3 * scenario.leader.gap_limit)
    stations = tuple(
        replace(x, tie=replace(x.tie, slack=x.tie.slack + more)) if x.name in slack and x.tie else x
        for x in scenario.stations
    )
    return replace(scenario, mishaps=scenario.mishaps + mishaps, stations=stations)


def short_pumps(crew: Chance, surprises: Iterable[Surprise]) -> ShortPumps:
    """The crew with the pumps that become short."""
    return ShortPumps(crew, {s.who: s.call for s in surprises if s.kind == "short"})
