"""What a person writes about the devices, and what the model makes of it: one table a kind.

Each key's description is the README's too.
"""

from __future__ import annotations

import math
import re
from abc import abstractmethod
from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal, get_args

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator

from sim.model.devices import EXACT, Chain, Collar, Crib, Device, Pin, Strap
from sim.model.devices.crib import Timber
from sim.model.units import INCH, LENGTH, QuantityError, quoted, read
from sim.model.visible import UNSEEN
from sim.written.keys.quantities import DrawnRate, DrawnTime, Length, Span, Step, Table, drawn, optional, refusal

Reaction = Annotated[DrawnTime | None, Field(description="Before the catcher starts (default 0 s).")]


class DeviceTable(Table):
    """[device.NAME]: one kind of device."""

    first: ClassVar[str] = ""  # of a row of them: what `first_...` says where it comes up

    @abstractmethod
    def device(self, name: str) -> Device:
        """As the model has it."""

    @property
    def nothing_unless_said(self) -> list[str]:
        """Times that are 0 s unless they are given."""
        return ["react"]

    @property
    def endless_unless_said(self) -> str:
        """What says where it ends, and is not given."""
        return ""

    def unsaid(self, name: str) -> Iterator[str]:
        """What had to be taken for granted, a sentence each."""
        nothing = [key for key in self.nothing_unless_said if getattr(self, key) is None]
        if nothing:
            yield f'Device "{name}": {" and ".join(nothing)} not given, taken as 0 s.'
        if self.endless_unless_said:
            yield f'Device "{name}": {self.endless_unless_said} not given, taken to go on as far as the load.'
        if self.first and getattr(self, f"first_{self.first}") is None:
            yield f'Device "{name}": the first {self.first} is taken to come up one spacing after the start.'


class WrittenCollar(DeviceTable):
    """[device.NAME] with kind = "collar": a nut on a threaded strut or ram. Takes up slack."""

    kind: Literal["collar"]
    rise_per_turn: Step = Field(description="The thread's lead: pitch times starts.")
    turns: DrawnRate = Field(description="How fast it is turned.")
    react: Reaction = None
    seat: DrawnTime | None = optional("To seat it when it has met the load (default 0 s).")
    chases: Literal["with", "after"] = optional(
        'Turned while the side moves ("with", the default) or when it has stopped ("after").', "with"
    )
    reach: Span | None = optional("How far beyond the start it can be turned up (default: as far as the load goes).")

    def device(self, name: str) -> Collar:
        """As the model has it."""
        react, seat = drawn(self.react), drawn(self.seat)
        reach = math.inf if self.reach is None else self.reach
        return Collar(name, self.rise_per_turn, self.turns.draw, react, seat, self.chases, reach)

    @property
    def nothing_unless_said(self) -> list[str]:
        """Times that are 0 s unless they are given."""
        return ["react", "seat"]

    @property
    def endless_unless_said(self) -> str:
        """It goes on for ever unless its reach is given."""
        return "its reach" if self.reach is None else ""


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
        raise refusal(what, "the first comes up within one spacing")
    return first


class WrittenPin(DeviceTable):
    """[device.NAME] with kind = "pin": a pin through a row of holes. Slack stays."""

    first = "hole"
    kind: Literal["pin"]
    spacing: Step = Field(description="From hole to hole.")
    first_hole: Step | None = optional("Where the first hole comes up (default: one spacing).")
    _first = field_validator("first_hole")(within_one_spacing)
    swap: DrawnTime = Field(description="Pin out, and in at the highest hole.")
    react: Reaction = None
    pin_out: Literal["open", "held"] = optional(
        'While the pin is out the station is "open" (the default) or something holds it: "held".', "open"
    )
    holes: Annotated[int, Field(strict=True, ge=1, le=1000)] | None = optional(
        "How many holes it has beyond the start (default: as many as come up)."
    )

    def device(self, name: str) -> Pin:
        """As the model has it."""
        return Pin(name, self.spacing, self.swap.draw, drawn(self.react), self.first_hole, self.pin_out, self.holes)

    @property
    def endless_unless_said(self) -> str:
        """It goes on for ever unless its holes are given."""
        return "its holes" if self.holes is None else ""


class WrittenChain(DeviceTable):
    """[device.NAME] with kind = "chain": hooked up link by link. Slack stays; open while off."""

    first = "link"
    kind: Literal["chain"]
    spacing: Step = Field(description="From link to link: the pitch.")
    first_link: Step | None = optional("Where the first link comes up (default: one spacing).")
    _first = field_validator("first_link")(within_one_spacing)
    rehook: DrawnTime = Field(description="Off, and on again at the highest link.")
    react: Reaction = None

    def device(self, name: str) -> Chain:
        """As the model has it."""
        return Chain(name, self.spacing, self.rehook.draw, drawn(self.react), self.first_link)


class WrittenStrap(DeviceTable):
    """[device.NAME] with kind = "strap": a ratchet strap, click by click. Takes up slack."""

    kind: Literal["strap"]
    click: Step = Field(description="What one click takes up.")
    click_time: DrawnTime = Field(description="One click.")
    reach: Span = Field(description="How far beyond the start it can be taken up.")
    react: Reaction = None

    def device(self, name: str) -> Strap:
        """As the model has it."""
        return Strap(name, self.click, self.click_time.draw, self.reach, drawn(self.react))


NOMINAL = re.compile(r"\s*([246])\s*[xX×]\s*([246])\s*")
DRESSED = {2: 1.5, 4: 3.5, 6: 5.5}  # nominal -> actual [in]: PS 20 / NDS Table 1A


def dressed(written: object) -> tuple[float, float] | None:
    """The actual sides of a timber of a nominal size such as "2x4" [m], the smaller first; None: it is no such size."""
    nominal = NOMINAL.fullmatch(written) if isinstance(written, str) else None
    if nominal is None:
        return None
    one, other = sorted(DRESSED[int(side)] * INCH for side in nominal.groups())
    return one, other


def timber_side(written: object) -> float:
    """A timber's actual width [m]: of "2x4" the larger dressed side, or a length such as "3.5 in".

    Raises
    ------
    PydanticCustomError
        It is neither, or not between 10 mm and 1 m.
    """
    if (sides := dressed(written)) is not None:
        return sides[1]
    try:
        side = read(written, LENGTH)
    except QuantityError as found:
        hint = 'write the nominal size "4x4" or "6x6", or the actual width, such as "3.5 in" or "90 mm"'
        raise refusal(found.what, hint) from None
    if not 0.01 <= side <= 1.0:
        what, hint = f"{quoted(str(written))} is not between 10 mm and 1 m", "check the digits and the unit"
        raise refusal(what, hint)
    return side


TimberSide = Annotated[float, BeforeValidator(timber_side, json_schema_input_type=str)]


class WrittenCrib(DeviceTable):
    """[device.NAME] with kind = "crib": timber piled up under the load, wedges for what is left. No slack."""

    kind: Literal["crib"]
    pieces: Annotated[list[Span], Field(min_length=1, max_length=20)] = Field(
        description="Heights of the pieces at hand, any number of each."
    )
    place: DrawnTime = Field(description="Placing one piece, or taking one off.")
    wedge: Length = optional("The most that a pair of wedges fills (default: no wedges).", 0.0)
    drive: DrawnTime | None = optional("Driving a pair of wedges (default 0 s).")
    react: Reaction = None
    wedge_out: Literal["held", "open"] = optional(
        'Old wedges hold until the new ones are in ("held", the default) or are drawn first.', "held"
    )
    timber: TimberSide | None = optional('Nominal size, such as "4x4", or actual width: for the checks.')
    per_layer: Annotated[int, Field(strict=True, ge=2, le=10)] | None = optional(
        "Timbers a layer; where it is written, a layer takes so many times `place` (default: once; 2 for the checks)."
    )
    swap_up: bool = Field(
        default=False,
        strict=True,
        description=(
            "Whether pieces on top are taken off for a larger one once there is room for it, the pile open meanwhile "
            "(default false: pieces are only added)."
        ),
    )
    timber_length: Span | None = optional("Length of a timber.")
    species: Annotated[str, Field(max_length=60, pattern=rf"^[^{UNSEEN}]*$")] = optional(
        "Species group of the timber, such as Hem-Fir.", ""
    )
    wet: bool = Field(default=False, strict=True, description="Whether the timber is wet (default false).")

    def device(self, name: str) -> Crib:
        """As the model has it."""
        return Crib(
            name=name,
            pieces=tuple(self.pieces),
            place=self.place.draw,
            wedge=self.wedge,
            drive=drawn(self.drive),
            react=drawn(self.react),
            wedge_out=self.wedge_out,
            timber=Timber(self.timber, self.per_layer or 2, self.timber_length, self.species, self.wet),
            layer=self.per_layer or 1,
            swap_up=self.swap_up,
        )

    @property
    def nothing_unless_said(self) -> list[str]:
        """Times that are 0 s unless they are given."""
        return ["react", "drive"] if self.wedge > 0 else ["react"]

    def unsaid(self, name: str) -> Iterator[str]:
        """What had to be taken for granted, a sentence each."""
        yield from super().unsaid(name)
        if self.per_layer is None:
            yield f'Device "{name}": per_layer not given: a layer is taken to be placed in one `place`, not in several.'


AnyDevice = WrittenCollar | WrittenPin | WrittenChain | WrittenStrap | WrittenCrib
WrittenDevice = Annotated[AnyDevice, Field(discriminator="kind")]
DEVICE_TABLES: dict[str, type[DeviceTable]] = {
    get_args(table.model_fields["kind"].annotation)[0]: table for table in get_args(AnyDevice)
}
