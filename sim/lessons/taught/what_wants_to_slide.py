"""Lesson 9: where the feet go decides what wants to slide. Friction needed is a slope: the weight falls out of it."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import atan, degrees, inf, radians, sqrt, tan

import numpy as np
import pandas as pd

from sim.check.figures import times_up
from sim.check.sideways.bearings import Array, Bearing, FromAbove, from_above
from sim.check.sideways.equilibrium import on_its_lifters
from sim.check.sideways.feet import STEEL_ON_CONCRETE
from sim.check.sideways.heads import METAL
from sim.lessons.cast import cast
from sim.lessons.lesson import Computed, Control, Lesson, Printed, Question, as_shown, nearest
from sim.lessons.tables import Setting, row_of
from sim.lessons.words.figures import Figures, FigureSaid, numbered
from sim.lessons.words.prose import texts_of
from sim.model.cautions import CAUTIONS
from sim.model.errors import Problem, ScenarioError
from sim.model.motion import motion_of
from sim.model.scenario import Lifter, Scenario
from sim.model.sentences import Sentence, brief, near
from sim.model.units import INCH, Units
from sim.written.geometry import geometry_problems

LEANS = tuple(radians(n) for n in (-20, -10, 0, 10, 20, 30))  # of a lifter from upright; its foot ahead is positive
FAR = radians(20)  # of the second stop
UPRIGHT, ALIKE, ONE, OPPOSED = "not at all", "both alike", "the left one alone", "one each way"
TRACK = {"us": 70 * INCH, "si": 1.8}  # between the pivot's two contacts where it is not known; ours
ROLLS = 0.01  # a free wheel on new paving: Carvill, Mechanical Engineer's Data Handbook
POINTS = 25  # of the lift, from the start to the need
CURVE = tuple(radians(n) for n in range(-20, 31, 2))
WHEEL = {"us": 12 * INCH, "si": 0.3}  # of a pivot that lies on the ground, for the question about a chock; ours


@dataclass(frozen=True, slots=True)
class Leaning:
    """How far each lifter leans, as a share of what the slider says."""

    name: str
    shares: tuple[float, float]  # of the first lifter, and of the other


WAYS = (Leaning(ALIKE, (1.0, 1.0)), Leaning(ONE, (1.0, 0.0)), Leaning(OPPOSED, (1.0, -1.0)))


def compute(scenario: Scenario) -> Computed:
    """What every foot, head and pivot contact needs, with the lifters' feet set further ahead or behind.

    Raises
    ------
    ScenarioError
        The load has no pivot that could roll away, nothing presses on that, or there is one lifter alone.
    """
    if scenario.load.motion != "hinged":
        what = "the lesson needs a hinged load: one that is lifted straight up has no pivot to chock"
        raise ScenarioError([Problem("load.motion", what, 'use a scenario with motion = "hinged"')])
    if len(scenario.lifters) < 2:
        what = "the lesson needs a lifter on each side"
        raise ScenarioError([Problem("lifter", what, "use a scenario with two [[lifter]]s")])
    actors = cast(scenario)
    there, assumed = with_track(actors.scenario)
    own = lean_of(actors.lifter)
    leans = [x for x in sorted({own, *(x for x in LEANS if abs(x - own) > radians(3))}) if x == own or stands(there, x)]
    found = [(way, lean, *seen(with_feet(there, lean, WAYS[way]))) for way in range(len(WAYS)) for lean in leans]
    cases = pd.DataFrame([{"way": way, "lean": lean, **worst(needs, bears)} for way, lean, needs, bears in found])
    if not (cases[["pivot_needs", "foot_needs"]] < inf).all(axis=None):
        what = "a contact of the pivot is not pressed on: the load would tip before anything slides"
        raise ScenarioError([Problem("load.cg", what, "see what check says of its balance")])
    curve = [{"lean": x, **worst(*seen(with_feet(there, x)))} for x in CURVE if stands(there, x)]
    facts, far = facts_of(there, actors.lifter), leans[nearest(leans, FAR)]
    stops = tuple({"lean": lean, "way": way} for lean, way in ((own, 0), (far, 0), (own, 2)))
    return Computed(
        there,
        {
            "cases": cases,
            "needs": pd.concat([x.assign(way=way, lean=lean) for way, lean, x, _ in found], ignore_index=True),
            "spots": pd.concat([where(x).assign(way=way, lean=lean) for way, lean, _, x in found], ignore_index=True),
            "curve": pd.DataFrame(curve),
        },
        facts,
        controls(leans, own, facts["high_m"]),
        assumed,
        figures_of(facts, cases, stops),
        stops,
    )


def controls(leans: Sequence[float], own: float, high: float) -> tuple[Control, ...]:
    """How far the lifters lean, and which of them."""
    offsets = tuple(abs(high * tan(x)) for x in leans)
    names = tuple(
        f"{angle(x)}, foot {{}} {'ahead' if x > 0 else 'behind'}" if angle(x) != angle(0) else UPRIGHT for x in leans
    )
    return (
        Control("lean", "The lifters lean", tuple(leans), leans.index(own), names=names, lengths=offsets),
        Control("way", "Which of them", tuple(range(len(WAYS))), 0, names=tuple(x.name for x in WAYS)),
    )


def angle(lean: float) -> str:
    """A lean as the slider and the prose say it."""
    return f"{abs(degrees(lean)):.1f}".removesuffix(".0") + " deg"


def with_track(scenario: Scenario) -> tuple[Scenario, tuple[Sentence, ...]]:
    """The scenario with its pivot's two contacts a known way apart, and what had to be taken for it."""
    if scenario.pivot.track is not None:
        return scenario, ()
    track = TRACK[scenario.units]
    said = "The scenario has no pivot.track: its two contacts are taken to stand {far} apart (invented)."
    return (
        replace(scenario, pivot=replace(scenario.pivot, track=track)),
        (Sentence(said, far=brief(track, "length")),),
    )


def lean_of(lifter: Lifter) -> float:
    """How far a lifter leans fore and aft [rad]: from upright, its foot ahead of its head positive."""
    return atan((lifter.base[0] - lifter.head[0]) / (lifter.head[2] - lifter.base[2]))


def with_feet(scenario: Scenario, lean: float, leaning: Leaning = WAYS[0]) -> Scenario:
    """The same lift with each lifter's foot set ahead of its head by so much lean [rad]."""
    lifters = tuple(
        replace(x, base=(x.head[0] + (x.head[2] - x.base[2]) * tan(lean * share), x.base[1], x.base[2]))
        for x, share in zip(scenario.lifters, leaning.shares, strict=False)
    )
    return replace(scenario, lifters=lifters)


def stands(scenario: Scenario, lean: float) -> bool:
    """Whether the load can be raised with its lifters leaning by as much, either way."""
    return not any(geometry_problems(with_feet(scenario, lean, way)) for way in WAYS)


def seen(scenario: Scenario) -> tuple[pd.DataFrame, FromAbove]:
    """From the start to the need: what each contact needs and is pushed with, and all that bears."""
    need, motion = scenario.need, motion_of(scenario.load)
    found = from_above(scenario, motion.u_for_rise(need.point, need.rise))
    at = np.unique(np.linspace(0, len(found.u) - 1, POINTS).round().astype(int))
    rise = motion.rise(need.point, found.u[at])
    pushes, _ = on_its_lifters(scenario, motion, found.u[at])
    feet = [
        {"contact": b.name, "rise_m": rise, "needs": known(b)[at], "along_N": b.along[at], "across_N": b.across[at]}
        for b in found.bearings
    ]
    heads = [
        {"contact": f"{x.name}, head", "rise_m": rise, "needs": np.asarray(p.head.friction_needed)}
        for x, p in zip(scenario.lifters, pushes, strict=True)
    ]
    return pd.concat(map(pd.DataFrame, [*feet, *heads]), ignore_index=True), found


def known(bearing: Bearing) -> Array:
    """The friction that a contact needs, shape (n,): the track being known, each contact's part is."""
    assert bearing.needs is not None
    return bearing.needs


def worst(needs: pd.DataFrame, found: FromAbove) -> dict[str, float | str]:
    """What each kind of contact needs and is pushed with at its worst, and where the pivot wants a chock."""
    at = {kind: needs[needs["contact"].str.contains(kind)] for kind in ("foot", "head", "pivot")}
    whole = at["pivot"].groupby("rise_m")["along_N"].sum()
    return {
        **{f"{kind}_needs": float(rows["needs"].max()) for kind, rows in at.items()},
        "push_N": float(whole.iloc[whole.abs().argmax()]),  # on the pivot as a whole, ahead is positive
        "contact_N": float(at["pivot"]["along_N"].abs().max()),  # on the busier of its contacts
        "chocks": " and ".join(found.chocks) or "neither side",
    }


def where(found: FromAbove) -> pd.DataFrame:
    """Where each foot and pivot contact stands, and how it pushes there at its worst."""
    pushed = ((b, float(b.along[b.worst]), float(b.across[b.worst])) for b in found.bearings)
    return pd.DataFrame(
        [
            {"contact": b.name, "ahead_m": b.at[0], "left_m": b.at[1], "along_N": along, "across_N": across}
            for b, along, across in pushed
        ]
    )


def facts_of(scenario: Scenario, lifter: Lifter) -> dict[str, float]:
    """The figures of the scenario that questions and pictures ask for [SI], as its own lifters stand."""
    pushes, found = on_its_lifters(scenario, motion_of(scenario.load), 0.0)
    assert found.pivot is not None
    force = pushes[scenario.lifters.index(lifter)].force
    return {
        "lean": lean_of(lifter),
        "high_m": lifter.head[2] - lifter.base[2],
        "foot_m": abs(lifter.base[0] - lifter.head[0]),
        "upright_N": float(force[2]),
        "pivot_N": float(found.pivot[2]),
        "wheel_m": scenario.load.pivot_height or WHEEL[scenario.units],
        "steel_low": STEEL_ON_CONCRETE[0],
        "steel_high": STEEL_ON_CONCRETE[1],
        "metal_low": METAL[0],
        "metal_high": METAL[1],
    }


def figures_of(facts: dict[str, float], cases: pd.DataFrame, stops: tuple[Setting, ...]) -> Figures:
    """What prose, questions and answers print; `push_2` is the push at the second stop of the sliders."""
    figures: dict[str, FigureSaid] = {
        "high": near(facts["high_m"], "length"),
        "upright": near(facts["upright_N"], "force"),
        "on_wheels": near(facts["pivot_N"], "force"),
        "rolls": f"{ROLLS:g}",
        "steel": f"{facts['steel_low']:g} to {facts['steel_high']:g}",
        "metal": f"{facts['metal_low']:g} to {facts['metal_high']:g}",
    }
    return figures | numbered(figures_at(row_of(cases, stop)) for stop in stops)


def figures_at(case: pd.Series) -> dict[str, FigureSaid]:
    """What one setting of the sliders needs, as the table beside them and the stops print it."""
    return {
        "lean": angle(case["lean"]),
        "foot": times_up(case["foot_needs"]),
        "head": times_up(case["head_needs"]),
        "pivot": times_up(case["pivot_needs"]),
        "push": near(abs(case["push_N"]), "force"),
        "contact": near(case["contact_N"], "force"),
        "chocks": str(case["chocks"]),
    }


def over_a_chock(radius: float, high: float) -> float:
    """What share of the load on a wheel a level push at its axle must be to roll it over a chock that stays put.

    Parameters
    ----------
    radius, high : float
        Of the wheel, and of the chock, lower than that [m].

    Returns
    -------
    float
        sqrt(2 r h - h^2) / (r - h), a plain number.
    """
    return sqrt(2 * radius * high - high**2) / (radius - high)


def ask(computed: Computed, units: Units, roll: random.Random) -> list[Question]:
    """The slope of a lifter, how far its foot may be, the push it gives, what wheels hold, what a chock holds."""
    facts, printed, say = computed.facts, Printed(units), computed.say(units)
    f, lb = printed.length, printed.force
    high, radius = (as_shown(facts[name], "length", units) for name in ("high_m", "wheel_m"))
    upright, on_wheels = (as_shown(facts[name], "force", units) for name in ("upright_N", "pivot_N"))
    ahead = as_shown(high * roll.choice([0.15, 0.2, 0.25, 0.35]), "length", units)
    least, lean = roll.choice([0.2, 0.25, 0.3]), roll.choice([8, 10, 12, 15])
    push = as_shown(2 * upright * tan(radians(lean)), "force", units)
    chock = as_shown(radius / roll.choice([4, 5, 8]), "length", units)
    ratio = over_a_chock(radius, chock)
    return [
        Question(
            f"A lifter's head stands {say['high']} above its foot, and the foot is {f(ahead)} ahead of the head. What "
            "friction does the foot need to stay where it is, and what under twice the load?",
            "friction needed = ahead / height, the tangent of its lean: the load falls out",
            f"{f(ahead)} / {say['high']}",
            f"{ahead / high:.2f}, under any load",
        ),
        Question(
            f"Its plate and what it stands on have a friction of {least:g}. How far ahead of the head may the foot be "
            "before it needs all of that, and what lean is it?",
            "ahead = friction x height; lean = atan(friction)",
            f"{least:g} x {say['high']}; atan({least:g})",
            f"{f(least * high)}, {degrees(atan(least)):.1f} deg",
        ),
        Question(
            f"Two lifters, one a side, each bear {say['upright']} of the load and lean {lean} deg, their feet ahead. "
            "With what force do they push the pivot, and which way?",
            "push = lifters x load on one x tan(lean), the other way than the feet are from the heads",
            f"2 x {say['upright']} x tan({lean} deg)",
            f"{lb(push)}, back",
        ),
        Question(
            f"{say['on_wheels']} stands on the wheels at the pivot, and they are pushed with {lb(push)}. What friction "
            f"would locked wheels need, and how much do free ones hold at {say['rolls']} of what stands on them?",
            "friction needed = push / load on the wheels; held = rolling friction x load on the wheels",
            f"{lb(push)} / {say['on_wheels']}; {say['rolls']} x {say['on_wheels']}",
            f"{push / on_wheels:.2f}; {lb(ROLLS * on_wheels)}",
        ),
        Question(
            f"A wheel of {f(radius)} radius stands against a chock {f(chock)} high that does not move. What push at "
            "the axle, as a share of the load on the wheel, rolls it over the chock?",
            "share = sqrt(2 r h - h^2) / (r - h)",
            f"sqrt(2 x {f(radius)} x {f(chock)} - ({f(chock)})^2) / ({f(radius)} - {f(chock)})",
            f"{ratio:.2f} of the load on it; less where the chock itself slides first",
        ),
    ]


LESSON = Lesson(
    9,
    "what-wants-to-slide",
    "What wants to slide",
    (*CAUTIONS, "Chock before the first stroke, and look at the chocks at every hold."),
    compute,
    ask,
    texts_of("what-wants-to-slide"),
)
