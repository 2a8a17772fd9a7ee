"""What a call leaves to be measured: how all lifts stood at each of its instants, as plain arrays.

Between two instants of a lift everything runs evenly. Where something jumps, two instants have the same time: as it was
before, and as it was after. A lift in which nothing more happens stands at its last instant until the others are done.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from sim.batch.parts.arrays import Array, Flags, These
from sim.batch.parts.layout import Layout
from sim.batch.parts.moment import Moment, captured, caught_places


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

    @property
    def gap(self) -> Array:
        """Demand less held: (instants, places, n) [m]."""
        return self.demand - self.held


@dataclass(slots=True)
class Timeline:
    """The instants so far, each as the arrays that `Window` stacks."""

    time: list[Array] = field(default_factory=list)
    u: list[Array] = field(default_factory=list)
    demand: list[Array] = field(default_factory=list)
    held: list[Array] = field(default_factory=list)
    open: list[Flags] = field(default_factory=list)
    caught: list[Flags] = field(default_factory=list)
    stands: list[Flags] = field(default_factory=list)
    of_a_side: list[Flags] = field(default_factory=list)

    def look_at(self, layout: Layout, now: Moment, of_a_side: Flags | None = None) -> None:
        """Keep how everything stands as one more instant."""
        held, is_open = captured(layout, now, now.held)
        self.time.append(now.time)
        self.u.append(now.u.copy())
        self.demand.append(now.demand.copy())
        self.held.append(held)
        self.open.append(is_open.copy())
        self.caught.append(caught_places(layout, now).copy())
        self.stands.append(now.stands.copy())
        self.of_a_side.append(np.zeros(len(now.time), bool) if of_a_side is None else of_a_side)

    def window(self) -> Window:
        """All of them."""
        return Window(
            np.stack(self.time), np.stack(self.u), np.stack(self.demand), np.stack(self.held), np.stack(self.open),
            np.stack(self.caught), np.stack(self.stands), np.stack(self.of_a_side),
        )  # fmt: skip

    def goes_on(self, these: These) -> Timeline:
        """A new one, of some of the lifts, that begins where this one ends."""
        return Timeline(
            [self.time[-1][..., these]], [self.u[-1][..., these]], [self.demand[-1][..., these]],
            [self.held[-1][..., these]], [self.open[-1][..., these]], [self.caught[-1][..., these]],
            [self.stands[-1][..., these]], [self.of_a_side[-1][..., these]],
        )  # fmt: skip
