"""Lesson 7: a strut's angle decides its axial force, its thrust and its tie. Why stabilisers lean and lifters stand."""

from __future__ import annotations

import random
from collections.abc import Mapping
from functools import partial
from math import cos, radians, sin, tan
from operator import mul

import pandas as pd

from sim.lessons.cast import angle_of, cast
from sim.lessons.lesson import Computed, Control, Lesson, Printed, Question, as_shown, nearest
from sim.lessons.tables import Setting
from sim.lessons.taught.what_a_gap_costs import static_load
from sim.lessons.words.figures import FigureSaid, Worked, numbered
from sim.lessons.words.prose import texts_of
from sim.model.cautions import CAUTIONS
from sim.model.loads import lifter_force
from sim.model.motion import motion_of
from sim.model.scenario import Scenario
from sim.model.sentences import brief, near
from sim.model.units import Units

STEEP, FLAT = 75, 30  # [deg] worth stopping at
ANGLES = tuple(range(20, 86, 5))  # [deg]
SHOWN = ((60, 1.155, 0.577), (45, 1.414, 1.000), (30, 2.000, 1.732))  # axial and thrust per upright load: trigonometry


def compute(scenario: Scenario) -> Computed:
    """Axial force, thrust and the force for a sideways push at every angle, for the watched strut's upright load."""
    actors = cast(scenario)
    own, lifter = angle_of(actors.station), angle_of(actors.lifter)
    upright = static_load(actors) * sin(own)
    motion = motion_of(scenario.load)
    pushes = float(lifter_force(actors.lifter, scenario.load, motion, 0.0))
    degrees = [n / 2 for n in range(30, 175)]
    curve = pd.DataFrame([{"angle": radians(d), **forces(1.0, radians(d))} for d in degrees])
    settings = tuple(radians(d) for d in ANGLES)
    tie = actors.station.tie
    facts = {
        "upright_N": upright,
        "strut_angle": own,
        "lifter_angle": lifter,
        "lifter_N": pushes,
        "limit_N": (tie.working_load_limit if tie else None) or float("nan"),
        "rated_N": actors.station.rated_load or float("nan"),
        **dict(zip(("strut_low", "strut_high"), scenario.limits.strut_angle, strict=True)),
        **dict(zip(("lifter_low", "lifter_high"), scenario.limits.lifter_angle, strict=True)),
    }
    start = nearest(settings, own)
    stops = tuple({"angle": settings[at]} for at in (start, ANGLES.index(STEEP), ANGLES.index(FLAT)))
    return Computed(
        actors.scenario,
        {
            "curve": curve,
            "angles": pd.DataFrame([{"angle": a, **forces(upright, a)} for a in settings]),
            "published": pd.DataFrame(SHOWN, columns=["degrees", "axial", "thrust"]),
        },
        facts,
        (Control("angle", "Angle from the ground", settings, start, "angle"),),
        (),
        {
            "upright": near(upright, "force"),
            "strut_at": near(own, "angle"),
            "lifter_at": near(lifter, "angle"),
            "tie_limit": near(tie.working_load_limit, "force") if tie and tie.working_load_limit else "not known",
            **numbered(figures_at(facts, stop) for stop in stops),
        },
        stops,
    )


def figures_at(facts: Mapping[str, float], setting: Setting) -> dict[str, FigureSaid]:
    """The forces of a strut at this angle, worked out from the vertical load as it is printed."""
    angle, upright = setting["angle"], near(facts["upright_N"], "force")
    one = forces(1.0, angle)
    return {
        "angle": brief(angle, "angle"),
        "along": Worked(partial(mul, one["axial_N"]), (upright,), "force"),
        "thrust": Worked(partial(mul, one["thrust_N"]), (upright,), "force"),
        "times_along": f"{one['axial_N']:.3f}",
        "times_thrust": f"{one['thrust_N']:.3f}",
        "times_pushed": f"{one['sideways_N']:.3f}",
    }


def forces(upright: float, angle: float) -> dict[str, float]:
    """What a strut at this angle [rad] carries for an upright load, and for the same load pushed sideways [N].

    Along the strut: V / sin a. Its foot pushes out with V cot a, which a level tie holds. A push H across at the head
    takes H / cos a along it: the steeper the strut, the less it is worth against a push.
    """
    return {"axial_N": upright / sin(angle), "thrust_N": upright / tan(angle), "sideways_N": upright / cos(angle)}


def ask(computed: Computed, units: Units, roll: random.Random) -> list[Question]:
    """Axial, thrust, two struts in turn, and the sideways push."""
    lb, say = Printed(units).force, computed.say(units)
    upright = as_shown(computed.facts["upright_N"], "force", units)

    steep, flat = roll.choice([60, 65, 70, 75]), roll.choice([30, 35, 40, 45])
    push = as_shown(upright * roll.choice([0.1, 0.15, 0.2, 0.25]), "force", units)
    other = roll.choice([50, 55, 60, 65])
    return [
        Question(
            f"A strut stands at {steep} deg from the ground and bears {say['upright']} upright. What is the force "
            "along it?",
            "axial = upright load / sin(angle)",
            f"{say['upright']} / sin({steep} deg)",
            lb(upright / sin(radians(steep))),
        ),
        Question(
            f"Another one leans at {flat} deg under the same load. What is the force along it, and how many times "
            "that of the first?",
            "axial = upright load / sin(angle)",
            f"{say['upright']} / sin({flat} deg)",
            f"{lb(upright / sin(radians(flat)))}, {sin(radians(steep)) / sin(radians(flat)):.2f} times",
        ),
        Question(
            f"What must the ties at their feet hold, at {steep} deg and at {flat} deg?",
            "tension = upright load / tan(angle)",
            f"{say['upright']} / tan({steep} deg); {say['upright']} / tan({flat} deg)",
            f"{lb(upright / tan(radians(steep)))} and {lb(upright / tan(radians(flat)))}",
        ),
        Question(
            f"The load pushes sideways with {lb(push)} at the head. What does that add along a strut at {other} "
            "deg, and along one at 45 deg?",
            "axial for a sideways push = push / cos(angle)",
            f"{lb(push)} / cos({other} deg); {lb(push)} / cos(45 deg)",
            f"{lb(push / cos(radians(other)))} and {lb(push / cos(radians(45)))}",
        ),
    ]


LESSON = Lesson(
    7,
    "steep-or-flat",
    "Steep or flat",
    (*CAUTIONS, "A strut without a tie or a stop at its foot holds nothing up: the thrust moves the foot."),
    compute,
    ask,
    texts_of("steep-or-flat"),
)
