"""A text as TOML has it, or where it stumbles: line, column, and the line itself."""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterable

from sim.model.errors import Problem, ScenarioError
from sim.written.keys.places import DEEPEST, Raw, dotted

MOST = 1_000_000  # characters of a scenario file; the largest anybody wrote has a few thousand
# A key of thousands of names takes minutes to read.
_DOTTED = re.compile(r"""(?<![\w-])(?:(?:[A-Za-z0-9_-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){50}""")
QUOTES = "\"'“”„‟«»‘’"
# "spacing = 1 in", a curly quote, or a quote at one end only
_QUOTES = re.compile(r"""^[\w.-]+\s*=\s*(?:[“”„‟«»‘’]|[0-9][0-9./ ]*\s*[A-Za-z'"]|"[^"#]*$|'[^'#]*$)""")
_NAMES = re.compile(r"\((?:(?:'(?:[^'\\]|\\.)*'|\"(?:[^\"\\]|\\.)*\")(?:, ?)?)+\)")


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
        raise ScenarioError([too_long(name)])
    too_deep = Problem(name, "its tables and lists lie too deep in each other", f"at most {DEEPEST} are allowed")
    try:
        if _DOTTED.search(text):
            raise ScenarioError([too_deep])
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as wrong:
        raise ScenarioError([_syntax_problem(str(wrong), text, name)]) from None
    except ValueError:
        too_long_a_number = Problem(name, "a number in it is too long", "no number needs more than 20 digits")
        raise ScenarioError([too_long_a_number]) from None
    except RecursionError:
        raise ScenarioError([too_deep]) from None
    if _deeper(raw):
        raise ScenarioError([too_deep])
    return raw


def too_long(name: str) -> Problem:
    """A file longer than any scenario."""
    return Problem(name, f"is longer than {MOST:,} characters", "no scenario needs as much: give the name of one")


def _quoted(line: str) -> str:
    """A line as it was meant: its value in straight quotes."""
    key, _, value = line.partition("=")
    bare = value.partition("#")[0].strip()
    if bare[:1].isdigit() and bare.endswith('"'):
        bare = f"{bare[:-1]} in"  # an inch mark, which would end the text
    return f'{key.strip()} = "{bare.strip(QUOTES)}"'


def _deeper(raw: Raw) -> bool:
    """Whether anything lies deeper than it may."""
    level: list[object] = [raw]
    for _ in range(DEEPEST):
        level = [each for here in level if isinstance(here, dict | list) for each in _inside(here)]
    return any(isinstance(here, dict | list) for here in level)


def _inside(here: dict[str, object] | list[object]) -> Iterable[object]:
    return here.values() if isinstance(here, dict) else here


def _syntax_problem(said: str, text: str, name: str) -> Problem:
    what = re.sub(r" \(at .*\)$", "", said)
    what = _NAMES.sub(lambda found: f"[{dotted(ast.literal_eval(found[0]))}]", what[:1].lower() + what[1:])
    at = re.search(r"\(at line (\d+), column (\d+)\)$", said)
    lines = text.splitlines() or [""]
    if at is None:
        last = next((line.strip()[:100] for line in reversed(lines) if line.strip()), "")
        return Problem(name, f"is not TOML: {what}", f"its last line reads: {last}")
    line, column = int(at[1]), int(at[2])
    there = lines[line - 1].strip()[:100] if line <= len(lines) else ""
    if _QUOTES.search(there):
        what = "the text here is not in straight quotes"
        return Problem(f"{name}, line {line}", what, f"put straight quotes around it, such as {_quoted(there)}")
    return Problem(f"{name}, line {line}, column {column}", f"is not TOML: {what}", f"the line reads: {there}")
