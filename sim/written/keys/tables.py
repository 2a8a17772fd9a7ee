"""A scenario as a person writes it, table by table; `reading.py` makes the model's frozen data of it.

Every key has a description: the JSON schema for editors and the README's reference come from here. Nothing here looks
from one table into another: that is `choices.py`, `names.py` and `geometry.py`.
"""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator

from sim.model.soil import SOILS
from sim.written.keys.assumed import Marks
from sim.written.keys.crew import WrittenCatcher, WrittenOperator, WrittenPump
from sim.written.keys.devices import WrittenDevice
from sim.written.keys.places import MOST, MOST_CALLS
from sim.written.keys.quantities import (
    TITLE,
    Angle,
    Coefficients,
    Length,
    Pressure,
    Rise,
    Seconds,
    Share,
    Span,
    Table,
    Title,
    Weight,
    optional,
    refusal,
)
from sim.written.keys.stages import WrittenLeaderKeys, WrittenStage, WrittenStart
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
        raise refusal(what, '["40 deg", "60 deg"]')
    return band


class WrittenLoad(Table):
    """[load]: what is raised."""

    weight: Weight | None = optional("The whole weight; may be left out where end_weight is given.")
    motion: Literal["hinged", "straight"] = Field(description="It turns about a pivot, or goes straight up.")
    cg: Place | None = optional(f"Centre of gravity: {AT}.")
    end_weight: Weight | None = optional("Instead of cg, hinged: what a scale shows under the end.")
    end_at: Span | None = optional("How far ahead of the pivot that scale stands.")
    pivot_height: Length | None = optional("Of the hinge line above ground (default 0).")
    take_up: Length | None = optional("Ram travel spent before the load moves (default 0).")


class WrittenNeed(Table):
    """[need]: what must be cleared, and no more."""

    point: Place = Field(description=f"The point that has to rise: {AT}.")
    rise: Rise = Field(description="How far it has to rise, at most 10 m.")


class WrittenLimits(Table):
    """[limits]: what the checks hold the lift against."""

    gap: Length | None = optional("Largest gap wanted (default 1 in).")
    drop: Length | None = optional("Largest drop wanted (default 3 in).")
    design_factor: Factor | None = optional("Rated over carried, at least (default 1.5).")
    strut_angle: Band | None = optional("Struts, from horizontal (default 40 to 60 deg).")
    lifter_angle: Band | None = optional("Lifters, from horizontal (default 55 to 90 deg).")

    _upwards = field_validator("strut_angle", "lifter_angle")(upwards)


class WrittenReset(Table):
    """[reset]: a spent lifter is let go, packed up and brought back to contact."""

    time: Seconds = Field(description="For all of that.")
    reseat: Length = optional("Ram travel to spend before the load moves again (default 0).", 0.0)


class WrittenMishap(Table):
    """[[mishap]]: something that goes wrong on purpose."""

    kind: Literal["pressure-lost", "lifter-lost", "slow", "missed", "false-caught", "stop"] = Field(
        description="What goes wrong."
    )
    who: Name | None = optional("The lifter or the catcher that it happens to; nobody for stop.")
    call: Annotated[int, Field(strict=True, ge=1, le=MOST_CALLS)] = Field(description="At which call.")
    after: Seconds | None = optional("A loss or a stop: so long after the call's end (default 0 s).")
    factor: Annotated[float, Field(strict=True, ge=1.0, le=100.0, allow_inf_nan=False)] | None = optional(
        "slow: how many times as long everything takes from then on, what is under way included."
    )
    time: Seconds | None = optional("stop: for how long all freezes.")
    phase: Literal["free", "room", "lower"] | None = optional(
        "A loss or a stop, at a lowering call: after the end of which part of it (default: of the whole call)."
    )


class WrittenGround(Table):
    """[ground]: what the feet stand on."""

    bearing: Pressure | None = optional("What it bears, if known.")
    soil: Literal[tuple(SOILS)] | None = optional("Or its class.")  # type: ignore[valid-type]
    edge: Length | None = optional("From the nearest foot to a hole or edge.")
    depth: Length | None = optional("How deep that hole is.")


class WrittenPivot(Table):
    """[pivot]: what keeps the pivot of a hinged load from moving; what is not written is not known."""

    held: Literal["chocked", "chocked-ahead", "chocked-behind", "brakes", "nothing"] | None = optional(
        'How it is kept from rolling: chocks both ways, on one side only (ahead: towards the lifting end), "brakes" '
        'alone, or "nothing".'
    )
    holds: Weight | None = optional("What that holds fore and aft, at each of its two contacts.")
    friction: Coefficients | None = optional("Friction coefficient under it, low and high, such as [0.3, 0.4].")
    track: Span | None = optional("From its left contact to its right one, across.")


class WrittenCrewKeys(Table):
    """[crew]: how many there are, and how much they differ; a study then shows its answer over other crews."""

    crew_sd: Share = optional(
        "Standard deviation of the factor on all of a person's times (default 0: not asked).", 0.0
    )
    people: Annotated[int, Field(strict=True, ge=1, le=1000)] | None = optional(
        "How many there are, the leader among them (default: not known)."
    )


class WrittenVariant(Table):
    """[[variant]]: another way to make the same lift."""

    name: Name = Field(description="Yours.")
    title: Title | None = optional("What it is called where ways are compared (default: its name).")
    set: Annotated[dict[str, int | float | str], Field(max_length=MOST["assumed"])] = optional(
        "The path of a value in this file, as in [assumed] = what stands there in this variant.", {}
    )
    leave_out: Annotated[list[Name], Field(max_length=MOST["station"])] = optional(
        "Names of stations that this variant does without.", []
    )
    replace: Annotated[dict[Name, Names], Field(max_length=MOST["device"])] = optional(
        "Device name = the devices in its place, at every lifter and station that uses it.", {}
    )
    leader: WrittenLeaderKeys = optional("Keys that replace those of [leader]; the rest stay.", WrittenLeaderKeys())


class WrittenScenario(Table):
    """A scenario file."""

    title: Title | None = optional(TITLE)
    units: Literal["us", "si"] = optional('How figures are shown: "us" or "si" (the default).', "si")
    load: WrittenLoad
    need: WrittenNeed
    leader: WrittenLeaderKeys = WrittenLeaderKeys()
    stage: Annotated[list[WrittenStage], Field(max_length=MOST["stage"])] = []
    start: WrittenStart | None = None
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
    pivot: WrittenPivot = WrittenPivot()
    crew: WrittenCrewKeys = WrittenCrewKeys()
    variant: Annotated[list[WrittenVariant], Field(max_length=MOST["variant"])] = []
    assumed: Marks = optional(ASSUMED, {})


SINGLE: dict[str, type[Table]] = {  # [name]
    "load": WrittenLoad,
    "need": WrittenNeed,
    "leader": WrittenLeaderKeys,
    "start": WrittenStart,
    "limits": WrittenLimits,
    "reset": WrittenReset,
    "ground": WrittenGround,
    "pivot": WrittenPivot,
    "crew": WrittenCrewKeys,
}
SEVERAL: dict[str, type[Table]] = {  # [name.NAME] and [[name]]; the devices have a table for each kind
    "stage": WrittenStage,
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
