"""Lesson 8: on the way down room is made before the valve is touched; how much, each device decides for itself."""

from __future__ import annotations

import random
from dataclasses import replace
from math import ceil
from typing import Any

import pandas as pd

from sim.lessons.cast import Cast, cast, fitted
from sim.lessons.lesson import Computed, Control, Lesson, Printed, Question, as_shown, handy, nearest
from sim.lessons.tables import Setting, row_of
from sim.lessons.taught.watched_down import come_down, watch_down
from sim.lessons.words.figures import Figures, FigureSaid, Worked, less, numbered, say
from sim.lessons.words.prose import texts_of
from sim.model.cautions import CAUTIONS
from sim.model.devices import Device
from sim.model.devices.row import whole_steps
from sim.model.motion import motion_of
from sim.model.scenario import Scenario
from sim.model.sentences import brief, near, up
from sim.model.units import INCH, Units

SPACINGS = {"us": tuple(n * INCH for n in (1, 2, 3, 4)), "si": (0.025, 0.050, 0.075, 0.100)}
STEPS = {"us": tuple(n * INCH for n in (0.25, 0.5, 1, 2)), "si": (0.006, 0.012, 0.025, 0.050)}
USUAL = {"us": 0.5 * INCH, "si": 0.012}  # the step where none is written: ours
PINS, CRIBBED, COLLAR = "pins", "pins with cribbing", "threaded collar"
NOT_LOWERED = "No stage of the scenario lowers: it is let down all the way, and the step to begin with is invented."


def compute(scenario: Scenario) -> Computed:
    """The way down with pins at several spacings, pins with cribbing and a collar, each by several steps a call.

    Raises
    ------
    ScenarioError
        It has no station, nothing can hold a side of it, or it cannot be brought down.
    """
    actors = cast(scenario)
    lowering = next((stage for stage in reversed(scenario.stages) if stage.do == "lower"), None)
    own = lowering.led(scenario.leader).room if lowering else USUAL[scenario.units]
    steps = tuple(sorted({*(s for s in STEPS[scenario.units] if abs(s - own) > 0.1 * own), own}))
    devices = line_up(actors)
    tables: dict[str, list[pd.DataFrame]] = {"way": [], "drop": []}
    cases: list[dict[str, Any]] = []
    for case, (kind, spacing, fitting) in enumerate(devices):
        there = fitted(actors.scenario, *fitting)
        for step in steps:
            seen = watch_down(come_down(there, step, lowering), actors.station.name)
            for name, table in seen.tables.items():
                tables[name].append(table.assign(case=case, step_m=step))
            cases.append({"case": case, "step_m": step, "kind": kind, "spacing_m": spacing, **seen.facts})
    simulated, facts = pd.DataFrame(cases), facts_of(actors)
    names = tuple("pins every {}" if kind == PINS else kind for kind, _, _ in devices)
    lengths = tuple(spacing for _, spacing, _ in devices)
    own_pins = next(n for n, (kind, spacing, _) in enumerate(devices) if (kind, spacing) == (PINS, actors.pin.spacing))
    starts = len(devices) - 1  # the collar
    stops = tuple({"case": case, "step_m": own} for case in (starts, own_pins, len(devices) - 2))
    return Computed(
        actors.scenario,
        {"cases": simulated, **{name: pd.concat(rows, ignore_index=True) for name, rows in tables.items()}},
        facts,
        (
            Control("case", "Device at the strut", tuple(range(len(devices))), starts, names=names, lengths=lengths),
            Control("step_m", "Step: how far it is let down in one call", steps, nearest(steps, own), "length"),
        ),
        (*actors.assumed("pin", "crib", "collar"), *(() if lowering else (NOT_LOWERED,))),
        figures_of(facts, simulated, stops),
        stops,
    )


def line_up(actors: Cast) -> list[tuple[str, float, tuple[Device, ...]]]:
    """The devices that are set side by side: what kind, the pins' spacing [m], and who is at the station.

    Of the spacings those whose first hole comes up at all, and the pins' own.
    """
    own = actors.pin.spacing
    others = [s for s in SPACINGS[actors.scenario.units] if abs(s - own) > 0.05 * own and s <= line_at_need(actors)]
    pin = replace(actors.pin, first_hole=None)
    return [
        *((PINS, s, (replace(pin, spacing=s),)) for s in sorted([*others, own])),
        (CRIBBED, own, (pin, actors.crib)),
        (COLLAR, 0.0, (actors.collar,)),
    ]


def line_at_need(actors: Cast) -> float:
    """How much longer the watched line is at the needed rise [m]."""
    motion, need = motion_of(actors.scenario.load), actors.scenario.need
    line = motion.line(actors.station.head, actors.station.base)
    return float(line.demand(motion.u_for_rise(need.point, need.rise)))


def facts_of(actors: Cast) -> dict[str, float]:
    """The figures of the scenario that questions and pictures ask for [SI]."""
    motion, need = motion_of(actors.scenario.load), actors.scenario.need
    risen = float(motion.rise(actors.lifter.head, motion.u_for_rise(need.point, need.rise)))
    return {
        "need_m": need.rise,
        "line_m": line_at_need(actors),
        "spacing_m": actors.pin.spacing,
        "swap_s": actors.pin.swap.mean,
        "head_rise_m": risen,
        "head_per_line": risen / line_at_need(actors),
        "limit_m": actors.scenario.limits.gap,
    }


def figures_of(facts: dict[str, float], cases: pd.DataFrame, stops: tuple[Setting, ...]) -> Figures:
    """What prose, questions and answers print; `drop_2` is the drop at the second stop of the slider."""
    made, step = up(row_of(cases, stops[0])["made_m"], "length"), brief(stops[0]["step_m"], "length")
    figures: dict[str, FigureSaid] = {
        "need": brief(facts["need_m"], "length"),
        "limit": brief(facts["limit_m"], "length"),
        "line": near(facts["line_m"], "length"),
        "spacing": brief(facts["spacing_m"], "length"),
        "one_swap": near(facts["swap_s"], "time"),
        "head_rise": near(facts["head_rise_m"], "length"),
        "rise_per_line": f"{facts['head_per_line']:.2f}",
        "freeing": less(made, step, "length"),  # what the stroke that frees the load adds, at its most
    }
    return figures | numbered(figures_at(row_of(cases, stop)) for stop in stops)


def figures_at(case: pd.Series) -> dict[str, FigureSaid]:
    """What one device by one step came to, as the table beside the sliders and the stops print it."""
    return {
        "step": brief(case["step_m"], "length"),
        "spacing": brief(case["spacing_m"], "length"),
        "made": up(case["made_m"], "length"),
        "calls": f"{case['calls']:.0f}",
        "pumps": f"{case['pumps']:.0f}",
        "lasts": near(case["duration_s"], "time"),
        "out": near(case["out_s"], "time"),
        "hands": near(case["hands_s"], "time"),
        "drop": up(case["largest_drop_m"], "length"),
    }


def freeing(computed: Computed, units: Units) -> float:
    """How much longer the stroke that frees the load makes the strut's line, as it is printed [m]."""
    figure = computed.figures["freeing"]
    assert isinstance(figure, Worked)
    return figure.as_printed(units)


def ask(computed: Computed, units: Units, roll: random.Random) -> list[Question]:
    """What a collar opens, how many calls it takes, what a pin opens, what cribbing saves, what a small step costs."""
    facts, printed, it = computed.facts, Printed(units), computed.say(units)
    f = printed.length
    line, spacing = (as_shown(facts[name], "length", units) for name in ("line_m", "spacing_m"))
    free = freeing(computed, units)
    step = handy(units, roll.choice([0.5, 1.0, 1.5]), roll.choice([10, 20, 30]))
    ways = roll.choice([2, 4])
    stood, hole = _stands_at_a_pin(spacing, units, roll, step)
    return [
        Question(
            f"A load stands on its collar. The stroke that frees it makes the strut's line {it['freeing']} longer; "
            f"then the collar is turned back until it is {f(step)} below where the load stood. How wide is the gap "
            "when the hands are out?",
            "gap made = freeing stroke + step",
            f"{it['freeing']} + {f(step)}",
            printed.up(free + step),
        ),
        Question(
            f"The strut's line is {it['line']} longer than at the start, and each call brings the load {f(step)} "
            f"lower. How many calls bring it all the way down, and how many with a step {ways} times as small?",
            "calls = line / step, rounded up to whole calls",
            f"{it['line']} / {f(step)}; {it['line']} / {f(step)} x {ways}",
            f"{calls(line, step)} and {calls(line, step / ways)}",
        ),
        Question(
            f"Beside a strut with a hole every {it['spacing']} and no slack the load stands at a line of {f(stood)}. "
            f"It is freed by {it['freeing']}; the pin must go to a hole at least {f(step)} below where it stood. "
            "Which hole, and how wide is the gap then?",
            "hole = whole spacings in (line - step); gap made = line + freeing stroke - hole",
            f"({f(stood)} - {f(step)}) / {it['spacing']}; {f(stood)} + {it['freeing']} - {f(hole)}",
            f"number {round(hole / spacing)}; {printed.up(stood + free - hole)}",
        ),
        _with_and_without_cribbing(computed, units, roll),
        _smaller_steps(computed, units, roll),
    ]


def calls(line: float, step: float) -> int:
    """How many calls bring a line [m] down by a step [m] each."""
    return ceil(line / step - 1e-9)


def _stands_at_a_pin(spacing: float, units: Units, roll: random.Random, step: float) -> tuple[float, float]:
    """A line just above one of the holes, less than a step above, and the hole that the pin has to come down to [m]."""
    fine, holes = handy(units, 0.05, 1), roll.randint(2, 4)
    above = roll.randint(1, max(1, round(0.8 * min(step, spacing) / fine))) * fine
    stood = as_shown(holes * spacing + above, "length", units)
    return stood, whole_steps(stood - step, spacing)


def _with_and_without_cribbing(computed: Computed, units: Units, roll: random.Random) -> Question:
    """While a pin is out nothing but the cribbing is left under the load."""
    f, upwards, it = Printed(units).length, Printed(units).up, computed.say(units)
    head, ratio = as_shown(computed.facts["head_rise_m"], "length", units), float(it["rise_per_line"])
    below = as_shown(handy(units, 0.25, 6) * roll.randint(1, 4), "length", units)
    return Question(
        f"The lifting point stands {it['head_rise']} above the start and rises {it['rise_per_line']} times as far as "
        "the strut's line lengthens. With the pin out the lifter kicks out. How far does the lifting point come down "
        f"with nothing else there, and how far with cribbing {f(below)} below where the load stood before a stroke of "
        f"{it['freeing']} freed it?",
        "without: all of its rise; with: (freeing stroke + what the cribbing is below) x ratio",
        f"{it['head_rise']}; ({it['freeing']} + {f(below)}) x {it['rise_per_line']}",
        f"{upwards(head)}; about {upwards((freeing(computed, units) + below) * ratio)}, if the cribbing holds",
    )


def _smaller_steps(computed: Computed, units: Units, roll: random.Random) -> Question:
    """What a smaller step costs in time, and takes off the gap."""
    cases = computed.tables["cases"]
    turned = cases[cases["kind"] == COLLAR].reset_index(drop=True)
    first = roll.randrange(len(turned) - 1)
    small, large = (turned.iloc[n] for n in (first, roll.randrange(first + 1, len(turned))))
    it = say(numbered(map(figures_at, (small, large))), units)
    lasts = less(near(small["duration_s"], "time"), near(large["duration_s"], "time"), "time")
    made = less(up(large["made_m"], "length"), up(small["made_m"], "length"), "length")
    return Question(
        f"Computed with a collar: by steps of {it['step_1']} this load comes down in {it['lasts_1']} and the gap made "
        f"reaches {it['made_1']}; by steps of {it['step_2']} it takes {it['lasts_2']} and reaches {it['made_2']}. "
        "What does the smaller step cost, and what does it save?",
        "cost = the longer time - the shorter; saved = the larger gap - the smaller",
        f"{it['lasts_1']} - {it['lasts_2']}; {it['made_2']} - {it['made_1']}",
        f"{lasts.text(units)} more, {made.text(units)} less open",
    )


LESSON = Lesson(
    8,
    "coming-down",
    "Coming down",
    (*CAUTIONS, "No hand at a pin, a collar or timber while a valve is open."),
    compute,
    ask,
    texts_of("coming-down"),
)
