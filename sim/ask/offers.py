"""What Enter takes at each question, after the answers before it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sim.ask.questions import NAME, NOTHING_ELSE, PARTS, SHARED_OUT, UNKNOWN, Part
from sim.model.errors import ScenarioError
from sim.model.units import INCH, LENGTH, QuantityError, Units, read
from sim.written.short.hands import enough
from sim.written.short.presets import kinds, the


def offered(part: Part, answers: Mapping[str, str], units: Units) -> str:
    """What Enter takes, after these answers.

    Parameters
    ----------
    part : Part
        What is asked.
    answers : mapping
        To the parts before it; those that are none are passed over.
    units : "us" or "si"
        What the person measures in.

    Returns
    -------
    str
        As a person would type it.
    """
    like = dict(_read("like", answers)).get("like", NAME)
    load, leader = kinds("load")[like], the("leader")
    if part.key == "like":
        return NAME
    if part.key == "far_end":
        return "yes" if load.values["far_end"] == "stays down" else "no"
    suggest = load.suggest[units]
    if part.key == "weight" and dict(_read("far_end", answers)).get("far_end") == "goes up too":
        return suggest["weight"].replace("at the end", "whole")
    if part.key == "hinge_to_point":
        return _in_proportion(suggest["hinge_to_point"], suggest["hinge_to_lifters"], answers, units)
    if part.key == "hinge_to_struts":
        lifters = _length("hinge_to_lifters", answers) or read(suggest["hinge_to_lifters"], LENGTH)
        first, apart = the("strut").values["at"] * lifters, read(the("strut").values["apart"], LENGTH)
        count = len(followers(answers, suggest["with"]))
        return ", ".join(_round(first - at * apart, units) for at in range(count))
    if part.key == "people":
        count, how = dict(_read("lifters", answers)).get("lifters", 2), dict(_read("catchers", answers))
        devices = tuple(len(kinds("follower")[name].values["devices"]) for name in followers(answers, suggest["with"]))
        return str(enough(count if count in (1, 2) else 2, devices, how.get("catchers")))
    if part.key == "gap":
        return str(leader.values["gap"]) if units == "us" else "6 mm"
    strokes = str(leader.values["strokes"])
    fixed = {
        "pivot_held": UNKNOWN,
        "weight_from": "estimate",
        "lifters": "2",
        "strokes_per_inch": "7",
        "strokes": strokes,
        "down_again": "no",
        "also": NOTHING_ELSE,
        "catchers": SHARED_OUT,
    }
    return fixed.get(part.key) or suggest[part.key]


def _read(key: str, answers: Mapping[str, str]) -> list[tuple[str, Any]]:
    """What an earlier answer says, if it is one."""
    part = next(each for each in PARTS if each.key == key)
    try:
        return part.read(answers[key]) if key in answers else []
    except ScenarioError:
        return []


def followers(answers: Mapping[str, str], first: str = "") -> list[str]:
    """What follows the load on a side; `first` where that is not answered yet."""
    said = dict(_read("with", answers)).get("with", first)
    return [each for each in (said, *dict(_read("also", answers)).get("also", [])) if each]


def _length(key: str, answers: Mapping[str, str]) -> float | None:
    try:
        return read(answers.get(key), LENGTH)
    except QuantityError:
        return None


def _in_proportion(point: str, lifters: str, answers: Mapping[str, str], units: Units) -> str:
    """The point as far beyond the lifters as on the load that is offered."""
    said = _length("hinge_to_lifters", answers)
    if said is None or abs(said - read(lifters, LENGTH)) < 1e-9:
        return point
    return _round(said * read(point, LENGTH) / read(lifters, LENGTH), units)


def _round(metres: float, units: Units) -> str:
    """To the inch or the centimetre, as one reads a tape."""
    return f"{max(1, round(metres / INCH))} in" if units == "us" else f"{max(0.01, round(metres, 2)):g} m"
