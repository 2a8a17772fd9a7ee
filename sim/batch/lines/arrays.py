"""Small helpers for arrays over replications: all of them, or those that something happens to."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Places = NDArray[np.intp]  # of some replications among all
Chosen = Any  # ALL, or the places of some replications: an ndarray of int

ALL = slice(None)


def nonzero(mask: Flags) -> Places:
    """Where a mask holds."""
    return mask.nonzero()[0]


def chosen(mask: Flags) -> Chosen:
    """Which replications a mask marks; `ALL`, which is faster, where it marks every one."""
    found = nonzero(mask)
    return ALL if len(found) == len(mask) else found


def none(these: Chosen) -> bool:
    """Whether there is none."""
    return these is not ALL and len(these) == 0


def only(lengths: Array, flags: Flags, so: bool) -> Array | None:
    """The lengths [m] whose flag is `so`, minus infinity for the others; None: no flag is."""
    count = np.count_nonzero(flags) if so else len(flags) - np.count_nonzero(flags)
    if not count:
        return None
    return lengths if count == len(flags) else np.where(flags == so, lengths, -np.inf)


def within(these: Chosen, mask: Flags) -> Chosen:
    """Those of `these` that a mask over them marks."""
    if mask.all():
        return these
    return nonzero(mask) if these is ALL else these[mask]


def at(value: float | Array, these: Chosen) -> Any:
    """A value of some replications: the same for all, or one each."""
    return value if isinstance(value, float) else value[these]


def put(owner: Any, name: str, these: Chosen, value: Any) -> None:
    """Set what some replications have. What was read of it before stays as it was read."""
    old = getattr(owner, name)
    if these is ALL:
        new = np.empty_like(old)
        new[:] = value
        setattr(owner, name, new)
    else:
        old[these] = value


def on_grid(time: Array) -> Array:
    """The nearest whole nanoseconds [s], as the story's clock has them (`sim/story/clock.py`)."""
    rounded: Array = np.rint(time * 1e9) / 1e9
    return rounded


def keep(owner: Any, names: tuple[str, ...], mask: Chosen) -> None:
    """Leave out the replications that have ended."""
    for name in names:
        value = getattr(owner, name)
        if isinstance(value, np.ndarray):
            setattr(owner, name, value[mask])
