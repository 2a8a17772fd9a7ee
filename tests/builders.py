"""Short words for building a lift in a test, and for reading its record as a timetable.

What is not said: one lifter straight up under the needed point, 10 mm a stroke, an operator who reacts in 0.5 s,
strokes for 1.0 s and recovers for 0.5 s; a leader who looks for 0.25 s, keeps a pace of 2 s and lets no gap stand.
That is the crew of the worked lift of the design, and so is `collar()`.
"""

from __future__ import annotations

from functools import cache
from math import inf
from typing import Any

import pandas as pd

import sim
from sim.lessons import Computed
from sim.model.devices import Chain, Collar, Crib, Device, Pin, Strap
from sim.model.draw import Draw
from sim.model.scenario import Leader, Lifter, Limits, Load, Mishap, Need, Operator, Reset, Scenario, Station, Tie
from sim.record.columns import COLUMNS, of_table
from sim.record.record import Record
from sim.record.what import Outcome
from sim.story.lift import simulate_fixed

MM = 0.001
WEIGHT = 1000.0  # [N], of which one newton falls one metre for each joule


def time(value: float | Draw) -> Draw:
    """A quantity that is the same every time, unless it is a draw already."""
    return value if isinstance(value, Draw) else Draw(value)


def operator(
    react: float | Draw = 0.5,
    stroke: float | Draw = 1.0,
    recover: float | Draw = 0.5,
    fill: float | Draw = 1.0,
    miss: float = 0.0,
) -> Operator:
    """Someone at a pump handle."""
    return Operator("steady", time(stroke), time(react), time(recover), time(fill), miss)


def collar(
    react: float = 0.25, seat: float = 0.5, turns: float | Draw = 2.0, chases: Any = "with", reach: float = inf
) -> Collar:
    """Two turns a second, 2 mm a turn, on a thread without an end."""
    return Collar("collar", 2 * MM, time(turns), Draw(react), Draw(seat), chases, reach)


def pin(spacing: float, swap: float = 8.0, react: float = 1.0, **rest: Any) -> Pin:
    """A pinned strut."""
    return Pin("pin", spacing, Draw(swap), Draw(react), **rest)


def chain(spacing: float, rehook: float = 6.0, react: float = 1.0, **rest: Any) -> Chain:
    """A chain hooked up link by link."""
    return Chain("chain", spacing, Draw(rehook), Draw(react), **rest)


def strap(click: float, click_time: float = 0.5, reach: float = 300 * MM, react: float = 1.0) -> Strap:
    """A ratchet strap."""
    return Strap("strap", click, Draw(click_time), reach, Draw(react))


def crib(*pieces: float, place: float = 10.0, drive: float = 6.0, react: float = 1.0, **rest: Any) -> Crib:
    """Cribbing of these pieces."""
    return Crib("crib", pieces, Draw(place), drive=Draw(drive), react=Draw(react), **rest)


ONE_OF_EACH: list[Device] = [
    collar(), pin(25 * MM), chain(30 * MM), strap(4 * MM), crib(38 * MM, 19 * MM, wedge=25 * MM),
]  # fmt: skip  # in the order of sim.written.devices


def lifter(*capture: Device, side: Any = "left", name: str = "", catcher: str = "", **rest: Any) -> Lifter:
    """A ram under the load, its line upright and 1 m long at the start."""
    name, y = name or f"{side} lifter", 0.5 if side == "left" else -0.5
    given: dict[str, Any] = {
        "travel": 1.0,
        "travel_per_pump": 10 * MM,
        "operator": operator(),
        "share": 1.0,
        "head": (0.0, y, 1.0),
        "base": (0.0, y, 0.0),
    }
    hands = tuple(catcher or f"{name} {device.kind}" for device in capture)
    return Lifter(name=name, side=side, capture=capture, catchers=hands, **(given | rest))


def station(
    *capture: Device, name: str = "strut", side: Any = "left", slack: float = 0.0, catcher: str = "", **rest: Any
) -> Station:
    """A strut beside it, its line upright too, so that it sees what the load rises."""
    y = {"left": 1.0, "right": -1.0, "both": 0.0}[side]
    given: dict[str, Any] = {"head": (0.0, y, 1.0), "base": (0.0, y, 0.0), "tie": Tie("chain", slack)}
    hands = tuple(catcher or f"{name} {device.kind}" for device in capture)
    return Station(name, side, capture=capture, catchers=hands, **(given | rest))


def lift(need: float, *places: Lifter | Station, mishaps: tuple[Mishap, ...] = (), **rest: Any) -> Scenario:
    """A straight lift of 1 kN with these lifters and stations; keys of the leader may stand among the rest."""
    rule: dict[str, Any] = {"pace": 2.0, "look": 0.25}
    rule |= {key: rest.pop(key) for key in list(rest) if key in Leader.__dataclass_fields__}
    walk = {name: time(seconds) for name, seconds in rest.pop("walk", {}).items()}
    load = Load(WEIGHT, "straight", (0.0, 0.0, 1.0), take_up=rest.pop("take_up", 0.0))
    return Scenario(
        title="built in a test",
        units="si",
        load=rest.pop("load", load),
        need=Need((0.0, 0.0, 1.0), need),
        leader=Leader(**rule),
        limits=Limits(),
        lifters=tuple(place for place in places if isinstance(place, Lifter)),
        stations=tuple(place for place in places if isinstance(place, Station)),
        walk=walk,
        mishaps=mishaps,
        **rest,
    )


def two_lifters(*capture: Device, left: dict[str, Any] | None = None, right: dict[str, Any] | None = None) -> Any:
    """One lifter a side, with the same capture and half the load each."""
    return (
        lifter(*capture, side="left", share=0.5, **(left or {})),
        lifter(*capture, side="right", share=0.5, **(right or {})),
    )


def reset(seconds: float, reseat: float = 0.0) -> Reset:
    """A spent lifter is packed up and brought back to contact in so long."""
    return Reset(seconds, reseat)


def timetable(record: Record | Scenario, place: str) -> list[tuple[float, str, float, float]]:
    """What happens at a place: when [s], what, and the demand and what is captured just after [mm]."""
    if isinstance(record, Scenario):
        record = simulate_fixed(record)
    rows = record.events[record.events["station"] == place]
    mm = ((rows[key] / MM).round(6) + 0.0 for key in ("demand_m", "captured_m"))
    return list(zip(rows["time_s"].round(6), rows["what"], *mm, strict=True))


def at_work(record: Record | Scenario, place: str) -> list[tuple[float, str, float, float]]:
    """The timetable of a place without the comings and goings of the load."""
    return [row for row in timetable(record, place) if row[1] not in ("starts", "moves", "rests")]


def leaders(record: Record) -> list[tuple[float, str]]:
    """What the leader does, and when."""
    rows = record.events[record.events["who"] == "leader"]
    return list(zip(rows["time_s"].round(6), rows["what"], strict=True))


def times_of(record: Record, what: str, who: str | None = None) -> list[float]:
    """When something happens, for one person or for all [s]."""
    rows = record.events[(record.events["what"] == what) & ((record.events["who"] == who) | (who is None))]
    return list(rows["time_s"].round(6))


def by_hand(scenario: Scenario, rows: list[dict[str, Any]], outcome: str = "raised") -> Record:
    """A record written by hand, without the simulator: what a row does not say is empty there."""
    empty = {name: {"float64": float("nan"), "int64": 0, "str": "", "boolean": None}[t] for name, t in COLUMNS.items()}
    for row in rows:
        if unknown := set(row) - set(COLUMNS):
            raise KeyError(f"the record has no columns {unknown}")
    full = [empty | row for row in rows]
    kinds: dict[str, Any] = COLUMNS
    table = {name: pd.array([row[name] for row in full], dtype=kind) for name, kind in kinds.items()}
    return Record(scenario, of_table(pd.DataFrame(table)), Outcome(outcome), "", 0, 0, fixed=True)


@cache
def lesson(name: str, example: str = "trailer") -> Computed:
    """A lesson on a scenario that ships, simulated once."""
    return sim.lesson(name, sim.load(example))
