"""The prose of a lesson: Markdown, a file a part, with figures as named places.

    texts = texts_of("between-the-pins")                     # {"aim": "...", "belief": "...", ...}
    filled(texts["belief"], computed.figures, "us", "belief.md")  # "... a hole every 2 in ..."

A place is written `{{ spacing }}` and is filled with that figure of the lesson, in the reader's units. Nothing else is
read in the braces, so that a text can run nothing.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from importlib.resources import files

from sim.lessons.words.figures import Figures, said
from sim.model.errors import Problem, ScenarioError, nearest
from sim.model.sentences import spelled
from sim.model.units import SHOWN, Units

SYSTEMS: tuple[Units, Units] = ("us", "si")
PARTS = ("aim", "belief", "explanation", "stops", "drill", "leaves-out", "sources", "instructor")
PLACE = re.compile(r"\{\{\s*([a-z][a-z0-9_]*)\s*\}\}")
BRACES = re.compile(r"\{[{%#].*?(?:[}%#]\}|$)", re.MULTILINE)
MARKS = re.compile(r"([\\`*_{}\[\]<>()#+.!|~&-])")
UNITS = {u.unit.strip() for shown in SHOWN.values() for u in shown.values()} | {"ft", "m", "cm", "kg", "%", "inches"}
BY_HAND = re.compile(rf"(?<![\w.{{])\d[\d,./ ]*\s?(?:{'|'.join(map(re.escape, sorted(UNITS)))}|seconds)(?!\w)")


def texts_of(name: str) -> dict[str, str]:
    """The texts of a lesson that ships, by part; a part without a file is not there."""
    folder = files("sim.lessons") / "texts" / name
    found = {part: folder / f"{part}.md" for part in PARTS}
    return {part: file.read_text(encoding="utf-8") for part, file in found.items() if file.is_file()}


def glossary() -> dict[str, str]:
    """The words of the trade, each with what it means."""
    text = (files("sim.lessons") / "texts" / "glossary.md").read_text(encoding="utf-8")
    return dict(re.findall(r"^- \*\*(.+?)\*\*: (.+)$", text, re.MULTILINE))


def words_used(text: str) -> dict[str, str]:
    """The words of the glossary that a text has, each with what it means; their usual endings count."""
    stems = {word: re.sub(r"(?<=\w{4})(ing|e)$", "", word) for word in glossary()}
    ending = "(?:e|s|es|d|ed|ing|ling|ned|ning)?"
    return {
        word: meaning
        for word, meaning in glossary().items()
        if re.search(rf"\b{re.escape(stems[word])}{ending}\b", text, re.IGNORECASE)
    }


def missing(texts: Mapping[str, str]) -> list[str]:
    """The parts that a lesson has no text for, or an empty one."""
    return [part for part in PARTS if not texts.get(part, "").strip()]


def filled(text: str, figures: Figures, units: Units, where: str) -> str:
    """A text with its figures in the units asked for, still as Markdown.

    Parameters
    ----------
    text : str
        Markdown with named places.
    figures : Figures
        What the lesson computed, by name.
    units : "us" or "si"
        What the figures are printed in; it decides the spelling of our words too.
    where : str
        The file, for what is said of a place that is not known.

    Returns
    -------
    str
        Markdown without places.

    Raises
    ------
    ScenarioError
        A place has a name that no figure has, or braces hold something that is no name.
    """
    problems = unknown(text, figures, where)
    if problems:
        raise ScenarioError(problems)
    pieces = PLACE.split(text)  # words, a name, words, a name, words
    pieces[::2] = [spelled(ours, units) for ours in pieces[::2]]
    pieces[1::2] = [as_words(said(figures[name], units)) for name in pieces[1::2]]
    return "".join(pieces)


def unknown(text: str, figures: Figures, where: str) -> list[Problem]:
    """What stands in braces and is the name of no figure, each with its line."""
    problems = []
    for found in BRACES.finditer(text):
        place = PLACE.fullmatch(found[0])
        at = f"{where}, line {text.count(chr(10), 0, found.start()) + 1}"
        if place is None:
            problems.append(Problem(at, f"{found[0]} is no named place", "write {{ name }}, the name of a figure"))
        elif place[1] not in figures:
            hint = nearest(place[1], figures)
            problems.append(Problem(at, f'the lesson has no figure "{place[1]}"', hint))
    return problems


def places(text: str) -> list[str]:
    """The names in a text, in their order."""
    return PLACE.findall(text)


def typed_by_hand(text: str, figures: Figures) -> list[str]:
    """The numbers of a text that should be named places: those with a unit, and those that a figure has."""
    bare = PLACE.sub("{}", text)
    numbers = {said(figure, units).split(" ", 1)[0] for figure in figures.values() for units in SYSTEMS}
    typed = [found[0] for found in BY_HAND.finditer(bare)]
    return typed + [n for n in re.findall(r"(?<![\w.,])\d+[.,]\d+(?!\w)", bare) if n in numbers]


def items(text: str) -> list[str]:
    """The items of a numbered list, each without its number."""
    return [item.strip() for item in re.split(r"^\d+\.\s+", text, flags=re.MULTILINE) if item.strip()]


def as_words(text: str) -> str:
    """A text that means in Markdown what it says: what people wrote formats nothing."""
    return MARKS.sub(r"\\\1", text)
