"""Lesson 5: slack that a collar takes up and a pin leaves, stretch that no one takes up, the tie's tension."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace
from math import radians, sin, tan

import numpy as np
import pandas as pd

from sim.check.ties import stretch
from sim.lessons.cast import Cast, angle_of, cast, fitted
from sim.lessons.lesson import Computed, Control, Lesson, Printed, Question, as_shown, handy, percents
from sim.lessons.tables import Setting, row_of
from sim.lessons.taught.between_the_pins import left_on_average
from sim.lessons.taught.watched import left_over, mean_left_over, watch
from sim.lessons.taught.what_a_gap_costs import static_load
from sim.lessons.words.figures import FigureSaid, Worked, numbered, said
from sim.lessons.words.prose import texts_of
from sim.model.cautions import CAUTIONS
from sim.model.devices.collar import climbed
from sim.model.scenario import Scenario, Tie
from sim.model.sentences import Amount, brief, near, up
from sim.model.units import FOOT, INCH, LBF, Units
from sim.record.measured import Measured
from sim.story.lift import simulate_fixed

SLACKS = {"us": tuple(n * INCH for n in (0, 0.25, 0.5, 1, 1.5, 2)), "si": (0, 0.005, 0.010, 0.025, 0.040, 0.050)}
ELONGATIONS = (0.005, 0.01, 0.02, 0.04, 0.07)
STEEPEST, FLATTEST = 75, 25  # [deg]
LIMIT, LENGTH = 2000 * LBF, 8 * FOOT  # 50 mm (2 in) webbing, 49 CFR 393.108; a length of a plausible size


def compute(scenario: Scenario) -> Computed:
    """The lift with collars and with pins behind ties of several slacks; what stretch adds at every strut angle."""
    actors = cast(scenario)
    own = actors.station.slack
    slacks = tuple(sorted({*(s for s in SLACKS[scenario.units] if abs(s - own) > 1e-4), own}))
    gaps, came_to = [], []
    for slack in slacks:
        there = Cast(with_slack(actors.scenario, slack))
        for kind, device in (("collar", actors.collar), ("pins", replace(actors.pin, first_hole=None))):
            record = simulate_fixed(fitted(there.scenario, device))
            measured, station = Measured(record), actors.station.name
            place, seen = measured.places[station], watch(record, station)
            once = np.unique(place.time)
            line = {"time_s": np.repeat(once, 2), "gap_m": place.gap().both_sides_of(once)}
            gaps.append(pd.DataFrame({"slack_m": slack, "kind": kind, **line}).drop_duplicates())
            left = left_over(there, (device,), widest=actors.pin.spacing)
            mean = mean_left_over(left, actors.pin.spacing if kind == "pins" else 0.0)
            came_to.append(
                {"slack_m": slack, "kind": kind, "first_call_s": measured.first_call, "mean_left_m": mean, **seen.facts}
            )
    tie, assumed = tie_of(actors)
    angle = angle_of(actors.station)
    upright = static_load(actors) * sin(angle)
    elongations = tuple(
        sorted({*(e for e in ELONGATIONS if e != tie.elongation), *((tie.elongation,) if tie.elongation else ())})
    )
    start = elongations.index(tie.elongation) if tie.elongation else elongations.index(0.02)
    table = pd.DataFrame(came_to)
    facts = {
        "slack_m": own,
        "spacing_m": actors.pin.spacing,
        "climb": climbed(actors.collar.turns.mean, actors.collar.rise_per_turn),
        "lead_m": actors.collar.rise_per_turn,
        "turns": actors.collar.turns.mean,
        "react_s": actors.collar.react.mean,
        "seat_s": actors.collar.seat.mean,
        "upright_N": upright,
        "angle": angle,
        "length_m": tie.length or LENGTH,
        "limit_N": tie.working_load_limit or LIMIT,
        "elongation": elongations[start],
    }
    settings = (own, elongations[start]), (slacks[-1], elongations[start]), (own, elongations[-1])
    stops = tuple({"slack_m": slack, "elongation": share} for slack, share in settings)
    return Computed(
        actors.scenario,
        {
            "gap": pd.concat(gaps, ignore_index=True),
            "cases": table,
            "stretch": pd.concat([stretches(tie, e, upright) for e in elongations], ignore_index=True),
        },
        facts,
        (
            Control("slack_m", "Slack in the tie", slacks, slacks.index(own), "length"),
            Control("elongation", "Stretch at its working load limit", elongations, start, names=percents(elongations)),
        ),
        (*actors.assumed("pin", "collar"), *assumed),
        {**given(facts), **numbered(figures_at(table, facts, stop) for stop in stops)},
        stops,
    )


def given(facts: Mapping[str, float]) -> dict[str, Amount]:
    """What the scenario gives of strut, collar and tie."""
    return {
        "slack": brief(facts["slack_m"], "length"),
        "spacing": brief(facts["spacing_m"], "length"),
        "lead": near(facts["lead_m"], "length"),
        "a_turn": near(1 / facts["turns"], "time"),
        "a_seat": near(facts["seat_s"], "time"),
        "upright": near(facts["upright_N"], "force"),
        "strut_at": near(facts["angle"], "angle"),
        "tie_length": near(facts["length_m"], "length"),
        "tie_limit": near(facts["limit_N"], "force"),
    }


def figures_at(cases: pd.DataFrame, facts: Mapping[str, float], setting: Setting) -> dict[str, FigureSaid]:
    """What pin and collar leave of this slack, and what a tie with this stretch does at the strut."""
    slack, share = setting["slack_m"], setting["elongation"]
    collar = row_of(cases, {"slack_m": slack, "kind": "collar"})
    load, angle, long, limit = (given(facts)[name] for name in ("upright", "strut_at", "tie_length", "tie_limit"))
    tension = Worked(thrust, (load, angle), "force")
    longer = Worked(lambda pull, long, limit: share * long * pull / limit, (tension, long, limit), "length", "up")
    return {
        "slack": brief(slack, "length"),
        "behind_collar": up(collar["mean_left_m"], "length"),
        "behind_pin": left_on_average(facts["spacing_m"], slack),
        "first_call": near(collar["first_call_s"], "time"),
        "tension": tension,
        "longer": longer,
        "adds": Worked(thrust, (longer, angle), "length", "up"),
        "share": f"{100 * share:g} %",
    }


def with_slack(scenario: Scenario, slack: float) -> Scenario:
    """The same lift, every station behind a tie with this slack."""
    stations = tuple(
        replace(s, tie=replace(s.tie, slack=slack) if s.tie else Tie("tie", slack)) for s in scenario.stations
    )
    return replace(scenario, stations=stations)


def tie_of(actors: Cast) -> tuple[Tie, tuple[str, ...]]:
    """The watched station's tie, with what it does not say taken for granted."""
    tie = actors.station.tie or Tie("tie")
    assumed = []
    if tie.working_load_limit is None:
        assumed.append(
            "The tie's working load limit is not written: 2,000 lb (8.90 kN) is taken, 2 in webbing in 49 CFR 393.108."
        )
    if tie.length is None:
        assumed.append("The tie's length is not written: 8 ft (2.44 m) is taken (invented).")
    if tie.elongation is None:
        assumed.append("The tie's stretch is not written: 2 % at its limit to start with (invented); move the slider.")
    filled = replace(tie, working_load_limit=tie.working_load_limit or LIMIT, length=tie.length or LENGTH)
    return filled, tuple(assumed)


def thrust(upright: float, angle: float) -> float:
    """What the foot of a strut pushes out with, and a level tie holds [N]: upright x cot(angle).

    A foot that slides out by some length lets the head down by that length x cot(angle), too.
    """
    return upright / tan(angle)


def stretches(tie: Tie, elongation: float, upright: float) -> pd.DataFrame:
    """Tension, stretch and the drop that it adds, at every angle of the strut."""
    tie = replace(tie, elongation=elongation)
    angles = [radians(degree) for degree in range(FLATTEST, STEEPEST + 1)]
    tensions = [thrust(upright, angle) for angle in angles]
    table = pd.DataFrame({"elongation": elongation, "angle": angles, "tension_N": tensions})
    table["stretch_m"] = [stretch(tie, tension) or 0.0 for tension in tensions]
    table["adds_m"] = table["stretch_m"] / np.tan(table["angle"])
    return table


def ask(computed: Computed, units: Units, roll: random.Random) -> list[Question]:
    """What pin and collar leave of slack; what taking it up costs; tension; stretch; the drop it adds."""
    facts = computed.facts
    printed = Printed(units)
    rounded_up, s, force, say = printed.up, printed.time, printed.force, computed.say(units)
    slack = handy(units, roll.choice([0.25, 0.5, 0.75, 1.0]), roll.choice([5, 10, 15, 25]))
    lead = as_shown(facts["lead_m"], "length", units)
    a_turn = as_shown(1 / facts["turns"], "time", units)
    seat = as_shown(facts["seat_s"], "time", units)
    upright = as_shown(facts["upright_N"], "force", units)
    degree = roll.choice([35, 40, 45, 50, 55])
    tension = upright / tan(radians(degree))
    shown_tension = as_shown(tension, "force", units)
    length, limit = as_shown(facts["length_m"], "length", units), as_shown(facts["limit_N"], "force", units)
    share = roll.choice([0.01, 0.02, 0.04, 0.07])
    longer = Amount(share * length * shown_tension / limit, "length", "up")
    slack_said = brief(slack, "length").text(units)
    return [
        Question(
            f"A tie leaves {slack_said} of slack. What is left open on average behind a pin every {say['spacing']}, "
            "and what behind a threaded collar that has been turned up?",
            "pin: spacing / 2 + slack; collar: nothing",
            f"{say['spacing']} / 2 + {slack_said}",
            f"{said(left_on_average(facts['spacing_m'], slack), units)} behind the pin, 0 behind the collar",
        ),
        Question(
            f"The collar (lead {say['lead']}, {say['a_turn']} a turn, {say['a_seat']} to seat) takes up {slack_said} "
            "of slack before the first call. How long does that take from the first turn on?",
            "time = slack / lead x time a turn + time to seat",
            f"{slack_said} / {say['lead']} x {say['a_turn']} + {say['a_seat']}",
            s(slack / lead * a_turn + seat),
        ),
        Question(
            f"A strut at {degree} deg from the ground bears {say['upright']} upright. What must a level tie at its "
            "foot hold?",
            "tension = upright load / tan(angle)",
            f"{say['upright']} / tan({degree} deg)",
            force(tension),
        ),
        Question(
            f"The tie is {say['tie_length']} long and stretches {100 * share:g} % at its working load limit of "
            f"{say['tie_limit']}. How much longer does "
            f"{force(shown_tension)} make it?",
            "stretch = share x length x tension / working load limit",
            f"{share:g} x {say['tie_length']} x {force(shown_tension)} / {say['tie_limit']}",
            longer.text(units),
        ),
        Question(
            f"How much further does the head of that strut ({degree} deg) come down for a foot that slides out by "
            f"{longer.text(units)}?",
            "drop = stretch / tan(angle)",
            f"{longer.text(units)} / tan({degree} deg)",
            f"{rounded_up(longer.as_printed(units) / tan(radians(degree)))}, if the station holds",
        ),
    ]


LESSON = Lesson(
    5,
    "slack-and-stretch",
    "Slack and stretch",
    (*CAUTIONS, "A tie is as strong as its weakest part, tensioner and anchor included (49 CFR 393.108(a))."),
    compute,
    ask,
    texts_of("slack-and-stretch"),
)
