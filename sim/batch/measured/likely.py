"""About how far a side would drop at each instant of a call, so that only where it may be the largest is worked out.

How far a side drops depends on how far above first contact it is, and hardly on anything else: within a call the
story's own function (`sim/model/meeting.py`) is a + b x above + c x sqrt(above + d) to within a hundredth. That is
fitted to it, for each side and place, with how far it is off at the most; the largest drop of a lift is at an instant
where what is fitted comes within that of its largest (`ranked.py`).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from sim.batch.parts.arrays import Array
from sim.batch.parts.layout import Layout
from sim.model.devices import EXACT
from sim.model.loads import share_met
from sim.model.meeting import meet

START = -1  # in the place of a place: the side comes down to the start
NOWHERE = 10.0  # above a place that does not hold the side [rad or m]; less this: a drop where there is none [m]
SHARES = np.linspace(0.0, 1.0, 9)


@dataclass(slots=True)
class Fitted:
    """How far a side drops onto one place, for how far above first contact it is; fitted anew when that is needed."""

    layout: Layout
    side: int
    place: int
    low: Array = field(default_factory=lambda: np.zeros(2))  # of u of this side and of the other, where it was fitted
    high: Array = field(default_factory=lambda: np.full(2, -1.0))  # [rad or m]
    furthest: float = 0.0  # above first contact, where it was fitted [rad or m]
    factors: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)  # a, b, c, d
    error: float = 0.0  # off by so much at the most [m]

    def drops(self, between: tuple[Array, Array], above: Array) -> Array:
        """About how far the side would drop: (instants, n) [m].

        Parameters
        ----------
        between : two ndarrays of shape (2,)
            The least and the largest that this side's u is, and that of the other one [rad or m].
        above : ndarray of shape (instants, n)
            How far above first contact this side is [rad or m].
        """
        (low, high), furthest = between, float(above.max())
        if (low + EXACT < self.low).any() or (high > self.high).any() or furthest > self.furthest:
            self._fit(low, high, furthest)
        a, b, c, d = self.factors
        found = np.sqrt(above + d)
        found *= c
        found += b * above
        found += a
        return found

    def _fit(self, low: Array, high: Array, furthest: float) -> None:
        """Fit it over somewhat more than these ranges of u (2,) [rad or m]."""
        margin = 0.1 * (high - low) + 2 * EXACT
        self.low, self.high, self.furthest = np.maximum(EXACT, low - margin), high + margin, 1.1 * furthest + 2 * EXACT
        mine, other = (a + (b - a) * SHARES[::2] for a, b in zip(self.low, self.high, strict=True))
        u, about, above = (x.ravel() for x in np.meshgrid(mine, other, self.furthest * SHARES**2))
        above, lowest = u if self.place == START else np.minimum(above, u), self._rise(u)
        near, drop = self._near(u, about), self._drop(u, about, above)
        terms = np.stack([np.ones_like(above), above, np.sqrt(above + near)])
        free = drop < lowest - EXACT  # else it comes down to the start, and not as far as that gives
        free |= self.place == START
        found: Array = (
            np.linalg.lstsq(terms.T[free], drop[free])[0] if free.sum() > len(terms) else np.array([NOWHERE, 0, 0])
        )
        self.factors = (float(found[0]), float(found[1]), float(found[2]), near)
        self.error = 1.5 * float(np.abs(np.minimum(found @ terms, lowest) - drop).max()) + 10 * EXACT

    def _near(self, u: Array, other: Array) -> float:
        """How far above contact a side falls by half of what the place gives at rest, about [rad or m]."""
        return float((self._drop(u, other, 0.0 * u) / self._rise(u) * u).max()) / 4

    def _rise(self, u: Array) -> Array:
        """How far the head has risen at u (k,) [m]."""
        return self.layout.motion.rise(self.layout.lifters[self.side].head, u)

    def _drop(self, u: Array, other: Array, above: Array) -> Array:
        """How far the side drops (k,) [m]."""
        layout, lifter = self.layout, self.layout.lifters[self.side]
        if self.place == START:
            return self._rise(u)
        where, stays = layout.places[self.place], None
        if len(layout.lifters) > 1:
            stays = layout.lifters[1 - self.side]
        share = share_met(layout.scenario.load, lifter, stays, where)
        about = other if stays else None
        return meet(layout.scenario.load, layout.motion, lifter, share, where, u, u - above, about).drop
