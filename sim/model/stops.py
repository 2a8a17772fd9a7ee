"""What stops the load if something lets go: from what the places hold to where each side comes to rest.

All of it takes floats or arrays: the story settles a load with it, the measures ask it of every instant of the record.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from sim.model.devices import EXACT
from sim.model.motion import AnyFloats, Floats

Array = NDArray[np.float64]
Thing = TypeVar("Thing")
CHORDS = 12  # to come from any two events that are a few seconds apart to within a nanosecond


def highest(values: Iterable[AnyFloats]) -> AnyFloats:
    """The largest of several u, never below the start; 0 if there is none.

    Parameters
    ----------
    values : iterable of float or ndarray of shape (n,)
        Where each place holds a side [rad or m].

    Returns
    -------
    float or ndarray of shape (n,)
        The largest [rad or m].
    """
    best: AnyFloats = 0.0
    for value in values:
        if isinstance(value, float) and isinstance(best, float):
            best = max(best, value)
        else:
            best = np.maximum(best, value)
    return best


def first_largest(things: Sequence[Thing], size: Callable[[Thing], float]) -> Thing:
    """The first, in the order given, of those that are the largest: sizes that differ by `EXACT` or less are alike.

    Parameters
    ----------
    things : sequence
        One at least.
    size : callable
        How large each is.
    """
    sizes = [size(each) for each in things]
    most = max(sizes)
    return next(each for each, its in zip(things, sizes, strict=True) if its > most - EXACT)


def crossing(value: Callable[[Array], Array], since: tuple[Array, Array], until: tuple[Array, Array]) -> Array:
    """When something that is below nothing at first, and above it then, comes through it.

    A chord from end to end, again and again; an end that stays twice counts half (the Illinois rule).

    Parameters
    ----------
    value : callable
        What comes through, at times of shape (n,) [s].
    since, until : two ndarrays of shape (n,) each
        Between which times it does, once in each [s]; and what it is at them.

    Returns
    -------
    ndarray of shape (n,)
        The times [s], as near as numbers go.
    """
    (begin, low), (end, high) = since, until
    time, stays = end, np.zeros(len(end))
    for _ in range(CHORDS):
        with np.errstate(divide="ignore", invalid="ignore"):
            time = np.where(high > low, end - (end - begin) * high / (high - low), time)
        there = value(time)
        under = there < 0
        low, high = np.where(under, there, low), np.where(under, high, there)
        begin, end = np.where(under, time, begin), np.where(under, end, time)
        low = np.where(~under & (stays > 0), low / 2, low)
        high = np.where(under & (stays < 0), high / 2, high)
        stays = np.where(under, -1, 1)
    return time


def about_the_other(u_both: Floats, other: Floats | None) -> Floats:
    """Where a place on `both` sides stops one of them, the other staying where it is: a rigid load turns about it.

    Parameters
    ----------
    u_both : float or ndarray of shape (n,)
        Mean u that the place holds [rad or m].
    other : float or ndarray of shape (n,), optional
        Where the other side is [rad or m]; None if there is only one.

    Returns
    -------
    float or ndarray of shape (n,)
        2 u_both - other [rad or m].
    """
    return u_both if other is None else 2 * u_both - other


def settled_mean(stops: Iterable[AnyFloats], both: Iterable[AnyFloats]) -> AnyFloats:
    """Mean u of the sides once the load has come down onto its captures.

    Parameters
    ----------
    stops : iterable of float or ndarray of shape (n,)
        Where each side's own places hold it, one a side [rad or m].
    both : iterable of float or ndarray of shape (n,)
        What the places on `both` sides hold [rad or m].

    Returns
    -------
    float or ndarray of shape (n,)
        The larger of the mean of the stops and the best of the others [rad or m].
    """
    stops = list(stops)
    return highest([sum(stops) / len(stops), *both])


def settled(us: NDArray[np.float64], stops: NDArray[np.float64], both: Iterable[AnyFloats]) -> NDArray[np.float64]:
    """Where each side comes to rest as all come down by the same u, until its own stop, or the mean that of `both`.

    Parameters
    ----------
    us, stops : ndarray of shape (sides,) or (sides, n), of one side or two
        Where each side is, and where its own places hold it, no higher [rad or m].
    both : iterable of float or ndarray of shape (n,)
        What the places on `both` sides hold [rad or m].

    Returns
    -------
    ndarray of the same shape
        [rad or m]
    """
    way = us - stops
    down = np.maximum(0.0, us.sum(axis=0) - len(us) * settled_mean(stops, both))  # all sides together
    each = np.maximum(down / len(us), down - (len(us) - 1) * way.min(axis=0))  # once one has met its stop, the other
    rests: NDArray[np.float64] = us - np.minimum(way, each)
    return rests
