"""One picture of a lesson, with all that goes with it on a slide: title, alt text, caption, the numbers it shows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import pandas as pd

from reports.lessons.board import Board
from sim.lessons import Computed, Control
from sim.lessons.tables import row_of as row_of
from sim.lessons.tables import rows_of as rows_of
from sim.model.units import Units

Said = Callable[[Units], str]


@dataclass(frozen=True)
class Picture:
    """A picture ready for a slide."""

    name: str  # of its files
    title: str
    board: Board
    alt: str
    caption: str
    table: pd.DataFrame  # what it shows, in SI


@dataclass(frozen=True)
class Readout:
    """One figure beside the sliders."""

    label: str
    figure: str
    note: str = ""


def nearest(table: pd.DataFrame, setting: Mapping[str, float]) -> pd.Series:
    """The row nearest a setting, over all of its columns."""
    away = pd.concat([(table[column] - value).abs() for column, value in setting.items()], axis=1).sum(axis=1)
    return table.iloc[away.argmin()]


def said(control: Control, setting: float) -> Said:
    """How a setting of a slider is said, in either units."""
    return lambda units: control.say(setting, units)


def start(computed: Computed) -> dict[str, float]:
    """Where the sliders stand at first: the writer's own figures."""
    return {control.name: control.settings[control.start] for control in computed.controls}
