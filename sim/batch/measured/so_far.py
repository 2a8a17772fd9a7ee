"""What the lifts of a batch have come to so far: gaps and drops, brought up to date call by call."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim.batch.measured.drops import DropsSoFar, Loss
from sim.batch.measured.falling import Falling
from sim.batch.measured.gaps import GapsSoFar, see_gaps, see_levels, see_open, see_rams_only
from sim.batch.measured.hands import see_hands
from sim.batch.measured.ranked import FittedSide, Instants
from sim.batch.measured.stops import FIRST, SECOND, stop_at
from sim.batch.parts.arrays import Array, These, of_some
from sim.batch.parts.layout import Layout
from sim.batch.timeline import Window

AT_ONCE = 1024  # so many lifts are looked through at a time, so that their instants stay at hand
Which = tuple[str, int, int]  # what is lost, of which side, and FIRST or SECOND
Likely = dict[Which, tuple[Instants, Instants]]


@dataclass(frozen=True, slots=True)
class SoFar:
    """Gaps and drops of n lifts of one layout."""

    layout: Layout
    gaps: GapsSoFar
    losses: dict[str, list[Loss]]  # of each side
    drops: dict[str, list[tuple[DropsSoFar, DropsSoFar]]]  # of each side, FIRST and SECOND
    fitted: list[FittedSide]

    @classmethod
    def of(cls, layout: Layout, n: int) -> SoFar:
        """Nothing yet."""
        fitted = [FittedSide(layout, side) for side in range(len(layout.lifters))]
        losses = {
            "drop_lifter_lost": [Loss(Falling(layout, f.side, f.stations)) for f in fitted],
            "drop_pressure_lost": [Loss(Falling(layout, f.side, layout.places_of[f.side])) for f in fitted],
        }
        drops = {key: [(DropsSoFar.of(n), DropsSoFar.of(n)) for _ in each] for key, each in losses.items()}
        return cls(layout, GapsSoFar.of(len(layout.places), n), losses, drops, fitted)

    def of_these(self, these: These) -> SoFar:
        """The same of some lifts."""
        drops = {
            key: [(of_some(first, these), of_some(second, these)) for first, second in each]
            for key, each in self.drops.items()
        }
        return replace(self, gaps=of_some(self.gaps, these), drops=drops)

    def see(self, window: Window, call: int, next_call: Array) -> Array:
        """Take what a call has come to.

        Parameters
        ----------
        window : Window
            Its instants.
        call : int
            Its number; 0: before the first call.
        next_call : ndarray of shape (n,)
            When the next call goes out; infinite where none does [s].

        Returns
        -------
        ndarray of shape (n,)
            The largest gap of each lift [m].
        """
        slices = [slice(k, k + AT_ONCE) for k in range(0, len(next_call), AT_ONCE)]
        largest, found = zip(*(self._see_some(of_some(window, s), s, call, next_call[s]) for s in slices), strict=True)
        for key, losses in self.losses.items():
            for side, loss in enumerate(losses):
                for rank in (FIRST, SECOND):
                    likely = _together([each[key, side, rank] for each in found])
                    loss.see(self.drops[key][side][rank], window, rank, likely, call, next_call)
        return np.concatenate(largest)

    def _see_some(self, window: Window, some: slice, call: int, next_call: Array) -> tuple[Array, Likely]:
        """Take the gaps of some lifts; the largest gap of each, and where their drops may be the largest."""
        layout, gaps = self.layout, of_some(self.gaps, some)
        largest = see_gaps(layout, gaps, window, layout.scenario.leader.gap_limit, call, next_call)
        see_open(layout, gaps, window)
        see_hands(layout, gaps, window)
        u, found = window.u.swapaxes(0, 1), {}
        rises = [each.rises(u) for each in self.fitted]
        see_levels(layout, gaps, window, rises)
        for side, places in enumerate(layout.places_of):
            stops = {p: stop_at(layout, p, side, window.held[:, p], window.open[:, p], u) for p in places}
            see_rams_only(layout, gaps, window, side, stops)
            for key, ranked in zip(self.losses, self.fitted[side].ranked(window, stops, rises[side][0]), strict=True):
                for rank in (FIRST, SECOND):
                    best = self.drops[key][side][rank].drop[some]
                    likely = ranked.largest(rank, best)
                    found[key, side, rank] = likely[0].from_lift(some.start), likely[1].from_lift(some.start)
        return largest, found


def _together(each: list[tuple[Instants, Instants]]) -> tuple[Instants, Instants]:
    """Those of several slices of lifts."""
    events, takeovers = (
        Instants(np.concatenate([x.at for x in some]), np.concatenate([x.lift for x in some]))
        for some in zip(*each, strict=True)
    )
    return events, takeovers
