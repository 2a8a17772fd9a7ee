"""The short form of a scenario: what a leader knows before a drill, in at most 25 lines.

    like = "trailer nose"
    end_weight = "2400 lb"
    hinge_to_lifters = "140 in"
    hinge_to_point = "150 in"
    rise = "5 in"
    strokes_per_inch = 7
    with = "threaded strut"
    people = 5

Where it is silent, presets speak (`presets.py`). `expand` writes the full form; a short form is always read through it,
so both give the same lift.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from sim.model.errors import Problem
from sim.written.keys.places import Raw
from sim.written.keys.syntax import toml
from sim.written.short.granted import granted
from sim.written.short.longhand import longhand
from sim.written.short.shorthand import short_of
from sim.written.short.table import is_short, read_short

POINTS_AT = (  # places of the full form, and what is wrong there -> the key of the short one that it comes from
    (r"load\.(end_)?weight", ("end_weight", "weight")),
    (r"load\.end_at", ("hinge_to_lifters",)),
    (r"load\.pivot_height", ("hinge_height",)),
    (r"load\.take_up", ("take_up",)),
    (r"load", ("like",)),
    (r"pivot", ("pivot_held",)),
    (r"need\.rise", ("rise",)),
    (r"need", ("hinge_to_point",)),
    (r"leader\.gap_limit", ("gap",)),
    (r"leader\.strokes", ("strokes",)),
    (r"leader\.step", ("step", "gap")),
    (r"stage .* > leader\.step", ("step",)),
    (r"stage .* > time", ("hold",)),
    (r"stage .* nothing can hold", ("hold",)),
    (r"stage", ("down_again", "hold")),
    (r"lifter .* > travel_per_pump", ("strokes_per_inch", "strokes_per_25_mm")),
    (r"lifter .* > travel", ("travel",)),
    (r"lifter .* > head\[1\]", ("apart",)),
    (r"lifter .* is where the head is", ("lifter_height",)),
    (r"station .* > yield", ("yield",)),
    (r"station .* (> tube|has both tube)", ("tube", "material", "yield")),
    (r"station .* is where the head is", ("strut_height", "lifter_height")),
    (r"lifter", ("hinge_to_lifters",)),
    (r"station", ("hinge_to_struts", "with")),
)


@dataclass(frozen=True, slots=True)
class Expansion:
    """A short form written out."""

    text: str
    assumed: tuple[str, ...]


def expand(text: str, name: str) -> str:
    """The full form of a scenario, as text; of one that is in full form already, itself.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        Of its file: the title of a scenario without one.

    Returns
    -------
    str
        TOML as design.md part 4 has it, every value with where it comes from.

    Raises
    ------
    ScenarioError
        With everything that is wrong, at the keys that the person wrote.
    """
    raw = toml(text, name)
    return expansion(raw, name).text if is_short(raw) else text


def expansion(raw: Raw, name: str) -> Expansion:
    """A short form written out, with what it takes for granted."""
    short = short_of(read_short(raw), raw, name)
    return Expansion(longhand(short), granted(short))


def in_short(problem: Problem, raw: Raw) -> Problem:
    """A problem of the full form, at the key of the short form that it comes from."""
    for pattern, keys in POINTS_AT:
        if re.match(pattern, f"{problem.place} {problem.what}"):
            written = next((key for key in keys if key in raw), "")
            if written:
                return Problem(written, problem.what, problem.hint)
            hint = f'{problem.hint}; the short form is silent here: what "{raw["like"]}" stands for is taken'
            return Problem(keys[-1], problem.what, hint.removeprefix("; "))
    return problem
