"""Lesson 1: what lies open between two pin holes, and how long a pin is out. Two different things."""

from __future__ import annotations

import random
from dataclasses import replace

import pandas as pd

from sim.lessons.cast import Cast, cast, fitted
from sim.lessons.lesson import Computed, Control, Lesson, Printed, Question, as_shown, handy
from sim.lessons.watched import AN_INCH, left_over, mean_left_over, watch
from sim.model.cautions import CAUTIONS
from sim.model.devices import Device
from sim.model.devices.row import whole_steps
from sim.model.motion import motion_of
from sim.model.scenario import Scenario
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
        mean = mean_left_over(left, spacing)
        tables["left over"].append(left.assign(case=case))
        for n in strokes:
            there = fitted(actors.scenario, *fitting)
            seen = watch(simulate_fixed(replace(there, leader=replace(there.leader, strokes=n))), actors.station.name)
            for name in ("gap", "pin out", "drop"):
                tables[name].append(seen.tables[name].assign(case=case, strokes=n))
            cases.append(
                {"case": case, "strokes": n, "kind": kind, "spacing_m": spacing, "mean_left_m": mean, **seen.facts}
            )
    names = tuple(kind if kind != "pins" else "pins every {}" for kind, _, _ in devices)
    spacings = tuple(spacing for _, spacing, _ in devices)
    places, own = tuple(range(len(devices))), spacings.index(actors.pin.spacing)
    return Computed(
        actors.scenario,
        {"cases": pd.DataFrame(cases), **{name: pd.concat(rows, ignore_index=True) for name, rows in tables.items()}},
        facts_of(actors),
        (
            Control("case", "Device at the strut", places, own, names=names, lengths=spacings),
            Control("strokes", "Strokes a call", tuple(strokes), strokes.index(scenario.leader.strokes)),
        ),
        actors.assumed("pin", "crib", "collar"),
    )


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
        "an_inch_m": AN_INCH,
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
    printed = Printed(units)
    f, up, s = printed.length, printed.up, printed.time
    spacing, slack = (as_shown(facts[k], "length", units) for k in ("spacing_m", "slack_m"))
    step = handy(units, 0.1, 2)
    most = max(2 * spacing, facts["demand_m"])
    demand = as_shown(step * roll.randint(round(1.1 * spacing / step), round(most / step)), "length", units)
    held = whole_steps(demand, spacing)
    questions = [
        Question(
            f"A strut has a hole every {f(spacing)} and its tie leaves {f(slack)} of slack. Its line has become "
            f"{f(demand)} longer and the pin is in the highest hole that has come up. How much is left open?",
            "gap = line - whole spacings in it + slack",
            f"{f(demand)} - {round(held / spacing)} x {f(spacing)} + {f(slack)}",
            up(demand - held + slack),
        ),
        Question(
            f"The same strut ({f(spacing)} from hole to hole, {f(slack)} of slack) on many lifts that stop "
            "anywhere: how much is "
            "left open on average, and what is the most that can be?",
            "average = spacing / 2 + slack; the most: just under spacing + slack",
            f"{f(spacing)} / 2 + {f(slack)}; {f(spacing)} + {f(slack)}",
            f"{up(spacing / 2 + slack)} on average, just under {up(spacing + slack)} at the most",
        ),
    ]
    questions.append(_cribbing(computed, units, roll))
    swap = facts["swap_s"]
    holes = roll.randint(2, 6)
    questions.append(
        Question(
            f"A pin is out for {s(swap)} at every swap. {holes} holes come up during a lift and each is used. For "
            "how long does the strut hold nothing at all? Does any gap show it?",
            "time open = swaps x time for one",
            f"{holes} x {s(swap)}",
            f"{s(holes * as_shown(swap, 'time', units))}; no: the gap is a length, the time a pin is out is a time",
        )
    )
    gap = as_shown(step * roll.randint(3, 12), "length", units)
    ratio = round(facts["head_per_line"], 2)
    questions.append(
        Question(
            f"On this lift the lifting point rises {ratio:.2f} times as far as the strut's line lengthens. The "
            "lifter kicks out with "
            f"{f(gap)} open at the strut. How far does the lifting point come down, if the strut holds?",
            "drop = gap x (rise of the lifting point / lengthening of the line)",
            f"{f(gap)} x {ratio:.2f}",
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
    f, brief = printed.length, printed.brief
    placed = [brief(piece) for piece in put]
    open_ = f"{printed.up(left - filled)} open" if left - filled > 1e-9 else "nothing open"
    return Question(
        f"Cribbing stands beside the strut: pieces of {', '.join(map(brief, pieces))}, wedges that fill up to "
        f"{brief(wedge)}. The space is {f(space)}. Which pieces go in, what is left for the wedges, and what stays "
        "open?",
        "the largest piece that fits, again and again; left for the wedges = space - pieces",
        f"{f(space)} - {' - '.join(placed)}",
        f"{' + '.join(placed)}; {f(left)} for the wedges, which leave {open_}",
    )


LESSON = Lesson(
    1,
    "between-the-pins",
    "Between the pins",
    "See what a pinned strut leaves open between two holes and how long its pin is out, and why cribbing stands "
    "beside it.",
    (
        "Seating, crush and sway: a pin is taken to fit its hole, timber to be square and dry.",
        "The first hole is taken to come up one spacing after the start; on a real strut it may come up sooner.",
        "A drop is if the station holds: a real leak sinks, it does not fall.",
    ),
    (*CAUTIONS, "No finger or hand in a gap, ever: gauge it with a block."),
    (
        "What whole steps of s leave is uniform on 0 to s: mean s/2, variance s^2/12 (renewal theory; computed here).",
        "Pinned struts need cribbing for the in-between (common practice).",
        'A raised load is "cribbed, blocked, or otherwise secured at once" (29 CFR 1910.244(a)(2)(iii)).',
    ),
    compute,
    ask,
)
