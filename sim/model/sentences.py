"""Sentences as data: words with amounts in them, turned into text for a reader in the units asked for.

    drop = Sentence("would drop by {far} at call {call}", far=up(0.0254, "length"), call=3)
    drop.words("us")   # "would drop by 1.00 in at call 3"
    drop.words("si")   # "would drop by 25.4 mm at call 3"

Either text is rounded from the same SI value, the way that is against the reader's comfort: what is carried, or left
open, up; what may be carried down. Nothing reads a number back out of words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from sim.model.units import SHOWN, Units, show, show_down, show_up

Rounds = Literal["up", "down", "near"]


@dataclass(frozen=True, slots=True)
class Amount:
    """A quantity in a sentence."""

    value: float  # SI
    dimension: str  # a key of `sim.model.units.SHOWN`
    rounds: Rounds = "near"
    brief: bool = False  # without needless zeros: "2 in"

    def text(self, units: Units) -> str:
        """With its unit."""
        shown = {"up": show_up, "down": show_down, "near": show}[self.rounds]
        text = shown(self.value, self.dimension, units)
        number, unit = text.split(" ", 1)
        return f"{number.rstrip('0').rstrip('.')} {unit}" if self.brief and "." in number else text

    def number(self, units: Units) -> str:
        """Without its unit."""
        return self.text(units).removesuffix(SHOWN[self.dimension][units].unit)

    def as_printed(self, units: Units) -> float:
        """The value as it is printed in these units [SI]: who computes with the figure computes with this."""
        return float(self.number(units).replace(",", "")) * SHOWN[self.dimension][units].size


@dataclass(frozen=True, slots=True)
class InFormula:
    """A length in the middle of a formula: without its unit, in brackets where it is negative."""

    value: float  # [m]
    finer: bool = False  # with four digits, where it has them: small, and divided by

    def text(self, units: Units) -> str:
        """The nearest figure."""
        shown = SHOWN["length"][units]
        one = self.value / shown.size
        text = f"{round(one, shown.places) + 0.0:.{shown.places}f}"
        if self.finer:
            text = max(text, f"{one:.4g}", key=len)
        return f"({text})" if text.startswith("-") else text


@dataclass(frozen=True, slots=True)
class Span:
    """From the least to the most of several amounts."""

    least: Amount
    most: Amount

    def text(self, units: Units) -> str:
        """One figure where both are shown alike."""
        low, high = self.least.text(units), self.most.text(units)
        return high if low == high else f"{self.least.number(units)} to {high}"


SPELLED = {"centre": "center", "kerb": "curb", "grey": "gray"}  # with US units, US spelling


def spelled(words: str, units: Units) -> str:
    """The words of ours as they are spelled where these units are used."""
    if units == "us":
        for british, american in SPELLED.items():
            words = words.replace(british, american)
    return words


Part = Amount | InFormula | Span | str | int


@dataclass(frozen=True, init=False)
class Sentence:
    """A text with places for its parts: amounts, names, counts, and sentences within it."""

    form: str
    parts: tuple[tuple[str, Part | Sentence], ...]

    def __init__(self, form: str, **parts: Part | Sentence) -> None:
        object.__setattr__(self, "form", form)
        object.__setattr__(self, "parts", tuple(parts.items()))

    def words(self, units: Units) -> str:
        """The text, its amounts in these units."""
        return spelled(self.form, units).format(**{name: words(part, units) for name, part in self.parts})

    def amounts(self) -> Iterator[Amount]:
        """The amounts in it, in their order."""
        for _, part in self.parts:
            if isinstance(part, Sentence):
                yield from part.amounts()
            elif isinstance(part, Amount):
                yield part

    def with_parts(self, changed: Callable[[Part], Part]) -> Sentence:
        """The same sentence, each of its parts changed."""
        parts = {
            name: part.with_parts(changed) if isinstance(part, Sentence) else changed(part) for name, part in self.parts
        }
        return Sentence(self.form, **parts)


def words(part: Part | Sentence | str, units: Units) -> str:
    """A part, or a whole sentence, as text."""
    if isinstance(part, Sentence):
        return part.words(units)
    return str(part) if isinstance(part, str | int) else part.text(units)


def up(value: float, dimension: str) -> Amount:
    """Never less than it is: what is carried, left open, or needed."""
    return Amount(value, dimension, "up")


def down(value: float, dimension: str) -> Amount:
    """Never more than it is: what may be carried, or is there."""
    return Amount(value, dimension, "down")


def near(value: float, dimension: str) -> Amount:
    """The nearest figure: what is neither for nor against anybody."""
    return Amount(value, dimension, "near")


def brief(value: float, dimension: str) -> Amount:
    """The nearest figure without needless zeros: a setting, a size of timber."""
    return Amount(value, dimension, brief=True)
