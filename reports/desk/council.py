"""The council sheet: chosen ways to make one lift, side by side on one printed page, for who has to decide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from reports.desk.compare import chosen
from reports.desk.look.figures import Figure, FiguresNow, strip
from reports.desk.plan import State
from reports.paper.page import render
from reports.words.plain import count
from reports.words.sheet_sides import Said, gathered
from reports.words.stops import stops_of
from sim.check import check
from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from sim.written.reading import parse, variants

SHOWN = ("Largest gap", "Largest drop", "Time", "Calls", "People needed", "Stops")
MOST_CAUTIONS = 12  # lines that one page has room for; the rest are counted


@dataclass(frozen=True)
class Column:
    """One way: its title, its figures and what the check says of it."""

    title: str
    figures: dict[str, Figure]
    stops: tuple[Said, ...]
    cautions: tuple[Said, ...]


@dataclass(frozen=True)
class Caution:
    """A caution, and the numbers of the ways that it is of."""

    said: Said
    ways: str


def council_page(name: str, state: State, names: Sequence[str]) -> str:
    """The sheet of the chosen ways, everyone at mean times.

    Raises
    ------
    Refused
        It is no whole plan, or there are too few ways or too many.
    """
    asked = chosen(state, names)
    return _page(state.whole(name).text, name, tuple((way.name, way.title) for way in asked))


@lru_cache(maxsize=8)
def _page(text: str, name: str, asked: tuple[tuple[str, str], ...]) -> str:
    plan = parse(text, name)
    there = {"": plan} | {each.variant: each for each in variants(plan)}
    scenarios = [there[variant] for variant, _ in asked]
    columns = []
    for scenario, (_, title) in zip(scenarios, asked, strict=True):
        record, sheet = simulate_fixed(scenario), check(scenario)
        figures = {each.name: each for each in strip(FiguresNow(scenario, record, measure(record), sheet))}
        cautions = tuple(gathered(sheet.of_level("caution")))
        columns.append(Column(title, figures, tuple(gathered(sheet.of_level("stop"))), cautions))
    listed = _cautions(columns)
    return render(
        "council.html",
        units=plan.units,
        title=plan.title,
        stops=stops_of(*scenarios),
        shown=SHOWN,
        columns=columns,
        cautions=listed[:MOST_CAUTIONS],
        more=count(len(listed) - MOST_CAUTIONS, "caution") if len(listed) > MOST_CAUTIONS else "",
    )


def _cautions(columns: Sequence[Column]) -> list[Caution]:
    """Each once, with the ways that it is of; those of few ways first, for they tell the ways apart."""
    found: dict[tuple[str, str], tuple[Said, list[int]]] = {}
    for number, column in enumerate(columns, 1):
        for said in column.cautions:
            found.setdefault((said.subject, said.what.words("us")), (said, []))[1].append(number)
    listed = sorted(found.values(), key=lambda each: len(each[1]))
    every = len(columns)
    return [Caution(said, "all" if len(ways) == every else ", ".join(str(n) for n in ways)) for said, ways in listed]
