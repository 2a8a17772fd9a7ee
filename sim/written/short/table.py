"""The short form of a scenario, key by key: what a leader knows before a drill. `short.py` writes it out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, ValidationError, ValidationInfo, field_validator

from sim.model.errors import Problem, ScenarioError, nearest
from sim.model.units import quoted
from sim.written.keys.assumed import Marks
from sim.written.keys.places import Raw, listed
from sim.written.keys.quantities import (
    TITLE,
    Length,
    Rise,
    Room,
    Seconds,
    Span,
    Table,
    Title,
    Weight,
    optional,
    refusal,
)
from sim.written.keys.stands import Material, Post, Tube, Yields
from sim.written.keys.tables import ASSUMED, WrittenScenario, WrittenVariant
from sim.written.keys.wording import problems_of
from sim.written.short.hands import Catchers, hands_problem
from sim.written.short.presets import kinds

Strokes = Annotated[float, Field(strict=True, gt=0.0, le=200.0, allow_inf_nan=False)]

MOST_FOLLOW = 6  # on a side


Followers = Annotated[list[str], BeforeValidator(listed), Field(min_length=1, max_length=MOST_FOLLOW)]
Spans = Annotated[list[Span], BeforeValidator(listed), Field(min_length=1, max_length=MOST_FOLLOW)]

PRESETS = {"like": "load", "follows": "follower", "operators": "operator"}  # keys whose values name a preset


class WrittenShort(Table):
    """A short form: all its keys stand at the top of the file."""

    title: Title | None = optional(TITLE)
    units: Literal["us", "si"] = optional('How figures are shown: "us" or "si" (the default).', "si")
    like: str = Field(description='What is raised, as one of the loads that are known, such as "trailer nose".')
    far_end: Literal["stays down", "goes up too"] | None = optional(
        "Whether the load turns about its far end or goes straight up (default: as its like)."
    )
    pivot_held: Literal["chocked", "chocked-ahead", "chocked-behind", "brakes", "nothing"] | None = optional(
        "What keeps the far end from moving along: chocks both ways, on one side only, brakes alone, or nothing "
        "(default: not known)."
    )
    end_weight: Weight | None = optional("What the lifters have to carry together.")
    weight: Weight | None = optional("Or the whole weight.")
    weight_from: Literal["scale", "papers", "estimate"] | None = optional(
        "How the weight is known (default: an estimate)."
    )
    hinge_to_lifters: Span | None = optional("Along the load, from the hinge line.")
    hinge_to_point: Span | None = optional("To the point that has to rise.")
    rise: Rise = Field(description="How far that point has to rise, and no more.")
    lifters: Literal[1, 2] = optional("One on the centreline, or one a side (default 2).", 2)
    apart: Span | None = optional("From lifter to lifter (default: as its like).")
    strokes_per_inch: Strokes | None = optional("Pump strokes for one inch of ram, counted under load.")
    strokes_per_25_mm: Strokes | None = optional("Or for 25 mm of ram.")
    follows: Followers | None = Field(
        default=None,
        alias="with",
        description=f'What follows it, such as "threaded strut", or a list of up to {MOST_FOLLOW}, such as '
        '["threaded strut", "cribbing"]: each stands at every lifter (default: as its like).',
    )
    hinge_to_struts: Spans | None = optional(
        "Along the load, to what follows it, of several a list (default: a little before the lifters, each further "
        "one inwards of the one before)."
    )
    people: Annotated[int, Field(strict=True, ge=1, le=100)] | None = optional(
        "All of them, the leader among them (default: as many as there is work for)."
    )
    catchers: Catchers | None = optional(
        "Who works what follows the load: one a device, one a place, one a side, one for all; people are held against "
        "it (default: as many as there are, shared out)."
    )
    strokes: Annotated[int, Field(strict=True, ge=1, le=100)] | None = optional("Strokes a call.")
    gap: Length | None = optional("The largest gap at which the next call is made.")
    pace: Seconds | None = optional("Shortest time from call to call.")
    hold: Seconds | None = optional("How long it then stands, held by what has captured it (default: it does not).")
    down_again: bool = Field(default=False, strict=True, description="Whether it is lowered again (default: no).")
    step: Room | None = optional(
        "How far one lowering call lets what follows it down (default: as gap, 1/2 in where that is 0)."
    )
    operators: str | None = optional('The kind of people at the pumps (default "steady").')
    travel: Span | None = optional("How far each ram can move.")
    lifter_collars: bool = Field(
        default=False, strict=True, description="Whether each ram has a collar of its own (default: no)."
    )
    hinge_height: Length | None = optional("Of the hinge line above ground.")
    point_height: Length | None = optional("Of the point that has to rise.")
    lifter_height: Length | None = optional("Where the lifters meet the load.")
    strut_height: Length | None = optional("Where the struts meet it.")
    take_up: Length | None = optional("Ram travel spent before the load moves.")
    tie_slack: Length | None = optional("How far the ties leave the struts behind the load.")
    tube: Tube = None
    post: Post = None
    material: Material = ""
    yields: Yields = None
    variant: Annotated[list[WrittenVariant], Field(max_length=10)] = optional(
        "[[variant]]: another way to make the same lift, as in the full form.", []
    )
    assumed: Marks = optional(f"[assumed]: {ASSUMED[0].lower()}{ASSUMED[1:]}", {})

    @field_validator(*PRESETS)
    @classmethod
    def _known(cls, written: Any, key: ValidationInfo) -> Any:
        kind = PRESETS[key.field_name or ""]
        for name in listed(written):
            if name not in kinds(kind):
                raise refusal(f"no {kind} {quoted(name)} is known", nearest(name, kinds(kind)))
        return written


KEYS = {field.alias or name for name, field in WrittenShort.model_fields.items()}
FULL = set(WrittenScenario.model_fields)


def is_short(raw: Raw) -> bool:
    """Whether a file is a short form: it has `like`, or else one of its keys and no [load]."""
    return "like" in raw or ("load" not in raw and bool((KEYS - FULL) & set(raw)))


def read_short(raw: Raw) -> WrittenShort:
    """The short form, every key good and all that is needed there.

    Parameters
    ----------
    raw : dict
        As TOML has it.

    Returns
    -------
    WrittenShort
        What was written.

    Raises
    ------
    ScenarioError
        With everything that is wrong.
    """
    problems: list[Problem] = []
    written = None
    try:
        written = WrittenShort.model_validate(raw)
    except ValidationError as wrong:
        problems = [_of_the_full_form(found) for found in problems_of(wrong, raw, WrittenShort)]
    problems += _missing(raw)
    if "step" in raw and not raw.get("down_again"):
        problems.append(Problem("step", "means nothing without down_again", "down_again = true, or leave it out"))
    if "pivot_held" in raw and goes_straight(raw.get("like"), raw.get("far_end")):
        problems.append(Problem("pivot_held", "belongs to a load whose far end stays down", "leave it out"))
    if written is not None and not problems:
        problems += _followers(written)
    if written is None or problems:
        raise ScenarioError(dict.fromkeys(problems))
    return written


def _of_the_full_form(problem: Problem) -> Problem:
    """A table of the full form in a short one: what to do about it."""
    if problem.place not in FULL - KEYS:
        return problem
    hint = "leave it out, and liftcadence check FILE --expand prints the full form, to go on from"
    return Problem(problem.place, "belongs to the full form", hint)


def goes_straight(like: object, far_end: object) -> bool:
    """Whether the load goes straight up, as written or else as loads like it do."""
    load = kinds("load").get(like) if isinstance(like, str) else None
    return (far_end or (load.values["far_end"] if load else "")) == "goes up too"


def _missing(raw: Raw) -> Iterator[Problem]:
    """One weight, one count of strokes; distances from a hinge line where there is one."""
    straight = goes_straight(raw.get("like"), raw.get("far_end"))
    if straight and "end_weight" in raw:
        yield Problem("end_weight", "belongs to a load whose far end stays down", "write weight, of all of it")
    yield from _one_of(raw, "end_weight", "weight", 'such as "2400 lb": at the lifting end, or (weight) of the whole')
    hint = "pump under load until the ram has come out so far, and count"
    yield from _one_of(raw, "strokes_per_inch", "strokes_per_25_mm", hint)
    for key, where in (("hinge_to_lifters", "the lifters"), ("hinge_to_point", "the point that has to rise")):
        if not straight and key not in raw:
            yield Problem(key, "is missing", f"the distance along the load from the hinge line to {where}")


def _one_of(raw: Raw, one: str, other: str, hint: str) -> Iterator[Problem]:
    if one in raw and other in raw:
        yield Problem(one, f"stands beside {other}", "write the one you know better")
    elif one not in raw and other not in raw:
        yield Problem(one, "is missing", hint)


def _followers(written: WrittenShort) -> Iterator[Problem]:
    """Not more places than there are things for them, and enough people to lead, to pump and to follow the load."""
    names = written.follows or kinds("load")[written.like].follows(written.units)
    spots = len(written.hinge_to_struts or ())
    if spots > len(names):
        what = f"has {spots} lengths for {len(names)} that follow{'s' if len(names) == 1 else ''} the load"
        yield Problem("hinge_to_struts", what, "write one for each name in with, in its order")
    devices = (*(len(kinds("follower")[name].values["devices"]) for name in names), int(written.lifter_collars))
    problem = hands_problem(written.people, written.lifters, devices, written.catchers)
    if problem:
        yield problem
