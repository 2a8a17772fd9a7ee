"""What the short form stands for where it is silent: loads, followers, devices, people, from `data/presets.toml`.

Everything is text as a person would write it; nothing here is read into numbers. Every value has its source.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

Values = dict[str, Any]
APART = ("source", "suggest", "said", "outside")  # keys of a table that are no values


@dataclass(frozen=True, slots=True)
class Preset:
    """One table: what it is, its values, and where each of them comes from."""

    name: str
    said: str
    values: Values
    source: dict[str, str]
    suggest: dict[str, dict[str, str]]  # by units: what `ask` offers
    outside: str = ""  # why it may lie outside the published bounds, where it does

    def follows(self, units: str) -> list[str]:
        """Of a load: what is taken to follow it where nothing is written."""
        return [self.suggest[units]["with"]]


def kinds(kind: str) -> dict[str, Preset]:
    """All presets of "load", "follower", "device" or "operator", by name, in the order of the file."""
    return {name: _preset(name, table) for name, table in _file()[kind].items()}


def the(kind: str) -> Preset:
    """The preset of which there is one: "lifter", "strut", "leader", "catcher"."""
    return _preset(kind, _file()[kind])


def _preset(name: str, table: Values) -> Preset:
    values = {key: value for key, value in table.items() if key not in APART}
    said, outside = table.get("said", ""), table.get("outside", "")
    return Preset(name, said, values, table.get("source", {}), table.get("suggest", {}), outside)


@cache
def _file() -> Values:
    with (files("sim.written.short") / "presets.toml").open("rb") as file:
        return tomllib.load(file)
