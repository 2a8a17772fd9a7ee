"""Scenarios that ship: the trailer, up, and up and down again; the van; and the commented ones that `new` writes."""

from __future__ import annotations

from importlib.resources import files

NAMES = ("trailer", "trailer-and-down", "van")
DEMO = "trailer-and-down"  # the trailer's lift, a hold, and the way down
STARTS = {"us": "new-us", "si": "new-si"}  # by the units that people are shown


def example(name: str) -> str:
    """The text of a scenario that ships, by its name without ".toml"."""
    return files("sim.examples").joinpath(f"{name}.toml").read_text(encoding="utf-8")
