"""Lesson 1: what lies open between two pin holes, and how long a pin is out. Two different things."""

from __future__ import annotations

import random
from dataclasses import replace
from operator import add

import pandas as pd

from sim.lessons.cast import Cast, cast, fitted
from sim.lessons.lesson import Computed, Control, Lesson, Printed, Question, as_shown, handy
from sim.lessons.tables import Setting, row_of
from sim.lessons.taught.watched import WIDE, left_over, mean_left_over, watch
from sim.lessons.words.figures import Figures, FigureSaid, Worked
from sim.lessons.words.prose import texts_of
from sim.model.cautions import CAUTIONS
from sim.model.devices import Device
from sim.model.devices.row import whole_steps
from sim.model.motion import motion_of
from sim.model.scenario import Scenario
from sim.model.sentences import brief, near, up
from sim.model.units import INCH, Units
from sim.story.lift import simulate_fixed

SPACINGS = {"us": tuple(n * INCH for n in (1, 2, 3, 4)), "si": (0.025, 0.050, 0.075, 0.100)}
STROKES = (1, 2, 3, 4)


def compute(scenario: Scenario) -> Computed:
    """The lift with pins at several spacings, pins with cribbing, and a collar, each at one to four strokes a call."""
    actors = cast(scenario)
    devices = line_up(actors)
    strokes = sorted({*STROKES, scenario.leader.strokes})
    tables: dict[str, list[pd.DataFrame]] = {"gap": [], "pin out": [], "drop": [], "left over": []}
    cases = []
    for case, (kind, spacing, fitting) in enumerate(devices):
        left = left_over(actors, fitting, widest=max(s for _, s, _ in devices))
        mean = spacing / 2 + actors.station.slack if kind == "pins" else mean_left_over(left, spacing)
        tables["left over"].append(left.assign(case=case))
        for n in strokes:
            there = fitted(actors.scenario, *fitting)
            seen = watch(simulate_fixed(replace(there, leader=replace(there.leader, strokes=n))), actors.station.name)
            for name in ("gap", "pin out", "drop"):
                tables[name].append(seen.tables[name].assign(case=case, strokes=n))
            hole = whole_steps(seen.facts["line_m"], spacing) if spacing else float("nan")
            own = {"case": case, "strokes": n, "kind": kind, "spacing_m": spacing, "mean_left_m": mean, "hole_m": hole}
            cases.append(own | seen.facts)
    table, facts = pd.DataFrame(cases), facts_of(actors)
    names = tuple(kind if kind != "pins" else "pins every {}" for kind, _, _ in devices)
    spacings = tuple(spacing for _, spacing, _ in devices)
    places, start = tuple(range(len(devices))), spacings.index(actors.pin.spacing)
    stops = tuple(
        {"case": case, "strokes": scenario.leader.strokes} for case in (start, other(start), len(devices) - 2)
    )
    return Computed(
        actors.scenario,
        {"cases": table, **{name: pd.concat(rows, ignore_index=True) for name, rows in tables.items()}},
        facts,
        (
            Control("case", "Device at the strut", places, start, names=names, lengths=spacings),
            Control("strokes", "Strokes a call", tuple(strokes), strokes.index(scenario.leader.strokes)),
        ),
        actors.assumed("pin", "crib", "collar"),
        figures_of(facts, table, stops),
        stops,
    )


def other(spacing: int) -> int:
    """The spacing to set beside one: the narrowest of all, or the next where it is that itself."""
    return 0 if spacing else 1


def left_on_average(spacing: float, slack: float) -> Worked:
    """What pins leave open on average, wherever the load stops: half the spacing [m], and the slack [m]."""
    parts = brief(spacing, "length"), brief(slack, "length")
    return Worked(lambda spacing, slack: spacing / 2 + slack, parts, "length", "up")


def left_of(case: pd.Series, slack: float) -> FigureSaid:
    """What a case of the lesson leaves open on average; `slack` is that of the tie [m]."""
    pins = case["kind"] == "pins"
    return left_on_average(case["spacing_m"], slack) if pins else up(case["mean_left_m"], "length")


def figures_of(facts: dict[str, float], cases: pd.DataFrame, stops: tuple[Setting, ...]) -> Figures:
    """What prose, questions and answers print; `drop_2` is the drop at the second stop of the slider."""
    spacing, slack = (brief(facts[name], "length") for name in ("spacing_m", "slack_m"))
    figures: dict[str, FigureSaid] = {
        "wide": brief(facts["wide_m"], "length"),
        "spacing": spacing,
        "slack": slack,
        "wedge": brief(facts["wedge_m"], "length"),
        "need": brief(facts["need_m"], "length"),
        "left_on_average": left_on_average(facts["spacing_m"], facts["slack_m"]),
        "left_at_most": Worked(add, (spacing, slack), "length", "up"),
        "one_swap": near(facts["swap_s"], "time"),
        "rise_per_line": f"{facts['head_per_line']:.2f}",
    }
    for n, stop in enumerate(stops, start=1):
        row = row_of(cases, stop)
        figures |= {
            f"spacing_{n}": brief(row["spacing_m"], "length"),
            f"mean_{n}": left_of(row, facts["slack_m"]),
            f"standing_{n}": near(row["standing_over_s"], "time"),
            f"hole_{n}": near(row["hole_m"], "length"),
            f"line_{n}": near(row["line_m"], "length"),
            f"out_{n}": near(row["out_s"], "time"),
            f"drop_{n}": up(row["largest_drop_m"], "length"),
            f"lasts_{n}": near(row["duration_s"], "time"),
        }
    return figures


def line_up(actors: Cast) -> list[tuple[str, float, tuple[Device, ...]]]:
    """The devices that are set side by side: what kind, the pins' spacing [m], and who is at the station."""
    own = actors.pin.spacing
    others = [s for s in SPACINGS[actors.scenario.units] if abs(s - own) > 0.05 * own]
    devices: list[tuple[str, float, tuple[Device, ...]]] = [
        ("pins", s, (replace(actors.pin, spacing=s, first_hole=None),)) for s in sorted([*others, own])
    ]
    bare = replace(actors.crib, wedge=0.0)
    pin = replace(actors.pin, first_hole=None)
    devices.append(("pins with cribbing, no wedges", own, (pin, bare)))
    devices.append(("pins with cribbing", own, (pin, actors.crib)))
    devices.append(("threaded collar", 0.0, (actors.collar,)))
    return devices


def facts_of(actors: Cast) -> dict[str, float]:
    """The figures of the scenario that questions and pictures ask for [SI]."""
    scenario, station, lifter = actors.scenario, actors.station, actors.lifter
    motion = motion_of(scenario.load)
    end = motion.u_for_rise(scenario.need.point, scenario.need.rise)
    demand = motion.line(station.head, station.base).demand(end)
    return {
        "wide_m": WIDE[scenario.units],
        "slack_m": station.slack,
        "spacing_m": actors.pin.spacing,
        "swap_s": actors.pin.swap.mean,
        "need_m": scenario.need.rise,
        "demand_m": float(demand),
        "head_per_line": float(motion.rise(lifter.head, end) / demand),
        "wedge_m": actors.crib.wedge,
        **{f"piece_{n}_m": piece for n, piece in enumerate(sorted(actors.crib.pieces, reverse=True))},
    }


def ask(computed: Computed, units: Units, roll: random.Random) -> list[Question]:
    """What is left, on average and at most; what cribbing fills; what a swap costs; how far the load would drop."""
    facts = computed.facts
    printed, say = Printed(units), computed.say(units)
    f, s, up = printed.length, printed.time, printed.up
    spacing, slack = (as_shown(facts[k], "length", units) for k in ("spacing_m", "slack_m"))
    step = handy(units, 0.1, 2)
    most = max(2 * spacing, facts["demand_m"])
    demand = as_shown(step * roll.randint(round(1.1 * spacing / step), round(most / step)), "length", units)
    held = whole_steps(demand, spacing)
    questions = [
        Question(
            f"A strut has a hole every {say['spacing']} and its tie leaves {say['slack']} of slack. Its line has "
            f"become {f(demand)} longer and the pin is in the highest hole that has come up. How much is left open?",
            "gap = line - whole spacings in it + slack",
            f"{f(demand)} - {round(held / spacing)} x {say['spacing']} + {say['slack']}",
            up(demand - held + slack),
        ),
        Question(
            f"The same strut ({say['spacing']} from hole to hole, {say['slack']} of slack) on many lifts that stop "
            "anywhere: how much is "
            "left open on average, and what is the most that can be?",
            "average = spacing / 2 + slack; the most: just under spacing + slack",
            f"{say['spacing']} / 2 + {say['slack']}; {say['spacing']} + {say['slack']}",
            f"{say['left_on_average']} on average, just under {say['left_at_most']} at the most",
        ),
    ]
    questions.append(_cribbing(computed, units, roll))
    swap = facts["swap_s"]
    holes = roll.randint(2, 6)
    questions.append(
        Question(
            f"A pin is out for {say['one_swap']} at every swap. {holes} holes come up during a lift and each is used. "
            "For how long does the strut hold nothing at all? Does any gap show it?",
            "time open = swaps x time for one",
            f"{holes} x {say['one_swap']}",
            f"{s(holes * as_shown(swap, 'time', units))}; no: the gap is a length, the time a pin is out is a time",
        )
    )
    gap = as_shown(step * roll.randint(3, 12), "length", units)
    ratio = float(say["rise_per_line"])
    questions.append(
        Question(
            f"On this lift the lifting point rises {say['rise_per_line']} times as far as the strut's line lengthens. "
            f"The lifter kicks out with {f(gap)} open at the strut. How far does the lifting point come "
            "down, if the strut holds?",
            "drop = gap x (rise of the lifting point / lengthening of the line)",
            f"{f(gap)} x {say['rise_per_line']}",
            f"about {up(gap * ratio)}, if the station holds",
        )
    )
    return questions


def _cribbing(computed: Computed, units: Units, roll: random.Random) -> Question:
    """Largest piece that fits, again and again; wedges for what is left."""
    pieces = [as_shown(v, "length", units) for k, v in computed.facts.items() if k.startswith("piece_")]
    wedge = as_shown(computed.facts["wedge_m"], "length", units)
    step = handy(units, 0.05, 1)
    space = as_shown(pieces[-1] + step * roll.randint(2, round((pieces[0] * 1.2) / step)), "length", units)
    put, left = [], space
    for piece in pieces:
        while piece <= left + 1e-9:
            put.append(piece)
            left -= piece
    filled = min(wedge, left)
    printed = Printed(units)
    f = printed.length
    placed = [printed.brief(piece) for piece in put]
    open_ = f"{printed.up(left - filled)} open" if left - filled > 1e-9 else "nothing open"
    return Question(
        f"Cribbing stands beside the strut: pieces of {', '.join(map(printed.brief, pieces))}, wedges that fill up to "
        f"{computed.say(units)['wedge']}. The space is {f(space)}. Which pieces go in, what is left for the "
        "wedges, and what stays open?",
        "the largest piece that fits, again and again; left for the wedges = space - pieces",
        f"{f(space)} - {' - '.join(placed)}",
        f"{' + '.join(placed)}; {f(left)} for the wedges, which leave {open_}",
    )


LESSON = Lesson(
    1,
    "between-the-pins",
    "Between the pins",
    (*CAUTIONS, "No finger or hand in a gap, ever: gauge it with a block."),
    compute,
    ask,
    texts_of("between-the-pins"),
)
