"""The nine questions, in parts: their words, how to measure what they ask for, what is offered, how they are read."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from sim.model.errors import Problem, ScenarioError, nearest
from sim.model.units import Units
from sim.written.short.hands import CATCHERS
from sim.written.short.presets import kinds

Read = Callable[[str], list[tuple[str, Any]]]  # an answer -> keys of the short form
NAME = "trailer nose"  # what is offered first
UNKNOWN = "do not know"
NOTHING_ELSE = "no"
SHARED_OUT = "as many as there are"  # who works what follows the load
HELD = {  # how the far end is kept from moving -> as files have it
    "chocked both ways": "chocked",
    "chocked ahead only": "chocked-ahead",
    "chocked behind only": "chocked-behind",
    "brakes only": "brakes",
    "nothing": "nothing",
    UNKNOWN: "",
}


@dataclass(frozen=True, slots=True)
class Part:
    """One thing to answer; a question has one to three of them."""

    number: int  # of the question
    key: str  # of the answer, and of the option that gives it
    keys: tuple[str, ...]  # of the short form, any of which it may write
    asks: dict[Units, str]
    how: str  # what ? says
    words: str  # beside the key in the file
    read: Read
    choices: tuple[tuple[str, str], ...] = ()  # name and what it is


def _text(key: str) -> Read:
    """As it stands: the reader of the file judges it."""
    return lambda said: [(key, said)]


def _number(key: str) -> Read:
    """A number where it is one; else as it stands, for the reader to refuse."""

    def reader(said: str) -> list[tuple[str, Any]]:
        if re.fullmatch(r"[0-9]{1,9}", said):
            return [(key, int(said))]
        if re.fullmatch(r"[0-9]{1,9}\.[0-9]{1,9}", said):
            return [(key, float(said))]
        raise _wrong(key, f'"{said[:60]}" is no number', 'write it in figures, without a unit, such as "3"')

    return reader


def _choice(key: str, names: tuple[str, ...]) -> Read:
    """One of several, by its name, the beginning of it, or its place in the list."""

    def reader(said: str) -> list[tuple[str, Any]]:
        if re.fullmatch(r"[0-9]{1,2}", said) and 1 <= int(said) <= len(names):
            return [(key, names[int(said) - 1])]
        low = said.lower()
        begun = [name for name in names if name.startswith(low)]
        if low in names or len(begun) == 1:
            return [(key, low if low in names else begun[0])]
        raise _wrong(key, f'"{said[:60]}" is none of these', nearest(said[:60], begun or names))

    return reader


def _far_end(said: str) -> list[tuple[str, Any]]:
    ends = {"yes": "stays down", "y": "stays down", "no": "goes up too", "n": "goes up too"}
    end = ends.get(said.lower(), said.lower())
    if end not in ends.values():
        raise _wrong("far_end", f'"{said[:60]}" is neither yes nor no', "yes: it stays down; no: it goes up too")
    return [("far_end", end)]


def _weight(said: str) -> list[tuple[str, Any]]:
    """A weight, and whether it is that at the end or the whole."""
    found = re.fullmatch(r"(?P<weight>.*?[^\s,])[\s,]+(?:at the |the |at )?(?P<which>end|whole)", said, re.IGNORECASE)
    found = found or re.fullmatch(r"(?P<which>end|whole)[\s:,]+(?P<weight>.+)", said, re.IGNORECASE)
    if found is None:
        hint = 'say which it is: "2400 lb at the end" or "5200 lb whole"'
        raise _wrong("weight", f'"{said[:60]}" does not end in "at the end" or "whole"', hint)
    return [("end_weight" if found["which"].lower() == "end" else "weight", found["weight"])]


def _down_again(said: str) -> list[tuple[str, Any]]:
    """Whether it comes down again, and after how long a hold."""
    found = re.fullmatch(
        r"(?:(?P<yes>yes|y)|no|n|(?:(?:yes|y)[\s,]+)?(?:after )?(?P<hold>[0-9].*))", said, re.IGNORECASE
    )
    if found is None:
        raise _wrong("down_again", f'"{said[:60]}" is neither yes nor no', 'yes, no, or after how long: "after 10 min"')
    if found["hold"]:
        return [("hold", found["hold"]), ("down_again", True)]
    return [("down_again", True)] if found["yes"] else []


def _wrong(key: str, what: str, hint: str) -> ScenarioError:
    return ScenarioError([Problem(key, what, hint)])


def _pivot_held(said: str) -> list[tuple[str, Any]]:
    """How the far end is kept from moving; nothing is written of what is not known."""
    ((_, name),) = _choice("pivot_held", tuple(HELD))(said)
    return [("pivot_held", HELD[name])] if HELD[name] else []


def _listed(said: str) -> list[str]:
    """Several answers in one, with commas between them; not that of a thousand."""
    return [each.strip() for each in re.split(r",\s+|;|,(?![0-9])", said) if each.strip()]


def _also(said: str) -> list[tuple[str, Any]]:
    """What else follows the load: nothing, one, or several."""
    if said.lower() in ("no", "n", "nothing", "none"):
        return []
    one = _choice("also", tuple(name for name, _ in FOLLOWERS))
    return [("also", [name for each in _listed(said) for _, name in one(each)])]


def _lengths(key: str) -> Read:
    """One length as it stands; several as a list."""
    return lambda said: [(key, _listed(said) if len(_listed(said)) > 1 else said)]


def _catchers(said: str) -> list[tuple[str, Any]]:
    """Who works what follows the load; nothing is written where it is shared out."""
    ((_, name),) = _choice("catchers", (SHARED_OUT, *CATCHERS))(said)
    return [("catchers", name)] if name != SHARED_OUT else []


def _both(words: str) -> dict[Units, str]:
    return {"us": words, "si": words}


def _of(kind: str) -> tuple[tuple[str, str], ...]:
    return tuple((name, preset.said) for name, preset in kinds(kind).items())


LOADS, FOLLOWERS = _of("load"), _of("follower")
KNOWN = (
    ("scale", "weighed where the lifters stand"),
    ("papers", "a plate, papers, a load list"),
    ("estimate", "by eye or rule of thumb"),
)

CATCHERS_MEAN = (
    (SHARED_OUT, "shared out over what there is to do"),
    ("one a device", "a pin and the cribbing below it are two"),
    ("one a place", "one at each strut, each crib"),
    ("one a side", "walks from place to place there"),
    ("one for all", "walks round the end of the load too"),
)

HELD_MEANS = (
    ("chocked both ways", "ahead and behind"),
    ("chocked ahead only", "towards the lifters"),
    ("chocked behind only", "away from them"),
    ("brakes only", "no chock"),
    ("nothing", "can move"),
    (UNKNOWN, "not known"),
)

PARTS = (
    Part(
        1, "like", ("like",), _both("What is raised?"),
        "Take what it is most like: from there come its heights above ground and where its weight lies. Measure those "
        "later and write them into the file.",
        "", _choice("like", tuple(name for name, _ in LOADS)), LOADS,
    ),
    Part(
        2, "far_end", ("far_end",), _both("Does the far end stay down?"),
        "Yes, if the load turns about wheels, an edge or a block at its other end. No, if all of it goes up, level.",
        "", _far_end,
    ),
    Part(
        2, "pivot_held", ("pivot_held",), _both("What keeps the far end still?"),
        "Lifters that lean push the load along, and what it turns about with it. Go and look: chocks on both sides of "
        "it, on one, brakes alone, or nothing. What nobody has looked at is not known.",
        "at the far end", _pivot_held, HELD_MEANS,
    ),
    Part(
        3, "weight", ("end_weight", "weight"), _both("What does it weigh: at the lifting end, or as a whole?"),
        "At the end: a scale or load cell under it, where the lifters will stand. Whole: plate, papers, or size times "
        'density. Write "2400 lb at the end" or "5200 lb whole". One end of an even load is half of it; an engine, a '
        "cargo or a tank makes that wrong.",
        "", _weight,
    ),
    Part(
        3, "weight_from", ("weight_from",), _both("How is that known?"),
        "An estimate is as good as its worst guess. Everything the check says of margins hangs on this figure.",
        "", _choice("weight_from", tuple(name for name, _ in KNOWN)), KNOWN,
    ),
    Part(
        4, "hinge_to_lifters", ("hinge_to_lifters",), _both("From the hinge line to the lifters?"),
        "Along the load, level, with a tape: from the line that it turns about (an axle, an edge on the ground) to "
        "where the lifters push.",
        "along the load", _text("hinge_to_lifters"),
    ),
    Part(
        4, "hinge_to_point", ("hinge_to_point",), _both("From the hinge line to the point that has to come up?"),
        "From the same line, along the load, to what must be cleared: where somebody or something is caught.",
        "to what has to come up", _text("hinge_to_point"),
    ),
    Part(
        5, "rise", ("rise",), _both("How far has that point to rise?"),
        "As far as is needed to clear it, and no more: every inch more is an inch to fall. Measure what is in the way.",
        "and no more", _text("rise"),
    ),
    Part(
        5, "down_again", ("hold", "down_again"), _both("And down again?"),
        "No, if it stays up there. Yes, if the same people let it down the way they raised it: every step down begins "
        'with a step up. "After 10 min" if it first stands so long on what has captured it.',
        "", _down_again,
    ),
    Part(
        6, "lifters", ("lifters",), _both("How many lifters: 1 or 2?"),
        "One on the centreline, or one a side. Each has somebody at its pump.",
        "", _number("lifters"),
    ),
    Part(
        6, "apart", ("apart",), _both("How far apart do they stand?"),
        "Across the load, from the middle of one ram to the middle of the other.",
        "", _text("apart"),
    ),
    Part(
        6, "strokes_per_inch", ("strokes_per_inch", "strokes_per_25_mm"),
        {"us": "Pump strokes for one inch of ram?", "si": "Pump strokes for 25 mm of ram?"},
        "Count them: the load on, full strokes, a tape at the ram. A pump with two speeds takes many more once the "
        "load is felt.",
        "counted under load", _number("strokes_per_inch"),
    ),
    Part(
        7, "with", ("with",), _both("What follows the load?"),
        "What your people take up the rise with, after or during every call: it is what the load would come down on.",
        "one at each lifter's side", _choice("with", tuple(name for name, _ in FOLLOWERS)), FOLLOWERS,
    ),
    Part(
        7, "also", (), _both("Does anything else follow it?"),
        "What stands at each side besides that: struts and cribs together, a second pair of struts. Answer with a name "
        'or a number of the list above; of several write each, with commas: "cribbing, threaded strut".',
        "", _also,
    ),
    Part(
        7, "hinge_to_struts", ("hinge_to_struts",), _both("From the hinge line to that?"),
        "Along the load, as for the lifters, to where it meets the load; of several one after the other, with commas.",
        "to what follows the load", _lengths("hinge_to_struts"),
    ),
    Part(
        8, "catchers", ("catchers",), _both("Who works what follows the load?"),
        "One person for each device, for each place, for each side, or one for all: fewer people walk more, and every "
        "gap stays open longer. As many as there are: those who neither lead nor pump, shared out.",
        "what follows the load", _catchers, CATCHERS_MEAN,
    ),
    Part(
        8, "people", ("people",), _both("How many people are there, the leader among them?"),
        "One leads, one pumps at each lifter, the others follow the load. With fewer than one a device somebody serves "
        "several.",
        "the leader among them", _number("people"),
    ),
    Part(
        9, "strokes", ("strokes",), _both("How many strokes a call?"),
        "What each pump does at one word of yours, before you look again.",
        "a call", _number("strokes"),
    ),
    Part(
        9, "gap", ("gap",), _both("With how large a gap do you still call?"),
        "Along the strut, between what it holds and the load: over this you stop calling until it is caught.",
        "no call over a larger one", _text("gap"),
    ),
)  # fmt: skip
