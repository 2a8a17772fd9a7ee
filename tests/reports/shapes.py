"""Lifts of different shape, for whatever is drawn or printed: each simulated once, with its crew of seed 1."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

from sim.model.scenario import Mishap
from sim.record.record import Record
from sim.story.lift import simulate
from sim.written.reading import parse
from tests.builders import MM, chain, collar, crib, lift, lifter, pin, reset, station, strap, two_lifters
from tests.staged import UP_AND_DOWN, staged

TITLE = (
    "<b>Übung</b> <script>alert(1)</script> & ein Titel, der über mehrere Zeilen geht und so bald nicht aufhören will"
)
NAMES = (
    "Катерина Довгоприденко-Іваненко",
    "長い名前の人",
    "عبد الرحمن بن محمد",
    "Nommée Très-Longuement de la Station du Fond",
)


def trailer(variant: str = "") -> Record:
    """The scenario that ships, hinged, with chasing struts (or one of its variants)."""
    return simulate(parse(_text("trailer"), "trailer.toml", variant), 1)


def one_station() -> Record:
    """The worked lift of the design: one lifter straight up, and its own collar."""
    return simulate(lift(15 * MM, lifter(collar()), strokes=1), 1)


def twelve_stations() -> Record:
    """Hinged, twelve stations with names as long as they may be, and in other scripts; a title with markup in it."""
    text = _text("trailer")
    stations = "".join(_station(n) for n in range(12))
    start, end = text.index("[[station]]"), text.index("[[variant]]")
    text = text[:start] + stations + text[end:][:0]
    return simulate(parse(text.replace("Trailer nose off a kerb block", TITLE), "twelve.toml"), 1)


def dropped() -> Record:
    """The lifter kicks out after the third call; a pinned strut catches the load far below."""
    lost = Mishap("lifter-lost", 3, "left lifter", after=0.5)
    return simulate(
        lift(60 * MM, lifter(collar()), station(pin(25 * MM)), strokes=1, gap_limit=0.05, mishaps=(lost,)), 1
    )


def stuck() -> Record:
    """All caught between two pin holes: the lift is stopped."""
    places = (
        *two_lifters(collar()),
        station(pin(50 * MM), side="left"),
        station(pin(50 * MM), name="other", side="right"),
    )
    return simulate(lift(60 * MM, *places, gap_limit=0.005, strokes=1, if_uncapturable="stop"), 1)


def packed_up() -> Record:
    """Two re-sets, and a station on both sides; chain, strap and crib."""
    short = {"travel": 0.025}
    places = (
        *two_lifters(collar(), left=short, right=short),
        station(crib(20 * MM, 5 * MM, wedge=10 * MM), name="pile", side="both"),
        station(strap(5 * MM), name="strap", side="left"),
        station(chain(30 * MM), name="chain", side="right"),
    )
    return simulate(lift(60 * MM, *places, gap_limit=0.03, strokes=1, reset=reset(20.0)), 1)


def down_again(variant: str = "") -> Record:
    """The shipped trailer goes up in two stages, stands ten minutes, and is let down to the start."""
    text = _text("trailer")
    return simulate(parse(text if "[[stage]]" in text else staged(UP_AND_DOWN), "trailer.toml", variant), 1)


SHAPES: dict[str, Any] = {
    "trailer": trailer,
    "pinned with cribbing": lambda: trailer("pinned with cribbing"),
    "no holds": lambda: trailer("no holds"),
    "one station": one_station,
    "twelve stations": twelve_stations,
    "dropped": dropped,
    "stopped": stuck,
    "re-set": packed_up,
    "down again": down_again,
    "down again, pinned with cribbing": lambda: down_again("pinned with cribbing"),
}


@cache
def shape(name: str) -> Record:
    """One of SHAPES."""
    record: Record = SHAPES[name]()
    return record


def _text(name: str) -> str:
    return (files("sim") / "examples" / f"{name}.toml").read_text(encoding="utf-8")


def _station(n: int) -> str:
    side, sign = ("left", "") if n % 2 else ("right", "-")
    who, x = NAMES[n % 4], 60 + 6 * n
    return f"""
[[station]]
name = "{f"Station {n}: {who} {who}"[:60].strip()}"
side = "{side}"
head = ["{x} in", "{sign}35 in", "36 in"]
base = ["{x} in", "{sign}70 in", "0 in"]
capture = ["threaded", "cribbing"]
catcher = ["{who} {n}", "hand {n}"]
"""
