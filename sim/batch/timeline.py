"""What a call leaves to be measured: how all lifts stood at each of its instants, as plain arrays.

Between two instants of a lift everything runs evenly. Where something jumps, two instants have the same time: as it was
before, and as it was after. A lift in which nothing more happens stands at its last instant until the others are done.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.batch.parts.arrays import Array, Flags, These
from sim.batch.parts.layout import Layout
from sim.batch.parts.moment import Moment, captured, caught_places, hands_in


@dataclass(frozen=True, slots=True)
class Window:
    """All instants of one call, from the call to the next one (or the end)."""

    time: Array  # (instants, n), never falling [s]
    u: Array  # (instants, sides, n) [rad or m]
    demand: Array  # (instants, places, n) [m]
    held: Array  # (instants, places, n) what the place held of it, or of an open one, what it held last [m]
    open: Flags  # (instants, places, n) from this instant to the next
    caught: Flags  # (instants, places, n) from this instant to the next
    stands: Flags  # (instants, places, n) whether the load has settled onto it, from this instant to the next
    of_a_side: Flags  # (instants, n) whether an operator or a re-set made it
    hands: Flags  # (instants, places, n) hands are in, from this instant to the next; of no place: none has them in
    made: Flags  # (instants, sides, n) its gaps are made, from this instant to the next; of no side: nothing comes down

    @property
    def gap(self) -> Array:
        """Demand less held: (instants, places, n) [m]."""
        return self.demand - self.held


ROWS = 48  # of instants there is room for at first


class Timeline:
    """The instants so far, written row by row into arrays with room for more of them."""

    def __init__(self, layout: Layout, n: int) -> None:
        self.layout, self.count = layout, 0
        sides, places = (ROWS, len(layout.lifters), n), (ROWS, len(layout.places), n)
        self.room = Window(
            np.empty((ROWS, n)), np.empty(sides), np.empty(places), np.empty(places), np.empty(places, bool),
            np.empty(places, bool), np.empty(places, bool), np.empty((ROWS, n), bool),
            np.empty((ROWS, len(layout.places) if layout.hands else 0, n), bool),
            np.empty((ROWS, len(layout.lifters) if layout.comes_down else 0, n), bool),
        )  # fmt: skip

    def look_at(self, now: Moment, of_a_side: Flags | bool = False) -> None:
        """Keep how everything stands as one more instant."""
        if self.count == len(self.room.time):
            self.room = Window(*(np.concatenate([x, np.empty_like(x)]) for x in self._arrays()))
        held, is_open = captured(self.layout, now, now.held)
        row: tuple[Array | Flags | bool, ...] = (
            now.time, now.u, now.demand, held, is_open, caught_places(self.layout, now), now.stands, of_a_side,
            hands_in(self.layout, now), now.made[: self.room.made.shape[1]],
        )  # fmt: skip
        for room, what in zip(self._arrays(), row, strict=True):
            room[self.count] = what
        self.count += 1

    def window(self) -> Window:
        """All of them; they stay there until `goes_on`."""
        return Window(*(x[: self.count] for x in self._arrays()))

    def goes_on(self) -> None:
        """Begin anew where this ends."""
        for x in self._arrays():
            x[0] = x[self.count - 1]
        self.count = 1

    def of_some(self, these: These) -> Timeline:
        """A new one, of some of the lifts, that begins where this one does."""
        some = Timeline(self.layout, len(these))
        for new, old in zip(some._arrays(), self._arrays(), strict=True):
            new[0] = old[0][..., these]
        some.count = 1
        return some

    def _arrays(self) -> list[NDArray[Any]]:
        return [getattr(self.room, field.name) for field in fields(Window)]
