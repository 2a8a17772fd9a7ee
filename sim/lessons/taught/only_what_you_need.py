"""Lesson 6: what every inch of rise costs in pumps, seconds, exposure and energy. Lift no more than the task needs."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace
from math import ceil, isnan
from operator import mul

import pandas as pd

from sim.lessons.cast import cast
from sim.lessons.lesson import Computed, Control, Lesson, Printed, Question, as_shown, nearest
from sim.lessons.tables import Setting, row_of
from sim.lessons.words.figures import FigureSaid, Worked, numbered
from sim.lessons.words.figures import say as say_all
from sim.lessons.words.prose import texts_of
from sim.model.cautions import CAUTIONS
from sim.model.errors import Problem, ScenarioError
from sim.model.motion import motion_of
from sim.model.scenario import Need, Scenario
from sim.model.sentences import brief, near
from sim.model.units import INCH, Units
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.record.what import Outcome
from sim.story.lift import simulate_fixed

STEP = {"us": INCH, "si": 0.025}
HALF_AGAIN = 1.5  # of the needed rise: what somebody may want "to be comfortable"
MORE = 4  # steps beyond the needed rise


def compute(scenario: Scenario) -> Computed:
    """The scenario's own lift, to every inch (25 mm) of rise up to a little beyond the need.

    Raises
    ------
    ScenarioError
        The lift is not raised as written, so no rise can be priced.
    """
    actors = cast(scenario)
    step = STEP[scenario.units]
    last = ceil(scenario.need.rise / step - 1e-9) + MORE
    rises = sorted({round(rise, 9) for rise in (scenario.need.rise, *(n * step for n in range(1, last + 1)))})
    rows = []
    for rise in rises:
        there = replace(actors.scenario, need=Need(scenario.need.point, rise))
        if isnan(motion_of(scenario.load).u_for_rise(scenario.need.point, rise)):
            break  # no angle raises the point so far
        record = simulate_fixed(there)
        if record.outcome != Outcome.RAISED:
            break
        came_to = measure(record)
        beside = came_to["duration_s"] - Measured(record).first_call
        rows.append(
            {
                "rise_m": rise,
                "pumps": sum(came_to["pumps"].values()),
                "calls": came_to["calls"],
                "duration_s": came_to["duration_s"],
                "exposure_s": beside * people(scenario),
                "cg_rise_m": cg_rise(scenario, came_to["point_rise_m"]),
                "drop_m": came_to["largest_drop_lifter_lost"]["drop_m"],
            }
        )
    if len(rows) < 2:
        what = "the lift is not raised as written, so no rise can be priced"
        raise ScenarioError([Problem("need.rise", what, "run it first, and see why")])
    table = pd.DataFrame(rows)
    table["energy_J"] = scenario.load.weight * table["cg_rise_m"]
    settings = tuple(table["rise_m"])
    facts = {"need_m": scenario.need.rise, "step_m": step, "people": people(scenario), "weight_N": scenario.load.weight}
    own = nearest(settings, scenario.need.rise)
    others = nearest(settings, scenario.need.rise / 2), nearest(settings, scenario.need.rise * HALF_AGAIN)
    stops = tuple({"rise_m": settings[at]} for at in (own, *others))
    return Computed(
        actors.scenario,
        {"rises": table},
        facts,
        (Control("rise_m", "Rise of the needed point", settings, own, "length"),),
        (),
        {
            "need": brief(scenario.need.rise, "length"),
            "weight": near(scenario.load.weight, "force"),
            "people": str(facts["people"]),
            "step": brief(step, "length"),
            **numbered(figures_at(table, facts, stop) for stop in stops),
        },
        stops,
    )


def figures_at(table: pd.DataFrame, facts: Mapping[str, float], setting: Setting) -> dict[str, FigureSaid]:
    """What this rise costs: pumps, time, exposure, energy."""
    row = row_of(table, setting)
    weight, risen = near(facts["weight_N"], "force"), near(row["cg_rise_m"], "length")
    return {
        "rise": brief(row["rise_m"], "length"),
        "pumps": f"{row['pumps']:.0f}",
        "calls": f"{row['calls']:.0f}",
        "lasts": near(row["duration_s"], "time"),
        "beside": near(row["exposure_s"] / facts["people"], "time"),
        "exposure": f"{row['exposure_s']:,.0f} s",
        "cg_rise": risen,
        "energy": Worked(mul, (weight, risen), "energy", "up"),
    }


def people(scenario: Scenario) -> int:
    """Everyone at the load: the leader, an operator a lifter, every catcher once."""
    catchers = {name for place in scenario.places for name in place.catchers}
    return 1 + len(scenario.lifters) + len(catchers)


def cg_rise(scenario: Scenario, point_rise: float) -> float:
    """How far the centre of gravity has risen once the needed point has risen so far [m]."""
    motion = motion_of(scenario.load)
    return float(motion.rise(scenario.load.cg, motion.u_for_rise(scenario.need.point, point_rise)))


def ask(computed: Computed, units: Units, roll: random.Random) -> list[Question]:
    """Pumps and time a step; the price of one more; exposure; energy."""
    table, facts = computed.tables["rises"], computed.facts
    printed = Printed(units)
    f, s, say = printed.brief, printed.time, computed.say(units)
    first = roll.randrange(0, len(table) - 1)
    a, b = table.iloc[first], table.iloc[min(len(table) - 1, first + roll.randint(1, 2))]
    rise_a, rise_b = (as_shown(x["rise_m"], "length", units) for x in (a, b))
    t_a, t_b = (as_shown(x["duration_s"], "time", units) for x in (a, b))
    who = int(facts["people"])
    it = say_all(figures_at(table, facts, {"rise_m": b["rise_m"]}), units)
    return [
        Question(
            f"Raising {f(rise_a)} takes {a['pumps']:.0f} pumps and {s(t_a)}; raising {f(rise_b)} takes "
            f"{b['pumps']:.0f} pumps and {s(t_b)}. What do the last "
            f"{f(rise_b - rise_a)} cost?",
            "price = the larger figure - the smaller",
            f"{b['pumps']:.0f} - {a['pumps']:.0f}; {s(t_b)} - {s(t_a)}",
            f"{b['pumps'] - a['pumps']:.0f} pumps and {s(t_b - t_a)}",
        ),
        Question(
            f"{who} people stand beside the load for {it['beside']} while it is being raised {f(rise_b)}. How many "
            "person-seconds of exposure is that?",
            "exposure = people x time beside the raised load",
            f"{who} x {it['beside']}",
            f"{it['exposure']} of one person",
        ),
        Question(
            f"The load weighs {say['weight']} and its centre of gravity has risen {it['cg_rise']}. How much energy "
            "would it give up if it came all the way down again?",
            "energy = weight x rise of the centre of gravity",
            f"{say['weight']} x {it['cg_rise']}",
            it["energy"],
        ),
        Question(
            f"The task is done with {say['need']} of rise. Somebody wants half "
            "as much again to be comfortable. By how much does the energy of the raised load "
            "grow, about?",
            "energy grows in proportion to the rise (small angles)",
            f"{HALF_AGAIN:g} / 1",
            f"by half: {HALF_AGAIN:g} times as much",
        ),
    ]


LESSON = Lesson(
    6,
    "only-what-you-need",
    "Only what you need",
    (*CAUTIONS, "Say how much rise the task needs before the first call, and stop there."),
    compute,
    ask,
    texts_of("only-what-you-need"),
)
