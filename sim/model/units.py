"""Quantities in and out: a small reader of our own, and the figures that people see.

Inside, everything is SI. A person writes "4 1/2 in", "11 ft 8 in", "127 mm", "5200 lb"; a bare number is refused, for
nobody can see whether it was meant in inches. Where a force is meant, a mass is taken as its weight, with the standard
g = 9.80665 m/s^2 (CGPM 1901); a ton is the short ton of 2000 lb, a t the tonne. Factors: NIST SP 811, appendix B.
"""

from __future__ import annotations

import json
import math
import re
from dataclasses import dataclass
from typing import Literal

from sim.model.errors import nearest
from sim.model.visible import visible

Units = Literal["us", "si"]

G = 9.80665  # [m/s^2]
INCH, FOOT, POUND = 0.0254, 0.3048, 0.45359237  # [m], [m], [kg]
LBF = POUND * G  # [N]
PSI = LBF / INCH**2  # [Pa]
PSF = LBF / FOOT**2  # [Pa]


@dataclass(frozen=True, slots=True)
class Dimension:
    """One kind of quantity: what it is called, the units it may be written in, how far it may go."""

    name: str  # with its article: "a length"
    example: str
    most: float  # in SI; whatever is larger is a slip
    most_said: str
    units: dict[str, float]  # name as written -> SI


def _also(units: dict[str, float], **others: str) -> dict[str, float]:
    """The units, and other spellings of them."""
    return units | {other: units[name] for name, spellings in others.items() for other in spellings.split()}


LENGTH = Dimension(
    "a length", '"4 1/2 in" or "127 mm"', 1e3, "1 km",
    _also({"in": INCH, "ft": FOOT, "yd": 3 * FOOT, "mm": 1e-3, "cm": 1e-2, "m": 1.0},
          **{"in": "inch inches", "ft": "foot feet", "yd": "yard yards"}),
)  # fmt: skip
FORCE = Dimension(
    "a weight or force", '"5200 lb" or "23 kN"', 1e8, "100,000 kN",
    _also({"N": 1.0, "kN": 1e3, "MN": 1e6, "lb": LBF, "kip": 1e3 * LBF, "ton": 2e3 * LBF, "kg": G, "t": 1e3 * G},
          lb="lbs lbf pound pounds", kip="kips", ton="tons", kg="kgf", t="tonne tonnes"),
)  # fmt: skip
TIME = Dimension(
    "a time", '"0.5 s" or "800 ms"', 86400.0, "24 h",
    _also({"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0}, s="sec second seconds", min="minute minutes"),
)  # fmt: skip
ANGLE = Dimension(
    "an angle", '"78 deg"', 2 * math.pi, "360 deg",
    _also({"deg": math.pi / 180, "rad": 1.0}, deg="° degree degrees", rad="radian radians"),
)  # fmt: skip
RATE = Dimension(
    "a rate", '"0.6 /s" or "36 /min"', 100.0, "100 /s",
    _also({"/s": 1.0, "/min": 1 / 60}, **{"/s": "turns/s", "/min": "rpm turns/min"}),
)  # fmt: skip
AREA = Dimension(
    "an area", '"2.5 in^2" or "16 cm^2"', 100.0, "100 m^2",
    _also({"in^2": INCH**2, "ft^2": FOOT**2, "mm^2": 1e-6, "cm^2": 1e-4, "m^2": 1.0},
          **{"in^2": "in2", "ft^2": "ft2", "mm^2": "mm2", "cm^2": "cm2", "m^2": "m2"}),
)  # fmt: skip
VOLUME = Dimension(
    "a volume", '"1 in^3" or "16 cm^3"', 1.0, "1 m^3",
    _also({"in^3": INCH**3, "mm^3": 1e-9, "cm^3": 1e-6, "mL": 1e-6, "L": 1e-3},
          **{"in^3": "in3", "mm^3": "mm3", "cm^3": "cm3 cc", "mL": "ml", "L": "l"}),
)  # fmt: skip
PRESSURE = Dimension(
    "a pressure", '"2000 psi", "2000 psf" or "14 MPa"', 1e9, "1,000 MPa",
    {"Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "bar": 1e5, "psi": PSI, "psf": PSF, "ksi": 1e3 * PSI},
)  # fmt: skip
SPEED = Dimension(
    "a speed", '"0.2 in/s" or "5 mm/s"', 10.0, "10 m/s",
    {"in/s": INCH, "in/min": INCH / 60, "ft/s": FOOT, "ft/min": FOOT / 60,
     "mm/s": 1e-3, "mm/min": 1e-3 / 60, "cm/s": 1e-2, "m/s": 1.0, "m/min": 1 / 60},
)  # fmt: skip
DIMENSIONS = (LENGTH, FORCE, TIME, ANGLE, RATE, AREA, VOLUME, PRESSURE, SPEED)


class QuantityError(ValueError):
    """A text that is no quantity of the kind that is wanted."""

    def __init__(self, what: str, hint: str = "") -> None:
        self.what, self.hint = what, hint
        super().__init__(what, hint)

    def __str__(self) -> str:
        return self.what


_DECIMAL = r"(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_FRACTION = r"(?:(?P<whole>[0-9]{1,9})(?:\s+|-))?(?P<over>[0-9]{1,9})/(?P<under>[0-9]{1,9})"
_PART = re.compile(rf"\s*(?:{_FRACTION}|(?P<decimal>{_DECIMAL}))\s*(?P<unit>[^\s0-9.+,-][^\s,]*)?")
_THOUSANDS = re.compile(r"(?<![0-9.,])[1-9][0-9]{0,2}(?:,[0-9]{3})+(?![0-9,])")  # 12,000: it can be no other number
_MARKS = re.compile(r"""(?<=[0-9.])\s?(["″”“'′’‘])""")  # 5' 6"
_TIDY = str.maketrans(
    {"\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u2212": "-", "\u2044": "/", "²": "^2", "³": "^3"}
    | {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
)


def read(written: object, wanted: Dimension) -> float:
    """What a person wrote, in SI.

    Parameters
    ----------
    written : object
        "4 1/2 in"; anything but text is refused.
    wanted : Dimension
        What kind of quantity is meant.

    Returns
    -------
    float
        The quantity [SI], finite, of either sign.

    Raises
    ------
    QuantityError
        No number, no unit, the wrong kind of unit, or beyond what the dimension allows.
    """
    write = f"write {wanted.name}, such as {wanted.example}"
    if isinstance(written, int | float) and not isinstance(written, bool):
        raise QuantityError(f"{written} has no unit", write)
    if not isinstance(written, str):
        raise QuantityError(f"{wanted.name} is wanted, in quotes", write)
    text = _MARKS.sub(lambda found: " ft " if found[1] in "'′’‘" else " in ", written.translate(_TIDY)).strip()
    text = _THOUSANDS.sub(lambda found: found[0].replace(",", ""), text)
    if "," in text:
        raise QuantityError(f"{quoted(written)} has a comma in it", f"{write}: a point for decimals, no other mark")
    sign = -1.0 if text.startswith("-") else 1.0
    value = sign * _sum_of_parts(text[1:] if text[:1] in ("-", "+") else text, written, wanted, write)
    if not abs(value) <= wanted.most:
        raise QuantityError(f"{quoted(written)} is more than {wanted.most_said}", "check the unit and the digits")
    return value + 0.0  # no -0


def quoted(written: str) -> str:
    """What a person wrote, in quotes and in one line, cut where it is endless."""
    return visible(json.dumps(written if len(written) <= 60 else f"{written[:57]}...", ensure_ascii=False))


def _sum_of_parts(text: str, written: str, wanted: Dimension, write: str) -> float:
    """The parts of "11 ft 8 in" together: each unit smaller than the one before, and less than one of it."""
    parts: list[tuple[float, float]] = []  # value and unit [SI]
    at = 0
    while at < len(text) or not parts:
        part = _PART.match(text, at)
        if part is None:
            raise QuantityError(f"{quoted(written)} is not {wanted.name}", write)
        unit = _unit(part["unit"], written, wanted, write)
        value = _number(part, written, write) * unit
        if parts and not (unit < parts[-1][1] and value < parts[-1][1]):
            raise QuantityError(f"{quoted(written)} does not add up", f"{write}; the larger unit first")
        parts.append((value, unit))
        at = part.end()
    return sum(value for value, _ in parts)


def _number(part: re.Match[str], written: str, write: str) -> float:
    """The number of one part, a decimal or a fraction."""
    if part["decimal"]:
        return float(part["decimal"])
    if int(part["under"]) == 0:
        raise QuantityError(f"{quoted(written)} divides by zero", write)
    return int(part["whole"] or 0) + int(part["over"]) / int(part["under"])


def _unit(name: str | None, written: str, wanted: Dimension, write: str) -> float:
    """What one of the unit is in SI."""
    if name is None:
        raise QuantityError(f"{quoted(written)} has no unit", write)
    name = name.removesuffix(".") or name
    if name in wanted.units:
        return wanted.units[name]
    for other in DIMENSIONS:
        if name in other.units:
            raise QuantityError(f"{quoted(written)} is {other.name}, and {wanted.name} is wanted", write)
    raise QuantityError(f"{quoted(written)}: the unit {quoted(name)} is not known", _known(name, wanted, write))


def _known(name: str, wanted: Dimension, write: str) -> str:
    """The nearest unit, or else those there are."""
    hint = nearest(name, wanted.units)
    return hint if hint.startswith("did") else f"{write}; units here: {', '.join(wanted.units)}"


@dataclass(frozen=True, slots=True)
class _Shown:
    unit: str
    size: float  # of the unit, in SI
    places: int  # decimals


SHOWN: dict[str, dict[Units, _Shown]] = {
    "length": {"us": _Shown(" in", INCH, 2), "si": _Shown(" mm", 1e-3, 1)},
    "force": {"us": _Shown(" lb", LBF, 0), "si": _Shown(" kN", 1e3, 2)},
    "hand": {"us": _Shown(" lb", LBF, 0), "si": _Shown(" N", 1.0, 0)},  # a force that kilonewtons would hide
    "energy": {"us": _Shown(" ft-lb", FOOT * LBF, 0), "si": _Shown(" J", 1.0, 0)},
    "time": {"us": _Shown(" s", 1.0, 2), "si": _Shown(" s", 1.0, 2)},
    "angle": {"us": _Shown(" deg", math.pi / 180, 1), "si": _Shown(" deg", math.pi / 180, 1)},
    "rate": {"us": _Shown(" /s", 1.0, 2), "si": _Shown(" /s", 1.0, 2)},
    "speed": {"us": _Shown(" in/s", INCH, 2), "si": _Shown(" mm/s", 1e-3, 1)},
    "area": {"us": _Shown(" in^2", INCH**2, 1), "si": _Shown(" cm^2", 1e-4, 1)},
    "volume": {"us": _Shown(" in^3", INCH**3, 2), "si": _Shown(" cm^3", 1e-6, 2)},
    "pressure": {"us": _Shown(" psi", PSI, 0), "si": _Shown(" MPa", 1e6, 2)},
    "bearing": {"us": _Shown(" psf", PSF, 0), "si": _Shown(" kPa", 1e3, 1)},
}


def show(value: float, dimension: str, units: Units) -> str:
    """A figure as people read it: `show(0.127, "length", "us")` is "5.00 in".

    Parameters
    ----------
    value : float
        The quantity [SI].
    dimension : str
        A key of `SHOWN`.
    units : "us" or "si"
        What the scenario asks for.

    Returns
    -------
    str
        The nearest figure, with its unit; never -0.
    """
    shown = SHOWN[dimension][units]
    return _figure(round(value / shown.size, shown.places), shown)


def show_up(value: float, dimension: str, units: Units) -> str:
    """As `show`, but never less than the value is: for gaps, drops and what is carried; rounding noise is no more."""
    shown = SHOWN[dimension][units]
    if not math.isfinite(value):
        return _figure(value, shown)
    noise = max(1e-9, 1e-12 * abs(value))
    steps = math.ceil((value - noise) / shown.size * 10**shown.places)
    return _figure(steps / 10**shown.places, shown)


def show_down(value: float, dimension: str, units: Units) -> str:
    """As `show`, but never more than the value is: for what may be carried."""
    shown = SHOWN[dimension][units]
    if not math.isfinite(value):
        return _figure(value, shown)
    noise = max(1e-9, 1e-12 * abs(value))
    steps = math.floor((value + noise) / shown.size * 10**shown.places)
    return _figure(steps / 10**shown.places, shown)


def _figure(number: float, shown: _Shown) -> str:
    return f"{number + 0.0:,.{shown.places}f}{shown.unit}"
