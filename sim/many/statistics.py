"""Intervals that assume nothing about the shape of what was measured.

Quantiles are bounded by order statistics, chances by Clopper-Pearson (or Wilson), paired differences by Student's t.
Every interval is of simulation error only: what more replications of the same scenario would make smaller.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, sqrt
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Estimate:
    """A number, and the interval that covers it with the confidence asked for; infinite where nothing bounds it."""

    value: float
    low: float
    high: float


def clopper_pearson(happened: int, n: int, confidence: float = CONFIDENCE) -> Estimate:
    """A chance, from how often something happened: the exact interval of Clopper and Pearson (1934).

    Parameters
    ----------
    happened, n : int
        So many times in so many; 0 <= happened <= n, n at least 1.
    confidence : float
        Of the interval, at least.

    Returns
    -------
    Estimate
        The share, and the chance's interval within 0 to 1.
    """
    tail = (1 - confidence) / 2
    low = 0.0 if happened == 0 else _beta_quantile(tail, happened, n - happened + 1)
    high = 1.0 if happened == n else _beta_quantile(1 - tail, happened + 1, n - happened)
    return Estimate(happened / n, low, high)


def upper_chance(happened: int, n: int, confidence: float = CONFIDENCE) -> float:
    """What the chance is under, with this confidence (one-sided Clopper-Pearson)."""
    return 1.0 if happened == n else _beta_quantile(confidence, happened + 1, n - happened)


def wilson(happened: int, n: int, confidence: float = CONFIDENCE) -> Estimate:
    """A chance with Wilson's score interval (1927): shorter than the exact one, right on average only."""
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    share = happened / n
    middle, spread = share + z * z / (2 * n), z * sqrt(share * (1 - share) / n + z * z / (4 * n * n))
    scale = 1 + z * z / n
    return Estimate(share, max(0.0, (middle - spread) / scale), min(1.0, (middle + spread) / scale))


def quantile(values: Array, share: float, confidence: float = CONFIDENCE) -> Estimate:
    """A quantile with an interval between two of the values themselves.

    How many of n values lie below the quantile is binomial, whatever the distribution; so the r-th smallest value is
    below it with a known chance. David and Nagaraja, Order Statistics, 7.1.

    Parameters
    ----------
    values : ndarray of shape (n,)
        Numbers of any unit, in any order; n at least 1.
    share : float
        Which quantile, 0 < share < 1.
    confidence : float
        Of the interval, at least; infinite ends where n is too small for it.

    Returns
    -------
    Estimate
        The smallest value that at least `share` of them do not exceed, and the interval.
    """
    ordered = np.sort(values)
    n = len(ordered)
    low, high = ranks(n, share, confidence)
    at = min(max(ceil(n * share - 1e-9), 1), n)
    return Estimate(
        float(ordered[at - 1]),
        float(ordered[low - 1]) if low >= 1 else -np.inf,
        float(ordered[high - 1]) if high <= n else np.inf,
    )


def ranks(n: int, share: float, confidence: float = CONFIDENCE) -> tuple[int, int]:
    """Which of n ordered values (from 1) bound a quantile from below and above; 0 and n + 1: none does."""
    tail = (1 - confidence) / 2
    low = _binomial_quantile(tail, n, share)  # P(fewer than `low` below) <= tail
    if low > 0 and _binomial_up_to(low - 1, n, share) > tail:
        low -= 1
    return low, upper_rank(n, share, 1 - tail)


def upper_rank(n: int, share: float, confidence: float = CONFIDENCE) -> int:
    """The smallest rank whose value bounds the quantile from above with this confidence; n + 1: none does."""
    return _binomial_quantile(confidence, n, share) + 1


def mean(values: Array, confidence: float = CONFIDENCE) -> Estimate:
    """A mean of values of shape (n,), with Student's interval: good where there are many, as in a study."""
    n = len(values)
    middle = float(np.mean(values))
    if n < 2:
        return Estimate(middle, -np.inf, np.inf)
    half = _student_quantile((1 + confidence) / 2, n - 1) * float(np.std(values, ddof=1)) / sqrt(n)
    return Estimate(middle, middle - half, middle + half)


def paired(before: Array, after: Array, confidence: float = CONFIDENCE) -> Estimate:
    """The mean difference between two ways on the same people, shape (n,) each, replication by replication."""
    return mean(np.asarray(after, dtype=np.float64) - np.asarray(before, dtype=np.float64), confidence)


def paired_chance(before: NDArray[np.bool_], after: NDArray[np.bool_], confidence: float = CONFIDENCE) -> Estimate:
    """How much a chance changes on the same people, shape (n,) each: Newcombe's interval, 1998, method 10."""
    n = len(before)
    p, q = float(np.mean(after)), float(np.mean(before))
    first, second = wilson(int(np.sum(after)), n, confidence), wilson(int(np.sum(before)), n, confidence)
    spread = sqrt(p * (1 - p) * q * (1 - q))
    phi = (float(np.mean(before & after)) - p * q) / spread if spread > 0 else 0.0

    def half(down: float, up: float) -> float:
        return sqrt(max(0.0, down * down - 2 * phi * down * up + up * up))

    low = p - q - half(p - first.low, second.high - q)
    return Estimate(p - q, low, p - q + half(q - second.low, first.high - p))


def size_for_chance(pilot: Sequence[Any] | NDArray[np.bool_], within: float, confidence: float = CONFIDENCE) -> int:
    """How many replications give a chance to within so much, by a pilot, shape (m,): its end next to a half."""
    happened, n = int(np.sum(np.asarray(pilot, dtype=bool))), len(pilot)
    found = wilson(happened, n, confidence)
    worst = min(max(0.5, found.low), found.high)
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    return max(2, ceil(worst * (1 - worst) * (z / within) ** 2))


# --- distributions, by the functions of scipy.special themselves: importing scipy.stats takes longer than many a study


def _beta_quantile(share: float, a: float, b: float) -> float:
    from scipy.special import betaincinv

    return float(betaincinv(a, b, share))


def _student_quantile(share: float, freedom: int) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(freedom, share))


def _binomial_up_to(k: int, n: int, chance: float) -> float:
    """The chance of at most k in n."""
    from scipy.special import bdtr

    return 0.0 if k < 0 else float(bdtr(k, n, chance))


def _binomial_quantile(share: float, n: int, chance: float) -> int:
    """The smallest k with at least this chance of at most k in n."""
    from scipy.special import bdtrik

    k = min(max(ceil(float(bdtrik(share, n, chance))), 0), n)
    while k > 0 and _binomial_up_to(k - 1, n, chance) >= share:
        k -= 1
    while _binomial_up_to(k, n, chance) < share:
        k += 1
    return k
