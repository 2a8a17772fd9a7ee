"""The figures of a lesson, by name: prose, table, question and answer print each from the one value.

    figures = {
        "spacing": brief(0.05, "length"),
        "slack": brief(0.01, "length"),
    }
    figures["most"] = Worked(operator.add, (figures["spacing"], figures["slack"]), "length", "up")

What is worked out from others is worked out from them as they are printed: a reader with a pencil gets the same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sim.model.sentences import Amount, Rounds
from sim.model.units import Units


@dataclass(frozen=True, slots=True)
class Worked:
    """An amount worked out from others as they are printed."""

    formula: Callable[..., float]  # of their values [SI]
    of: tuple[Amount | Worked, ...]
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


FigureSaid = Amount | Worked | str
Figures = Mapping[str, FigureSaid]


def said(figure: FigureSaid, units: Units) -> str:
    """A figure as it is printed; a text is what it is."""
    return figure if isinstance(figure, str) else figure.text(units)
