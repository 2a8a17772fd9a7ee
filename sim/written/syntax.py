"""A text as TOML has it, or where it stumbles: line, column, and the line itself."""

from __future__ import annotations

import re
import tomllib

from sim.errors import Problem, ScenarioError
from sim.written.places import Raw

MOST = 1_000_000  # characters of a scenario file; the largest anybody wrote has a few thousand


def toml(text: str, name: str) -> Raw:
    """The tables and keys of a text.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        Of its file.

    Returns
    -------
    dict
        As `tomllib` has it.

    Raises
    ------
    ScenarioError
        It is no TOML, or more of it than any scenario needs.
    """
    if len(text) > MOST:
        raise ScenarioError([Problem(name, f"is longer than {MOST:,} characters", "no scenario needs as much")])
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as wrong:
        raise ScenarioError([_syntax_problem(str(wrong), text, name)]) from None
    except ValueError:
        raise ScenarioError([Problem(name, "a number in it is too long", "check its digits")]) from None
    except RecursionError:
        raise ScenarioError([Problem(name, "its brackets lie too deep in each other", "close them")]) from None


def _syntax_problem(said: str, text: str, name: str) -> Problem:
    what = re.sub(r" \(at .*\)$", "", said)
    what = what[:1].lower() + what[1:]
    at = re.search(r"\(at line (\d+), column (\d+)\)$", said)
    lines = text.splitlines() or [""]
    if at is None:
        return Problem(name, f"is not TOML: {what}", f"at its end: {lines[-1].strip()[:100]}")
    line, column = int(at[1]), int(at[2])
    there = lines[line - 1].strip()[:100] if line <= len(lines) else ""
    return Problem(f"{name}, line {line}, column {column}", f"is not TOML: {what}", f"the line reads: {there}")
