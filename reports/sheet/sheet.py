"""The printed sheet of a check: HTML that needs nothing from outside and prints on two sides of one sheet."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

from markupsafe import Markup

from reports.paper.page import either, in_both, render
from reports.sheet.above import HEADS, above, chock_words, rows
from reports.sheet.views import view
from reports.words import sheet as words
from reports.words import sheet_sides as sides
from reports.words.first_call import SOURCE, first_call
from reports.words.plain import whose
from sim.check import Sheet
from sim.check.plan import PlanLine
from sim.model.scenario import Scenario
from sim.model.sentences import words as words_of
from sim.model.units import Units

UNIT = re.compile(r"(?<=\d) (?=\w+\^?\d?(?:[,;)]|$| ))")  # the space between a figure and its unit
WIDE = 190.0  # of the paper inside its margins [mm]: A4 and Letter alike
HIGH = 250.0  # of a Letter sheet inside its margins, a little kept back [mm]
SMALLEST, LARGEST, OVERLONG = 56.0, 118.0, 90.0  # how high a view may be [mm]
SIZES = (
    ("roomy", 1.16, 84.0),
    ("plain", 1.0, 66.0),
    ("dense", 0.84, SMALLEST),
)  # type, and a view's least height at it


def write_sheet(sheet: Sheet, scenario: Scenario) -> str:
    """The page.

    Parameters
    ----------
    sheet : Sheet
        What `sim.check.check` came to.
    scenario : Scenario
        The lift that it checked.

    Returns
    -------
    str
        HTML. Findings and plan stand on the first side with the side view, who carries what on the second with the
        front view. What is too long for two sides goes on to a third: nothing is cut off.
    """
    units = scenario.units
    said, lines = sides.gathered(sheet.findings), sides.plan_lines(sheet.need.lines)
    found = _both(sheet, units, lambda u: [_finding(x, u) for x in said])
    plan = _both(sheet, units, lambda u: [_line(x, u) for x in lines])
    tables = [table for table in _tables(sheet, units) if table["rows"]]
    quick = _both(sheet, units, lambda u: [[name, *cells] for name, cells in words.quick_rows(sheet, u)])
    lifters = _both(sheet, units, lambda u: [[name, *cells] for name, cells in words.lifter_rows(sheet, u)])
    size, first, second = _fitted(sheet, units)
    return render(
        "sheet.html",
        title=f"Who carries what: {scenario.title}",
        lift=scenario.title,
        stops=sides.gathered(sheet.of_level("stop")),
        variant=scenario.variant,
        units=units,
        tally=words.tally(sheet),
        takes=in_both(lambda u: words.takes(sheet, scenario.need.rise, u), units),
        findings=found,
        plan=plan,
        side=Markup(view(sheet, scenario, "side", WIDE, first)),
        front=Markup(view(sheet, scenario, "front", WIDE, second)),
        lifters=list(sheet.lifters),
        lifter_rows=lifters,
        tables=tables,
        quick=quick,
        assumed=[words_of(each, units) for each in sheet.assumed],
        factor=f"{sheet.limits.design_factor:g} is {whose(sheet.limits, 'design_factor')}",
        above=Markup(above(scenario, WIDE)),
        above_heads=HEADS,
        above_rows=_both(sheet, units, lambda u: rows(scenario, u)),
        chock=chock_words(scenario),
        first_call=list(first_call(scenario)),
        first_call_source=SOURCE,
        hinged=scenario.load.motion == "hinged",
        size=size,
    )


def _fitted(sheet: Sheet, units: Units) -> tuple[str, float, float]:
    """The largest type at which both sides have room for their view, and how high each view may be [mm]."""
    size, views = SIZES[-1][0], [0.0, 0.0]
    for size, type_size, least in SIZES:  # noqa: B007
        views = [HIGH - long(sheet, units, type_size) for long in (_first_side, _second_side)]
        if min(views) >= least:
            break
    return size, _high(views[0]), _high(views[1])


def _high(room: float) -> float:
    """How high a view is drawn; where there is no room for it at all, as on a side of its own."""
    return OVERLONG if room < SMALLEST / 2 else min(LARGEST, max(SMALLEST, room))


def _both(sheet: Sheet, units: Units, made: Callable[[Units], list[list[str]]]) -> list[list[Markup]]:
    """Rows of texts that turn with the switch of units."""
    return [
        [either(us, si, units) for us, si in zip(one, other, strict=True)]
        for one, other in zip(made("us"), made("si"), strict=True)
    ]


def _finding(said: sides.Said, units: Units) -> list[str]:
    return [said.level, said.subject, said.what.words(units), said.source]


def _line(line: PlanLine, units: Units) -> list[str]:
    return [line.subject, line.what, line.formula, line.numbers.words(units)]


def _tables(sheet: Sheet, units: Units) -> list[dict[str, Any]]:
    """Stations, ties, cribs, ground: those there are."""
    made: list[tuple[str, tuple[str, ...], Callable[[Sheet, Units], list[list[str]]]]] = [
        (words.STATIONS, words.STATION_HEADS, words.station_rows),
        (words.STRUTS, words.STRUT_HEADS, words.strut_rows),
        (words.TIES, words.TIE_HEADS, words.tie_rows),
        ("Cribs", words.CRIB_HEADS, words.crib_rows),
        ("Ground", words.GROUND_HEADS, words.ground_rows),
    ]
    tables = []
    for title, heads, rows_of in made:
        rows: dict[Units, list[list[str]]] = {"us": rows_of(sheet, "us"), "si": rows_of(sheet, "si")}
        once = {each: _held(sides.mirrored(rows[each], rows[sides.other(each)])) for each in rows}
        tables.append({"title": title, "heads": heads, "rows": _both(sheet, units, once.__getitem__)})
    return tables


def _held(rows: list[list[str]]) -> list[list[str]]:
    """Figures that stay together with their units, in cells that are narrow."""
    return [[UNIT.sub("\u00a0", cell) for cell in row] for row in rows]


def _first_side(sheet: Sheet, units: Units, size: float) -> float:
    """How high the first side is without its view, reckoned with a little to spare [mm]."""
    letters, half = 128 / size, 52 / size  # in a line of findings, in a cell of the plan
    said = [_finding(each, units) for each in sides.gathered(sheet.findings)]
    plan = [_line(each, units) for each in sides.plan_lines(sheet.need.lines)]
    lines = sum(_lines(len(subject) + len(what) + len(source) + 4, letters) for _, subject, what, source in said)
    cells = sum(
        _lines(max(len(formula), len(numbers), 2.2 * len(subject)), half) for subject, _, formula, numbers in plan
    )
    return size * (31 + 3.5 * lines + 0.5 * len(said) + 3.3 * cells + 0.9 * len(plan))


def _second_side(sheet: Sheet, units: Units, size: float) -> float:
    """How high the second side is without its view [mm]."""
    quick = sum(_lines(max(len(cell) for cell in cells), 44 / size) for _, cells in words.quick_rows(sheet, units))
    high = 26 + 4.6 * max(len(words.lifter_rows(sheet, units)), quick)
    for table in _tables(sheet, units):
        letters = 150 / size  # a table gives a long cell the room that short ones leave
        texts = [[len(Markup(cell).striptags()) for cell in row] for row in table["rows"]]
        rows = [max(_lines(1.15 * sum(row), letters), _lines(max(row), letters / 4)) for row in texts]
        high += (12 + 3.4 * sum(rows) + 1.2 * len(rows)) if rows else 0.0
    return size * (high + 3.2 * _lines(sum(len(words_of(x, units)) + 1 for x in sheet.assumed), 150 / size))


def _lines(letters: float, room: float) -> int:
    return max(1, math.ceil(letters / room)) if letters else 0
