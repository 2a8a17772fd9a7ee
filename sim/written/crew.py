"""What a person writes about the people, the pumps and the devices. Each key's description is the README's too."""

from __future__ import annotations

import math
import re
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from sim.devices import EXACT
from sim.units import INCH, LENGTH, QuantityError, quoted, read
from sim.visible import UNSEEN
from sim.written.quantities import (
    DrawnRate,
    DrawnShare,
    DrawnTime,
    DrawnWork,
    Length,
    Pressure,
    Span,
    Step,
    Table,
    Volume,
)

Chance = Annotated[float, Field(strict=True, ge=0.0, le=1.0, allow_inf_nan=False)]
Reaction = Annotated[DrawnTime | None, Field(description="Before the catcher starts (default 0 s).")]


class WrittenOperator(Table):
    """[operator.NAME]: a kind of person at a pump handle; every lifter has one of its own."""

    react: DrawnTime | None = Field(default=None, description="From the call to the first stroke (default 0 s).")
    stroke: DrawnWork = Field(description="One working movement of the handle.")
    recover: DrawnTime | None = Field(
        default=None, description="Bringing the handle back after each stroke (default 0 s)."
    )
    fill: DrawnShare | None = Field(default=None, description="Share of a full stroke delivered, 0 to 1 (default 1).")
    miss: Chance = Field(default=0.0, description="Chance that a call is missed, 0 to 1 (default 0).")


class WrittenPump(Table):
    """[pump.NAME]: a hand pump of one or two stages."""

    first_stage: Volume = Field(description="Volume a stroke, below the shift pressure.")
    second_stage: Volume | None = Field(
        default=None, description="Volume a stroke from the shift pressure on (default: none)."
    )
    shift_pressure: Pressure | None = Field(default=None, description="Where the pump shifts (default: it does not).")
    relief_pressure: Pressure | None = Field(
        default=None, description="Above it nothing moves (default: no relief valve)."
    )


class WrittenCatcher(Table):
    """[catcher.NAME]: a person who serves several stations."""

    walk: DrawnTime = Field(description="From one station to another, whichever they are.")


def within_one_spacing(first: float | None, before: ValidationInfo) -> float | None:
    """A first hole or link [m]: further than one spacing away it would not be the first.

    Raises
    ------
    PydanticCustomError
        It is.
    """
    spacing = before.data.get("spacing", math.inf)
    if first is not None and not first <= spacing + EXACT:
        what = "is more than one spacing after the start"
        raise PydanticCustomError("quantity", "{what}", {"what": what, "hint": "the first comes up within one spacing"})
    return first


class WrittenCollar(Table):
    """[device.NAME] with kind = "collar": a nut on a threaded strut or ram. Takes up slack."""

    kind: Literal["collar"]
    rise_per_turn: Step = Field(description="The thread's lead: pitch times starts.")
    turns: DrawnRate = Field(description="How fast it is turned.")
    react: Reaction = None
    seat: DrawnTime | None = Field(default=None, description="To seat it when it has met the load (default 0 s).")
    chases: Literal["with", "after"] = Field(
        default="with",
        description='Turned while the side moves ("with", the default) or when it has stopped ("after").',
    )


class WrittenPin(Table):
    """[device.NAME] with kind = "pin": a pin through a row of holes. Slack stays."""

    kind: Literal["pin"]
    spacing: Step = Field(description="From hole to hole.")
    first_hole: Step | None = Field(default=None, description="Where the first hole comes up (default: one spacing).")
    _first = field_validator("first_hole")(within_one_spacing)
    swap: DrawnTime = Field(description="Pin out, and in at the highest hole.")
    react: Reaction = None
    pin_out: Literal["open", "held"] = Field(
        default="open",
        description='While the pin is out the station is "open" (the default) or something holds it: "held".',
    )


class WrittenChain(Table):
    """[device.NAME] with kind = "chain": hooked up link by link. Slack stays; open while off."""

    kind: Literal["chain"]
    spacing: Step = Field(description="From link to link: the pitch.")
    first_link: Step | None = Field(default=None, description="Where the first link comes up (default: one spacing).")
    _first = field_validator("first_link")(within_one_spacing)
    rehook: DrawnTime = Field(description="Off, and on again at the highest link.")
    react: Reaction = None


class WrittenStrap(Table):
    """[device.NAME] with kind = "strap": a ratchet strap, click by click. Takes up slack."""

    kind: Literal["strap"]
    click: Step = Field(description="What one click takes up.")
    click_time: DrawnTime = Field(description="One click.")
    reach: Span = Field(description="How far beyond the start it can be taken up.")
    react: Reaction = None


DRESSED = {2: 1.5, 4: 3.5, 6: 5.5}  # nominal -> actual [in]: PS 20 / NDS Table 1A


def timber_side(written: object) -> float:
    """A timber's actual width [m]: of "2x4" the larger dressed side, or a length such as "3.5 in".

    Raises
    ------
    PydanticCustomError
        It is neither, or not between 10 mm and 1 m.
    """
    nominal = re.fullmatch(r"\s*([246])\s*[xX×]\s*([246])\s*", written) if isinstance(written, str) else None
    if nominal:
        return max(DRESSED[int(side)] for side in nominal.groups()) * INCH
    try:
        side = read(written, LENGTH)
    except QuantityError as wrong:
        hint = 'write the nominal size "4x4" or "6x6", or the actual width, such as "3.5 in" or "90 mm"'
        raise PydanticCustomError("quantity", "{what}", {"what": wrong.what, "hint": hint}) from None
    if not 0.01 <= side <= 1.0:
        what, hint = f"{quoted(str(written))} is not between 10 mm and 1 m", "check the digits and the unit"
        raise PydanticCustomError("quantity", "{what}", {"what": what, "hint": hint})
    return side


Timber = Annotated[float, BeforeValidator(timber_side, json_schema_input_type=str)]


class WrittenCrib(Table):
    """[device.NAME] with kind = "crib": timber piled up under the load, wedges for what is left. No slack."""

    kind: Literal["crib"]
    pieces: Annotated[list[Span], Field(min_length=1, max_length=20)] = Field(
        description="Heights of the pieces at hand, any number of each."
    )
    place: DrawnTime = Field(description="Placing one piece.")
    wedge: Length = Field(default=0.0, description="The most that a pair of wedges fills (default: no wedges).")
    drive: DrawnTime | None = Field(default=None, description="Driving a pair of wedges (default 0 s).")
    react: Reaction = None
    wedge_out: Literal["held", "open"] = Field(
        default="held",
        description='Old wedges hold until the new ones are in ("held", the default) or are drawn first.',
    )
    timber: Timber | None = Field(
        default=None, description='Nominal size, such as "4x4", or actual width: for the checks.'
    )
    per_layer: Annotated[int, Field(strict=True, ge=2, le=10)] = Field(
        default=2, description="Timbers a layer (default 2)."
    )
    timber_length: Span | None = Field(default=None, description="Length of a timber.")
    species: Annotated[str, Field(max_length=60, pattern=rf"^[^{UNSEEN}]*$")] = Field(
        default="", description="Species group of the timber, such as Hem-Fir."
    )
    wet: bool = Field(default=False, strict=True, description="Whether the timber is wet (default false).")


WrittenDevice = Annotated[
    WrittenCollar | WrittenPin | WrittenChain | WrittenStrap | WrittenCrib, Field(discriminator="kind")
]
DEVICE_TABLES: dict[str, type[Table]] = {
    "collar": WrittenCollar,
    "pin": WrittenPin,
    "chain": WrittenChain,
    "strap": WrittenStrap,
    "crib": WrittenCrib,
}
