"""What a person writes about where the load is raised and held: lifters, stations, ties, and who works there."""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import AfterValidator, BeforeValidator, Field, PlainValidator, WithJsonSchema

from sim.model.visible import UNSEEN
from sim.written.keys.devices import dressed, timber_side
from sim.written.keys.quantities import (
    Angle,
    Area,
    Coefficients,
    Coordinate,
    Length,
    Pressure,
    Share,
    Span,
    Step,
    Table,
    Weight,
    optional,
    refusal,
)

ONE_LINE = rf"^[^\s{UNSEEN}]([^{UNSEEN}]*[^\s{UNSEEN}])?$"  # no space at its ends
LONGEST_NAME = 60
Name = Annotated[str, Field(min_length=1, max_length=LONGEST_NAME, pattern=ONE_LINE)]


def _one_or_several(written: object) -> object:
    """Who works the devices: a name, or a list of names."""
    listed = written if isinstance(written, list) else [written]
    if not all(isinstance(n, str) and len(n) <= LONGEST_NAME and re.fullmatch(ONE_LINE, n) for n in listed):
        hint = f"each in one line, of at most {LONGEST_NAME} characters, without a space at its ends"
        raise refusal("a name is wanted, or a list of names", hint)
    return written


Names = Annotated[list[Name], Field(max_length=10)]
Who = Annotated[
    str | list[str],
    PlainValidator(_one_or_several),
    WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}),
]
Place = Annotated[list[Coordinate], Field(min_length=3, max_length=3)]
BothSides = Annotated[list[Literal["left", "right"]], Field(min_length=2, max_length=2)]
Foot = Literal["ahead", "behind", "out", "in"]
AT = "x from the pivot towards the lifting end, y to the left of the centreline, z above ground"

# What a lifter and a station are both written with.
Head = Annotated[Place, Field(description=f"Where it meets the load: {AT}.")]
Standing = Annotated[Place | None, Field(description="Where it stands; or give angle and foot.")]
Leaning = Annotated[Angle | None, Field(description="Instead of base: from horizontal, standing at height 0.")]
FootWay = Annotated[Foot | None, Field(description="With angle: which way the foot stands from the head.")]
UNDER_FOOT = "Friction coefficient under its foot on its plate, low and high, such as [0.3, 0.4] (default: not known)."
Mirrored = Annotated[
    BothSides | None, Field(description='Instead of side, ["left", "right"]: written as on the left, and mirrored.')
]


class WrittenTie(Table):
    """tie = {...}: what holds the foot of a strut or a lifter in."""

    kind: Literal["chain", "webbing", "rope", "rod"] = Field(description="What it is made of.")
    slack: Length = optional("How far it leaves the device behind the load at the start (default 0).", 0.0)
    length: Span | None = optional("From the foot to where it is made fast.")
    anchor: Place | None = optional("Where it is made fast (default: level with the foot).")
    to: Literal["ground", "load", "pivot"] = optional(
        'What it is made fast to: "ground" (the default), "load", or "pivot": what the load turns about.', "ground"
    )
    working_load_limit: Weight | None = optional("As marked.")
    elongation: Annotated[float, Field(strict=True, ge=0.0, le=0.5, allow_inf_nan=False)] | None = optional(
        "Share of its length that it stretches at its working load limit."
    )
    size: Span | None = optional("Of a chain: to look its limit up.")
    grade: Literal[30, 43, 70, 80, 100] | None = optional("Of a chain; unmarked counts as 30.")
    width: Span | None = optional("Of webbing: to look its limit up.")
    tensioner_limit: Weight | None = optional("Working load limit of the tensioner.")
    anchor_limit: Weight | None = optional("Working load limit of the anchor.")


class WrittenLifter(Table):
    """[[lifter]]: a ram with a hand pump that raises one side."""

    name: Name = Field(description="Yours; its operator goes by it too.")
    side: Literal["left", "right"] | None = optional("The side it raises.")
    sides: Mirrored = None
    head: Head
    base: Standing = None
    angle: Leaning = None
    foot: FootWay = None
    travel: Span = Field(description="How far the ram can move.")
    travel_per_pump: Step | None = optional("Ram travel of a full stroke; or give pump and ram_area.")
    pump: Name | None = optional("The [pump.NAME] that drives it.")
    ram_area: Area | None = optional("Of the ram's piston, with pump.")
    operator: Name = Field(description="The [operator.NAME] at its handle: the kind of person.")
    capture: Names = optional("Devices on the lifter itself (default: none).", [])
    catcher: Who | None = optional("Who works them: one name, or one a device.")
    rated_load: Weight | None = optional("The maker's rating.")
    base_area: Area | None = optional("Of its foot on the ground.")
    friction: Coefficients | None = optional(UNDER_FOOT)
    share: Share | None = optional("Its part of the load, 0 to 1 (default: the lever rule).")
    handle_stroke: Span | None = optional("How far the hand moves in one stroke.")
    give: Length | None = optional("How far ram, capture and ground give under the load that its capture would catch.")
    tie: WrittenTie | None = optional("What keeps its foot from kicking out (default: not known).")


def post_sides(written: object) -> tuple[float, float]:
    """A post's actual thickness and width [m], the smaller first: of "4x6", or of a square one its actual width.

    Raises
    ------
    PydanticCustomError
        It is neither, or not between 10 mm and 1 m.
    """
    sides = dressed(written)
    return sides or (timber_side(written),) * 2


def no_thicker_than_solid(tube: list[float] | None) -> list[float] | None:
    """A tube's wall [m] is half its outer diameter at most: a rod.

    Raises
    ------
    PydanticCustomError
        It is more.
    """
    if tube is not None and not tube[1] <= tube[0] / 2 * (1 + 1e-9):
        raise refusal("has a wall of more than half the outer diameter", 'outer first, such as ["3 in", "0.25 in"]')
    return tube


# What a strut is made of, in the full form and in the short one.
Tube = Annotated[
    Annotated[list[Step], Field(min_length=2, max_length=2), AfterValidator(no_thicker_than_solid)] | None,
    Field(description="Of a metal strut: outer diameter and wall of its tube, of the thinnest if several slide into "
                      "each other."),
]  # fmt: skip
Post = Annotated[
    Annotated[tuple[float, float], BeforeValidator(post_sides, json_schema_input_type=str)] | None,
    Field(description='Or of a timber post: nominal size, such as "4x4", or actual width of a square one.'),
]
Material = Annotated[
    str,
    Field(max_length=60, pattern=rf"^[^{UNSEEN}]*$", description='Of the tube, "steel" or "aluminium"; of the post, '
          'species and grade, such as "Douglas Fir-Larch No. 1".'),
]  # fmt: skip
Yields = Annotated[Pressure | None, Field(alias="yield", description="Yield stress of the tube's metal.")]


class WrittenStation(Table):
    """[[station]]: a place where the load is held up besides the rams."""

    name: Name = Field(description="Yours; its catcher goes by it unless catcher is given.")
    side: Literal["left", "right", "both"] | None = optional('The side it follows, or "both".')
    sides: Mirrored = None
    head: Head
    base: Standing = None
    angle: Leaning = None
    foot: FootWay = None
    capture: Annotated[Names, Field(min_length=1)] = Field(description="Its devices, by name.")
    catcher: Who | None = optional("Who works them: one name, or one a device; the same name twice is one person.")
    tie: WrittenTie | None = optional("What holds its foot in (default: nothing).")
    rated_load: Weight | None = optional("The maker's rating.")
    give: Length | None = optional("How far strut and ground give under the load it would catch.")
    base_area: Area | None = optional("Of its foot on the ground.")
    tube: Tube = None
    post: Post = None
    material: Material = ""
    yields: Yields = None
    friction: Coefficients | None = optional(UNDER_FOOT)
