"""Cribbing: timber piled under the load, the largest piece that fits, wedges for what is left."""

from __future__ import annotations

from dataclasses import dataclass, replace
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
    """A crib beside a strut, or under the load. It starts in contact: no slack.

    Pieces are only added, each chosen by the demand when it is begun; with `swap_up` those on top are taken off for a
    larger one once the space has grown to take it, if the timber then stands no lower. The pile is open meanwhile, and
    a swap that has been begun is finished.
    """

    name: str
    pieces: tuple[float, ...]  # heights of the pieces at hand, any number of each [m]
    place: Draw  # one piece [s]
    wedge: float = 0.0  # the most that a pair of wedges fills [m]
    drive: Draw = Draw(0.0)  # a pair of wedges [s]
    react: Draw = Draw(0.0)  # [s]
    wedge_out: Literal["held", "open"] = "held"
    timber: Timber = Timber()
    layer: int = 1  # how many pieces are placed, one after another, before the pile is higher by one
    swap_up: bool = False
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
        if self.swap_up:
            planned = self.steps(held, demand)
            return max(held.captured, planned[-1].then.captured if planned else 0.0)
        pile = held.pile + sum(self.added(held, demand))
        return max(held.captured, min(pile + self.wedge, max(pile, demand)))

    def steps(self, held: Held, demand: float) -> tuple[Step, ...]:
        """Piece by piece, then the wedges. The old wedges hold until the new ones are in, or are drawn first."""
        planned: list[Step] = []
        if self.wedge_out == "open":
            held = replace(held, captured=held.pile)
        while more := self._next(held, demand):
            planned += more
            held = more[-1].then
        return tuple(planned)

    def _next(self, held: Held, demand: float) -> tuple[Step, ...]:
        """What comes next: a swap, the largest piece that fits, or wedges for what is left."""
        if self.swap_up and (swap := self._swap(held, demand)):
            return swap
        fits = self.added(held, demand)
        if fits:
            return (self._placed(held, held.pile + fits[0], (*held.pieces, fits[0])),)
        return self._wedged(held, demand)

    def _wedged(self, held: Held, demand: float) -> tuple[Step, ...]:
        """Wedges for what is left, if they would hold more than what is there."""
        wedged = min(held.pile + self.wedge, demand)
        if wedged > max(held.captured, held.pile) + EXACT:
            return (Step(Task.DRIVE, self.drive, replace(held, captured=wedged), held, hands=True),)
        return ()

    def tightened(self, held: Held, demand: float) -> float:
        """The pile as it is, with its wedges driven as far as they go [m]."""
        return max(held.captured, min(held.pile + self.wedge, demand))

    def tighten(self, held: Held, demand: float) -> tuple[Step, ...]:
        """The wedges, no piece."""
        return self._wedged(replace(held, captured=held.pile) if self.wedge_out == "open" else held, demand)

    def let_down(self, held: Held, to: float) -> tuple[Step, ...]:
        """Wedges drawn, pieces off the top until the pile is low enough, what still fits put back, wedges for the rest.

        A piece, or a wedge, holds nothing any more from its first touch; the pile under it does.
        """
        planned: list[Step] = []
        if held.captured > held.pile + EXACT:
            held = replace(held, captured=held.pile)
            planned.append(Step(Task.DRIVE, self.drive, held, held, hands=True))
        while held.pile > to + EXACT:
            level = held.pile - held.pieces[-1]
            held = Held(level, pile=level, pieces=held.pieces[:-1])
            planned.append(Step(Task.PLACE, self.place, held, held, hands=True, times=self.layer))
        for piece in self.added(held, to):
            on = self._placed(held, held.pile + piece, (*held.pieces, piece))
            planned.append(replace(on, anew=False))
            held = on.then
        return (*planned, *self._wedged(held, to))

    def _placed(self, held: Held, level: float, pieces: tuple[float, ...]) -> Step:
        """A piece is put on the pile."""
        then = Held(max(held.captured, level), pile=level, pieces=pieces)
        meanwhile = replace(held, captured=max(held.captured, held.pile))
        return Step(Task.PLACE, self.place, then, meanwhile, hands=True, times=self.layer, anew=True)

    def _swap(self, held: Held, demand: float) -> tuple[Step, ...]:
        """Wedges drawn, the pieces on top that a larger one replaces taken off, and that one put on; empty: none."""
        for piece in sorted(self.pieces, reverse=True):
            kept, level = list(held.pieces), held.pile
            while kept and kept[-1] < piece - EXACT and level + piece > demand + EXACT:
                level -= kept.pop()
            if level + piece > demand + EXACT:
                continue
            off = len(held.pieces) - len(kept)
            larger = level + piece
            if not off or self._timber(larger, demand) < self._timber(held.pile, demand) - EXACT:
                return ()  # it fits on top as it is, or the smaller ones get higher
            takes = self._open(Task.PLACE, self.place, held, held, self.layer)
            draws = (self._open(Task.DRIVE, self.drive, held, held),) if held.captured > held.pile + EXACT else ()
            on = replace(takes, then=Held(larger, pile=larger, pieces=(*kept, piece)), anew=True)
            return (*draws, *[takes] * off, on)
        return ()

    def _open(self, doing: Task, takes: Draw, held: Held, then: Held, times: int = 1) -> Step:
        """A step with the pile open, and hands in."""
        return Step(doing, takes, then, held, open=True, hands=True, times=times)

    def _timber(self, pile: float, demand: float) -> float:
        """How high the timber would stand with all that fits on a pile [m]."""
        return pile + sum(self.added(Held(pile, pile=pile), demand))

    def seconds_a_call(self, gives: float) -> float:
        """Pieces of the mean height, and the wedges anew [s]."""
        pieces = self.layer * gives / (sum(self.pieces) / len(self.pieces))
        return self.react.mean + pieces * self.place.mean + (self.drive.mean if self.wedge > 0 else 0.0)
