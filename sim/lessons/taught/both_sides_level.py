"""Lesson 4: a missed call sets the sides apart at once; uneven strokes let the difference wander, a random walk."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace
from math import sqrt

import numpy as np
import pandas as pd

from sim.lessons.cast import halfway
from sim.lessons.lesson import Computed, Control, Lesson, Printed, Question, as_shown, percents
from sim.lessons.tables import Setting, rows_of
from sim.lessons.words.figures import FigureSaid, Worked, numbered
from sim.lessons.words.prose import texts_of
from sim.model.cautions import CAUTIONS
from sim.model.devices import EXACT
from sim.model.draw import Draw
from sim.model.errors import Problem, ScenarioError
from sim.model.motion import motion_of
from sim.model.scenario import Mishap, Scenario
from sim.model.sentences import near, up
from sim.model.units import INCH, Units
from sim.record.record import Record
from sim.record.series import side_series
from sim.record.what import CALLS
from sim.story.lift import simulate as simulate_lift

LIFTS = 20  # simulated of every setting
SPREADS = (0.02, 0.05, 0.10)  # sd of the share of a full stroke delivered
LIMITS = {"us": tuple(n * INCH for n in (0.25, 0.5, 1.0)), "si": (0.005, 0.010, 0.025)}
NEVER = float("inf")
MOST_CALLS = 40
TEN = 10  # calls after which the short pump is looked at
SLOW_PUMP = 0.9  # of the other's travel a stroke


def compute(scenario: Scenario) -> Computed:
    """Many lifts with uneven strokes, free and with levelling calls; one missed call; one pump that gives less.

    Raises
    ------
    ScenarioError
        The lift has one side only.
    """
    if len(scenario.lifters) < 2:
        what = "lesson 4 needs a lifter on each side"
        raise ScenarioError([Problem("lifter", what, "use a scenario with two [[lifter]]s")])
    bare = without_captures(scenario)
    own = max(x.operator.fill.sd for x in scenario.lifters)
    spreads = tuple(sorted({*(s for s in SPREADS if abs(s - own) > 0.002), *((own,) if own > 0 else ())}))
    own_limit = scenario.leader.level_limit
    limits = (*sorted({*LIMITS[scenario.units], *((own_limit,) if own_limit else ())}), NEVER)
    walks, spread_rows = [], []
    for spread in spreads:
        for limit in limits:
            simulated = many(bare, spread, limit)
            walks.append(simulated.assign(spread=spread, limit_m=limit))
            sds = simulated.groupby("call")["difference_m"].apply(lambda d: float(np.sqrt(np.mean(d**2))))
            calls = {"call": sds.index, "told_sd_m": sds, "sd_m": one_side(bare, spread) * np.sqrt(2 * sds.index)}
            spread_rows.append(pd.DataFrame({"spread": spread, "limit_m": limit, **calls}))
    table = pd.concat(spread_rows, ignore_index=True)
    walked = pd.concat(walks, ignore_index=True)
    start_spread = spreads.index(own) if own > 0 else 1
    facts = {
        "one_side_m": one_side(bare, spreads[start_spread]),
        "stroke_m": line_per_stroke(bare),
        "strokes": scenario.leader.strokes,
        "spread": spreads[start_spread],
        "mean": mean_fill(bare),
        "limit_m": own_limit or 0.0,
        "lifts": LIFTS,
    }
    settings = ((spreads[start_spread], NEVER), (spreads[-1], NEVER), (spreads[-1], own_limit or limits[1]))
    stops = tuple({"spread": spread, "limit_m": limit} for spread, limit in settings)
    names = tuple("{}" if x < NEVER else "no levelling" for x in limits)
    lengths = tuple(x if x < NEVER else 0.0 for x in limits)
    return Computed(
        scenario,
        {
            "walks": walked,
            "spread": table,
            "cases": cases(bare),
        },
        facts,
        (
            Control(
                "spread", "Uneven strokes: sd of the share delivered", spreads, start_spread, "", percents(spreads)
            ),
            Control(
                "limit_m", "Levelling calls from a difference of", limits, len(limits) - 1, "length", names, lengths
            ),
        ),
        () if own > 0 else ("The scenario's operators deliver every stroke alike: an sd of 2 % is taken (invented).",),
        one_thing_wrong(facts) | numbered(figures_at(table, walked, stop) for stop in stops),
        stops,
    )


def one_thing_wrong(facts: Mapping[str, float]) -> dict[str, FigureSaid]:
    """How far one missed call and one short pump bring the sides apart, all else even."""
    stroke, strokes = near(facts["stroke_m"], "length"), int(facts["strokes"])
    call = Worked(lambda stroke: strokes * stroke, (stroke,), "length", "up")
    levels = near(facts["limit_m"] or 2 * facts["stroke_m"] * strokes, "length")
    return {
        "stroke": stroke,
        "strokes": str(strokes),
        "call": call,
        "levels_from": levels,
        "at_most": Worked(lambda limit, stroke: limit + strokes * stroke, (levels, stroke), "length", "up"),
        "short": Worked(lambda stroke: TEN * strokes * stroke * (1 - SLOW_PUMP), (stroke,), "length", "up"),
        "ten": str(TEN),
        "tenth": f"{100 * (1 - SLOW_PUMP):.0f} %",
    }


def figures_at(spread: pd.DataFrame, walks: pd.DataFrame, setting: Setting) -> dict[str, FigureSaid]:
    """The walk after the last call, and the most apart in any lift, at this setting."""
    last = rows_of(spread, setting).iloc[-1]
    return {
        "calls": f"{last['call']:.0f}",
        "walk": near(last["sd_m"], "length"),
        "simulated": near(last["told_sd_m"], "length"),
        "most": up(rows_of(walks, setting)["difference_m"].abs().max(), "length"),
        "uneven": f"{100 * setting['spread']:g} %",
    }


def without_captures(scenario: Scenario) -> Scenario:
    """The two lifters alone, called at their pace as long as both have travel: captures have other lessons."""
    lifters = tuple(replace(x, capture=(), catchers=()) for x in scenario.lifters)
    leader = replace(scenario.leader, rule="keep-pace", level_limit=None, max_calls=MOST_CALLS, gap_limit=0.0)
    return replace(scenario, lifters=lifters, stations=(), mishaps=(), reset=None, leader=leader, walk={})


def uneven(scenario: Scenario, spread: float) -> Scenario:
    """The same, every operator's strokes this uneven."""
    mean = mean_fill(scenario, spread)
    lifters = tuple(
        replace(x, operator=replace(x.operator, fill=Draw(mean, spread), miss=0.0)) for x in scenario.lifters
    )
    return replace(scenario, lifters=lifters)


def all_full(scenario: Scenario) -> Scenario:
    """The same, every stroke of every operator full."""
    whole = Draw(1.0)
    lifters = tuple(replace(x, operator=replace(x.operator, fill=whole, miss=0.0)) for x in scenario.lifters)
    return replace(scenario, lifters=lifters)


def mean_fill(scenario: Scenario, spread: float = 0.0) -> float:
    """The mean share of a stroke delivered: the scenario's, or less where so wide a spread would not fit under 1."""
    mean = min(x.operator.fill.mean for x in scenario.lifters)
    return min(mean, 1 - 2 * spread)


def many(scenario: Scenario, spread: float, limit: float, lifts: int = LIFTS, seed: int = 0) -> pd.DataFrame:
    """The difference between the sides after each call, lift by lift."""
    there = uneven(scenario, spread)
    there = replace(there, leader=replace(there.leader, level_limit=None if limit == NEVER else limit))
    computed = [differences(simulate_lift(there, seed=seed, replication=k)).assign(lift=k) for k in range(lifts)]
    shortest = min(t["call"].max() for t in computed)
    table = pd.concat(computed, ignore_index=True)
    kept: pd.DataFrame = table[table["call"] <= shortest]
    return kept


def differences(record: Record) -> pd.DataFrame:
    """Rise of the left head less that of the right after each call [m]."""
    columns, motion = record.columns, motion_of(record.scenario.load)
    left, right = sorted(record.scenario.lifters, key=lambda x: x.side)[:2]
    calls = columns.time_s[columns.says(*CALLS)]
    ends = np.append(calls[1:], columns.time_s[-1])
    u, travel = side_series(columns), side_series(columns, columns.ram_travel_m)
    spent = [travel[x.name].just_before(ends) >= x.travel - EXACT for x in (left, right)]
    ends = ends[~np.any(spent, axis=0)]  # a ram at its stop gives less than a call asks for
    a, b = (motion.rise(x.head, u[x.name].just_before(ends)) for x in (left, right))
    return pd.DataFrame({"call": np.arange(1, len(ends) + 1), "difference_m": a - b, "rise_m": (a + b) / 2})


def line_per_stroke(scenario: Scenario) -> float:
    """What one full stroke raises a head by, halfway up [m]."""
    lifter, motion = scenario.lifters[0], motion_of(scenario.load)
    before, after = halfway(scenario, lifter, 1.0)
    return float(motion.rise(lifter.head, after) - motion.rise(lifter.head, before))


def one_side(scenario: Scenario, spread: float) -> float:
    """Standard deviation of what one call raises one side by [m]: all its strokes are alike short or full."""
    return scenario.leader.strokes * line_per_stroke(scenario) * spread


def difference_sd(calls: int, one: float) -> float:
    """Standard deviation of the difference between two sides after n calls [m].

    Each side's rise is a sum of n independent calls with sd `one`, so the difference has the variance 2 n one^2: it
    grows with the square root of the calls (random walk).
    """
    return sqrt(2 * calls) * one


def cases(scenario: Scenario) -> pd.DataFrame:
    """Everyone gives full strokes, and one thing is wrong: a call missed, or one pump that gives less."""
    even = all_full(scenario)
    missed = replace(even, mishaps=(Mishap("missed", 3, even.lifters[1].name),))
    second = even.lifters[1]
    slow = replace(second, operator=replace(second.operator, fill=Draw(second.operator.fill.mean * SLOW_PUMP)))
    slower = replace(even, lifters=(even.lifters[0], slow, *even.lifters[2:]))
    computed = [
        differences(simulate_lift(s)).assign(case=name, difference_m=lambda t: t["difference_m"].abs())
        for name, s in (("one call missed", missed), ("one pump gives a tenth less", slower))
    ]
    return pd.concat(computed, ignore_index=True)


def ask(computed: Computed, units: Units, roll: random.Random) -> list[Question]:
    """A missed call; a pump that gives less; what levelling bounds; sd of the difference, and how it grows."""
    facts = computed.facts
    printed = Printed(units)
    up, say = printed.up, computed.say(units)
    strokes = int(facts["strokes"])
    stroke = as_shown(facts["stroke_m"], "length", units)
    spread = roll.choice([0.02, 0.03, 0.05, 0.08, 0.10])
    calls = roll.choice([4, 9, 16, 25])
    one = strokes * stroke * spread
    missed = roll.randint(1, 2)
    share = roll.choice([0.05, 0.1, 0.15, 0.2])
    many_calls = roll.randint(6, 14)
    return [
        Question(
            f"A call is {strokes} strokes, a full stroke raises the side by {say['stroke']}. One operator misses "
            f"{missed} call{'s' if missed > 1 else ''}. How far are the sides apart, all else even?",
            "difference = missed calls x strokes x rise a stroke",
            f"{missed} x {strokes} x {say['stroke']}",
            up(missed * strokes * stroke),
        ),
        Question(
            f"One pump delivers {100 * share:g} % less at every stroke. How far apart are the sides after "
            f"{many_calls} calls, and is that a random walk?",
            "difference = calls x strokes x rise a stroke x what is missing",
            f"{many_calls} x {strokes} x {say['stroke']} x {share:g}",
            f"{up(many_calls * strokes * stroke * share)}; no: it grows call by call, not with the square root",
        ),
        Question(
            f"The leader levels (calls the low side alone) once the sides differ by more than {say['levels_from']}. "
            "How far apart can they have come after a call to both, if one operator may miss it?",
            "at the most = limit + what one call gives",
            f"{say['levels_from']} + {strokes} x {say['stroke']}",
            say["at_most"],
        ),
        Question(
            f"A call is {strokes} strokes, a full stroke raises the side by {say['stroke']}, and what an operator "
            "delivers has an sd of "
            f"{100 * spread:g} %, the same for all strokes of a call. What is the sd s of one side's rise in one "
            "call, and of the difference "
            f"between the sides after {calls} calls?",
            "s = strokes x rise a stroke x sd; sd of the difference = sqrt(2 n) x s",
            f"{strokes} x {say['stroke']} x {spread:g}; sqrt(2 x {calls}) x that",
            f"s = {one / INCH:.3f} in; {difference_sd(calls, one) / INCH:.3f} in"
            if units == "us"
            else f"s = {one * 1e3:.2f} mm; {difference_sd(calls, one) * 1e3:.2f} mm",
        ),
        Question(
            f"The lift takes four times as many calls ({4 * calls}). How many times as large does the difference "
            "become?",
            "sd of the difference grows with the square root of the calls",
            f"sqrt({4 * calls} / {calls})",
            "2 times",
        ),
    ]


LESSON = Lesson(
    4,
    "both-sides-level",
    "Both sides level",
    (*CAUTIONS, "Watch the load, not the count: equal strokes do not make equal rise."),
    compute,
    ask,
    texts_of("both-sides-level"),
)
