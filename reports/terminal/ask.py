"""The nine questions on a terminal, or answered by a pipe: prompts, errors, help, and answers kept in a file beside.

What is asked, offered and refused is `sim/ask/asking.py`'s; words go to stderr, as everywhere, and so do the questions.
"""

from __future__ import annotations

import sys
import textwrap
import tomllib
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from reports.terminal.lift import gap_words
from reports.words.answer import answer, why
from reports.words.plain import clock
from reports.words.stages import kind_of_largest
from sim.ask.asking import Asking, needed
from sim.ask.questions import PARTS, Part
from sim.check import CAUTION
from sim.check.people import people_needed
from sim.model.errors import Problem, ScenarioError
from sim.model.scenario import Scenario
from sim.model.sentences import words as worded
from sim.model.units import Units
from sim.model.visible import visible
from sim.record.what import DONE
from sim.written.short.toml_page import TomlPage

OPTIONS = tuple(part.key for part in PARTS)  # each answer can be given as an option
INTRODUCTION = (
    "Nine questions. Enter takes what stands in [brackets], ? says how to measure it, back goes back.\n"
    "Ctrl-C stops and keeps what you have answered."
)


def ask(file: Path, given: Mapping[str, str], units: Units | None = None, enter: bool = False) -> str:
    """Ask what the options leave open, and give back the short scenario.

    `given` are answers by key of `OPTIONS`; `enter` takes the offered answer wherever none is given and asks nothing.
    Answers are kept beside `file` from the first one on; `forget` removes them once the scenario is written.

    Raises
    ------
    ScenarioError
        An answer given as an option is wrong, or the input ended early.
    """
    kept = _kept(file)
    asking = Asking(units=units or kept.get("units", "us"))
    _take_given(asking, given, strict=enter or not sys.stdin.isatty())
    try:
        if not enter:
            _say(INTRODUCTION)
            count = asking.resume(kept.get("typed", {}), kept.get("taken", {}))
            if count:
                _say(f"\n{count} answers are there from last time: going on where you stopped.")
        while (part := asking.part) is not None:
            said = "" if enter else _asked(asking, part)
            _judge(asking, said, file, strict=enter)
        return _good(asking)
    except KeyboardInterrupt:
        if asking.answers:
            _keep(asking, file)
            _say(f"\n\nYour answers are kept in {_beside(file)}: the same command goes on from there.")
        raise
    except EOFError:
        number = asking.part.number if asking.part else 9
        what = f"the input ended before question {number} was answered"
        hint = "the answers so far are kept; --enter takes the offered answer for all that no option gives"
        raise ScenarioError([Problem("ask", what, hint)]) from None


def forget(file: Path) -> None:
    """The scenario is written: the kept answers have done their work."""
    _beside(file).unlink(missing_ok=True)


def show_asked(file: Path, scenario: Scenario, summary: Mapping[str, Any], console: Console) -> None:
    """What the lift will take, at mean times, and what was assumed for it."""
    lines = len(scenario.text.splitlines())
    console.print(Text(f"{file} written: a short scenario of {lines} lines. At mean times:\n"))
    table = Table.grid(padding=(0, 2))
    for name, words in _figures(scenario, summary):
        table.add_row(Text(name), Text(words))
    console.print(table)
    if summary["outcome"] not in DONE:
        console.print(Text(f"\n{answer(dict(summary), scenario)}", style="bold"))
        console.print(Text(why(dict(summary))))
    console.print(Text("\nWhat is assumed:", style="bold"))
    for sentence in scenario.assumed:
        console.print(Text(f"  {worded(sentence, scenario.units)}"))
    console.print(Text(f"\n{CAUTION}", style="italic"))


def wants_run() -> bool:
    """Offer to run it; no answer is no."""
    try:
        said = _line("\nRun it now? [yes] ")
    except EOFError:
        return False
    return said.strip().lower() in ("", "y", "yes")


def _figures(scenario: Scenario, summary: Mapping[str, Any]) -> list[tuple[str, str]]:
    pumps, catchers = summary["pumps"], {name for place in scenario.places for name in place.catchers}
    each = set(pumps.values())
    strokes = (
        f"{each.pop()} at each lifter" if len(each) == 1 else ", ".join(f"{n} at the {x}" for x, n in pumps.items())
    )
    calls = f"{summary['calls']} call{'s' if summary['calls'] != 1 else ''}"
    follow = f"{len(catchers)} following the load"
    kind = kind_of_largest(dict(summary))
    needed = people_needed(scenario)
    few = f"; {scenario.people} are there" if scenario.people is not None and scenario.people < needed else ""
    return [
        ("strokes", f"{strokes}, in {calls}, {clock(summary['duration_s'])}"),
        ("people", f"{needed}: the leader, {len(scenario.lifters)} at the pumps, {follow}{few}"),
        ("largest gap", gap_words(summary["largest_gap"], scenario.units) + (f" ({kind})" if kind else "")),
    ]


# --- one question


def _asked(asking: Asking, part: Part) -> str:
    """Put the question until there is an answer to it; `?` and `back` are none."""
    while True:
        said = _line(_question(asking, part))
        word = said.strip().lower()
        if word in ("?", "help"):
            _say("\n".join(f"     {line}" for line in textwrap.wrap(part.how, 90)))
        elif word in ("back", "b"):
            if not asking.back():
                _say("     This is the first question.")
            part = asking.part or part
        else:
            return said


def _question(asking: Asking, part: Part) -> str:
    first = next(each for each in PARTS if each.number == part.number and needed(each, asking.answers))
    lines = [""] * (part is first) + [f"{part.number if part is first else ' '}  {part.asks[asking.units]}"]
    width = max((len(name) for name, _ in part.choices), default=0)
    lines += [f"     {at}  {name:{width}}  {what}" for at, (name, what) in enumerate(part.choices, 1)]
    return "\n".join([*lines, f"   [{asking.offer(part)}] "])


def _judge(asking: Asking, said: str, file: Path, strict: bool) -> None:
    problems = asking.take(said)
    if problems and strict:
        raise ScenarioError(problems)
    for problem in problems:
        _say(f"\n{_plain(problem)}")
    if not problems and not strict:
        _keep(asking, file)


def _plain(problem: Problem) -> str:
    return f"     {problem.what}" + (f"\n     hint: {problem.hint}" if problem.hint else "")


def _take_given(asking: Asking, given: Mapping[str, str], strict: bool) -> None:
    """Answers of options, in the order of the questions; a wrong one is asked for where somebody is there to ask."""
    for part in PARTS:
        if part.key in given:
            problems = asking.wrong(part, given[part.key])
            if problems and strict:
                raise ScenarioError(Problem(f"--{_option(part)}", each.what, each.hint) for each in problems)
            for problem in problems:
                _say(f"--{_option(part)}:\n{_plain(problem)}")
            if not problems:
                asking.given[part.key] = given[part.key]


def _option(part: Part) -> str:
    return part.key.replace("_", "-")


def _good(asking: Asking) -> str:
    """The scenario, read once more as a whole."""
    from sim.written.reading import parse

    text = asking.text()
    parse(text, "asked.toml")
    return text


# --- the answers beside the file


def _beside(file: Path) -> Path:
    return file.with_name(f".{file.name}.answers")


def _keep(asking: Asking, file: Path) -> None:
    """Every answer at once, whole or not at all; a folder that cannot be written to is no reason to stop asking."""
    page = TomlPage(asking.units)
    page.words("Answers to liftcadence ask, kept until the scenario is written.")
    page.key("units", asking.units)
    for name, answers in (("typed", asking.typed), ("taken", asking.taken)):
        page.table(name)
        for key, said in answers.items():
            page.key(key, said)
    beside = _beside(file)
    fresh = beside.with_name(f"{beside.name}.new")
    try:
        fresh.write_text(page.text(), encoding="utf-8")
        fresh.replace(beside)
    except OSError:
        fresh.unlink(missing_ok=True)


def _kept(file: Path) -> dict[str, Any]:
    """The answers of last time; whatever is not as `_keep` writes it is passed over."""
    try:
        found = tomllib.loads(_beside(file).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    kept: dict[str, Any] = {}
    for name in ("typed", "taken"):
        table = found.get(name)
        kept[name] = {k: v for k, v in table.items() if isinstance(v, str)} if isinstance(table, dict) else {}
    if found.get("units") in ("us", "si"):
        kept["units"] = found["units"]
    return kept


# --- the terminal


def _line(prompt: str) -> str:
    """One line of input after a prompt; with line editing where both ends are a terminal."""
    *before, last = prompt.split("\n")
    _say("\n".join(before))
    if sys.stdin.isatty() and sys.stdout.isatty():
        with suppress(ImportError):
            import readline  # noqa: F401 - importing it is what makes input() edit
        try:
            return input(last)
        except EOFError:
            raise KeyboardInterrupt from None
    print(last, end="", file=sys.stderr, flush=True)
    said = sys.stdin.readline()
    _say(said.rstrip("\n"))
    if not said:
        raise EOFError
    return said


def _say(words: str) -> None:
    print(visible(words, keep="\n"), file=sys.stderr)
