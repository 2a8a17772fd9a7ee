"""The people of many replications: the numbers that `sim/model/chance.py` gives one lift, a whole tile at a time."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from sim.batch.alike import Times
from sim.batch.parts.arrays import Array, Flags, These
from sim.model.chance import BLOCK, TILE, beta_at, lognormal, read_tile
from sim.model.draw import Draw

_FAR, _STEPS = 8.6, 8192  # a beta's quantiles are tabled from -8.6 to 8.6 standard deviations of a normal


class BatchPeople:
    """Where the batch gets its human times from: replications `first` to `first + n` of one block.

    Where there are several ways, the same people once more for each, with the times that are theirs in it.
    """

    def __init__(self, seed: int, first: int, n: int, ways: int = 1, times: Times | None = None) -> None:
        self.seed, self.n, self.times = seed, n, times or {}
        self.block, self.first = divmod(first, BLOCK)
        if self.first + n > BLOCK:
            raise ValueError(f"{n} replications from {first} on lie in more than one block of {BLOCK}")
        self.replication: These = np.tile(np.arange(n), ways)  # of those who still go on
        self.way = np.repeat(np.arange(ways), n)
        self._tiles: dict[tuple[str, str], tuple[int, Array]] = {}
        self._drawn: dict[tuple[str, str, int], Array] = {}
        self._call = 0

    def draw(self, person: str, quantity: str, of: Draw, call: int, device: int = -1) -> float | Array:
        """Everyone's value of the quantity, at a device, in this call: (n,); one number where it never differs."""
        key = (person, quantity, device)
        if of.sd == 0 and key not in self.times:
            return of.mean
        if call != self._call:
            self._drawn.clear()
            self._call = call
        if key not in self._drawn:
            self._drawn[key] = self._draw(person, quantity, of, call, self.times.get(key))
        return self._drawn[key]

    def _draw(self, person: str, quantity: str, of: Draw, call: int, ways: tuple[Draw, ...] | None) -> Array:
        from scipy.special import ndtri

        z = ndtri(self.uniform(person, quantity, call))
        if ways is not None:
            return self._draw_of_each(z, ways)
        if quantity == "fill":
            return _interpolated(z, *_beta_table(of.mean, of.sd))
        mu, sigma = lognormal(of.mean, of.sd)
        return np.exp(mu + sigma * z)  # type: ignore[no-any-return]

    def _draw_of_each(self, z: Array, ways: tuple[Draw, ...]) -> Array:
        shape = np.array([lognormal(way.mean, way.sd) if way.sd > 0 else (0.0, 0.0) for way in ways])
        fixed = np.array([way.mean if way.sd == 0 else np.nan for way in ways])[self.way]
        mu, sigma = shape[self.way].T
        return np.where(np.isnan(fixed), np.exp(mu + sigma * z), fixed)

    def happens(self, person: str, quantity: str, chance: float, call: int) -> Flags | None:
        """To whom something with this chance happens in this call; None: to nobody."""
        return self.uniform(person, quantity, call) < chance if chance > 0 else None

    def uniform(self, person: str, quantity: str, call: int) -> Array:
        """A number between 0 and 1 each."""
        tile, within = divmod(call, TILE)
        number, numbers = self._tiles.get((person, quantity), (-1, np.empty(0)))
        if number != tile:
            read = read_tile(self.seed, self.block, person, quantity, tile, self.first, self.n)
            numbers = np.ascontiguousarray(read.T)
            self._tiles[person, quantity] = tile, numbers
        return numbers[within][self.replication]  # type: ignore[no-any-return]

    def keep(self, these: These) -> None:
        """Leave out all lifts but these."""
        self._drawn.clear()
        self.replication, self.way = self.replication[these], self.way[these]


@cache
def _beta_table(mean: float, sd: float) -> tuple[Array, Array]:
    """A beta's quantiles, and their slopes, at even steps of the normal deviate with the same probability."""
    from scipy.special import betainccinv, ndtr

    z = np.linspace(-_FAR, _FAR, _STEPS + 1)
    spread = mean * (1 - mean) / sd**2 - 1
    low = np.asarray(beta_at(ndtr(z), Draw(mean, sd)))
    high = betainccinv(mean * spread, (1 - mean) * spread, ndtr(-z))
    value: Array = np.where(z < 0, low, high)
    slope: Array = np.gradient(value, z, edge_order=2)
    slope[2:-2] = (value[:-4] - 8 * value[1:-3] + 8 * value[3:-1] - value[4:]) / (12 * (z[1] - z[0]))
    return value, slope


def _interpolated(z: Array, value: Array, slope: Array) -> Array:
    """Cubic Hermite: exact to 1e-11, at a fiftieth of the price of inverting the beta."""
    step = 2 * _FAR / _STEPS
    place = (z + _FAR) / step
    left = np.clip(place.astype(np.int64), 0, _STEPS - 1)
    s = place - left
    v0, v1, d0, d1 = value[left], value[left + 1], slope[left] * step, slope[left + 1] * step
    rise = v1 - v0
    result: Any = v0 + s * (d0 + s * (3 * rise - 2 * d0 - d1 + s * (d0 + d1 - 2 * rise)))
    return np.clip(result, 0.0, 1.0)  # type: ignore[no-any-return]
