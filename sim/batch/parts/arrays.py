"""What every array of the batch has in common: its last axis is the lifts, and these few words about it."""

from __future__ import annotations

from dataclasses import fields
from typing import Any, ClassVar, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Whole = NDArray[np.int64]
These = NDArray[np.intp]  # the places of some lifts among all, rising


class Arrays(Protocol):
    """A dataclass of arrays."""

    __dataclass_fields__: ClassVar[dict[str, Any]]


Part = TypeVar("Part", bound=Arrays)


def on_grid(time: Array) -> Array:
    """The nearest whole nanoseconds [s], as the story's clock has them (`sim/story/clock.py`)."""
    rounded: Array = np.rint(time * 1e9) / 1e9
    return rounded


def those(flags: Flags) -> These:
    """Where flags of shape (n,) hold."""
    return flags.nonzero()[0]


def of_some(part: Part, these: These | slice) -> Part:
    """The same arrays, of some lifts only: every field of `part` is an array whose last axis is the lifts.

    Of a slice they are views: what is written into them is written into `part`.
    """
    return type(part)(*(getattr(part, field.name)[..., these] for field in fields(part)))
