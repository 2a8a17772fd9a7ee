"""Ways to make one lift, side by side: in one picture, and on one printed page, the council sheet.

Each of them alone has its own sheets to print: the pages that `runs sheet` and `check --page` write.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from reports.desk.document import without_row
from reports.desk.look.figures import Figure, FiguresNow, reckoned, strip
from reports.desk.plan import State
from reports.lift.call_sheet import sheet as call_sheet
from reports.many.compare import label, write_compare_page
from reports.paper.page import render
from reports.sheet.sheet import write_sheet
from reports.words.plain import count
from reports.words.sheet_sides import Said, gathered
from reports.words.stops import stops_of
from sim.model.errors import Refused
from sim.model.scenario import Scenario
from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from sim.written.keys.places import rows
from sim.written.keys.syntax import toml
from sim.written.reading import parse, variants

MOST = 5  # side by side: more are no picture for a wall
FEWEST = 2
SHOWN = ("Largest gap", "Largest drop", "Time", "Calls", "People needed", "Stops")
MOST_CAUTIONS = 12  # lines that one page has room for; the rest are counted


@dataclass(frozen=True)
class WayAtTheDesk:
    """One way to make the lift."""

    name: str  # of the variant; "" for the plan itself
    title: str
    own: bool  # whether the file has it, and it can be taken out


def ways(state: State) -> list[WayAtTheDesk]:
    """The plan, and its options in the order written.

    Raises
    ------
    Refused
        It is no whole plan.
    """
    plan = state.whole()
    own = {str(row.get("name")) for _, row in rows(state.raw, "variant")}
    found = [WayAtTheDesk("", "the plan", False)]
    return found + [WayAtTheDesk(each.variant, label(each), each.variant in own) for each in variants(plan)]


def chosen(state: State, names: Sequence[str]) -> list[WayAtTheDesk]:
    """Those of these names, in the plan's order; where none is named, the first few.

    Raises
    ------
    Refused
        There are too few, or too many for one picture.
    """
    there = ways(state)
    asked = [way for way in there if way.name in names] if names else there[:MOST]
    if len(there) < FEWEST:
        raise Refused("this plan has no options yet", "keep one on its Run screen")
    if not FEWEST <= len(asked) <= MOST:
        raise Refused(f"{len(asked)} at once are no picture", f"choose from {FEWEST} to {MOST}")
    return asked


def compare_page(name: str, state: State, names: Sequence[str]) -> str:
    """The page of the chosen ways, everyone at mean times."""
    asked = chosen(state, names)
    return _page(state.whole().text, name, tuple((way.name, way.title) for way in asked))


@lru_cache(maxsize=8)
def _page(text: str, name: str, asked: tuple[tuple[str, str], ...]) -> str:
    records = [simulate_fixed(scenario) for scenario in _scenarios(text, name, asked)]
    return write_compare_page(records, [measure(each) for each in records], [title for _, title in asked])


def _scenarios(text: str, name: str, asked: Sequence[tuple[str, str]]) -> list[Scenario]:
    """Of the ways asked for, each a name and a title."""
    there = scenarios_of(text, name)
    return [there[variant] for variant, _ in asked]


def scenarios_of(text: str, name: str) -> dict[str, Scenario]:
    """The plan ("") and its options, by name."""
    plan = parse(text, name)
    return {"": plan} | {each.variant: each for each in variants(plan)}


def without(text: str, name: str, option: str) -> str:
    """The plan without one of its options.

    Raises
    ------
    Refused
        The file has none of that name.
    """
    for at, (_, row) in enumerate(rows(toml(text, name), "variant")):
        if row.get("name") == option:
            return without_row(text, "variant", at)
    raise Refused("there is no such option in this plan", "look at it again")


# --- the council sheet: chosen ways side by side on one printed page, for who has to decide


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
    return _council(state.whole(name).text, name, tuple((way.name, way.title) for way in asked))


@lru_cache(maxsize=8)
def _council(text: str, name: str, asked: tuple[tuple[str, str], ...]) -> str:
    scenarios = _scenarios(text, name, asked)
    columns = []
    for scenario, (_, title) in zip(scenarios, asked, strict=True):
        now = reckoned(scenario)
        figures, sheet = {each.name: each for each in strip(now)}, now.sheet
        cautions = tuple(gathered(sheet.of_level("caution")))
        columns.append(Column(title, figures, tuple(gathered(sheet.of_level("stop"))), cautions))
    listed = _cautions(columns)
    return render(
        "council.html",
        units=scenarios[0].units,
        title=scenarios[0].title,
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


# --- the sheets of one way, everyone at mean times

PAPERS: dict[str, Callable[[FiguresNow], str]] = {
    "call-sheet": lambda lift: call_sheet(lift.record),
    "calculation-sheet": lambda lift: write_sheet(lift.sheet, lift.scenario),
}


def paper_page(name: str, state: State, paper: str, way: str) -> str:
    """One of the sheets, of the plan ("") or of the option of that name; what stops the lift is printed over it.

    Raises
    ------
    Refused
        The plan is not whole as it stands, so that a sheet would be of an older one; or it has no such option.
    """
    whole = state.whole(name)
    if not state.current:
        raise Refused(
            f"{name} is not whole as it stands, so there is no sheet of it to print",
            "fill in or take back what is marked on its Plan screen, then open this page again",
        )
    there = scenarios_of(whole.text, name)
    if way not in there:
        raise Refused("there is no such option in this plan", "open the sheet from its Compare screen again")
    return PAPERS[paper](reckoned(there[way]))
