"""The prose of a lesson as HTML: Markdown with its figures filled in, in both systems of units.

Raw HTML shows as text and there are no pictures: a page needs nothing from outside, whoever wrote the text.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from markdown_it import MarkdownIt
from markupsafe import Markup

from sim.lessons import Computed, Lesson
from sim.lessons.words.prose import PARTS, SYSTEMS, filled, items
from sim.model.units import Units

ByUnits = Mapping[Units, Markup]


def prose(lesson: Lesson, computed: Computed) -> dict[str, ByUnits]:
    """Each part but the stops; empty where the lesson has no text for it.

    Raises
    ------
    ScenarioError
        A text names a figure that the lesson has not.
    """
    texts = {part: lesson.texts.get(part, "") for part in PARTS if part != "stops"}
    return {part: in_both_units(text, computed, f"{part}.md") if text else {} for part, text in texts.items()}


def stops(lesson: Lesson, computed: Computed) -> list[dict[str, Any]]:
    """The settings worth stopping at: where the sliders go, what they say there, and what to see.

    Raises
    ------
    ScenarioError
        As `prose`.
    """
    said = items(lesson.texts.get("stops", ""))
    return [
        {
            "places": [c.settings.index(stop[c.name]) for c in computed.controls],
            "said": {u: ", ".join(f"{c.label}: {c.say(stop[c.name], u)}" for c in computed.controls) for u in SYSTEMS},
            "text": in_both_units(text, computed, "stops.md"),
        }
        for stop, text in zip(computed.stops, said, strict=bool(said))
    ]


def in_both_units(text: str, computed: Computed, where: str) -> ByUnits:
    """A text as HTML."""
    return {units: html(filled(text, computed.figures, units, where)) for units in SYSTEMS}


def html(markdown: str) -> Markup:
    """Markdown as HTML."""
    return Markup(reader().render(markdown))


@cache
def reader() -> MarkdownIt:
    """What reads our Markdown."""
    return MarkdownIt("commonmark", {"html": False}).enable("table").disable("image")
