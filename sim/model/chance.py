"""Human times that differ from call to call, and the same people in every variant.

Each quantity of each person has one draw a call, from a stream of its own: a place in the output of Philox, a
counter-based generator, that is found from seed, replication, person, quantity and call alone. So a variant meets the
same people, and any replication can be simulated again by itself. Within a stream the numbers lie in tiles of `TILE`
calls by `BLOCK` replications, so that one lift reads its own sixteen, and a batch the whole tile.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from hashlib import blake2b
from math import exp, log, log1p, sqrt
from statistics import NormalDist
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from sim.model.draw import Draw

BLOCK = 8192  # replications that share a key
TILE = 16  # calls in one reading of a stream
_STANDARD = NormalDist()
_SMALLEST = 2.0**-54  # stands for a uniform number that came out as 0


class Chance(Protocol):
    """Where the story gets its human times from."""

    def draw(self, person: str, quantity: str, of: Draw, call: int) -> float:
        """This person's value of the quantity in this call [s, or 1/s]; of a fill 0 to 1."""

    def happens(self, person: str, quantity: str, chance: float, call: int) -> bool:
        """Whether something with this chance happens to the person in this call."""


class FixedValues:
    """Everyone takes the mean time, every time, and nobody misses a call."""

    def draw(self, person: str, quantity: str, of: Draw, call: int) -> float:
        """The mean [s, or 1/s]."""
        return of.mean

    def happens(self, person: str, quantity: str, chance: float, call: int) -> bool:
        """Only what is certain."""
        return chance >= 1


@dataclass(slots=True)
class Crew:
    """The people of one replication."""

    seed: int = 0
    replication: int = 0
    _tiles: dict[tuple[str, str, int], list[float]] = field(default_factory=dict, repr=False)

    def draw(self, person: str, quantity: str, of: Draw, call: int) -> float:
        """This person's value in this call: lognormal [s, or 1/s], or for a fill beta on 0 to 1."""
        if of.sd == 0:
            return of.mean
        uniform = self.uniform(person, quantity, call)
        if quantity == "fill":
            return float(beta_at(uniform, of))
        mu, sigma = lognormal(of.mean, of.sd)
        return exp(mu + sigma * _STANDARD.inv_cdf(uniform))

    def happens(self, person: str, quantity: str, chance: float, call: int) -> bool:
        """Whether something with this chance happens to the person in this call."""
        return chance > 0 and self.uniform(person, quantity, call) < chance

    def uniform(self, person: str, quantity: str, call: int) -> float:
        """A number between 0 and 1, the same whenever it is asked for."""
        tile, within = divmod(call, TILE)
        numbers = self._tiles.get((person, quantity, tile))
        if numbers is None:
            block, index = divmod(self.replication, BLOCK)
            numbers = read_tile(self.seed, block, person, quantity, tile, index, 1)[0].tolist()
            self._tiles[person, quantity, tile] = numbers
        return numbers[within]


def read_tile(seed: int, block: int, person: str, quantity: str, tile: int, first: int, n: int) -> NDArray[np.float64]:
    """Uniform numbers for `n` replications of a block from the `first` on, for the calls of one tile.

    Returns
    -------
    ndarray of shape (n, TILE)
        Numbers between 0 and 1.
    """
    # one step of the counter gives four numbers, so a replication's sixteen begin at 4 x its place in the block
    counter = np.array([first * TILE // 4, tile, _word(person), _word(quantity)], dtype=np.uint64)
    key = np.array([seed, block], dtype=np.uint64)
    numbers = np.random.Generator(np.random.Philox(counter=counter, key=key)).random((n, TILE))
    return np.maximum(numbers, _SMALLEST)


@cache
def _word(name: str) -> int:
    return int.from_bytes(blake2b(name.encode(), digest_size=8).digest(), "little")


@cache
def lognormal(mean: float, sd: float) -> tuple[float, float]:
    """Mean and standard deviation of the logarithm of a lognormal quantity with this mean and sd."""
    variance = log1p((sd / mean) ** 2)
    return log(mean) - variance / 2, sqrt(variance)


def beta_at(uniform: float | NDArray[np.float64], of: Draw) -> float | NDArray[np.float64]:
    """The quantile of a beta quantity on 0 to 1 with this mean and sd, at `uniform`: float, or shape (n,)."""
    from scipy.special import betaincinv  # 100 ms, and only needed where a fill varies

    spread = of.mean * (1 - of.mean) / of.sd**2 - 1
    return betaincinv(of.mean * spread, (1 - of.mean) * spread, uniform)  # type: ignore[no-any-return]
