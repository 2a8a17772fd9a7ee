"""How numbers, times and sentences with figures in them are said, on the terminal and on the pages."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from sim.model.scenario import Limits
from sim.model.units import SHOWN, Units

NOT_KNOWN = "not known"


def count(number: int, one: str, many: str = "") -> str:
    """A number with its noun: "1 call", "12 calls"."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def clock(seconds: float | None) -> str:
    """A time as people say it: "41 s", "2 min 41 s"; below ten seconds to the tenth."""
    if seconds is None or math.isnan(seconds):
        return NOT_KNOWN
    if seconds < 0.05:
        return "0 s"
    if seconds < 9.95:
        return f"{seconds:.1f} s"
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    parts = [(hours, "h"), (minutes, "min"), (rest, "s")]
    return " ".join(f"{n} {unit}" for n, unit in parts if n)


def limit(length: float, units: Units) -> str:
    """A limit as it was set and a gauge block is marked: "1/8 in", "3 in", "3.175 mm"; never rounded up."""
    shown = SHOWN["length"][units]
    value = length / shown.size
    sixteenths = round(16 * value)
    if units == "us" and abs(16 * value - sixteenths) < 1e-6:
        whole, part = divmod(sixteenths, 16)
        return f"{' '.join(str(n) for n in (whole, Fraction(part, 16)) if n) or '0'}{shown.unit}"
    exact = round(value, 3)
    if abs(exact - value) > 1e-6:
        exact = math.floor(value * 10**shown.places + 1e-6) / 10**shown.places
    return f"{f'{exact:,.3f}'.rstrip('0').rstrip('.')}{shown.unit}"


def together(words: str) -> str:
    """The same words, no line broken between a number and its unit."""
    return re.sub(r"(?<=[0-9]) (?=(?:in|mm|lb|kN|J|ft-lb|h|min|s)\b|%)", "\u00a0", words)


def whose(limits: Limits, name: str) -> str:
    """One limit: "the limit you set", or "the default limit"."""
    return "the default limit" if limits.is_default(name) else "the limit you set"


def all_of(limits: Limits, *names: str) -> str:
    """Several: "the limits you set", "the default limits", or both."""
    default = [limits.is_default(name) for name in names or limits.NAMES]
    if all(default):
        return "the default limits"
    return "the limits you set and the default ones" if any(default) else "the limits you set"
