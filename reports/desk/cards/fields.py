"""What a plan's screen asks for: fields on cards, each tied to the places of the file that it is written in."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal

from reports.desk.document import Steps
from sim.model.errors import Problem, ScenarioError
from sim.written.keys.assumed import marks_of, steps_to
from sim.written.keys.places import Raw

Kind = Literal["quantity", "text", "whole", "number", "band", "list", "names", "choice"]
Written = list[tuple[Steps, Any]]
Choices = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Field:
    """One thing to fill in."""

    id: str
    label: str
    steps: tuple[Steps, ...]  # where it stands; of left and right as one, both places
    kind: Kind = "quantity"
    value: str = ""  # as it was typed; "" where nothing is written
    how: str = ""  # what it means, how to measure it
    choices: Choices = ()
    offered: str = ""  # what stands for it where nothing is written
    row: str = ""  # fields of one row share this
    more: bool = False  # folded away
    mirror: Callable[[str], str] = str  # what the second place is given
    path: str = ""  # as [assumed] names it; "" where it has no low and high
    guess: tuple[str, str] | None = None  # its low and high, where it is marked as assumed
    writes: Callable[[str], Written] | None = None  # where one answer is several keys

    @property
    def named(self) -> str:
        """What it is called where it stands by itself."""
        return f"{self.row}, {self.label}" if self.row else self.label

    @property
    def unsaid(self) -> str:
        """What is shown where nothing is written."""
        if not self.offered:
            return "not known"
        words = dict(self.choices).get(self.offered, self.offered)
        return words if words == "not known" else f"{words} (taken for granted)"

    def written(self, said: str) -> Written:
        """What to put where for an answer; None takes the key away.

        Raises
        ------
        ScenarioError
            It is no answer to this.
        """
        if self.writes is not None:
            return self.writes(said)
        texts = [said, *(self.mirror(said) for _ in self.steps[1:])]
        return [(at, self._read(text.strip())) for at, text in zip(self.steps, texts, strict=True)]

    def _read(self, said: str) -> Any:
        if not said:
            return None
        if self.kind == "whole":
            return int(number(self.id, said, r"[0-9]{1,9}", "a whole number"))
        if self.kind == "number":
            return float(number(self.id, said, r"[0-9]{0,9}\.?[0-9]{1,9}", "a number without a unit"))
        if self.kind == "band":
            ends = re.split(r"\s*(?:to|,|;)\s*", said.strip("[] "))
            return [float(number(self.id, end, r"[0-9]{0,9}\.?[0-9]{1,9}", "two numbers, low to high")) for end in ends]
        if self.kind == "choice" and said in ("true", "false"):
            return said == "true"
        if self.kind in ("list", "names"):
            listed = [each.strip() for each in re.split(r",\s+|;|,(?![0-9])", said) if each.strip()]
            return listed[0] if self.kind == "names" and len(listed) == 1 else listed
        return said


@dataclass(frozen=True)
class Group:
    """Fields of one thing: a lifter, a strut, a kind of person."""

    id: str
    title: str
    fields: tuple[Field, ...]
    removes: bool = False  # whether it can be taken out of the plan
    names: tuple[str, ...] = ()  # what findings and problems call it


@dataclass(frozen=True)
class Card:
    """One part of the job."""

    id: str
    title: str
    groups: tuple[Group, ...]
    adds: Choices = ()  # what can be added to it
    lead: str = ""


def number(place: str, said: str, form: str, wanted: str) -> str:
    """A number as it was typed.

    Raises
    ------
    ScenarioError
        It is none.
    """
    if re.fullmatch(form, said):
        return said
    raise ScenarioError([Problem(place, f'"{said[:60]}" is not {wanted}', f"write {wanted}, such as 3")])


def typed(value: Any) -> str:
    """A value of the file as a person typed it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return ", ".join(typed(each) for each in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def opposite(said: str) -> str:
    """A length to the left as one to the right."""
    bare = said.strip()
    if not re.search(r"[1-9]", bare):
        return bare
    return bare[1:].lstrip() if bare.startswith(("-", "\u2212")) else f"-{bare.removeprefix('+')}"


def other_side(said: str) -> str:
    """A name on the left as the one on the right."""
    return re.sub(r"\bleft\b", "right", said)


def marked(raw: Raw, cards: tuple[Card, ...]) -> tuple[Card, ...]:
    """The cards, each field with its low and high where the file marks it as assumed."""
    marks = {steps_to(path, raw): (path, ends) for path, ends in marks_of(raw).items()}

    def one(field: Field) -> Field:
        path, ends = marks.get(field.steps[0], ("", None))
        if not (isinstance(ends, list) and len(ends) == 2):
            return field
        return replace(field, guess=(typed(ends[0]), typed(ends[1])), path=path)

    return tuple(
        replace(card, groups=tuple(replace(g, fields=tuple(one(f) for f in g.fields)) for g in card.groups))
        for card in cards
    )


def every(cards: tuple[Card, ...]) -> Iterator[Field]:
    """Every field of the cards."""
    return (field for card in cards for group in card.groups for field in group.fields)
