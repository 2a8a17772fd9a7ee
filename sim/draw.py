"""A quantity that differs from call to call."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Draw:
    """This mean and standard deviation; sd 0 is a fixed value."""

    mean: float
    sd: float = 0.0
