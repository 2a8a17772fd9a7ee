"""A scenario file, read: everything that is wrong with it is said at once, each thing with its place.

    scenario = read(Path("trailer.toml"))
    for variant in variants(scenario): ...

The order: TOML (`tomllib`), what each key holds (`written.py`), which keys go together (`choices.py`), which names are
used (`names.py`); only then is the model's data built (`building.py`), and its geometry looked at
(`geometry_checks.py`).
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from pydantic import ValidationError

from sim.errors import Problem, ScenarioError
from sim.scenario import Scenario
from sim.written.building import build
from sim.written.choices import choice_problems
from sim.written.geometry import geometry_problems
from sim.written.names import name_problems
from sim.written.places import Raw
from sim.written.tables import WrittenScenario
from sim.written.wording import problems_of

MOST = 1_000_000  # bytes of a scenario file; the largest anybody wrote has a few thousand


def read(path: Path | str, variant: str = "") -> Scenario:
    """The scenario in a file.

    Parameters
    ----------
    path : Path or str
        A TOML file as design.md part 4 has it.
    variant : str
        One of its variants, "" for the scenario as written.

    Returns
    -------
    Scenario
        Frozen, SI, everything resolved.

    Raises
    ------
    ScenarioError
        With everything that is wrong.
    """
    path = Path(path)
    try:
        written = path.read_bytes()
        text = written.decode("utf-8-sig")
    except OSError as wrong:
        reason = (wrong.strerror or "it does not open").lower()
        unreadable = Problem(str(path), f"cannot be read: {reason}", "give the name of a scenario file")
        raise ScenarioError([unreadable]) from None
    except UnicodeDecodeError as wrong:
        line = written.count(b"\n", 0, wrong.start) + 1
        raise ScenarioError([Problem(str(path), f"line {line} is not UTF-8 text", "save the file as UTF-8")]) from None
    return parse(text, path.name, variant)


def parse(text: str, name: str, variant: str = "") -> Scenario:
    """The scenario in a text.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        Of the file: what a scenario without a title is called.
    variant : str
        One of its variants, "" for the scenario as written.

    Returns
    -------
    Scenario
        Frozen, SI, everything resolved.

    Raises
    ------
    ScenarioError
        With everything that is wrong.
    """
    raw = _toml(text, name)
    problems: list[Problem] = []
    written = None
    try:
        written = WrittenScenario.model_validate(raw)
    except ValidationError as wrong:
        problems += problems_of(wrong, raw)
    problems += choice_problems(raw) + name_problems(raw, variant)
    if written is None or problems:
        raise ScenarioError(dict.fromkeys(problems))
    scenario, problems = build(written, text, name.removesuffix(".toml"), variant)
    problems += geometry_problems(scenario)
    if problems:
        raise ScenarioError(problems)
    return scenario


def variants(scenario: Scenario) -> tuple[Scenario, ...]:
    """Every variant of a scenario, in the order written, without the scenario itself."""
    return tuple(parse(scenario.text, scenario.title, name) for name in scenario.variants)


def _toml(text: str, name: str) -> Raw:
    """The file as TOML has it."""
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
    """Where TOML stumbled: line, column, and the line itself."""
    what = re.sub(r" \(at .*\)$", "", said)
    what = what[:1].lower() + what[1:]
    at = re.search(r"\(at line (\d+), column (\d+)\)$", said)
    lines = text.splitlines() or [""]
    if at is None:
        return Problem(name, f"is not TOML: {what}", f"at its end: {lines[-1].strip()[:100]}")
    line, column = int(at[1]), int(at[2])
    there = lines[line - 1].strip()[:100] if line <= len(lines) else ""
    return Problem(f"{name}, line {line}, column {column}", f"is not TOML: {what}", f"the line reads: {there}")
