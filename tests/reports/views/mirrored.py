"""Lifts on which the page's script and Python are held to each other, and the instants to look at."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

import sim
from reports.views import drawing
from sim.model.scenario import Mishap, Scenario
from sim.record.record import Record
from sim.record.series import Array
from tests.builders import MM, collar, crib, lift, lifter, operator, pin, station, strap, two_lifters
from tests.reports.shapes import shape

INCH = 25.4 * MM
MOST = 120  # events of one lift that are looked at


def pressure_lost() -> Scenario:
    """Two sides that rise unevenly, cribbing under both and a pin on the left; then the left one's pressure goes."""
    places = (
        *two_lifters(collar(), left={"operator": operator(stroke=1.3)}, right={"travel_per_pump": 7 * MM}),
        station(crib(20 * MM, 5 * MM, wedge=10 * MM), name="pile", side="both"),
        station(pin(25 * MM), name="pinned", side="left", slack=3 * MM),
    )
    lost = Mishap("pressure-lost", 4, "left lifter", after=0.7)
    return lift(60 * MM, *places, gap_limit=0.03, strokes=1, mishaps=(lost,))


def right_first() -> Scenario:
    """The van, its right lifter written before the left one."""
    van = sim.load("van", "pinned")
    return replace(van, lifters=van.lifters[::-1])


def at_its_limit() -> Scenario:
    """Every stroke opens a gap of just the limit, at heights that have no short decimal number of metres."""
    raised = lifter(travel_per_pump=INCH / 8)
    held = station(strap(INCH / 32), name="strap", slack=INCH / 32)
    return lift(3 * INCH, raised, held, gap_limit=5 * INCH / 32, strokes=1)


LIFTS: dict[str, Callable[[], Record]] = {
    "trailer": lambda: sim.run(sim.load("trailer"), 1),
    "trailer, pinned": lambda: sim.run(sim.load("trailer", "pinned"), 2),
    "trailer, pinned with cribbing": lambda: sim.run(sim.load("trailer", "pinned with cribbing"), 3),
    "trailer, no holds": lambda: sim.run(sim.load("trailer", "no holds"), 4),
    "van": lambda: sim.run(sim.load("van"), 5),
    "van, right lifter first": lambda: sim.run(right_first(), 6),
    "a new scenario": lambda: sim.run(sim.load("new-us")),
    "down again": lambda: shape("down again, pinned with cribbing"),
    "one station": lambda: shape("one station"),
    "twelve stations": lambda: shape("twelve stations"),
    "lifter lost": lambda: shape("dropped"),
    "pressure lost": lambda: sim.run(pressure_lost()),
    "stopped": lambda: shape("stopped"),
    "re-set": lambda: shape("re-set"),
    "at its limit": lambda: sim.run(at_its_limit()),
}


@cache
def mirrored(name: str) -> Record:
    """One of LIFTS with the numbers that its page is given, so that the script and Python have the same record."""
    record = LIFTS[name]()
    given = drawing.rows(record)
    numbers = {key: given[key] for key in ("time_s", "demand_m", "captured_before_m", "captured_m", "u")}
    arrays: Any = {key: np.array(values, dtype=np.float64) for key, values in numbers.items()}
    return replace(record, columns=replace(record.columns, **arrays))


def instants(record: Record, most: int = MOST) -> Array:
    """At events, just before and just after each, midway between them, and beyond both ends [s]."""
    once = np.unique(record.events["time_s"].to_numpy(dtype=np.float64))
    events = once[np.unique(np.linspace(0, len(once) - 1, min(most, len(once))).round().astype(int))]
    lost = record.events.loc[record.events["what"].isin(["falls", "fell", "settles", "settled"]), "time_s"].to_numpy()
    events = np.unique(np.concatenate([events, lost]))
    around = [np.nextafter(events, -np.inf), np.nextafter(events, np.inf), events + 1e-6, events - 1e-6]
    between = [once[:-1] + share * np.diff(once) for share in (0.5, 0.137)]
    between = [each[:: max(1, len(each) // most)] for each in between]
    return np.unique(np.concatenate([events, *around, *between, [-1.0, once[-1] + 1.0]]))
