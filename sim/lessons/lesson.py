"""What every lesson is made of: an aim, tables computed by the model, questions with numbers from the scenario."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import pandas as pd

from sim.lessons.tables import Setting
from sim.lessons.words.figures import Figures, say
from sim.model.scenario import Scenario
from sim.model.sentences import Sentence, brief, near
from sim.model.units import Units, show, show_up

Rule = Literal["stop-until-caught", "keep-pace"]


@dataclass(frozen=True, slots=True)
class Question:
    """One question of a handout, and how it is worked: formula first, then numbers put in, then the result."""

    ask: str
    formula: str
    put_in: str
    result: str


@dataclass(frozen=True, slots=True)
class Control:
    """A slider: what it moves, and the settings that were simulated beforehand."""

    name: str
    label: str
    settings: tuple[float, ...]  # [SI], or a plain number
    start: int  # the setting to begin with
    dimension: str = ""  # a key of `units.SHOWN`; "": a plain number, or `names`
    names: tuple[str, ...] = ()  # said instead of the figures; "{}" in one stands for its length in `lengths`
    lengths: tuple[float, ...] = ()  # [m]

    def say(self, setting: float, units: Units) -> str:
        """A setting as people read it."""
        if self.names:
            at = self.settings.index(setting)
            return self.names[at].format(brief(self.lengths[at], "length").text(units) if self.lengths else "")
        return brief(setting, self.dimension).text(units) if self.dimension else f"{setting:g}"


def percents(shares: Sequence[float]) -> tuple[str, ...]:
    """The names of settings that are shares."""
    return tuple(f"{100 * share:g} %" for share in shares)


def nearest(settings: Sequence[float], wanted: float) -> int:
    """Which of the settings is nearest to one that is wanted."""
    return min(range(len(settings)), key=lambda n: abs(settings[n] - wanted))


@dataclass(frozen=True)
class Computed:
    """A lesson computed on a scenario: every number of its pictures, in SI."""

    scenario: Scenario
    tables: dict[str, pd.DataFrame]  # columns end in their unit
    facts: dict[str, float] = field(default_factory=dict)  # [SI]
    controls: tuple[Control, ...] = ()
    assumed: tuple[Sentence | str, ...] = ()  # what the scenario did not say, a sentence each
    figures: Figures = field(default_factory=dict)  # what prose, questions and answers print, by name: each number once
    stops: tuple[Setting, ...] = ()  # settings of the sliders worth stopping at, in the order of `stops.md`

    def say(self, units: Units) -> dict[str, str]:
        """The figures as they are printed, in prose, questions and answers alike."""
        return say(self.figures, units)


@dataclass(frozen=True, slots=True)
class Lesson:
    """One lesson: what it teaches, and the functions that compute it."""

    number: int
    name: str
    title: str
    cautions: tuple[str, ...]
    compute: Callable[[Scenario], Computed]
    ask: Callable[[Computed, Units, random.Random], list[Question]]
    texts: Mapping[str, str]  # Markdown by part, figures as named places: see `prose.py`

    @property
    def aim(self) -> str:
        """What it teaches, in a sentence."""
        return self.texts["aim"].strip()


def questions(lesson: Lesson, computed: Computed, units: Units, seed: int = 0) -> list[Question]:
    """The questions of a lesson computed on a scenario; another seed rolls other numbers from the same scenario."""
    return lesson.ask(computed, units, random.Random(f"{lesson.name} {seed}"))


# --- numbers for questions: what is printed is what is computed with


def as_shown(value: float, dimension: str, units: Units) -> float:
    """A quantity rounded as it will be printed [SI]: who computes with the printed figure gets the printed answer."""
    return near(value, dimension).as_printed(units)


def handy(units: Units, us: float, si: float) -> float:
    """One of two lengths [m]: `us` given in inches or `si` in millimetres, whichever people there would say."""
    return us * 0.0254 if units == "us" else si * 1e-3


@dataclass(frozen=True, slots=True)
class Printed:
    """Figures as questions and pictures print them, for people of one system of units."""

    units: Units

    def length(self, metres: float) -> str:
        """A length [m]."""
        return show(metres, "length", self.units)

    def brief(self, metres: float) -> str:
        """A length [m] without needless zeros."""
        return brief(metres, "length").text(self.units)

    def up(self, value: float, dimension: str = "length") -> str:
        """A gap, a drop or its energy [SI]: never less than it is."""
        return show_up(value, dimension, self.units)

    def time(self, seconds: float) -> str:
        """A time [s]."""
        return show(seconds, "time", self.units)

    def force(self, newtons: float) -> str:
        """A force [N]."""
        return show(newtons, "force", self.units)

    def angle(self, radians: float) -> str:
        """An angle [rad]."""
        return show(radians, "angle", self.units)
