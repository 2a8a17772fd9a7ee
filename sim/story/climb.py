"""How what collars hold changed between two events, and where that line bends on its way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import inf
from typing import NamedTuple

from sim.model.devices import EXACT
from sim.record.what import What
from sim.story.now import DeviceNow, PlaceNow


@dataclass(frozen=True, slots=True)
class Climb:
    """How what a device holds changed between two events: from a level at a rate, until it met the load."""

    d: DeviceNow
    level: float  # at the start [m]
    rate: float  # [m/s]
    met: float  # [s] after the start; from then on it stays with the load

    def at(self, after: float) -> float:
        """What it held so many seconds after the start, before it met the load [m]."""
        return self.level + self.rate * after

    def overtakes(self, other: Climb) -> float:
        """When it came to hold more than the other [s]; infinite if it did not, or not before either met the load."""
        if not (self.level < other.level and self.rate > other.rate):
            return inf
        after = (other.level - self.level) / (self.rate - other.rate)
        return after if after < min(self.met, other.met) else inf


class Kink(NamedTuple):
    """Where what a place holds begins to grow otherwise, no stroke ending there."""

    after: float  # [s] after the last event
    d: DeviceNow  # the collar that ends or meets the load; what holds more from then on
    what: What
    demand: float  # [m]
    level: float  # what the place holds then [m]


def kinks(place: PlaceNow, climbs: Sequence[Climb], demand: float, rate: float) -> Iterator[Kink]:
    """Where a collar met the load on its way, and where it overtook what another device of the place holds.

    Parameters
    ----------
    place : PlaceNow
        As it stands at the end of the stretch.
    climbs : sequence of Climb
        The collars that were being turned.
    demand, rate : float
        Demand at the start of the stretch [m], and how fast it grew [m/s].
    """
    for c in climbs:
        if c.met > 0 and place.captured <= c.d.captured:
            met = demand + rate * c.met
            yield Kink(c.met, c.d, What.MEETS, met, met)
    if len(place.devices) == 1:
        return
    holding = [*climbs, *(Climb(d, d.captured, 0.0, inf) for d in place.devices if not d.climb and not d.open)]
    for a in holding:
        for b in holding:
            after = inf if a is b else a.overtakes(b)
            if after < inf and a.at(after) > max(x.at(after) for x in holding) - EXACT:
                yield Kink(after, a.d, What.OVERTAKES, demand + rate * after, a.at(after))
