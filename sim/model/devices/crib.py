"""Cribbing: timber piled under the load, the largest piece that fits, wedges for what is left."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import ClassVar, Literal

from sim.model.devices.protocol import EXACT, Held, Step, Task
from sim.model.draw import Draw


@dataclass(frozen=True, slots=True)
class Timber:
    """What a crib is built of, for the checks; the lift itself only needs the heights of the pieces."""

    side: float | None = None  # actual width of a timber [m]
    per_layer: int = 2
    length: float | None = None  # of a timber [m]
    species: str = ""
    wet: bool = False


@dataclass(frozen=True, slots=True)
class Crib:
    """A crib beside a strut, or under the load. It starts in contact: no slack. Pieces are only added."""

    name: str
    pieces: tuple[float, ...]  # heights of the pieces at hand, any number of each [m]
    place: Draw  # one piece [s]
    wedge: float = 0.0  # the most that a pair of wedges fills [m]
    drive: Draw = Draw(0.0)  # a pair of wedges [s]
    react: Draw = Draw(0.0)  # [s]
    wedge_out: Literal["held", "open"] = "held"
    timber: Timber = Timber()
    chases: None = None
    kind: ClassVar[str] = "crib"

    @property
    def finest(self) -> float:
        """The lowest piece [m]."""
        return min(self.pieces)

    @property
    def ends_at(self) -> float:
        """There is always another piece: infinite [m]."""
        return inf

    def at_start(self, slack: float) -> Held:
        """In contact, whatever the slack of the tie beside it."""
        return Held(0.0)

    def added(self, held: Held, demand: float) -> list[float]:
        """The pieces that fit between the top of the pile and the demand, the largest first [m]."""
        fits: list[float] = []
        left = demand - held.pile
        for piece in sorted(self.pieces, reverse=True):
            while piece <= left + EXACT:
                fits.append(piece)
                left -= piece
        return fits

    def reach(self, held: Held, demand: float) -> float:
        """The pile with what fits, and wedges for what is left; never less than the wedges hold [m]."""
        pile = held.pile + sum(self.added(held, demand))
        return max(held.captured, min(pile + self.wedge, max(pile, demand)))

    def steps(self, held: Held, demand: float) -> tuple[Step, ...]:
        """Piece by piece, then the wedges. The old wedges hold until the new ones are in, or are drawn first."""
        drawn = self.wedge_out == "open"
        keeps = held.pile if drawn else held.captured
        pile = held.pile
        steps = []
        for piece in self.added(held, demand):
            then = pile + piece
            meanwhile, held_then = (Held(max(keeps, level), pile=level) for level in (pile, then))
            steps.append(Step(Task.PLACE, self.place, held_then, meanwhile, hands=True))
            pile = then
        wedged = min(pile + self.wedge, demand)
        if wedged > pile + EXACT:
            meanwhile = Held(max(keeps, pile), pile=pile)
            steps.append(Step(Task.DRIVE, self.drive, Held(wedged, pile=pile), meanwhile, hands=True))
        return tuple(steps)

    def seconds_a_call(self, gives: float) -> float:
        """Pieces of the mean height, and the wedges anew [s]."""
        pieces = gives / (sum(self.pieces) / len(self.pieces))
        return self.react.mean + pieces * self.place.mean + (self.drive.mean if self.wedge > 0 else 0.0)
