"""The questions of the lessons, worked again here from nothing but their own printed words."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import pytest

from sim.lessons import LESSONS, Question, questions
from sim.model.units import Units
from tests.builders import lesson as simulated

Numbers = list[float]
NUMBER = re.compile(r"(?<![\w.])-?\d[\d,]*\.?\d*")
SMALLEST = {"us": 0.01, "si": 0.1}  # the last printed digit of a length


def numbers(text: str) -> Numbers:
    """Every number printed in a text, in its order."""
    return [float(n.replace(",", "")) for n in NUMBER.findall(text)]


def up(value: float, units: str) -> float:
    """A gap or a drop, as printed: never less than it is."""
    step = SMALLEST[units]
    return math.ceil(value / step - 1e-6) * step


def energy(force: float, way: float, units: str) -> float:
    """lb x in -> ft-lb; kN x mm -> J."""
    return force * way / 12 if units == "us" else force * way


def between_the_pins(asked: list[Numbers], units: str) -> list[Numbers]:
    """Formulas as a textbook has them, numbers as the question prints them."""
    (s, slack, line), (_, _), crib, swaps, (ratio, gap) = (
        asked[0], asked[1], asked[2], asked[3], asked[4],
    )  # fmt: skip
    *pieces, wedge, space = crib
    put, left = [], space
    while any(p <= left + 1e-9 for p in pieces):
        put.append(max(p for p in pieces if p <= left + 1e-9))
        left -= put[-1]
    still_open = [up(left - wedge, units)] if left > wedge + 1e-9 else []
    return [
        [up(math.fmod(line + 1e-9, s) + slack, units)],
        [up(s / 2 + slack, units), up(s + slack, units)],
        [*put, left, *still_open],
        [swaps[0] * swaps[1]],
        [up(ratio * gap, units)],
    ]


def the_chase(asked: list[Numbers], units: str) -> list[Numbers]:
    """Two clocks: lead / time a turn is the collar's, what a call gains the strokes'."""
    (gained, lead, a_turn), (pace, calls), (gap, _, seat), (_, t_kept, g_kept, t_held, g_held) = asked
    climb = lead / a_turn
    grows = gained - climb * pace
    return [
        [gained / climb],
        [up(grows, units), up(calls * grows, units), calls],
        [gap / climb + seat],
        [t_held - t_kept, g_kept - g_held],
    ]


def what_a_gap_costs(asked: list[Numbers], units: str) -> list[Numbers]:
    """By energy: the load's work over gap and give is the spring's; its root, not the formula."""
    (static, gap), (give, _), third, (_,), (_, most) = asked
    # static (h + x) = static x^2 / (2 d), solved for x / d
    n = (give + math.sqrt(give**2 + 2 * give * gap)) / give
    works = math.ceil(energy(static, gap, units) - 1e-6)
    rated = third[1:]
    return [
        [works],
        [n],
        [round(n, 2) * static, *rated],
        [2 * static],
        [up(gap / ((most - 1) ** 2 / 2 - 0.5), units)],
    ]


def both_sides_level(asked: list[Numbers], units: str) -> list[Numbers]:
    """Variances add."""
    (strokes, rise, missed), (less, many), (limit,), (_, _, percent, calls), _ = asked
    one = math.sqrt((strokes * rise * percent / 100) ** 2)
    return [
        [up(missed * strokes * rise, units)],
        [up(many * strokes * rise * less / 100, units)],
        [up(limit + strokes * rise, units)],
        [one, math.sqrt(calls * one**2 + calls * one**2)],
        [2.0],
    ]


def slack_and_stretch(asked: list[Numbers], units: str) -> list[Numbers]:
    """With the complement's tangent, so that the formula is another."""
    (slack, s), (lead, a_turn, seat, taken), (degrees, upright), (length, percent, limit, pull), (_, slides) = asked
    cot = math.tan(math.radians(90 - degrees))
    return [
        [up(slack + s / 2, units), 0.0],
        [taken / (lead / a_turn) + seat],
        [upright * cot],
        [up(length * percent / 100 * (pull / limit), units)],
        [up(slides * cot, units)],
    ]


def only_what_you_need(asked: list[Numbers], units: str) -> list[Numbers]:
    """Differences, and force times way."""
    (_, pumps_a, t_a, _, pumps_b, t_b, _), (people, beside, _), (weight, risen), _ = asked
    return [[pumps_b - pumps_a, t_b - t_a], [people * beside], [math.ceil(energy(weight, risen, units) - 1e-6)], [1.5]]


def steep_or_flat(asked: list[Numbers], units: str) -> list[Numbers]:
    """Along the strut as the root of the two squares; across by the complement."""
    (steep, upright), (flat,), _, (push, other, _) = asked

    def cot(degrees: float) -> float:
        return math.tan(math.radians(90 - degrees))

    a, b = (upright * math.sqrt(1 + cot(d) ** 2) for d in (steep, flat))
    return [
        [a],
        [b, b / a],
        [upright * cot(steep), upright * cot(flat)],
        [push * math.sqrt(1 + (1 / cot(other)) ** 2), push * math.sqrt(2)],
    ]


def coming_down(asked: list[Numbers], units: str) -> list[Numbers]:
    """Counted down, call by call and hole by hole."""
    (free, step), (line, _, ways), (s, stood, freed, room), (head, ratio, below, again), last = asked

    def counted(by: float) -> int:
        n, left = 0, line
        while left > 1e-9:
            n, left = n + 1, left - by
        return n

    hole = 0
    while s * (hole + 1) <= stood - room + 1e-9:
        hole += 1
    _, t_small, g_small, _, t_large, g_large = last
    return [
        [up(free + step, units)],
        [counted(step), counted(step / ways)],
        [hole, up(stood - s * hole + freed, units)],
        [up(head, units), up((below + again) * ratio, units)],
        [t_small - t_large, g_large - g_small],
    ]


def what_wants_to_slide(asked: list[Numbers], units: str) -> list[Numbers]:
    """By sines and cosines where the lesson has the tangent; the chock by the angle at which the wheel climbs it."""
    (high, ahead), (least,), third, (wheels, push, rolls), (radius, chock) = asked
    bears, lean = third[0], math.radians(third[1])
    climbs = math.acos((radius - chock) / radius)
    return [
        [ahead / high],
        [least * high, math.degrees(math.atan2(least, 1.0))],
        [2 * bears * math.sin(lean) / math.cos(lean)],
        [push / wheels, rolls * wheels],
        [math.sin(climbs) / math.cos(climbs)],
    ]


def an_inch_at_a_time(asked: list[Numbers], units: str) -> list[Numbers]:
    """Counted stroke by stroke, and call by call."""
    (ten, inch), second, (line, lift, each), (limit, call, ratio), last = asked
    strokes, react, stroke, recover, crib, piece, wedges = second
    whole = 0
    while (whole + 1) * ten / 10 <= inch + 1e-9:
        whole += 1
    calls, up_to = 0, 0.0
    while up_to < line - 1e-9:
        calls, up_to = calls + 1, up_to + lift
    _, t_few, g_few, _, t_many, g_many = last
    return [
        [whole, whole * ten / 10],
        [react + sum([stroke + recover] * round(strokes)), crib + piece + wedges],
        [calls, calls * each],
        [up(limit + call, units), up((limit + call) * ratio, units)],
        [abs(t_few - t_many), g_many - g_few],
    ]


AGAIN: dict[str, Callable[[list[Numbers], str], list[Numbers]]] = {
    f.__name__.replace("_", "-"): f
    for f in (
        between_the_pins,
        the_chase,
        what_a_gap_costs,
        both_sides_level,
        slack_and_stretch,
        only_what_you_need,
        steep_or_flat,
        coming_down,
        what_wants_to_slide,
        an_inch_at_a_time,
    )
}


def last_digit(text: str) -> float:
    """Half of the last printed digit."""
    return 0.5 * 10.0 ** -(len(text.split(".")[1]) if "." in text else 0)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize(("example", "units"), [("trailer", "us"), ("trailer", "si"), ("van", "si"), ("van", "us")])
@pytest.mark.parametrize("name", list(LESSONS))
def test_the_answers_follow_from_the_printed_questions(name: str, example: str, units: Units, seed: int) -> None:
    """Worked by another path, from the printed numbers alone; each printed answer is right to its last digit."""
    asked = questions(LESSONS[name], simulated(name, example), units, seed)
    again = AGAIN[name]([numbers(q.ask) for q in asked], units)
    assert len(again) == len(asked)
    for question, expected in zip(asked, again, strict=True):
        printed = NUMBER.findall(question.result)[: len(expected)]
        assert len(printed) == len(expected), question
        for text, value in zip(printed, expected, strict=True):
            found = float(text.replace(",", ""))
            # what is rounded up is printed so already: its last digit, not half of it, allows for decimal dust
            assert found == pytest.approx(value, abs=last_digit(text) * 1.001), question


@pytest.mark.parametrize("name", list(LESSONS))
def test_three_to_five_questions_each_with_formula_numbers_and_result(name: str) -> None:
    """And the numbers put in are the ones asked with."""
    for units in ("us", "si"):
        asked = questions(LESSONS[name], simulated(name, "trailer"), units)
        assert 3 <= len(asked) <= 5
        for question in asked:
            assert question.ask.endswith("?") and question.formula and question.put_in and question.result


@pytest.mark.parametrize("name", list(LESSONS))
def test_another_seed_asks_other_numbers_and_the_same_seed_the_same(name: str) -> None:
    """So that a class does not share answers, and a teacher can print the sheet again."""

    def rolled(seed: int) -> list[Question]:
        return questions(LESSONS[name], simulated(name, "trailer"), "us", seed)

    assert rolled(3) == rolled(3)
    assert len({tuple(q.result for q in rolled(seed)) for seed in range(8)}) > 4


@pytest.mark.parametrize("name", list(LESSONS))
def test_no_word_of_a_lesson_promises_anything(name: str) -> None:
    """Never the words safe, secure, OK, pass; cautions stand in every lesson."""
    lesson = LESSONS[name]
    said = [*(text for part, text in lesson.texts.items() if part != "sources"), *lesson.cautions]
    for units in ("us", "si"):
        said += [t for q in questions(lesson, simulated(name, "van"), units) for t in (q.ask, q.formula, q.result)]
    for text in said:
        assert not re.search(r"\b(safe|safely|secure|ok|pass|passes|passed)\b", text, re.IGNORECASE), text
    assert any("Never work under a load held only by a jack" in line for line in lesson.cautions)
    assert lesson.aim.count(".") == 1
