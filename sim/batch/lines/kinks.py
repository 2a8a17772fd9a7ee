"""Where what a place holds changes its pace between two events, in each of many lifts (`sim/story/climb.py`)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.batch.lines.arrays import Array, on_grid


@dataclass(frozen=True)
class Path:
    """How what a device holds grew between two events: from a level at a rate, until it met the load (s after)."""

    level: Array
    rate: Array
    met: Array


@dataclass(frozen=True)
class Kink:
    """Where what a place holds changes its pace between two events; infinite where it does not."""

    time: Array  # on the grid
    after: Array  # the same, not rounded, counted from the last event
    level: Array


def kink(after: Array, level: Array, since: Array, now: Array) -> Kink | None:
    """A kink so many seconds after the last event; none where it falls on either event. None: nowhere."""
    time = on_grid(since + after)
    inside = (time > since) & (time < now)
    if not inside.any():
        return None
    return Kink(np.where(inside, time, np.inf), np.where(inside, after, np.inf), level)


def in_order(kinks: list[Kink]) -> list[Kink]:
    """The first of each lift first."""
    if len(kinks) < 2:
        return kinks
    order = np.argsort(np.stack([k.time for k in kinks]), axis=0, kind="stable")
    of_each = ([k.time for k in kinks], [k.after for k in kinks], [k.level for k in kinks])
    return [Kink(*row) for row in zip(*(np.take_along_axis(np.stack(x), order, axis=0) for x in of_each), strict=True)]
