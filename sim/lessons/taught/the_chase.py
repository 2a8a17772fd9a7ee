"""Lesson 2: stroke and capture are two clocks. Below a certain pace the second never catches the first."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from sim.lessons.cast import Cast, cast, fitted, halfway
from sim.lessons.lesson import Computed, Control, Lesson, Printed, Question, Rule, as_shown
from sim.lessons.tables import Setting, row_of
from sim.lessons.taught.two_clocks import OTHER, SLOW, first_calls, lanes
from sim.lessons.words.figures import FigureSaid, less, numbered, said
from sim.lessons.words.prose import texts_of
from sim.model.cautions import CAUTIONS
from sim.model.devices.collar import Collar, climbed
from sim.model.draw import Draw
from sim.model.motion import motion_of
from sim.model.scenario import Operator, Scenario
from sim.model.sentences import near, up
from sim.model.units import Units
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.record.record import Record
from sim.story.lift import simulate_fixed

FACTORS = (1.0, 2.0, 4.0, 6.0)  # how many times as long the slow catcher takes over a turn
RULES: tuple[Rule, ...] = ("keep-pace", "stop-until-caught")


def compute(scenario: Scenario) -> Computed:
    """The lift with collars, one of them turned slowly, under both rules and at several paces."""
    actors = cast(without_slack(scenario))
    collar, station = actors.collar, actors.station.name
    cycle = operator_cycle(actors.lifter.operator, scenario.leader.strokes)
    paces = paces_to_try(scenario.leader.pace, cycle)
    gained = line_per_call(actors)
    climb = climbed(collar.turns.mean, collar.rise_per_turn)
    runs, gaps, bars, at_calls = [], [], [], []
    for factor in FACTORS:
        cast_of = with_slow_catcher(actors, collar, factor)
        for pace in paces:
            for rule in RULES:
                leader = replace(scenario.leader, rule=rule, pace=pace, if_uncapturable="go-on", level_limit=None)
                record = simulate_fixed(replace(cast_of, leader=leader))
                mark: dict[str, Any] = {"factor": factor, "pace_s": pace, "rule": rule}
                measured = Measured(record)
                gaps.append(gap_lines(measured, station).assign(**mark))
                bars.append(lanes(record, station).assign(**mark))
                at_calls.append(gap_at_calls(measured, station).assign(**mark))
                runs.append({**mark, **summary(record, station), "period_s": max(pace, cycle)})
    simulated_runs = pd.DataFrame(runs)
    all_bars = first_calls(pd.concat(bars, ignore_index=True))
    simulated_runs["grows_m"] = np.maximum(
        0.0, growth(gained, climb / simulated_runs["factor"], simulated_runs["period_s"])
    )
    slow = tuple(f"{x:g} times as long" for x in FACTORS)
    start_factor = next(
        (n for n, x in enumerate(FACTORS) if x > 1 and growth(gained, climb / x, max(scenario.leader.pace, cycle)) > 0),
        2,
    )
    facts = {
        "gained_m": gained,
        "lead_m": collar.rise_per_turn,
        "turns": collar.turns.mean,
        "climb": climb,
        "cycle_s": cycle,
        "pace_s": scenario.leader.pace,
        "seat_s": collar.seat.mean,
        "react_s": collar.react.mean,
        "strokes": scenario.leader.strokes,
        "limit_m": scenario.leader.gap_limit,
    }
    own, slow_one = scenario.leader.pace, FACTORS[start_factor]
    stops = tuple({"factor": x, "pace_s": pace} for x, pace in ((1.0, own), (slow_one, own), (slow_one, paces[-1])))
    return Computed(
        actors.scenario,
        {
            "runs": simulated_runs,
            "gap": pd.concat(gaps, ignore_index=True),
            "lanes": all_bars,
            "at calls": pd.concat(at_calls, ignore_index=True),
            "growth": growth_table(gained, climb, cycle, max(paces)),
        },
        facts,
        (
            Control("factor", "The slow catcher takes", FACTORS, start_factor, names=slow),
            Control("pace_s", "Pace: from call to call, at least", paces, paces.index(scenario.leader.pace), "time"),
        ),
        actors.assumed("collar"),
        {
            "gained": near(gained, "length"),
            "lead": near(collar.rise_per_turn, "length"),
            "a_seat": near(collar.seat.mean, "time"),
            **numbered(figures_at(simulated_runs, facts, stop) for stop in stops),
        },
        stops,
    )


def figures_at(runs: pd.DataFrame, facts: Mapping[str, float], setting: Setting) -> dict[str, FigureSaid]:
    """What holding costs and saves at this setting, and whether the chase keeps up."""
    kept, held = (row_of(runs, {**setting, "rule": rule}) for rule in RULES)
    slow_gaps = [up(row["largest_slow_gap_m"], "length") for row in (kept, held)]
    lasts = [near(row["duration_s"], "time") for row in (kept, held)]
    return {
        "keeps_up": near(slowest_that_keeps_up(facts["gained_m"], facts["climb"] / setting["factor"]), "time"),
        "period": near(kept["period_s"], "time"),
        "grows": up(kept["grows_m"], "length"),
        "reaches": slow_gaps[0],
        "held_to": slow_gaps[1],
        "costs": less(lasts[1], lasts[0], "time"),
        "saves": less(slow_gaps[0], slow_gaps[1], "length"),
        "factor": f"{setting['factor']:g}",
    }


def growth(gained: float, climb: Any, period: Any) -> Any:
    """How much a gap grows from call to call while a collar that never stops turning does not catch up.

    Parameters
    ----------
    gained : float
        How much longer one call makes the line [m].
    climb : float or ndarray of shape (n,)
        How fast the collar climbs [m/s].
    period : float or ndarray of shape (n,)
        From call to call [s].

    Returns
    -------
    float or ndarray of shape (n,)
        gained - climb x period [m]; negative where the collar keeps up.
    """
    return gained - climb * period


def slowest_that_keeps_up(gained: float, climb: float) -> float:
    """The time from call to call below which the chase falls behind: gained / climb [s]."""
    return gained / climb


def operator_cycle(person: Operator, strokes: int) -> float:
    """From a call to the operator being ready for the next, at mean times [s]."""
    return person.react.mean + strokes * (person.stroke.mean + person.recover.mean)


def paces_to_try(own: float, cycle: float) -> tuple[float, ...]:
    """The writer's own pace, and some that are slower than the operator can be ready [s]."""
    return tuple(sorted({own, *(float(np.ceil(cycle) + more) for more in (0, 1, 2, 4, 6, 9))}))


def line_per_call(actors: Cast) -> float:
    """How much longer one call makes the watched line, at mean values, halfway up and with take-up spent [m]."""
    scenario, station, lifter = actors.scenario, actors.station, actors.lifter
    line = motion_of(scenario.load).line(station.head, station.base)
    before, after = halfway(scenario, lifter, lifter.operator.fill.mean, scenario.leader.strokes)
    return float(line.demand(after) - line.demand(before))


def without_slack(scenario: Scenario) -> Scenario:
    """The same lift with every tie drawn tight before the start: slack has a lesson of its own."""
    stations = tuple(replace(s, tie=replace(s.tie, slack=0.0) if s.tie else None) for s in scenario.stations)
    return replace(scenario, stations=stations)


def with_slow_catcher(actors: Cast, collar: Collar, factor: float) -> Scenario:
    """Collars at every station, that of the watched station turned `factor` times as slowly."""
    slow = replace(collar, chases="with", turns=Draw(collar.turns.mean / factor, collar.turns.sd / factor))
    scenario = fitted(actors.scenario, replace(collar, chases="with"))
    stations = tuple(replace(s, capture=(slow,)) if s.name == actors.station.name else s for s in scenario.stations)
    return replace(scenario, stations=stations)


def gap_lines(measured: Measured, station: str) -> pd.DataFrame:
    """Gap of the slow catcher's station, and the largest of the others', through time."""
    others = [s.name for s in measured.scenario.stations if s.name != station]
    tables = []
    for who, names in ((SLOW, [station]), (OTHER, others)):
        if not names:
            continue
        once = np.unique(np.concatenate([measured.places[name].time for name in names]))
        gap = np.max([measured.places[name].gap().both_sides_of(once) for name in names], axis=0)
        tables.append(pd.DataFrame({"who": who, "time_s": np.repeat(once, 2), "gap_m": gap}).drop_duplicates())
    return pd.concat(tables, ignore_index=True)


def gap_at_calls(measured: Measured, station: str) -> pd.DataFrame:
    """The gap of the slow catcher's station at the instant of each call."""
    gap = measured.places[station].gap().just_after(measured.call_times)
    return pd.DataFrame({"call": np.arange(1, len(gap) + 1), "time_s": measured.call_times, "gap_m": gap})


def summary(record: Record, station: str) -> dict[str, Any]:
    """What one lift came to."""
    came_to = measure(record)
    return {
        "outcome": str(record.outcome),
        "duration_s": came_to["duration_s"],
        "hold_time_s": came_to["hold_time_s"],
        "calls": came_to["calls"],
        "over_limit_calls": came_to["over_limit_calls"],
        "largest_gap_m": came_to["largest_gap"]["gap_m"],
        "largest_slow_gap_m": came_to["stations"][station]["largest_gap_m"],
    }


def growth_table(gained: float, climb: float, cycle: float, last: float) -> pd.DataFrame:
    """Growth a call against the time from call to call, for each slowness; at no less than 0."""
    periods = np.unique(np.concatenate([np.linspace(0.0, last, 61), [cycle]]))
    table = pd.concat([pd.DataFrame({"factor": x, "period_s": periods}) for x in FACTORS], ignore_index=True)
    grows = np.maximum(0.0, growth(gained, climb / table["factor"], table["period_s"]))
    return table.assign(grows_m=grows, can_be_called=table["period_s"] >= cycle - 1e-9)


def ask(computed: Computed, units: Units, roll: random.Random) -> list[Question]:
    """From which pace on the collar keeps up; by how much it falls behind; how long a hold lasts, costs and saves."""
    facts = computed.facts
    printed, say = Printed(units), computed.say(units)
    f, s = printed.length, printed.time
    lead, gained = (as_shown(facts[k], "length", units) for k in ("lead_m", "gained_m"))
    a_turn = float(max(1, round(roll.choice([1.0, 1.5, 2.0, 2.5]) / facts["turns"])))  # seconds
    keeps_up = slowest_that_keeps_up(gained, lead / a_turn)
    pace = as_shown(roll.choice([0.5, 0.6, 0.7, 0.8]) * keeps_up, "time", units)
    pace = round(pace * 2) / 2 or 0.5
    calls = roll.randint(4, 9)
    grows = gained - lead / a_turn * pace
    gap = as_shown(gained * roll.choice([0.4, 0.5, 0.6, 0.7, 0.8]), "length", units)
    seat = facts["seat_s"]
    run = computed.tables["runs"]
    factor = roll.choice([x for x in FACTORS if x > 1])
    own = run[(run["factor"] == factor) & (run["pace_s"] == facts["pace_s"])]
    t_kept, t_held = (s(float(own[own["rule"] == rule].iloc[0]["duration_s"])) for rule in RULES)
    at = figures_at(run, facts, {"factor": factor, "pace_s": facts["pace_s"]})
    g_kept, g_held = said(at["reaches"], units), said(at["held_to"], units)
    return [
        Question(
            f"One call makes the strut's line {say['gained']} longer. A collar with a lead of {say['lead']} takes "
            f"{s(a_turn)} a turn. "
            "How far apart must the calls be for the collar to keep up?",
            "time between calls = what a call gains / lead x time a turn",
            f"{say['gained']} / {say['lead']} x {s(a_turn)}",
            s(keeps_up),
        ),
        Question(
            f"The same crew is called every {s(pace)} and nobody holds. By how much does the gap grow from call to "
            "call, and what do "
            f"{calls} calls add?",
            "growth a call = what a call gains - lead x time between calls / time a turn",
            f"{say['gained']} - {say['lead']} x {s(pace)} / {s(a_turn)}; {calls} times that",
            f"{printed.up(grows)} a call; {printed.up(calls * grows)} after {calls} calls",
        ),
        Question(
            f"The rams stop with {f(gap)} still open. The collar takes {s(a_turn)} a turn and {say['a_seat']} to seat. "
            "How long "
            "must the leader hold?",
            "hold = gap / lead x time a turn + time to seat",
            f"{f(gap)} / {say['lead']} x {s(a_turn)} + {say['a_seat']}",
            s(gap / lead * a_turn + as_shown(seat, "time", units)),
        ),
        Question(
            f"Computed with one catcher who takes {factor:g} times as long: keeping the pace takes {t_kept} and the "
            f"gap reaches {g_kept}; "
            f"stopping until caught takes {t_held} and it reaches {g_held}. What does stopping cost, and "
            "what does it save?",
            "cost = the longer time - the shorter; saved = the larger gap - the smaller",
            f"{t_held} - {t_kept}; {g_kept} - {g_held}",
            f"{said(at['costs'], units)} more, {said(at['saves'], units)} less open",
        ),
    ]


LESSON = Lesson(
    2,
    "the-chase",
    "The chase",
    (*CAUTIONS, "A pace that this crew keeps in a lesson is not one to work to on scene."),
    compute,
    ask,
    texts_of("the-chase"),
)
