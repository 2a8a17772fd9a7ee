"""What the materials of struts bear, as the data file has them; a name that is not there is not known."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple

from sim.model.units import LENGTH, PRESSURE, PSI, read

NEARLY = 1e-6  # [m]


class Metal(NamedTuple):
    """A metal as a column sees it."""

    modulus: float  # of elasticity [Pa]
    source: str


class Grade(NamedTuple):
    """A graded timber as a column sees it."""

    bears: float  # along the grain, at no length [Pa]
    modulus: float  # Emin [Pa]
    source: str


@cache
def table() -> Mapping[str, Any]:
    """The data file."""
    with (files("sim.check.struts") / "columns.toml").open("rb") as file:
        return tomllib.load(file)


def metals() -> list[str]:
    """The metals in the table."""
    return list(table()["metal"])


def grades() -> list[str]:
    """The timbers in the table."""
    return list(table()["timber"]["grades"])


def metal(name: str) -> Metal | None:
    """The metal of that name; None where it is not in the table."""
    found = table()["metal"].get(_known(name, metals()))
    return None if found is None else Metal(found["modulus_GPa"] * 1e9, found["source"])


def grade(name: str, thick: float, wide: float) -> Grade | None:
    """The timber of that name, as it is graded at that thickness and width [m]; None where it is not in the table."""
    timber = table()["timber"]
    found = timber["grades"].get(_known(name, grades()))
    if found is None:
        return None
    row = found["lumber" if thick <= read(timber["thickest_lumber"], LENGTH) + NEARLY else "posts"]
    factor = row["size_factor"] if wide <= read(timber["narrow"], LENGTH) + NEARLY else 1.0
    source = f"{row['source']}; {timber['rule']}"
    return Grade(read(row["bears"], PRESSURE) * factor, row["modulus_psi"] * PSI, source)


def _known(name: str, names: list[str]) -> str | None:
    """What the table calls it."""
    plain = {_plain(each): each for each in names}
    plain |= {_plain(other): each for other, each in table()["also"].items() if each in names}
    return plain.get(_plain(name))


def _plain(name: str) -> str:
    return re.sub(r"[^a-z0-9]", "", name.lower())
