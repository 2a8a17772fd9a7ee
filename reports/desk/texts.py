"""A plan's text, as far as it can be read: as TOML, as a scenario, as the fields of its cards."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from tomlkit.exceptions import TOMLKitError

from reports.desk.cards.fields import Card, Field, every, marked
from reports.desk.cards.full import full_cards
from reports.desk.cards.short import short_cards
from reports.desk.document import changed
from sim.ask.asking import title_of
from sim.model.errors import Problem, Refused, ScenarioError
from sim.model.scenario import Scenario
from sim.stored.plain import read_plain
from sim.written.keys.places import Raw
from sim.written.keys.syntax import MOST, toml
from sim.written.reading import parse
from sim.written.short.table import is_short


def find_field(cards: tuple[Card, ...], name: str) -> Field:
    """The field of that name.

    Raises
    ------
    Refused
        There is none.
    """
    for each in every(cards):
        if each.id == name:
            return each
    raise Refused("there is no such field in this plan any more", "look at it again")


def put(text: str, here: Field, said: str) -> str:
    """The file with an answer in it, whether it is good or not.

    Raises
    ------
    ScenarioError
        It cannot be put there at all.
    """
    try:
        return _called_anew(text, changed(text, here.written(said)))
    except (TOMLKitError, ValueError, TypeError, KeyError, IndexError):
        raise ScenarioError([Problem(here.id, "cannot be written there", "see to the file by hand")]) from None


def _called_anew(before: str, after: str) -> str:
    """A short plan called by what it does is called by what it does now, unless it was named otherwise."""
    was, now = toml(before, ""), toml(after, "")
    if is_short(now) and was.get("title") == now.get("title") == title_of(was) != title_of(now):
        return changed(after, [(("title",), title_of(now))])
    return after


def cards_of(raw: Raw) -> tuple[Card, ...]:
    """The cards of a file, in the form that it is in."""
    units = "us" if raw.get("units") == "us" else "si"
    return marked(raw, short_cards(raw, units) if is_short(raw) else full_cards(raw))  # type: ignore[arg-type]


def read_text(file: Path) -> str:
    """A scenario file's text.

    Raises
    ------
    Refused
        It cannot be read.
    """
    try:
        return read_plain(file, MOST * 4).decode("utf-8-sig")
    except OSError as error:
        raise Refused(
            f"{file.name}: cannot be read: {error.strerror or error}", "see whether it is still there"
        ) from None
    except UnicodeDecodeError:
        raise Refused(f"{file.name} is not UTF-8 text", "save it as UTF-8") from None


@dataclass(frozen=True)
class Text:
    """A text as far as it can be read: as TOML, as a plan, as cards."""

    raw: Raw  # {} where it is no TOML; never changed
    problems: tuple[Problem, ...]
    scenario: Scenario | None
    cards: tuple[Card, ...]


@lru_cache(maxsize=64)
def read_plan(text: str, name: str) -> Text:
    """A text of a plan; the same one is not read again."""
    try:
        raw = toml(text, name)
    except ScenarioError as wrong:
        return Text({}, wrong.problems, None, ())
    try:
        return Text(raw, (), parse(text, name), cards_of(raw))
    except ScenarioError as wrong:
        return Text(raw, wrong.problems, None, cards_of(raw))


def good(text: str, name: str) -> Scenario:
    """The scenario in a text.

    Raises
    ------
    ScenarioError
        With everything that is wrong.
    """
    read = read_plan(text, name)
    if read.scenario is None:
        raise ScenarioError(read.problems)
    return read.scenario
