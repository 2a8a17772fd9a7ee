"""A lesson in words for people of one system of units: what its document and its notebook both print.

    given = handout("between-the-pins", units="us", answers=True)
    given.passages[1].heading     # "What most people believe"
    given.passages[1].markdown    # Markdown, its figures filled in

The texts, the table, the questions and the picture are those of the page, computed once; what is no text of a
lesson is escaped, so that it means in Markdown what it says.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from reports.lessons.board import Board
from reports.lessons.page import (
    PRINT_TYPE,
    drawn_by,
    each_computed,
    example,
    figures_at_each_setting,
    lesson_named,
)
from reports.lessons.picture import Picture
from reports.words.stops import do_not, stops_of
from sim.lessons import Computed, Lesson, Question, questions
from sim.lessons.own_texts import with_own_texts
from sim.lessons.words.prose import as_words, filled, items
from sim.model.scenario import Scenario
from sim.model.sentences import words
from sim.model.units import Units, show
from sim.model.visible import visible


@dataclass(frozen=True, slots=True)
class Passage:
    """One passage under its heading."""

    name: str
    heading: str  # "" where it stands under the title
    markdown: str


@dataclass(frozen=True)
class Handout:
    """A lesson computed on a scenario, in the units of its readers."""

    lesson: Lesson
    computed: Computed
    units: Units
    picture: Picture  # its words
    board: Board  # the picture as it is printed
    passages: tuple[Passage, ...]  # in their order; the picture stands at the head of "picture"
    instead: str = ""  # why another scenario is used than the writer's

    @property
    def title(self) -> str:
        """With its number."""
        return f"Lesson {self.lesson.number}: {self.lesson.title}"

    @property
    def scenario(self) -> Scenario:
        """What it is computed on."""
        return self.computed.scenario

    @property
    def what(self) -> str:
        """What it is computed on, in a line."""
        return f"{visible(self.scenario.title)} · {show(self.scenario.need.rise, 'length', self.units)} of rise"


def handout(
    name: str,
    scenario: Scenario | None = None,
    units: Units | None = None,
    answers: bool = False,
    seed: int = 0,
    texts: Path | None = None,
) -> Handout:
    """A lesson in words.

    Parameters
    ----------
    name : str
        A key of `sim.lessons.LESSONS`.
    scenario : Scenario, optional
        The writer's own lift; by default the trailer that ships.
    units : "us" or "si", optional
        By default the scenario's.
    answers : bool
        With worked answers and the instructor's page.
    seed : int
        Rolls the questions.
    texts : Path, optional
        A folder with the writer's own texts (`sim/lessons/own_texts.py`).

    Returns
    -------
    Handout
        Its passages in their order.

    Raises
    ------
    ScenarioError
        There is no such lesson, the scenario lacks what it teaches with, or a text names a figure that it has not.
    """
    scenario = scenario or example()
    lesson = with_own_texts(lesson_named(name), texts)
    return put_together(lesson, lesson.compute(scenario), units or scenario.units, answers, seed)


def handouts(
    scenario: Scenario | None, units: Units | None, answers: bool, seed: int, texts: Path | None = None
) -> list[Handout]:
    """All lessons; one that the scenario cannot teach is computed on the trailer that ships, and says so."""
    scenario = scenario or example()
    return [
        put_together(lesson, computed, units or scenario.units, answers, seed, instead)
        for lesson, computed, instead in each_computed(scenario, texts)
    ]


def put_together(
    lesson: Lesson, computed: Computed, units: Units, answers: bool, seed: int, instead: str = ""
) -> Handout:
    """A computed lesson, passage by passage as on the page."""
    drawn = drawn_by(lesson)
    picture: Picture = drawn.pictures(computed, units, PRINT_TYPE)[0]
    asked = questions(lesson, computed, units, seed)
    assumed = [words(each, units) for each in computed.assumed]

    def text(part: str) -> str:
        return filled(lesson.texts.get(part, ""), computed.figures, units, f"{part}.md").strip()

    passages = [
        Passage("stops-of-the-check", *_stops_of_the_check(computed.scenario, units)),
        Passage("aim", "", text("aim")),
        Passage("instead", "", plain(f"The scenario cannot teach this lesson: {instead}.") if instead else ""),
        Passage("belief", "What most people believe", text("belief")),
        Passage("picture", "The picture", plain(picture.caption)),
        Passage("table", "The same as a table", _table(figures_at_each_setting(drawn, computed, units))),
        Passage("explanation", "What happens", text("explanation")),
        Passage("stops", "Three positions to stop at", _stops(lesson, computed, units)),
        Passage("drill", "Do it: a drill", text("drill")),
        Passage("questions", "Questions", numbered(plain(question.ask) for question in asked)),
        Passage("leaves-out", "What the model leaves out", f"{text('leaves-out')}\n{bullets(assumed)}"),
        Passage("cautions", "Cautions", bullets(lesson.cautions)),
        Passage("sources", "Sources", f"{text('sources')}\n\nQuestion set {seed}."),
        Passage("answers", "Answers", _answers(asked) if answers else ""),
        Passage("instructor", "For the instructor", text("instructor") if answers else ""),
    ]
    kept = tuple(passage for passage in passages if passage.markdown.strip())
    return Handout(lesson, computed, units, picture, drawn.fixed(computed, units, PRINT_TYPE), kept, instead)


def _stops_of_the_check(scenario: Scenario, units: Units) -> tuple[str, str]:
    """What stops this lift: everything that is made of a lift begins with it."""
    stops = stops_of(scenario)
    return do_not(stops), bullets(f"{each.subject}: {each.what.words(units)} {each.source}".strip() for each in stops)


def _stops(lesson: Lesson, computed: Computed, units: Units) -> str:
    """Where the sliders of the page stand, and what is to be seen there."""
    text = filled(lesson.texts.get("stops", ""), computed.figures, units, "stops.md")
    return numbered(
        f"**{plain(', '.join(f'{c.label}: {c.say(stop[c.name], units)}' for c in computed.controls))}**\n\n{said}"
        for stop, said in zip(computed.stops, items(text), strict=bool(text))
    )


def _answers(asked: Sequence[Question]) -> str:
    """Each question, and how it is worked."""
    worked = (
        (plain(one.ask), f"Formula: {plain(one.formula)}", f"Numbers: {plain(one.put_in)}", f"**{plain(one.result)}**")
        for one in asked
    )
    return "Gaps and drops are rounded up.\n\n" + numbered("\n\n".join(lines) for lines in worked)


def _table(rows: dict[str, Any]) -> str:
    """What the page reads out, a row for each setting of the first slider, the others where they are at first."""
    lines = [rows["head"], ["---"] * len(rows["head"]), *rows["rows"]]
    return "\n".join(f"| {' | '.join(c if c == '---' else plain(c) for c in line)} |" for line in lines)


def plain(text: str) -> str:
    """Words that mean in Markdown what they say, on one line."""
    return as_words(visible(text))


def bullets(lines: Iterable[str]) -> str:
    """A list of plain lines."""
    return "\n".join(f"- {plain(line)}" for line in lines)


def numbered(texts: Iterable[str]) -> str:
    """A numbered list of Markdown texts."""
    return "\n\n".join(
        f"{n}. {text.strip().replace(chr(10), chr(10) + ' ' * len(f'{n}. '))}" for n, text in enumerate(texts, start=1)
    )
