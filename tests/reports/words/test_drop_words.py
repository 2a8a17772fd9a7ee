"""What is said of a drop where what would stop it holds, and where that does not."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from rich.console import Console

from reports.many.compare import write_compare_page
from reports.terminal.compared import show_comparison
from reports.words.drops import how_far, if_it_does_not, if_it_holds
from sim.examples import example
from sim.model.scenario import Scenario
from sim.record.measures import measure
from sim.record.record import Record
from sim.story.lift import simulate_fixed
from sim.written.reading import parse

LOST = "largest_drop_lifter_lost"


def trailer() -> Scenario:
    """As it ships."""
    return parse(example("trailer"), "trailer.toml")


def with_a_second_strut() -> Scenario:
    """Beside each strut one like it, but for its give, which nobody measured: it would stop the side next."""
    scenario = trailer()
    struts = [replace(x, tie=None) for x in scenario.stations if "strut" in x.name]
    names = [(x, x.name.replace("strut", "spare")) for x in struts]
    spare = [replace(x, name=name, give=None, catchers=(f"{name} catcher",)) for x, name in names]
    return replace(scenario, stations=(*struts, *spare))


@pytest.fixture(scope="module")
def doubled() -> tuple[Record, dict[str, Any]]:
    """That lift at mean times, and its measures."""
    record = simulate_fixed(with_a_second_strut())
    return record, measure(record)


def test_where_it_does_not_hold_it_never_comes_down_less(doubled):
    """The next strut stands as high, its give not known: what is measured of it is the fall alone, and less."""
    drop = doubled[1][LOST]
    assert 0 < drop["next_drop_m"] < drop["drop_m"] and not drop["next_give_known"]
    for units in ("us", "si"):
        far = f"at least {how_far(drop).words(units).removeprefix('at least ')}"
        assert if_it_does_not(drop).words(units) == far
        assert f"where one does not, {far} onto the" in if_it_holds(drop).words(units)


def test_page_and_terminal_say_the_same(doubled):
    """In the row below that of the station that holds."""
    record, summary = doubled
    said = if_it_does_not(summary[LOST]).words("us")
    page = write_compare_page([record, record], [summary, summary])
    row = re.search(r"if that station does not hold</th>(.*?)</tr>", page, re.DOTALL)
    assert row and row[1].count(said) >= 2
    console = Console(width=200)
    with console.capture() as shown:
        show_comparison({"one": summary, "other": summary}, "us", console)
    line = next(x for x in shown.get().splitlines() if "if that station does not" in x)
    assert line.count(said) == 2


def test_where_every_give_is_known_the_fallback_is_its_own_figure():
    """The trailer's strut gone, nothing else stops it: back to the start, far more than onto the strut."""
    drop = measure(simulate_fixed(trailer()))[LOST]
    assert drop["next_give_known"] and drop["next_drop_m"] > drop["drop_m"]
    assert if_it_does_not(drop).words("us") == "4.74 in"
    assert "where one does not, up to 4.74 in back to the start" in if_it_holds(drop).words("us")


def test_a_stored_lift_that_does_not_say_whether_the_next_give_is_known_goes_by_the_first():
    """Written before that was kept."""
    drop = {"call": 3, "drop_m": 0.0254, "next_drop_m": 0.0508}
    assert if_it_does_not({**drop, "give_known": False}).words("us") == "at least 2.00 in"
    assert if_it_does_not({**drop, "give_known": True}).words("us") == "2.00 in"
    assert if_it_does_not({"call": None, "drop_m": 0.0, "next_drop_m": 0.0}).words("us") == "none"
