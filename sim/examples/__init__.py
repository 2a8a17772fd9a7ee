"""Scenarios that ship: the trailer and the van, and the commented ones that `new` writes to start from."""

from __future__ import annotations

from importlib.resources import files

NAMES = ("trailer", "van")
STARTS = {"us": "new-us", "si": "new-si"}  # by the units that people are shown


def example(name: str) -> str:
    """The text of a scenario that ships, by its name without ".toml"."""
    return files("sim.examples").joinpath(f"{name}.toml").read_text(encoding="utf-8")
