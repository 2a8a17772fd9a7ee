"""A quantity that differs from call to call."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

QUANTITIES = {"click_time": "click"}  # a key whose draw, and step, go by another name


@dataclass(frozen=True, slots=True)
class Draw:
    """This mean and standard deviation; sd 0 is a fixed value."""

    mean: float
    sd: float = 0.0


def draws_of(part: Any) -> Iterator[tuple[str, Draw]]:
    """The times and rates of an operator or a device, each with its key; a fill is neither."""
    for each in fields(part):
        value = getattr(part, each.name)
        if isinstance(value, Draw) and each.name != "fill":
            yield each.name, value


def quantity_of(key: str) -> str:
    """What the draw of a key is known by, in the streams of chance and as a step in the record."""
    return QUANTITIES.get(key, key)
