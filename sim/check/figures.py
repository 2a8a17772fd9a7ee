"""Figures that the checks hand on. Inside SI; a field says its unit, and the JSON key ends in it."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import field
from typing import Any


def of(unit: str, default: Any = dataclasses.MISSING) -> Any:
    """A field in this unit: its key in JSON ends in it. An angle is held in radians, and given in degrees."""
    if default is dataclasses.MISSING:
        return field(metadata={"unit": unit})
    return field(default=default, metadata={"unit": unit})


def as_json(figures: Any) -> Any:
    """The figures as JSON has them: plain dicts, keys with their units, null for what is not known.

    Parameters
    ----------
    figures : dataclass, mapping, list, tuple or plain value
        What a check came to.

    Returns
    -------
    dict, list or plain value
        Nothing in it that JSON does not know; infinite or undefined figures are null.
    """
    if dataclasses.is_dataclass(figures) and not isinstance(figures, type):
        return {
            _key(each): as_json(_degrees(getattr(figures, each.name), each)) for each in dataclasses.fields(figures)
        }
    if isinstance(figures, Mapping):
        return {str(key): as_json(value) for key, value in figures.items()}
    if isinstance(figures, list | tuple):
        return [as_json(each) for each in figures]
    if isinstance(figures, float):
        return figures if math.isfinite(figures) else None
    return figures


def _key(each: dataclasses.Field[Any]) -> str:
    return f"{each.name}_{each.metadata['unit']}" if "unit" in each.metadata else each.name


def _degrees(value: Any, each: dataclasses.Field[Any]) -> Any:
    in_degrees = each.metadata.get("unit") == "deg" and isinstance(value, float)
    return math.degrees(value) if in_degrees else value


def times_down(value: float) -> str:
    """A margin as it is shown: never more than it is, so that it never says more than the finding beside it."""
    return f"{math.floor(value * 100 + 1e-9) / 100:.2f}"


def times_up(value: float) -> str:
    """A figure without a unit that something needs: never less than it is."""
    return f"{math.ceil(value * 100 - 1e-9) / 100:.2f}"


def margin(allowed: float | None, carried: float | None) -> float | None:
    """How many times what is carried is allowed: None where either is not known, infinite where nothing is carried."""
    if allowed is None or carried is None:
        return None
    return allowed / carried if carried > 0 else math.inf
