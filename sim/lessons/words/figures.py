"""The figures of a lesson, by name: prose, table, question and answer print each from the one value.

    figures = {
        "spacing": brief(0.05, "length"),
        "slack": brief(0.01, "length"),
    }
    figures["most"] = Worked(operator.add, (figures["spacing"], figures["slack"]), "length", "up")

What is worked out from others is worked out from them as they are printed: a reader with a pencil gets the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from operator import sub

from sim.model.sentences import Amount, Rounds
from sim.model.units import Units


@dataclass(frozen=True, slots=True)
class Worked:
    """An amount worked out from others as they are printed."""

    formula: Callable[..., float]  # of their values [SI]
    of: tuple[Amount | Worked | Ratio, ...]
    dimension: str
    rounds: Rounds = "near"

    def amount(self, units: Units) -> Amount:
        """What comes out in these units."""
        return Amount(self.formula(*(part.as_printed(units) for part in self.of)), self.dimension, self.rounds)

    def text(self, units: Units) -> str:
        """With its unit."""
        return self.amount(units).text(units)

    def as_printed(self, units: Units) -> float:
        """The value as it is printed in these units [SI]."""
        return self.amount(units).as_printed(units)


@dataclass(frozen=True, slots=True)
class Ratio:
    """A plain number worked out from amounts as they are printed: how many times one is another."""

    formula: Callable[..., float]  # of their values [SI]
    of: tuple[Amount | Worked, ...]
    places: int = 2  # decimals

    def text(self, units: Units) -> str:
        """The number."""
        return f"{self.as_printed(units):.{self.places}f}"

    def as_printed(self, units: Units) -> float:
        """The number as it is printed."""
        return round(self.formula(*(part.as_printed(units) for part in self.of)), self.places)


FigureSaid = Amount | Worked | Ratio | str
Figures = Mapping[str, FigureSaid]


def less(larger: Amount, smaller: Amount, dimension: str) -> Worked:
    """The difference of two amounts as they are printed."""
    return Worked(sub, (larger, smaller), dimension)


def numbered(each: Iterable[Mapping[str, FigureSaid]]) -> dict[str, FigureSaid]:
    """The figures of several settings, by name and the number of the setting: `drop_1`, `drop_2`."""
    return {f"{name}_{n}": figure for n, of_one in enumerate(each, start=1) for name, figure in of_one.items()}


def said(figure: FigureSaid, units: Units) -> str:
    """A figure as it is printed; a text is what it is."""
    return figure if isinstance(figure, str) else figure.text(units)


def say(figures: Figures, units: Units) -> dict[str, str]:
    """Every figure as it is printed."""
    return {name: said(figure, units) for name, figure in figures.items()}
