"""A scenario as a person writes it, table by table; `reading.py` makes the model's frozen data of it.

Every key has a description: the JSON schema for editors and the README's reference come from here. Nothing here looks
from one table into another: that is `choices.py`, `names.py` and `geometry.py`.
"""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator
from pydantic_core import PydanticCustomError

from sim.model.soil import SOILS
from sim.written.keys.assumed import Marks
from sim.written.keys.crew import WrittenCatcher, WrittenOperator, WrittenPump
from sim.written.keys.devices import WrittenDevice
from sim.written.keys.places import MOST, MOST_CALLS
from sim.written.keys.quantities import (
    TITLE,
    Angle,
    Length,
    Pressure,
    Rise,
    Seconds,
    Span,
    Table,
    Title,
    Weight,
)
from sim.written.keys.stands import AT, Name, Names, Place, WrittenLifter, WrittenStation

Band = Annotated[list[Angle], Field(min_length=2, max_length=2)]
Factor = Annotated[float, Field(strict=True, ge=1.0, le=10.0, allow_inf_nan=False)]
ASSUMED = "The path of a value in this file = how low and how high it may be."


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
