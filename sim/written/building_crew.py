"""The people, the pumps and the devices, from what a person wrote of them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sim.devices import Chain, Collar, Crib, Device, Pin, Strap
from sim.devices.crib import Timber
from sim.draw import Draw
from sim.scenario import Operator, Pump
from sim.written.crew import (
    WrittenChain,
    WrittenCollar,
    WrittenCrib,
    WrittenOperator,
    WrittenPin,
    WrittenPump,
    WrittenStrap,
)
from sim.written.quantities import Drawn

AnyDevice = WrittenCollar | WrittenPin | WrittenChain | WrittenStrap | WrittenCrib


def operator_of(name: str, written: WrittenOperator) -> Operator:
    """A kind of operator."""
    return Operator(
        name=name,
        stroke=written.stroke.draw,
        react=_or(written.react, 0.0),
        recover=_or(written.recover, 0.0),
        fill=_or(written.fill, 1.0),
        miss=written.miss,
    )


def pump_of(name: str, written: WrittenPump) -> Pump:
    """A pump; one without a shift pressure never shifts, one without a relief valve never opens it."""
    return Pump(
        name=name,
        first_stage=written.first_stage,
        second_stage=written.first_stage if written.second_stage is None else written.second_stage,
        shift_pressure=math.inf if written.shift_pressure is None else written.shift_pressure,
        relief_pressure=math.inf if written.relief_pressure is None else written.relief_pressure,
    )


def device_of(name: str, written: AnyDevice) -> Device:
    """A kind of device."""
    react = _or(written.react, 0.0)
    match written:
        case WrittenCollar():
            seat = _or(written.seat, 0.0)
            return Collar(name, written.rise_per_turn, written.turns.draw, react, seat, written.chases)
        case WrittenPin():
            return Pin(name, written.spacing, written.swap.draw, react, written.first_hole, written.pin_out)
        case WrittenChain():
            return Chain(name, written.spacing, written.rehook.draw, react, written.first_link)
        case WrittenStrap():
            return Strap(name, written.click, written.click_time.draw, written.reach, react)
        case WrittenCrib():
            return Crib(
                name=name,
                pieces=tuple(written.pieces),
                place=written.place.draw,
                wedge=written.wedge,
                drive=_or(written.drive, 0.0),
                react=react,
                wedge_out=written.wedge_out,
                timber=Timber(written.timber, written.per_layer, written.timber_length, written.species, written.wet),
            )


def unsaid_of_operator(name: str, written: WrittenOperator) -> Iterator[str]:
    """What had to be taken for granted of an operator, a sentence each."""
    nothing = [key for key in ("react", "recover") if getattr(written, key) is None]
    if nothing:
        yield f'Operator "{name}": {" and ".join(nothing)} not given, taken as 0 s.'
    if written.fill is None:
        yield f'Operator "{name}": fill not given, every stroke is a full one.'


def unsaid_of_device(name: str, written: AnyDevice) -> Iterator[str]:
    """What had to be taken for granted of a device, a sentence each."""
    drives = isinstance(written, WrittenCrib) and written.wedge > 0
    keys = ["react"] + ["seat"] * isinstance(written, WrittenCollar) + ["drive"] * drives
    nothing = [key for key in keys if getattr(written, key) is None]
    if nothing:
        yield f'Device "{name}": {" and ".join(nothing)} not given, taken as 0 s.'
    if isinstance(written, WrittenPin) and written.first_hole is None:
        yield f'Device "{name}": the first hole is taken to come up one spacing after the start.'
    if isinstance(written, WrittenChain) and written.first_link is None:
        yield f'Device "{name}": the first link is taken to come up one spacing after the start.'


def _or(written: Drawn | None, default: float) -> Draw:
    return Draw(default) if written is None else written.draw
