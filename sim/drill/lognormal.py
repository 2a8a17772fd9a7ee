"""A lognormal fitted to times by maximum likelihood: noted to a tick of a clock, or only known to be longer, or
shorter, than something.

A duration is the difference of two times noted to the nearest tick h, so what was noted lies within h of what was, most
likely near it: its likelihood is that of the true time smeared by a triangle of half-width h. Ties are then no trouble.
Intervals are where the profile likelihood falls by so much that, for complete times, the interval of the mean
logarithm is Student's own: a little wider than the usual chi-square where times are few (Venzon and Moolgavkar 1988
for the method).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, expm1, inf, log, log1p, sqrt

import numpy as np
from numpy.typing import NDArray

from sim.many.statistics import CONFIDENCE, Estimate

Array = NDArray[np.float64]
NO_MORE = 1.35  # of log-likelihood: what spread gains 19 times in 20 where there is none (half a chi-square of 1)
NARROWEST, WIDEST = 1e-4, 2.5  # the sigmas that are looked at: less is no spread, more is no one person


@dataclass(frozen=True)
class Times:
    """Times of one quantity: between `low` and `high` each, the same where it was noted; `tick` is what to."""

    low: Array  # (n,); 0 where a time is only known to be shorter than `high`
    high: Array  # (n,); infinite where it is only known to be longer than `low`
    tick: Array  # (n,)

    @property
    def noted(self) -> NDArray[np.bool_]:
        """Which of them were noted, start and end: shape (n,)."""
        same: NDArray[np.bool_] = self.low == self.high
        return same

    def __len__(self) -> int:
        return len(self.low)


@dataclass(frozen=True, slots=True)
class Fit:
    """What times say of a quantity."""

    mean: Estimate
    sd: Estimate
    mu: float  # of the logarithm
    sigma: float
    loglik: float
    no_spread: bool  # they differ by no more than the clock's tick explains


def loglik(times: Times, mu: float, sigma: float) -> float:
    """How well a lognormal explains the times."""
    return float(np.sum(_each(times, mu, sigma)))


def _each(times: Times, mu: float, sigma: float) -> Array:
    from scipy.special import log_ndtr, ndtr

    low, high, tick = times.low, times.high, times.tick
    with np.errstate(divide="ignore", invalid="ignore", over="ignore", under="ignore"):
        z = (np.log(np.maximum(low, 1e-12)) - mu) / sigma
        value = -0.5 * z * z - np.log(np.maximum(low, 1e-12) * sigma * sqrt(2 * np.pi))
        smeared = times.noted & (tick > 0.05 * sigma * low)
        if smeared.any():
            d, h = low[smeared], tick[smeared]
            ends = [_area(np.maximum(d + k * h, 0.0), mu, sigma) for k in (-1, 0, 1)]
            weight = (ends[0] - 2 * ends[1] + ends[2]) / (h * h)
            near = np.maximum(value[smeared], -700.0)
            value[smeared] = np.where(weight > 1e-9, np.log(np.maximum(weight, 1e-300)), np.minimum(near, log(1e-9)))
        if not times.noted.all():
            longer, shorter = ~times.noted & (high == inf), ~times.noted & (high < inf)
            value[longer] = log_ndtr(-z[longer])
            top = (np.log(high[shorter]) - mu) / sigma
            bottom = np.where(low[shorter] > 0, ndtr(z[shorter]), 0.0)
            value[shorter] = np.where(bottom > 0, np.log(np.maximum(ndtr(top) - bottom, 1e-300)), log_ndtr(top))
    return value


def _area(x: Array, mu: float, sigma: float) -> Array:
    """The integral of the lognormal's distribution function from 0 to x."""
    from scipy.special import ndtr

    z = (np.log(np.maximum(x, 1e-300)) - mu) / sigma
    area: Array = np.where(x > 0, x * ndtr(z) - exp(min(700.0, mu + sigma * sigma / 2)) * ndtr(z - sigma), 0.0)
    return area


def fit(times: Times, confidence: float = CONFIDENCE) -> Fit:
    """The lognormal that explains the times best, with profile-likelihood intervals of its mean and sd.

    Parameters
    ----------
    times : Times
        At least two of them noted.
    confidence : float
        Of the intervals, 0 to 1.

    Returns
    -------
    Fit
        An end of an interval is infinite (or 0) where the times do not bound it.
    """
    from scipy.optimize import minimize

    noted = times.low[times.noted]
    logs = np.log(np.maximum(noted, 1e-3))
    if times.noted.all() and not times.tick.any():
        mu, sigma = float(np.mean(logs)), min(max(float(np.std(logs)), NARROWEST), WIDEST)
    else:
        rough = (
            times.low
            if len(noted) == len(times)
            else np.where(times.high < inf, np.maximum(times.low, 1e-3), times.low)
        )
        first = [float(np.mean(np.log(np.maximum(rough, 1e-3)))), log(max(float(np.std(logs)), 0.02))]
        best = minimize(
            lambda p: -loglik(times, p[0], _within(p[1])),
            first, method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-9, "maxiter": 2000},
        )  # fmt: skip
        mu, sigma = float(best.x[0]), _within(float(best.x[1]))
    top = loglik(times, mu, sigma)
    fall = _allowed(len(noted), confidence)
    mean, sd = _moments(mu, sigma)
    alike = max(loglik(times, log(float(x)), NARROWEST) for x in (np.median(noted), np.mean(noted)))
    no_spread = bool(times.tick.any()) and top - alike < NO_MORE
    wide = min(max(log(sigma) + 3, log(0.3)), log(WIDEST))
    far = 4 * max(sigma, float(np.max(times.tick)) / mean) / sqrt(len(noted)) + 1e-3

    def at_mean(value: float) -> float:
        """The best that can be done with this mean, over all sigma."""
        return _best(
            lambda s: loglik(times, log(value) - exp(s) ** 2 / 2, exp(s)), max(log(sigma) - 3, log(NARROWEST)), wide
        )

    def at_sd(value: float) -> float:
        """The best that can be done with this sd, over all means."""

        def with_mean(m: float) -> float:
            s2 = log1p((value / exp(m)) ** 2)
            return loglik(times, m - s2 / 2, max(sqrt(s2), NARROWEST))

        reach = min(far + 4 * value / mean / sqrt(len(noted)), 20.0)
        return _best(with_mean, log(mean) - reach, log(mean) + reach)

    low_sd, high_sd = _ends(at_sd, max(sd, 1e-3 * mean), top - fall, 1.3)
    return Fit(
        Estimate(mean, *_ends(at_mean, mean, top - fall, 1.05)),
        Estimate(sd, 0.0 if no_spread else low_sd, high_sd),
        mu, sigma, top, no_spread,
    )  # fmt: skip


def _within(log_sigma: float) -> float:
    """A sigma within what is looked at."""
    return exp(min(max(log_sigma, log(NARROWEST)), log(WIDEST)))


def _moments(mu: float, sigma: float) -> tuple[float, float]:
    mean = exp(mu + sigma * sigma / 2)
    return mean, mean * sqrt(expm1(sigma * sigma))


def _allowed(n: int, confidence: float) -> float:
    """How far the profile may fall: so that it is Student's interval for the mean logarithm of n complete times."""
    from scipy.stats import t

    n = max(n, 2)
    return n / 2 * log1p(float(t.ppf((1 + confidence) / 2, n - 1)) ** 2 / (n - 1))


def _best(of: Callable[[float], float], low: float, high: float) -> float:
    """The largest value between two bounds."""
    from scipy.optimize import minimize_scalar

    found = minimize_scalar(
        lambda x: -of(x), bounds=(low, high), method="bounded", options={"xatol": 1e-4 * (high - low)}
    )
    return -float(found.fun)


def _ends(profile: Callable[[float], float], value: float, level: float, step: float) -> tuple[float, float]:
    """Where the profile falls to a level on either side of the best value."""
    from scipy.optimize import brentq

    ends = []
    if profile(value) < level:  # the best lies at the edge of what is looked at
        return 0.0, inf
    for way in (1 / step, step):
        inner, outer, stride = value, value * way, way
        for _ in range(40):
            if profile(outer) < level:
                break
            stride *= stride
            inner, outer = outer, outer * stride
            if not 1e-7 < outer < 1e7:
                break
        if not 1e-7 < outer < 1e7:
            ends.append(0.0 if way < 1 else inf)
            continue
        a, b = sorted((inner, outer))
        ends.append(float(brentq(lambda v: profile(v) - level, a, b, xtol=1e-4 * value)))
    return ends[0], ends[1]


def good_enough(times: Times) -> float | None:
    """Goodness of fit of a lognormal, 0 to 1: p of the Anderson-Darling statistic, simulated (scipy.stats).

    The logarithms are tested against a normal of unknown mean and sd. Ties that a clock makes are parted at random
    within its tick first. None where fewer than eight were noted, or any is only known to be longer or shorter.
    """
    from scipy.stats import goodness_of_fit, norm

    if len(times) < 8 or not times.noted.all():
        return None
    rng = np.random.default_rng(0)
    parted = times.low + times.tick * (rng.random(len(times)) - rng.random(len(times))) / 2
    logs = np.log(np.maximum(parted, 1e-3))
    if np.std(logs) < 1e-9:
        return None
    tested = goodness_of_fit(norm, logs, statistic="ad", n_mc_samples=999, random_state=rng)
    return float(tested.pvalue)


def quantile_points(times: Times, fitted: Fit) -> tuple[Array, Array]:
    """Points of a quantile plot: where each noted time would lie by the fit, and where it lies (Kaplan-Meier).

    Returns
    -------
    expected, noted : ndarrays of shape (k,)
        In rising order [s, or 1/s]; a straight line of slope 1 where the fit is perfect.
    """
    from scipy.special import ndtri

    order = np.lexsort((~times.noted, times.low))
    low, noted = times.low[order], times.noted[order] & (times.high[order] > 0)
    n = len(low)
    share = np.cumprod(np.where(noted, 1 - 1 / (n - np.arange(n)), 1.0))
    above = np.concatenate([[1.0], share[:-1]])
    middle = 1 - (share + above) / 2
    expected = np.exp(fitted.mu + fitted.sigma * ndtri(np.clip(middle[noted], 1e-9, 1 - 1e-9)))
    return expected, low[noted]
