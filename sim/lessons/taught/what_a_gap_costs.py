"""Lesson 3: from a gap to the force that stops the load. A load set down suddenly from no height counts double."""

from __future__ import annotations

import random
from functools import partial
from operator import mul

import numpy as np
import pandas as pd

from sim.lessons.cast import Cast, cast
from sim.lessons.lesson import Computed, Control, Lesson, Printed, Question, handy, nearest
from sim.lessons.tables import Setting
from sim.lessons.words.figures import FigureSaid, Ratio, Worked, numbered, said
from sim.lessons.words.prose import texts_of
from sim.model.cautions import CAUTIONS
from sim.model.loads import axial_force, effort
from sim.model.meeting import impact
from sim.model.motion import motion_of
from sim.model.scenario import Scenario
from sim.model.sentences import Amount, brief, near
from sim.model.units import INCH, Units

GAPS = {
    "us": tuple(n * INCH for n in (0, 0.1, 0.25, 0.5, 1, 1.5, 2, 3)),
    "si": (0, 0.003, 0.006, 0.012, 0.025, 0.040, 0.050, 0.075),
}
GIVES = {
    "us": tuple(n * INCH for n in (0.02, 0.05, 0.1, 0.25, 0.5, 1)),
    "si": (0.0005, 0.001, 0.002, 0.005, 0.012, 0.025),
}
GERE = ((0.0, 2.00), (2.5, 3.45), (7.5, 5.00), (10.0, 5.58))  # Gere, Mechanics of Materials 7e, problem 9.10-1
COMMON_GIVE = 0.1 * INCH


def give_for(height: float, factor: float) -> float:
    """How much a stop must give standing [m] for the peak to be no more than `factor` (over 2) times the load."""
    return 2 * height / ((factor - 1) ** 2 - 1)


def static_load(actors: Cast) -> float:
    """What the watched station carries along its line once the load stands on it alone on its side [N]."""
    scenario, station = actors.scenario, actors.station
    motion = motion_of(scenario.load)
    share = 1.0 if station.side == "both" else actors.lifter.share
    return float(axial_force(effort(scenario.load, motion, 0.0), share, motion.arm(station.head, station.base, 0.0)))


def compute(scenario: Scenario) -> Computed:
    """Energy and peak force over gap and give, and the work that both do while the stop gives way."""
    actors = cast(scenario)
    give = actors.station.give or COMMON_GIVE
    static = static_load(actors)
    gives = tuple(sorted({*(g for g in GIVES[scenario.units] if not 1 / 1.6 < g / give < 1.6), give}))
    motion = motion_of(scenario.load)
    up = motion.u_for_rise(scenario.need.point, scenario.need.rise)
    risen = float(motion.line(actors.station.head, actors.station.base).demand(up))
    gaps = tuple(g for g in GAPS[scenario.units] if g <= risen)  # it cannot fall further than it has been raised
    most = max(gaps)
    heights = np.unique(np.round(np.concatenate([np.linspace(0, most, 49), gaps]), 9))
    peaks = [
        pd.DataFrame({"give_m": d, "gap_m": heights, "energy_J": static * heights, "factor": impact(heights, d)})
        for d in gives
    ]
    peak = pd.concat(peaks, ignore_index=True)
    peak["peak_N"] = static * peak["factor"]
    ratio = np.unique(np.concatenate([np.linspace(0, 12, 121), [x for x, _ in GERE]]))
    work = pd.concat(
        [work_done(static, h, d).assign(gap_m=h, give_m=d) for h in gaps for d in gives], ignore_index=True
    )
    assumed = (
        () if actors.station.give else ("No give is written for the station: 0.1 in (2.5 mm) is taken (invented).",)
    )
    start = nearest(gaps, {"si": 0.025, "us": INCH}[scenario.units])
    facts = {
        "static_N": static,
        "give_m": give,
        "rated_N": actors.station.rated_load or float("nan"),
        "limit_m": scenario.leader.gap_limit,
    }
    stops = tuple({"gap_m": h, "give_m": d} for h, d in ((0.0, give), (gaps[start], give), (gaps[start], gives[-1])))
    standing = near(static, "force")
    return Computed(
        actors.scenario,
        {
            "peak": peak,
            "curve": pd.DataFrame({"gap_over_give": ratio, "factor": impact(ratio, 1.0)}),
            "published": pd.DataFrame(GERE, columns=["gap_over_give", "factor"]),
            "work": work,
        },
        facts,
        (
            Control("gap_m", "Gap it falls through", gaps, start, "length"),
            Control("give_m", "What the stop gives under the standing load", gives, gives.index(give), "length"),
        ),
        assumed,
        {
            "standing": standing,
            "give": brief(give, "length"),
            "double": Worked(partial(mul, 2), (standing,), "force"),
            "rated": near(actors.station.rated_load, "force") if actors.station.rated_load else "not known",
            **numbered(figures_at(static, stop) for stop in stops),
        },
        stops,
    )


def figures_at(static: float, setting: Setting) -> dict[str, FigureSaid]:
    """Energy, factor and peak of a standing load [N] that falls through this gap onto a stop with this give."""
    standing = near(static, "force")
    gap, give = (brief(setting[name], "length") for name in ("gap_m", "give_m"))
    factor = Ratio(lambda h, d: float(impact(h, d)), (gap, give))
    return {
        "gap": gap,
        "give": give,
        "energy": Worked(mul, (standing, gap), "energy", "up"),
        "times": factor,
        "peak": Worked(mul, (factor, standing), "force"),
    }


def work_done(static: float, height: float, give: float) -> pd.DataFrame:
    """Force on the stop, and the load's, while the stop gives way: the two do the same work at the lowest point."""
    lowest = give * float(impact(height, give))
    down = np.linspace(0.0, lowest, 25)
    return pd.DataFrame(
        {
            "down_m": down,
            "stop_N": static * down / give,
            "load_N": static,
            "work_of_load_J": static * (height + down),
            "work_of_stop_J": static / give * down**2 / 2,
        }
    )


def ask(computed: Computed, units: Units, roll: random.Random) -> list[Question]:
    """Energy, factor, peak force, the load set down suddenly, and the give that would keep the peak down."""
    facts = computed.facts
    printed = Printed(units)
    up = printed.up
    say = computed.say(units)
    height = handy(units, roll.choice([0.25, 0.5, 0.75, 1.0, 1.5, 2.0]), roll.choice([6, 12, 20, 25, 40, 50]))
    at = {"gap_m": height, "give_m": facts["give_m"]}
    it = figures_at(facts["static_N"], at)
    gap = said(it["gap"], units)
    most = roll.choice([3.0, 4.0, 5.0])
    within, verdict = "", ""
    if isinstance(rated := computed.figures["rated"], Amount) and isinstance(peak := it["peak"], Worked):
        within = f" It is rated for {say['rated']}: is that within the rating?"
        over = peak.as_printed(units) > rated.as_printed(units)
        verdict = f", {'over' if over else 'within'} the {say['rated']} that the scenario gives"
    return [
        Question(
            f"The strut bears {say['standing']} when the load stands on it. The load comes down through a gap of "
            f"{gap}. How much "
            "energy must the strut take up before it has given way at all?",
            "energy = standing load x gap",
            f"{say['standing']} x {gap}",
            said(it["energy"], units),
        ),
        Question(
            f"Strut and ground give {say['give']} under the standing load. How many times that load is the peak after "
            f"{gap}?",
            "n = 1 + sqrt(1 + 2 x gap / give)",
            f"1 + sqrt(1 + 2 x {gap} / {say['give']})",
            f"{said(it['times'], units)} times",
        ),
        Question(
            f"What force is that on a strut that bears {say['standing']} standing?{within}",
            "peak force = n x standing load",
            f"{said(it['times'], units)} x {say['standing']}",
            said(it["peak"], units) + verdict,
        ),
        Question(
            f"The same load ({say['standing']}) is let go all at once with no gap at all. What is the peak force, and "
            "why is it not the "
            "standing load?",
            "n = 1 + sqrt(1 + 2 x 0 / give) = 2, whatever the give",
            f"2 x {say['standing']}",
            f"{say['double']}: on the way down the load does twice the work that the stop has taken up where it "
            "would stand",
        ),
        Question(
            f"How much would the stop have to give under the standing load for {gap} to peak at no more than "
            f"{most:g} times it?",
            "give = 2 x gap / ((n - 1)^2 - 1)",
            f"2 x {gap} / (({most:g} - 1)^2 - 1)",
            up(give_for(height, most)),
        ),
    ]


LESSON = Lesson(
    3,
    "what-a-gap-costs",
    "What a gap costs",
    (
        *CAUTIONS,
        "After a caught drop, inspect lifter, strut and ground again before anything else (29 CFR 1910.244(a)(2)(vi)).",
    ),
    compute,
    ask,
    texts_of("what-a-gap-costs"),
)
