"""Lesson 10: how far to lift in one call. The rule of thumb "lift an inch, crib an inch" against the model."""

from __future__ import annotations

import random
from dataclasses import replace
from math import ceil, floor
from operator import add
from typing import Any

import pandas as pd

from sim.lessons.cast import Cast, cast, fitted, halfway
from sim.lessons.lesson import Computed, Control, Lesson, Printed, Question, as_shown
from sim.lessons.tables import Setting, row_of
from sim.lessons.taught.watched import WIDE, drops, line_and_hold
from sim.lessons.taught.watched_down import MOST_CALLS
from sim.lessons.words.figures import Figures, FigureSaid, Worked, less, numbered, say
from sim.lessons.words.prose import texts_of
from sim.model.cautions import CAUTIONS
from sim.model.devices import Crib
from sim.model.draw import Draw
from sim.model.errors import Problem, ScenarioError
from sim.model.motion import motion_of
from sim.model.scenario import Scenario
from sim.model.sentences import Amount, Sentence, brief, near, up
from sim.model.units import Units
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.record.record import Record
from sim.record.what import Outcome, What
from sim.story.lift import simulate_fixed

INCHES = (0.25, 0.5, 1, 1.5, 2, 3)  # what a call is to lift at the most, in inches (25 mm)
FACTORS = (0.5, 1.0, 2.0)  # times as long over a piece, and over the wedges
ASSUMED = "Cribbing alone catches the load, straight under each strut's head; captures on the lifters are left out."


def compute(scenario: Scenario) -> Computed:
    """The lift with cribbing alone, called by few strokes and by many, with people who place slowly and quickly.

    Raises
    ------
    ScenarioError
        It has no station, or is not raised as written.
    """
    actors = cast(scenario)
    crib, assumed = with_wedges(actors.crib, actors.scenario.units)
    there = on_cribbing(actors)
    facts = facts_of(actors, there, crib)
    strokes = strokes_to_try(facts, scenario.leader.strokes)
    tables: dict[str, list[pd.DataFrame]] = {"way": [], "drop": []}
    cases: list[dict[str, Any]] = []
    for factor in FACTORS:
        slower = replace(crib, place=times(crib.place, factor), drive=times(crib.drive, factor))
        for n in strokes:
            seen, came_to = watch(lifted(fitted(there, slower), n), actors.station.name)
            for name, table in seen.items():
                tables[name].append(table.assign(strokes=n, factor=factor))
            cases.append({"strokes": n, "factor": factor, **came_to})
    table = pd.DataFrame(cases)
    inch = max(n for n in strokes if n <= facts["inch_strokes"])
    wide = max(n for n in strokes if n <= max(2 * facts["inch_strokes"], strokes[1 % len(strokes)]))
    stops = tuple({"strokes": n, "factor": 1.0} for n in (1, inch, wide))
    pieces = tuple(brief(factor * facts["place_s"], "time").text(scenario.units) for factor in FACTORS)
    return Computed(
        actors.scenario,
        {"cases": table, **{name: pd.concat(rows, ignore_index=True) for name, rows in tables.items()}},
        facts,
        (
            Control("strokes", "Strokes a call", strokes, strokes.index(inch)),
            Control("factor", "Time to place a piece", FACTORS, FACTORS.index(1.0), names=pieces),
        ),
        (*actors.assumed("crib"), *assumed, ASSUMED),
        figures_of(facts, table, stops),
        stops,
    )


def with_wedges(crib: Crib, units: Units) -> tuple[Crib, tuple[Sentence, ...]]:
    """The cribbing, with wedges if it has none, and what had to be taken for that."""
    if crib.wedge > 0:
        return crib, ()
    wide = WIDE[units]
    said = "The cribbing has no wedges: a pair up to {wide}, driven in 6 s, is taken (invented)."
    return (
        replace(crib, wedge=wide, drive=Draw(6.0)),
        (Sentence(said, wide=brief(wide, "length")),),
    )


def times(takes: Draw, factor: float) -> Draw:
    """The same work, taking so many times as long."""
    return Draw(takes.mean * factor, takes.sd * factor)


def on_cribbing(actors: Cast) -> Scenario:
    """The lift with every station straight under its head, nothing tied, and nothing captured on the lifters."""
    scenario = actors.scenario
    stations = tuple(replace(s, base=(s.head[0], s.head[1], s.base[2]), tie=None) for s in scenario.stations)
    lifters = tuple(replace(x, capture=(), catchers=()) for x in scenario.lifters)
    leader = replace(scenario.leader, rule="stop-until-caught", max_calls=max(MOST_CALLS, scenario.leader.max_calls))
    return replace(scenario, stations=stations, lifters=lifters, leader=leader)


def lifted(scenario: Scenario, strokes: int) -> Record:
    """The lift by so many strokes a call, everyone at mean times.

    Raises
    ------
    ScenarioError
        It is not raised.
    """
    record = simulate_fixed(replace(scenario, leader=replace(scenario.leader, strokes=strokes)))
    if record.outcome != Outcome.RAISED:
        what = f"called by {strokes} at a time, on cribbing alone, it is not raised: {record.reason}"
        raise ScenarioError([Problem("need.rise", what, "run it first, and see why")])
    return record


def watch(record: Record, station: str) -> tuple[dict[str, pd.DataFrame], dict[str, float]]:
    """The load over one station and what its cribbing holds, the drop; and what the lift came to."""
    measured, came_to = Measured(record), measure(record)
    place, drop = measured.places[station], drops(measured, station)
    gaps = {kind: came_to["stations"][station][f"largest_{kind}_gap_m"] for kind in ("passing", "standing")}
    return {"way": line_and_hold(place), "drop": drop}, {
        **{f"{kind}_m": gap for kind, gap in gaps.items()},
        "gap_m": max(gaps.values()),
        "drop_m": float(drop["drop_m"].max()),
        "duration_s": came_to["duration_s"],
        "waits_s": came_to["hold_time_s"],
        "calls": came_to["calls"],
        "over_m": came_to["overshoot_m"],
        "pieces": len(measured.at_a_place((What.PLACE,), station)),
        "wedges": len(measured.at_a_place((What.DRIVE,), station)),
    }


def facts_of(actors: Cast, there: Scenario, crib: Crib) -> dict[str, float]:
    """The figures of the scenario that questions and pictures ask for [SI]."""
    scenario, lifter, person = actors.scenario, actors.lifter, actors.lifter.operator
    motion = motion_of(scenario.load)
    station = next(s for s in there.stations if s.name == actors.station.name)
    line = motion.line(station.head, station.base)
    before, after = halfway(scenario, lifter, person.fill.mean)
    end = motion.u_for_rise(scenario.need.point, scenario.need.rise)
    gain, inch = float(line.demand(after) - line.demand(before)), WIDE[scenario.units]
    ten = near(10 * gain, "length").as_printed(scenario.units)
    return {
        "need_m": scenario.need.rise,
        "line_m": float(line.demand(end)),
        "head_per_line": float(motion.rise(lifter.head, end) / line.demand(end)),
        "gain_m": gain,
        "inch_m": inch,
        "inch_strokes": strokes_for(inch, ten),
        "limit_m": scenario.leader.gap_limit,
        "react_s": person.react.mean,
        "stroke_s": person.stroke.mean,
        "recover_s": person.recover.mean,
        "crib_react_s": crib.react.mean,
        "place_s": crib.place.mean,
        "drive_s": crib.drive.mean,
    }


def strokes_for(lift: float, ten: float) -> int:
    """How many whole strokes lift no more than that [m], where ten lift `ten` [m]; one at the least."""
    return max(1, floor(10 * lift / ten + 1e-9))


def strokes_to_try(facts: dict[str, float], own: int) -> tuple[int, ...]:
    """One stroke a call, the scenario's own, and those that lift parts of an inch and several, up to the need."""
    tried = {
        1,
        own,
        *(strokes_for(x * facts["inch_m"], 10 * facts["gain_m"]) for x in INCHES),
        int(facts["inch_strokes"]),
    }
    return tuple(sorted(n for n in tried if n == 1 or n * facts["gain_m"] <= facts["line_m"]))


def figures_of(facts: dict[str, float], cases: pd.DataFrame, stops: tuple[Setting, ...]) -> Figures:
    """What prose, questions and answers print; `gap_2` is the gap at the second stop of the sliders."""
    lengths = {name: near(facts[f"{name}_m"], "length") for name in ("line", "limit")}
    seconds = {
        name: near(facts[f"{name}_s"], "time")
        for name in ("react", "stroke", "recover", "crib_react", "place", "drive")
    }
    figures: dict[str, FigureSaid] = {
        **lengths,
        **seconds,
        "need": brief(facts["need_m"], "length"),
        "an_inch": brief(facts["inch_m"], "length"),
        "ten_strokes": near(10 * facts["gain_m"], "length"),
        "rise_per_line": f"{facts['head_per_line']:.2f}",
        "wedges_each": Worked(add, (seconds["crib_react"], seconds["drive"]), "time"),
    }
    return figures | numbered(figures_at(row_of(cases, stop)) for stop in stops)


def figures_at(case: pd.Series) -> dict[str, FigureSaid]:
    """What one setting of the sliders came to, as the table beside them and the stops print it."""
    return {
        "strokes": f"{case['strokes']:.0f}",
        "calls": f"{case['calls']:.0f}",
        "wedges": f"{case['wedges']:.0f}",
        "lasts": near(case["duration_s"], "time"),
        "waits": near(case["waits_s"], "time"),
        "gap": up(case["gap_m"], "length"),
        "drop": up(case["drop_m"], "length"),
        "over": near(case["over_m"], "length"),
    }


def printed_value(computed: Computed, name: str, units: Units) -> float:
    """A figure as it is printed in these units [SI]."""
    figure = computed.figures[name]
    assert isinstance(figure, Amount | Worked)
    return figure.as_printed(units)


def ask(computed: Computed, units: Units, roll: random.Random) -> list[Question]:
    """Strokes for an inch, what a call takes, the calls and the waits, the gap and the drop, what longer calls save."""
    printed, it = Printed(units), computed.say(units)
    f, s = printed.length, printed.time
    value = {
        name: printed_value(computed, name, units) for name, x in computed.figures.items() if not isinstance(x, str)
    }
    ten, line, limit = (value[name] for name in ("ten_strokes", "line", "limit"))
    inch = strokes_for(value["an_inch"], ten)
    n, many = roll.randint(3, 10), roll.randint(2, 9)
    lift = as_shown(many * ten / 10, "length", units)
    calls = ceil(line / lift - 1e-9)
    each = value["stroke"] + value["recover"]
    ratio = float(it["rise_per_line"])
    return [
        Question(
            f"Ten strokes raise the load {it['ten_strokes']} over the cribbing. How many whole strokes lift no more "
            f"than {it['an_inch']}, and how much do they lift?",
            "strokes = 10 x lift / what ten lift, rounded down; lift = strokes x what ten lift / 10",
            f"10 x {it['an_inch']} / {it['ten_strokes']}; {inch} x {it['ten_strokes']} / 10",
            f"{inch}, {f(inch * ten / 10)}",
        ),
        Question(
            f"A call of {n} strokes: {it['react']} to react, then {it['stroke']} and {it['recover']} for each. "
            f"Then, at the timber, {it['crib_react']} to react, {it['place']} for one piece and {it['drive']} for "
            "the wedges. How long does each of the two take?",
            "pumping = react + strokes x (stroke + recover); cribbing = react + piece + wedges",
            f"{it['react']} + {n} x ({it['stroke']} + {it['recover']}); "
            f"{it['crib_react']} + {it['place']} + {it['drive']}",
            f"{s(value['react'] + n * each)} and {s(value['crib_react'] + value['place'] + value['drive'])}",
        ),
        Question(
            f"The load has to be raised {it['line']} over the cribbing, {f(lift)} in each call. How many calls is "
            f"that, and how long do reacting and wedges take in all, {it['wedges_each']} in each call?",
            "calls = rise / lift of a call, rounded up; time = calls x (react + wedges)",
            f"{it['line']} / {f(lift)}; {calls} x {it['wedges_each']}",
            f"{calls} calls, {s(calls * value['wedges_each'])}",
        ),
        Question(
            f"The leader calls with no more than {it['limit']} open, and a call lifts {f(lift)}. How wide can the gap "
            f"get before a piece is placed? The lifting point comes down {it['rise_per_line']} times as far: how far "
            "is that until the cribbing meets it?",
            "gap = limit + lift of a call; fall = gap x ratio",
            f"{it['limit']} + {f(lift)}; ({it['limit']} + {f(lift)}) x {it['rise_per_line']}",
            f"{printed.up(limit + lift)}; {printed.up((limit + lift) * ratio)}, and what the cribbing gives on top",
        ),
        _longer_calls(computed, units, roll),
    ]


def _longer_calls(computed: Computed, units: Units, roll: random.Random) -> Question:
    """What longer calls take off the time, and put onto the gap."""
    cases = computed.tables["cases"]
    own = cases[cases["factor"] == 1.0].reset_index(drop=True)
    first = roll.randrange(len(own) - 1)
    few, many = own.iloc[first], own.iloc[roll.randrange(first + 1, len(own))]
    it = say(numbered(map(figures_at, (few, many))), units)
    slow, quick = (2, 1) if many["duration_s"] > few["duration_s"] else (1, 2)
    longest, shortest = sorted((near(case["duration_s"], "time") for case in (few, many)), key=lambda x: -x.value)
    time = less(longest, shortest, "time")
    gap = less(up(many["gap_m"], "length"), up(few["gap_m"], "length"), "length")
    return Question(
        f"Computed on this lift, strokes a call: {it['strokes_1']} take {it['lasts_1']} and open {it['gap_1']} at the "
        f"most; {it['strokes_2']} take {it['lasts_2']} and open {it['gap_2']}. By how much do time and gap differ?",
        "difference in time, longer - shorter; difference in gap, larger - smaller",
        f"{it[f'lasts_{slow}']} - {it[f'lasts_{quick}']}; {it['gap_2']} - {it['gap_1']}",
        f"{time.text(units)} {'less' if slow == 1 else 'more'} with the longer calls, and {gap.text(units)} more open",
    )


LESSON = Lesson(
    10,
    "an-inch-at-a-time",
    "An inch at a time",
    (*CAUTIONS, "No hand between timber and load while anything moves: place a piece from its side."),
    compute,
    ask,
    texts_of("an-inch-at-a-time"),
)
