"""Numbers and files that nobody means: refused in a moment, and the limit is said."""

from __future__ import annotations

import os
import re
import time
import tracemalloc
from pathlib import Path

import pytest

from reports.paper.reference import reference
from sim.drill.log.lines import LONGEST, MOST_ROWS, parse_log, read_log
from sim.examples import example
from sim.model.errors import SHOWN, ScenarioError
from sim.record.record import Book
from sim.story.lift import simulate_fixed
from sim.written.keys.places import DEEPEST, MOST, MOST_CALLS
from sim.written.keys.syntax import MOST as LONGEST_FILE
from sim.written.reading import parse, read
from sim.written.work import MOST_WORK

TRAILER = example("trailer")
SECONDS = 5.0  # on a machine that others are busy on; a second at the most on a quiet one


def changed(old: str, new: str) -> str:
    assert old in TRAILER
    return TRAILER.replace(old, new, 1)


def refused(text: str) -> str:
    """What is said of a text that is refused, within seconds."""
    began = time.process_time()
    with pytest.raises(ScenarioError) as wrong:
        parse(text, "file.toml")
    assert time.process_time() - began < SECONDS
    assert all(problem.place and problem.what and problem.hint for problem in wrong.value.problems)
    assert len(str(wrong.value)) < 30_000
    return str(wrong.value)


NUMBERS = {
    "a length of 1e308 in": (changed('rise = "5 in"', 'rise = "1e308 in"'), "need.rise", "1 km"),
    "a weight of 1e308 lb": (changed('weight = "5200 lb"', 'weight = "1e308 lb"'), "load.weight", "100,000 kN"),
    "a spacing of 1e-12 in": (changed('spacing = "2 in"', 'spacing = "1e-12 in"'), "device.pinned.spacing", "0.1 mm"),
    "a thread of 1e-12 in": (
        changed('rise_per_turn = "0.25 in"', 'rise_per_turn = "1e-12 in"'), "rise_per_turn", "0.1 mm",
    ),
    "1e9 strokes a call": (changed("strokes = 3", "strokes = 1000000000"), "leader.strokes", "up to 100"),
    "1e12 calls": (changed("max_calls = 500", "max_calls = 1000000000000"), "leader.max_calls", f"{MOST_CALLS}"),
    "a pace of 1e-9 s": (changed('pace = "4 s"', 'pace = "1e-9 s"'), "leader.pace", "less than 1 ms"),
    "a pace of a year": (changed('pace = "4 s"', 'pace = "8760 h"'), "leader.pace", "24 h"),
    "no number": (changed('pace = "4 s"', "pace = nan"), "leader.pace", "nan has no unit"),
    "infinity": (changed('pace = "4 s"', "pace = -inf"), "leader.pace", "-inf has no unit"),
    "infinity in quotes": (changed('pace = "4 s"', 'pace = "inf s"'), "leader.pace", "not a time"),
    "no number of strokes": (changed("strokes = 3", "strokes = nan"), "leader.strokes", "whole number"),
    "5,000 digits": (changed("strokes = 3", f"strokes = {'9' * 5000}"), "file.toml", "too long"),
    "4,000 digits": (changed("strokes = 3", f"strokes = {'9' * 4000}"), "leader.strokes", "more than 20 digits"),
    "half a million digits": (changed("strokes = 3", f"strokes = 0x{'f' * 500_000}"), "leader.strokes", "20 digits"),
    "the same where a text is wanted": (
        changed('pace = "4 s"', f"pace = 0x{'f' * 500_000}"), "leader.pace", "more than 20 digits",
    ),
    "the same in a list": (changed('cg = ["', f'cg = [0x{"f" * 500_000}, "'), "load.cg", ""),
    "a quantity of 900,000 digits": (changed('"4 s"', f'"{"1" * 900_000} s"'), "leader.pace", "more than 24 h"),
    "a quantity of 150,000 parts": (changed('rise = "5 in"', f'rise = "{"1 ft " * 150_000}"'), "need.rise", "add up"),
    "a name of 900,000 letters": (changed("left strut", "n" * 900_000), "> name", "longer than 60 characters"),
    "a title of 121 letters": (re.sub("title = .*", f'title = "{"x" * 121}"', TRAILER), "title", "than 120 characters"),
}  # fmt: skip


@pytest.mark.parametrize(("text", "place", "limit"), NUMBERS.values(), ids=NUMBERS.keys())
def test_an_absurd_number_is_refused_with_its_limit(text: str, place: str, limit: str) -> None:
    """At its place, in words."""
    said = refused(text)
    assert place in said and limit in said


BOUNDS = {
    "0.1 mm": ('spacing = "2 in"', "spacing"),
    "1 mm": ('travel = "10 in"', "travel"),
    "10 m": ('rise = "5 in"', "rise"),
    "1 ms": ('pace = "4 s"', "pace"),
    "0.01 s": ('stroke = {mean = "1.2 s", sd = "0.2 s"}', "stroke"),
}


@pytest.mark.parametrize("bound", BOUNDS)
def test_a_bound_is_where_the_reference_has_it(bound: str) -> None:
    """As written it is taken (or refused for what follows from it), and a hundredth beyond it is not."""
    old, key = BOUNDS[bound]
    number, unit = bound.split()
    beyond = float(number) * (1.01 if bound == "10 m" else 0.99)
    assert bound in reference()
    assert bound in refused(changed(old, f'{key} = "{beyond:.12g} {unit}"'))
    try:
        parse(changed(old, f'{key} = "{bound}"'), "file.toml")
    except ScenarioError as wrong:
        assert all(problem.what[0] != '"' for problem in wrong.problems), str(wrong)


STATION = (
    '[[station]]\nname = "s{0}"\nside = "left"\nhead = ["120 in", "35 in", "36 in"]\n'
    'base = ["120 in", "70 in", "0 in"]\ncapture = ["{1}"]\n'
)
MANY = {
    "70,000 stations": (TRAILER + "[[station]]\n" * 70_000, "station", MOST["station"]),
    "named stations": (
        TRAILER + "".join(f'[[station]]\nname="s{n}"\n' for n in range(30_000)), "station", MOST["station"],
    ),
    "100,000 pieces": (changed('["3.5 in", ', "[" + '"1 in", ' * 100_000), "device.cribbing.pieces", 20),
    "20,000 operators": (
        TRAILER + "".join(f'[operator.o{n}]\nstroke = "1 s"\n' for n in range(20_000)), "operator", MOST["operator"],
    ),
    "25,000 catchers": (
        TRAILER + "".join(f'[catcher.c{n}]\nwalk = "1 s"\n' for n in range(25_000)), "catcher", MOST["catcher"],
    ),
    "25,000 marks": (
        TRAILER + "[assumed]\n" + "".join(f'"k{n}" = ["1 s", "2 s"]\n' for n in range(25_000)), "assumed",
        MOST["assumed"],
    ),
    "60,000 stages": (TRAILER + "[[stage]]\n" * 60_000, "stage", MOST["stage"]),
    "60,000 mishaps": (TRAILER + "[[mishap]]\n" * 60_000, "mishap", MOST["mishap"]),
    "60,000 replaced devices": (
        f'{TRAILER}[[variant]]\nname = "z"\nreplace = {{{", ".join(f"k{n} = []" for n in range(50_000))}}}\n',
        "replace", MOST["device"],
    ),
}  # fmt: skip


@pytest.mark.parametrize(("text", "place", "limit"), MANY.values(), ids=MANY.keys())
def test_too_many_of_anything_are_refused_with_their_limit(text: str, place: str, limit: int) -> None:
    """However many there are."""
    said = refused(text)
    assert f"{place}: has too many entries" in said
    assert f"at most {limit} are allowed" in said


@pytest.mark.parametrize(
    "text",
    [
        "".join(f"k{n} = 1\n" for n in range(60_000)) + TRAILER,
        'like = "trailer nose"\n' + "".join(f"k{n} = 1\n" for n in range(60_000)),
        TRAILER + "".join(STATION.format(n, "thraded") for n in range(490)),
        TRAILER + "".join(f'[catcher.o{n}]\nwalk = "1 s"\n' for n in range(490)),
        TRAILER + "[assumed]\n" + "".join(f'"load.wight{n}" = ["1 s", "2 s"]\n' for n in range(39)),
    ],
    ids=["keys", "keys of a short form", "unknown devices", "unknown catchers", "marks"],
)
def test_very_many_mistakes_are_not_all_said(text: str) -> None:
    """Some are, and how many more there are."""
    said = refused(text)
    assert said.count("error: ") <= SHOWN


def test_what_is_left_out_is_counted() -> None:
    """Whoever has mended the first sees the next."""
    said = refused("".join(f"k{n} = 1\n" for n in range(100)) + TRAILER)
    assert said.count("error: ") == SHOWN and said.endswith("and 60 more: mend these first")


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 400_000, "a = " + "[" * 50 + "]" * 50, "a = " + "{a=" * 300_000,
        ".".join("a" * 400_000) + " = 1", f"[{'.'.join(['b'] * 400_000)}]",
        "[" + '"x" . ' * 100_000 + "y]", ".".join("a" * 45) + " = 1",
    ],
    ids=["brackets", "fifty brackets", "braces", "dotted key", "dotted heading", "quoted heading", "forty-five dots"],
)  # fmt: skip
def test_deep_nesting_is_refused(text: str) -> None:
    """In a moment, though reading it would take hours."""
    said = refused(text)
    assert "too deep" in said and f"at most {DEEPEST}" in said


def test_a_file_of_a_hundred_megabytes_is_not_even_read(tmp_path: Path) -> None:
    """Nor is one without an end."""
    large = tmp_path / "large.toml"
    with large.open("wb") as file:
        file.truncate(100_000_000)
    tracemalloc.start()
    with pytest.raises(ScenarioError, match=f"longer than {LONGEST_FILE:,} characters"):
        read(large)
    with pytest.raises(ScenarioError, match=f"more than {LONGEST / 1e6:.0f} MB"):
        read_log(large)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 60_000_000
    if os.path.exists("/dev/zero"):
        with pytest.raises(ScenarioError, match="characters"):
            read("/dev/zero")
        with pytest.raises(ScenarioError, match="MB"):
            read_log("/dev/zero")


def test_a_log_of_too_many_rows_is_refused() -> None:
    """With the limit."""
    with pytest.raises(ScenarioError, match=f"more than {MOST_ROWS:,} rows"):
        parse_log("1,a,call\n" * (MOST_ROWS + 1), "drill.csv")


# --- each key within its bounds, and all of them together out of them

LONG = {
    "100,000 calls": (
        changed('travel_per_pump = "0.15 in"', 'travel_per_pump = "0.1 mm"').replace("10 in", "900 m").replace(
            "max_calls = 500", "max_calls = 100000"
        ),
        "strokes",
    ),
    "480 stations and short strokes": (
        changed('travel_per_pump = "0.15 in"', 'travel_per_pump = "0.2 mm"')
        + "".join(STATION.format(n, "threaded") for n in range(480)),
        "places",
    ),
    "clicks of 0.1 mm at 400 stations": (
        f'{TRAILER}[device.strap]\nkind = "strap"\nclick = "0.1 mm"\nclick_time = "0 s"\nreach = "900 m"\n'
        + "".join(STATION.format(n, "strap") for n in range(400)),
        "steps",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("text", "of"), LONG.values(), ids=LONG.keys())
def test_a_lift_that_would_take_hours_to_simulate_is_refused(text: str, of: str) -> None:
    """Each key is within its bounds; together they are not."""
    said = refused(text)
    assert "too long to simulate" in said and of in said and f"{MOST_WORK:,} at most" in said


def test_two_hundred_stations_are_simulated() -> None:
    """What a large scenario needs is allowed."""
    scenario = parse(TRAILER + "".join(STATION.format(n, "threaded") for n in range(198)), "large.toml")
    assert len(scenario.stations) == 200


def test_a_long_note_makes_no_other_row_longer() -> None:
    """A hold that waits for hundreds of stations names them all, once."""
    book = Book()
    for n in range(3000):
        book.leader(float(n), n, "calls")
    book.leader(3000.0, 3000, "holds", "waits for " + "left strut, " * 3000)
    tracemalloc.start()
    columns = book.columns()
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert len(columns) == 3001 and columns.note[-1].endswith("left strut, ")
    assert most < 20_000_000


def test_the_shipped_scenarios_are_far_from_the_limits() -> None:
    """So is the lift that they simulate."""
    record = simulate_fixed(parse(TRAILER, "trailer.toml"))
    assert len(record.events) < MOST_WORK / 100
