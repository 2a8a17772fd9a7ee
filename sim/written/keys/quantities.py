"""The kinds of quantity that a scenario holds: read by `units.py`, bounded here, described for the JSON schema.

`Length`, `Weight` and the like are pydantic types: text in, SI out. A time or a rate that differs from call to call is
either one such text or a table {mean, sd}, and becomes a `Draw`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    ValidationInfo,
    WithJsonSchema,
    field_validator,
    model_validator,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError

from sim.model.draw import Draw
from sim.model.units import (
    ANGLE,
    AREA,
    FORCE,
    LENGTH,
    PRESSURE,
    RATE,
    SPEED,
    TIME,
    VOLUME,
    Dimension,
    QuantityError,
    quoted,
    read,
)
from sim.model.visible import UNSEEN

SHORTEST = 1e-3  # [s]
SMALLEST_ROOM = 1e-4  # [m]


def _reader(
    dimension: Dimension, least: float, least_said: str, most: float = math.inf, most_said: str = ""
) -> Callable[[object], float]:
    """Reads a quantity that is not below `least` and not above `most` [SI]."""

    def reader(written: object) -> float:
        try:
            value = read(written, dimension)
        except QuantityError as found:
            raise refusal(found.what, found.hint) from None
        if not value >= least * (1 - 1e-12):
            raise _out_of_bounds(f"{quoted(str(written))} is less than {least_said}")
        if not value <= most:
            raise _out_of_bounds(f"{quoted(str(written))} is more than {most_said}")
        return value

    return reader


def _seconds(written: object) -> float:
    """A time that is nothing, or one that a clock could show."""
    value = _reader(TIME, 0.0, "0 s")(written)
    if 0 < value < SHORTEST:
        what, hint = f"{quoted(str(written))} is less than 1 ms, and not nothing", 'write "0 s", or check the unit'
        raise refusal(what, hint)
    return value


def _room(written: object) -> float:
    """How far a device is let down at a time [m]: with nothing, nobody would ever come down."""
    value = _reader(LENGTH, 0.0, "0 mm")(written)
    if not value >= SMALLEST_ROOM * (1 - 1e-12):
        hint = 'how far a device is let down at a time, such as "1/4 in"; left out, it is gap_limit'
        raise refusal(f"{quoted(str(written))} is less than 0.1 mm: it leaves no room to come down into", hint)
    return value


def refusal(what: str, hint: str) -> PydanticCustomError:
    """A value that cannot be, in words that its writer knows, and what to do."""
    return PydanticCustomError("quantity", "{what}", {"what": what, "hint": hint})


def _out_of_bounds(what: str) -> PydanticCustomError:
    return refusal(what, "check the sign, the digits and the unit")


def _schema(dimension: Dimension) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "description": f"{dimension.name}, such as {dimension.example}"})


Coordinate = Annotated[float, BeforeValidator(_reader(LENGTH, -1e3, "-1 km")), _schema(LENGTH)]
Length = Annotated[float, BeforeValidator(_reader(LENGTH, 0.0, "0 mm")), _schema(LENGTH)]
Span = Annotated[float, BeforeValidator(_reader(LENGTH, 1e-3, "1 mm")), _schema(LENGTH)]  # something one can see
Rise = Annotated[float, BeforeValidator(_reader(LENGTH, 1e-3, "1 mm", 10.0, "10 m")), _schema(LENGTH)]
Step = Annotated[float, BeforeValidator(_reader(LENGTH, 1e-4, "0.1 mm")), _schema(LENGTH)]  # repeated many times a lift
Height = Annotated[float, BeforeValidator(_reader(LENGTH, 0.0, "0 mm", 10.0, "10 m")), _schema(LENGTH)]
Room = Annotated[float, BeforeValidator(_room), _schema(LENGTH)]
Weight = Annotated[float, BeforeValidator(_reader(FORCE, 1.0, "1 N")), _schema(FORCE)]
Seconds = Annotated[float, BeforeValidator(_seconds), _schema(TIME)]
Work = Annotated[float, BeforeValidator(_reader(TIME, 1e-2, "0.01 s")), _schema(TIME)]
Turning = Annotated[float, BeforeValidator(_reader(RATE, 1e-2, "0.01 /s")), _schema(RATE)]
Spread = Annotated[float, BeforeValidator(_reader(RATE, 0.0, "0 /s")), _schema(RATE)]
Speed = Annotated[float, BeforeValidator(_reader(SPEED, 1e-4, "0.1 mm/s")), _schema(SPEED)]
SpeedSpread = Annotated[float, BeforeValidator(_reader(SPEED, 0.0, "0 mm/s")), _schema(SPEED)]
Angle = Annotated[float, BeforeValidator(_reader(ANGLE, 0.0, "0 deg")), _schema(ANGLE)]
Area = Annotated[float, BeforeValidator(_reader(AREA, 1e-6, "1 mm^2")), _schema(AREA)]
Volume = Annotated[float, BeforeValidator(_reader(VOLUME, 1e-9, "1 mm^3")), _schema(VOLUME)]
Share = Annotated[float, Field(strict=True, ge=0.0, le=1.0, allow_inf_nan=False)]
Pressure = Annotated[float, BeforeValidator(_reader(PRESSURE, 1.0, "1 Pa")), _schema(PRESSURE)]


def _low_before_high(friction: list[float]) -> list[float]:
    if friction[0] > friction[1]:
        raise refusal("goes from a high coefficient to a low one", "the lower one first: [0.3, 0.4]")
    return friction


Coefficient = Annotated[float, Field(strict=True, ge=0.0, le=2.0, allow_inf_nan=False)]
Coefficients = Annotated[list[Coefficient], Field(min_length=2, max_length=2), AfterValidator(_low_before_high)]

LONGEST_TITLE = 120
Title = Annotated[str, Field(max_length=LONGEST_TITLE, pattern=rf"^[^{UNSEEN}]*$")]
TITLE = f"What it is called, in at most {LONGEST_TITLE} characters (default: the file's name)."


def optional(meaning: str, default: Any = None) -> Any:
    """A key that may be left out: what it means, and what stands for it then."""
    return Field(default=default, description=meaning)


class Table(BaseModel):
    """A table of a scenario: frozen, and nothing in it that is not known."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Drawn(Table):
    """A quantity that differs from call to call: its mean and its standard deviation."""

    mean: float = Field(description="The mean.")
    sd: float = Field(default=0.0, description="The standard deviation (default 0: always the mean).")

    @model_validator(mode="before")
    @classmethod
    def _one_figure_is_the_mean(cls, written: Any) -> Any:
        return written if isinstance(written, dict) else {"mean": written}

    @classmethod
    def __get_pydantic_json_schema__(cls, core: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Either one figure, as the mean is written, or the table."""
        of_table = handler.resolve_ref_schema(handler(core))
        return {"anyOf": [of_table["properties"]["mean"], of_table]}

    @property
    def draw(self) -> Draw:
        """The plain data of it."""
        return Draw(self.mean, self.sd)


class DrawnTime(Drawn):
    """A time that differs from call to call: lognormal with this mean and standard deviation."""

    mean: Seconds
    sd: Seconds = 0.0

    @field_validator("sd")
    @classmethod
    def _something_to_spread(cls, sd: float, before: ValidationInfo) -> float:
        if sd > 0 and before.data.get("mean") == 0:
            raise refusal("a mean of 0 s leaves nothing to spread", "leave the sd out, or give a mean")
        return sd


class DrawnWork(DrawnTime):
    """A time that cannot be nothing: a stroke, a swap."""

    mean: Work


class DrawnRate(Drawn):
    """A rate that differs from call to call: lognormal with this mean and standard deviation."""

    mean: Turning
    sd: Spread = 0.0


class DrawnSpeed(Drawn):
    """A speed that differs from call to call: lognormal with this mean and standard deviation."""

    mean: Speed
    sd: SpeedSpread = 0.0


class DrawnShare(Drawn):
    """A share that differs from call to call: beta on 0 to 1 with this mean and standard deviation."""

    mean: Annotated[float, Field(strict=True, ge=0.01, le=1.0, allow_inf_nan=False)]
    sd: Annotated[float, Field(strict=True, ge=0.0, allow_inf_nan=False)] = 0.0

    @field_validator("sd")
    @classmethod
    def _within_a_beta(cls, sd: float, before: ValidationInfo) -> float:
        mean = before.data.get("mean", 0.5)
        most = math.sqrt(mean * (1 - mean))
        if not (sd == 0 or sd < most):
            what = f"no share from 0 to 1 has the mean {mean:g} and the sd {sd:g}"
            raise refusal(what, f"write an sd below {most:.3g}")
        return sd


def drawn(written: Drawn | None, default: float = 0.0) -> Draw:
    """What was written as the model has it; or the default, the same every time."""
    return Draw(default) if written is None else written.draw
