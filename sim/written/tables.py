"""A scenario as a person writes it, table by table; `reading.py` makes the model's frozen data of it.

Every key has a description: the JSON schema for editors and the README's reference come from here. Nothing here looks
from one table into another: that is `choices.py`, `names.py` and `geometry.py`.
"""

from __future__ import annotations

import math
import re
from typing import Annotated, Any, Literal

from pydantic import Field, PlainValidator, WithJsonSchema, field_validator
from pydantic_core import PydanticCustomError

from sim.soil import SOILS
from sim.visible import UNSEEN
from sim.written.assumed import Marks
from sim.written.crew import WrittenCatcher, WrittenOperator, WrittenPump
from sim.written.devices import WrittenDevice
from sim.written.places import MOST, MOST_CALLS
from sim.written.quantities import (
    TITLE,
    Angle,
    Area,
    Coordinate,
    Length,
    Pressure,
    Rise,
    Seconds,
    Span,
    Step,
    Table,
    Title,
    Weight,
)

ONE_LINE = rf"^[^\s{UNSEEN}]([^{UNSEEN}]*[^\s{UNSEEN}])?$"  # no space at its ends
LONGEST_NAME = 60
Name = Annotated[str, Field(min_length=1, max_length=LONGEST_NAME, pattern=ONE_LINE)]


def _one_or_several(written: object) -> object:
    """Who works the devices: a name, or a list of names."""
    listed = written if isinstance(written, list) else [written]
    if not all(isinstance(n, str) and len(n) <= LONGEST_NAME and re.fullmatch(ONE_LINE, n) for n in listed):
        hint = f"each in one line, of at most {LONGEST_NAME} characters, without a space at its ends"
        raise PydanticCustomError("quantity", "{what}", {"what": "a name is wanted, or a list of names", "hint": hint})
    return written


Names = Annotated[list[Name], Field(max_length=10)]
Who = Annotated[
    str | list[str],
    PlainValidator(_one_or_several),
    WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}),
]
Place = Annotated[list[Coordinate], Field(min_length=3, max_length=3)]
Band = Annotated[list[Angle], Field(min_length=2, max_length=2)]
BothSides = Annotated[list[Literal["left", "right"]], Field(min_length=2, max_length=2)]
Foot = Literal["ahead", "behind", "out", "in"]
Factor = Annotated[float, Field(strict=True, ge=1.0, le=10.0, allow_inf_nan=False)]
ASSUMED = "The path of a value in this file = how low and how high it may be."
AT = "x from the pivot towards the lifting end, y to the left of the centreline, z above ground"

# What a lifter and a station are both written with.
Head = Annotated[Place, Field(description=f"Where it meets the load: {AT}.")]
Standing = Annotated[Place | None, Field(description="Where it stands; or give angle and foot.")]
Leaning = Annotated[Angle | None, Field(description="Instead of base: from horizontal, standing at height 0.")]
FootWay = Annotated[Foot | None, Field(description="With angle: which way the foot stands from the head.")]
Mirrored = Annotated[
    BothSides | None, Field(description='Instead of side, ["left", "right"]: written as on the left, and mirrored.')
]


def upwards(band: list[float] | None) -> list[float] | None:
    """A band goes from its lower angle to its higher one.

    Raises
    ------
    PydanticCustomError
        It does not, or goes past upright.
    """
    if band is not None and not band[0] <= band[1] <= math.pi / 2 * (1 + 1e-12):
        what = "is no band from a lower to a higher angle, up to 90 deg"
        raise PydanticCustomError("quantity", "{what}", {"what": what, "hint": '["40 deg", "60 deg"]'})
    return band


class WrittenLoad(Table):
    """[load]: what is raised."""

    weight: Weight | None = Field(
        default=None, description="The whole weight; may be left out where end_weight is given."
    )
    motion: Literal["hinged", "straight"] = Field(description="It turns about a pivot, or goes straight up.")
    cg: Place | None = Field(default=None, description=f"Centre of gravity: {AT}.")
    end_weight: Weight | None = Field(
        default=None, description="Instead of cg, hinged: what a scale shows under the end."
    )
    end_at: Span | None = Field(default=None, description="How far ahead of the pivot that scale stands.")
    pivot_height: Length | None = Field(default=None, description="Of the hinge line above ground (default 0).")
    take_up: Length | None = Field(default=None, description="Ram travel spent before the load moves (default 0).")


class WrittenNeed(Table):
    """[need]: what must be cleared, and no more."""

    point: Place = Field(description=f"The point that has to rise: {AT}.")
    rise: Rise = Field(description="How far it has to rise, at most 10 m.")


class WrittenLeaderKeys(Table):
    """[leader]: how the lift is called; a variant may replace any of it."""

    rule: Literal["stop-until-caught", "keep-pace"] | None = Field(
        default=None,
        description='"stop-until-caught" (the default) holds the calls for an open gap; "keep-pace" never does.',
    )
    strokes: Annotated[int, Field(strict=True, ge=1, le=100)] | None = Field(
        default=None, description="Strokes a call (default 1)."
    )
    gap_limit: Length | None = Field(default=None, description="The largest gap at which the next call is made.")
    pace: Seconds | None = Field(default=None, description="Shortest time from call to call (default 0 s).")
    look: Seconds | None = Field(default=None, description="To look and decide after a hold (default 0 s).")
    level_limit: Length | None = Field(
        default=None, description="Sides further apart: only the low one is called (default: none)."
    )
    if_uncapturable: Literal["go-on", "stop"] | None = Field(
        default=None,
        description='All caught and a gap over the limit: "go-on" calls (the default), "stop" ends the lift.',
    )
    max_calls: Annotated[int, Field(strict=True, ge=1, le=MOST_CALLS)] | None = Field(
        default=None, description="The lift ends after so many calls (default 500)."
    )


class WrittenLimits(Table):
    """[limits]: what the checks hold the lift against."""

    gap: Length | None = Field(default=None, description="Largest gap wanted (default 1 in).")
    drop: Length | None = Field(default=None, description="Largest drop wanted (default 3 in).")
    design_factor: Factor | None = Field(default=None, description="Rated over carried, at least (default 1.5).")
    strut_angle: Band | None = Field(default=None, description="Struts, from horizontal (default 40 to 60 deg).")
    lifter_angle: Band | None = Field(default=None, description="Lifters, from horizontal (default 55 to 90 deg).")

    _upwards = field_validator("strut_angle", "lifter_angle")(upwards)


class WrittenLifter(Table):
    """[[lifter]]: a ram with a hand pump that raises one side."""

    name: Name = Field(description="Yours; its operator goes by it too.")
    side: Literal["left", "right"] | None = Field(default=None, description="The side it raises.")
    sides: Mirrored = None
    head: Head
    base: Standing = None
    angle: Leaning = None
    foot: FootWay = None
    travel: Span = Field(description="How far the ram can move.")
    travel_per_pump: Step | None = Field(
        default=None, description="Ram travel of a full stroke; or give pump and ram_area."
    )
    pump: Name | None = Field(default=None, description="The [pump.NAME] that drives it.")
    ram_area: Area | None = Field(default=None, description="Of the ram's piston, with pump.")
    operator: Name = Field(description="The [operator.NAME] at its handle: the kind of person.")
    capture: Names = Field(default=[], description="Devices on the lifter itself (default: none).")
    catcher: Who | None = Field(default=None, description="Who works them: one name, or one a device.")
    rated_load: Weight | None = Field(default=None, description="The maker's rating.")
    base_area: Area | None = Field(default=None, description="Of its foot on the ground.")
    share: Annotated[float, Field(strict=True, ge=0.0, le=1.0, allow_inf_nan=False)] | None = Field(
        default=None, description="Its part of the load, 0 to 1 (default: the lever rule)."
    )
    handle_stroke: Span | None = Field(default=None, description="How far the hand moves in one stroke.")


class WrittenTie(Table):
    """tie = {...}: what holds the foot of a strut in."""

    kind: Literal["chain", "webbing", "rope", "rod"] = Field(description="What it is made of.")
    slack: Length = Field(
        default=0.0, description="How far it leaves the device behind the load at the start (default 0)."
    )
    length: Span | None = Field(default=None, description="From the foot to where it is made fast.")
    anchor: Place | None = Field(default=None, description="Where it is made fast (default: level with the foot).")
    working_load_limit: Weight | None = Field(default=None, description="As marked.")
    elongation: Annotated[float, Field(strict=True, ge=0.0, le=0.5, allow_inf_nan=False)] | None = Field(
        default=None, description="Share of its length that it stretches at its working load limit."
    )
    size: Span | None = Field(default=None, description="Of a chain: to look its limit up.")
    grade: Literal[30, 43, 70, 80, 100] | None = Field(default=None, description="Of a chain; unmarked counts as 30.")
    width: Span | None = Field(default=None, description="Of webbing: to look its limit up.")
    tensioner_limit: Weight | None = Field(default=None, description="Working load limit of the tensioner.")
    anchor_limit: Weight | None = Field(default=None, description="Working load limit of the anchor.")


class WrittenStation(Table):
    """[[station]]: a place where the load is held up besides the rams."""

    name: Name = Field(description="Yours; its catcher goes by it unless catcher is given.")
    side: Literal["left", "right", "both"] | None = Field(default=None, description='The side it follows, or "both".')
    sides: Mirrored = None
    head: Head
    base: Standing = None
    angle: Leaning = None
    foot: FootWay = None
    capture: Annotated[Names, Field(min_length=1)] = Field(description="Its devices, by name.")
    catcher: Who | None = Field(
        default=None, description="Who works them: one name, or one a device; the same name twice is one person."
    )
    tie: WrittenTie | None = Field(default=None, description="What holds its foot in (default: nothing).")
    rated_load: Weight | None = Field(default=None, description="The maker's rating.")
    give: Length | None = Field(
        default=None, description="How far strut and ground give under the load it would catch."
    )
    base_area: Area | None = Field(default=None, description="Of its foot on the ground.")


class WrittenReset(Table):
    """[reset]: a spent lifter is let go, packed up and brought back to contact."""

    time: Seconds = Field(description="For all of that.")
    reseat: Length = Field(default=0.0, description="Ram travel to spend before the load moves again (default 0).")


class WrittenMishap(Table):
    """[[mishap]]: something that goes wrong on purpose."""

    kind: Literal["pressure-lost", "lifter-lost", "slow", "missed", "false-caught", "stop"] = Field(
        description="What goes wrong."
    )
    who: Name | None = Field(default=None, description="The lifter or the catcher that it happens to; nobody for stop.")
    call: Annotated[int, Field(strict=True, ge=1, le=MOST_CALLS)] = Field(description="At which call.")
    after: Seconds | None = Field(
        default=None, description="A loss or a stop: so long after the call's end (default 0 s)."
    )
    factor: Annotated[float, Field(strict=True, ge=1.0, le=100.0, allow_inf_nan=False)] | None = Field(
        default=None, description="slow: how many times as long everything takes from then on."
    )
    time: Seconds | None = Field(default=None, description="stop: for how long all freezes.")


class WrittenGround(Table):
    """[ground]: what the feet stand on."""

    bearing: Pressure | None = Field(default=None, description="What it bears, if known.")
    soil: Literal[tuple(SOILS)] | None = Field(default=None, description="Or its class.")  # type: ignore[valid-type]
    edge: Length | None = Field(default=None, description="From the nearest foot to a hole or edge.")
    depth: Length | None = Field(default=None, description="How deep that hole is.")


class WrittenCrewKeys(Table):
    """[crew]: how much its people differ; a study then shows its answer over other crews."""

    crew_sd: Annotated[float, Field(strict=True, ge=0.0, le=1.0, allow_inf_nan=False)] = Field(
        default=0.0, description="Standard deviation of the factor on all of a person's times (default 0: not asked)."
    )


class WrittenVariant(Table):
    """[[variant]]: another way to make the same lift."""

    name: Name = Field(description="Yours.")
    replace: Annotated[dict[Name, Names], Field(max_length=MOST["device"])] = Field(
        default={}, description="Device name = the devices in its place, at every lifter and station that uses it."
    )
    leader: WrittenLeaderKeys = Field(
        default=WrittenLeaderKeys(), description="Keys that replace those of [leader]; the rest stay."
    )


class WrittenScenario(Table):
    """A scenario file."""

    title: Title | None = Field(default=None, description=TITLE)
    units: Literal["us", "si"] = Field(default="si", description='How figures are shown: "us" or "si" (the default).')
    load: WrittenLoad
    need: WrittenNeed
    leader: WrittenLeaderKeys = WrittenLeaderKeys()
    limits: WrittenLimits = WrittenLimits()
    operator: Annotated[dict[Name, WrittenOperator], Field(max_length=MOST["operator"])]
    pump: Annotated[dict[Name, WrittenPump], Field(max_length=MOST["pump"])] = {}
    catcher: Annotated[dict[Name, WrittenCatcher], Field(max_length=MOST["catcher"])] = {}
    device: Annotated[dict[Name, WrittenDevice], Field(max_length=MOST["device"])] = {}
    lifter: Annotated[list[WrittenLifter], Field(min_length=1, max_length=MOST["lifter"])]
    station: Annotated[list[WrittenStation], Field(max_length=MOST["station"])] = []
    reset: WrittenReset | None = None
    mishap: Annotated[list[WrittenMishap], Field(max_length=MOST["mishap"])] = []
    ground: WrittenGround = WrittenGround()
    crew: WrittenCrewKeys = WrittenCrewKeys()
    variant: Annotated[list[WrittenVariant], Field(max_length=MOST["variant"])] = []
    assumed: Marks = Field(default={}, description=ASSUMED)


SINGLE: dict[str, type[Table]] = {  # [name]
    "load": WrittenLoad,
    "need": WrittenNeed,
    "leader": WrittenLeaderKeys,
    "limits": WrittenLimits,
    "reset": WrittenReset,
    "ground": WrittenGround,
    "crew": WrittenCrewKeys,
}
SEVERAL: dict[str, type[Table]] = {  # [name.NAME] and [[name]]; the devices have a table for each kind
    "operator": WrittenOperator,
    "pump": WrittenPump,
    "catcher": WrittenCatcher,
    "lifter": WrittenLifter,
    "station": WrittenStation,
    "mishap": WrittenMishap,
    "variant": WrittenVariant,
}


def schema() -> dict[str, Any]:
    """The JSON schema of a scenario, for editors."""
    return WrittenScenario.model_json_schema()
