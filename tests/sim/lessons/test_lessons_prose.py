"""The prose of the lessons: every part there, every figure a named place, and each number one value."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from reports.lessons import page
from reports.lessons.picture import start
from reports.paper.lesson_prose import html, prose
from sim.lessons import LESSONS, questions
from sim.lessons.words.figures import Worked, said
from sim.lessons.words.prose import (
    PARTS,
    SYSTEMS,
    filled,
    glossary,
    items,
    missing,
    places,
    typed_by_hand,
    unknown,
    words_used,
)
from sim.model.errors import ScenarioError
from sim.model.sentences import brief, up
from sim.model.units import INCH
from tests.builders import lesson

FIGURES = {"spacing": brief(2 * INCH, "length"), "gap": up(0.0381, "length"), "name": "<b>*mine*</b>"}


@pytest.mark.parametrize("name", list(LESSONS))
def test_every_part_is_there_and_every_place_is_a_figure(name: str) -> None:
    """Aim, belief, explanation, stops, drill, what is left out, sources, instructor's page."""
    texts, figures = LESSONS[name].texts, lesson(name).figures
    assert missing(texts) == []
    assert [p for part, text in texts.items() for p in unknown(text, figures, part)] == []
    assert len(items(texts["stops"])) == len(lesson(name).stops) == 3
    assert places(texts["explanation"]) and places(texts["stops"])


@pytest.mark.parametrize("name", list(LESSONS))
def test_no_number_is_typed_by_hand_where_a_figure_exists(name: str) -> None:
    """Sources quote theirs."""
    texts = {part: text for part, text in LESSONS[name].texts.items() if part != "sources"}
    assert [n for text in texts.values() for n in typed_by_hand(text, lesson(name).figures)] == []


@pytest.mark.parametrize("example", ["trailer", "van"])
@pytest.mark.parametrize("name", list(LESSONS))
def test_the_figures_of_each_stop_are_those_beside_the_sliders_there(name: str, example: str) -> None:
    """In both units, and the words of its setting."""
    computed = lesson(name, example)
    drawn = page.drawn_by(LESSONS[name])
    for units in SYSTEMS:
        readouts = [drawn.readout(computed, units, dict(stop)) for stop in computed.stops]
        beside = [" ".join(f"{r.figure} {r.note}" for r in readout) for readout in readouts]
        settings = " ".join(c.say(stop[c.name], units) for c in computed.controls for stop in computed.stops)
        own = [name for name in computed.figures if not re.search(r"_\d$", name)]
        for text in items(LESSONS[name].texts["stops"]):
            for place in set(places(text)) - set(own):
                at = int(place.rsplit("_", 1)[1]) - 1
                assert said(computed.figures[place], units) in f"{beside[at]} {settings}", (place, units)


@pytest.mark.parametrize("name", list(LESSONS))
def test_prose_table_and_questions_print_the_same_figure(name: str) -> None:
    """What the explanation names of the scenario stands in the same digits beside the sliders, or is asked."""
    computed, text = lesson(name, "van"), LESSONS[name].texts["explanation"]
    drawn = page.drawn_by(LESSONS[name])
    for units in SYSTEMS:
        asked = " ".join(f"{q.ask} {q.put_in} {q.result}" for q in questions(LESSONS[name], computed, units))
        asked += " ".join(c.say(s, units) for c in computed.controls for s in c.settings)
        asked += " ".join(f"{r.label} {r.figure} {r.note}" for r in drawn.readout(computed, units, start(computed)))
        shared = [p for p in places(text) if not re.search(r"_\d$", p)]
        assert shared
        for place in shared:
            assert said(computed.figures[place], units) in asked, place


def test_a_missing_part_is_found() -> None:
    """One that is not there, and one that is empty."""
    texts = dict(LESSONS["between-the-pins"].texts)
    del texts["drill"]
    assert missing(texts | {"belief": " \n"}) == ["belief", "drill"]
    assert set(texts) < set(PARTS)


def test_an_unknown_place_is_named_with_its_line_and_the_nearest() -> None:
    """And so is anything else in braces: a text runs nothing."""
    with pytest.raises(
        ScenarioError, match=r'belief\.md, line 2: the lesson has no figure "spacin"\s+hint: .*"spacing"'
    ):
        filled("A hole\nevery {{ spacin }}.", FIGURES, "us", "belief.md")
    for braces in ("{% for x in y %}", "{{ 7 * 7 }}", "{{ spacing.__class__ }}", "{{ spacing", "{# x #}"):
        (problem,) = unknown(f"See {braces}", FIGURES, "drill.md")
        assert "no named place" in problem.what
    computed = lesson("between-the-pins")
    wrong = replace(LESSONS["between-the-pins"], texts={"belief": "{{ nobody }}"})
    with pytest.raises(ScenarioError, match="nobody"):
        prose(wrong, computed)


@pytest.mark.parametrize("typed", ["every 2 in", "0.5 s", "4 1/2 in", "30 %", "1,200 lb", "339 ft-lb", "25 mm", "1.50"])
def test_a_number_typed_by_hand_is_found(typed: str) -> None:
    """One with a unit, or one that a figure of the lesson has."""
    assert typed_by_hand(f"The strut has {typed}, here.", FIGURES)


@pytest.mark.parametrize("typed", ["{{ spacing }} in a row", "2 people", "minutes 10 to 20", "1. Raise it", "lesson 3"])
def test_other_numbers_are_left_alone(typed: str) -> None:
    """Minutes of the plan, people, the numbers of a list."""
    assert typed_by_hand(typed, FIGURES) == []


def test_figures_turn_with_the_units_and_the_spelling_with_them() -> None:
    """Rounded as the figure says."""
    text = "Every {{ spacing }}, {{ gap }} above the centre"
    assert filled(text, FIGURES, "us", "") == r"Every 2 in, 1\.50 in above the center"
    assert filled(text, FIGURES, "si", "") == r"Every 50\.8 mm, 38\.1 mm above the centre"


def test_what_is_worked_out_is_worked_out_from_what_is_printed() -> None:
    """50 mm are printed as 1.97 in, 10 mm as 0.39 in: together 2.36 in, not 2.37."""
    whole = Worked(lambda a, b: a + b, (brief(0.05, "length"), brief(0.01, "length")), "length", "up")
    assert (said(whole, "us"), said(whole, "si")) == ("2.36 in", "60.0 mm")


def test_the_glossary_gives_the_words_that_a_text_uses_and_no_others() -> None:
    """Whatever their ending; each word once, in order of the alphabet."""
    assert list(words_used("Two struts were levelled; the leader holds.")) == ["hold", "levelling", "strut"]
    assert words_used("Nothing of the kind.") == {}
    assert list(glossary()) == sorted(glossary())
    assert len(glossary()) > 30 and all(meaning.endswith(".") for meaning in glossary().values())


def test_no_text_brings_markup_a_picture_or_a_script_onto_the_page() -> None:
    """Neither typed in Markdown nor come in through a figure."""
    hostile = "<script>alert(1)</script> ![x](http://example.org/x.png) [go](javascript:alert(1)) {{ name }}"
    made = html(filled(hostile, FIGURES, "us", ""))
    assert not re.search(r"<(script|img|b|em)\b|href=.javascript", made)
    assert "&lt;b&gt;*mine*&lt;/b&gt;" in made
