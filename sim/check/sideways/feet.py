"""Feet that would kick out: what friction they need where nothing ties them, against what the file says is under them.

What is not known is a caution, with what is published. A tie is held against the thrust elsewhere (`ties.py`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from sim.check.figures import times_up
from sim.check.findings import COMMON, Check, Finding, Level, finding
from sim.check.sideways.equilibrium import Push
from sim.check.stations import StationLoad
from sim.model.scenario import Lifter, Station
from sim.model.sentences import Part, up

STEEP = math.radians(85)  # what stands steeper hardly pushes its foot out; 0.1 was measured at least
STEEL_ON_CONCRETE = (0.3, 0.4)  # the code's least and most; of 260 pairs tested, most were near the least
FRICTION_SOURCE = "EN 12812:2004, informative annex: steel on concrete; HSE RR071 (2003)"


def lifter_foot_findings(lifter: Lifter, pushed: Push) -> Iterator[Finding]:
    """A foot that would kick out, and one that is tied to what the load turns about."""
    needed = float(np.asarray(pushed.foot.friction_needed).max())
    if lifter.tie is not None and lifter.tie.to == "pivot":
        yield finding("stop", Check.LIFTER_TIED_TO_PIVOT, lifter.name, source="statics")
    if lifter.tie is not None or not needed < math.inf:
        return
    if lifter.friction is not None:
        yield from _against(lifter.friction, lifter.name, needed)
    elif needed > 1 / math.tan(STEEP):
        said = _bounds(needed, STEEL_ON_CONCRETE)
        yield finding("caution", Check.LIFTER_FOOT_SLIDES, lifter.name, needed, None, "", FRICTION_SOURCE, **said)


def strut_foot_findings(station: Station, load: StationLoad) -> Iterator[Finding]:
    """A leaning strut without a tie; one that would have to pull is its station's to say."""
    if station.tie is not None or load.static_worst < 0:
        return
    steepness = min(load.angle_start, load.angle_end)
    needed = 1 / math.tan(steepness)
    if station.friction is not None:
        yield from _against(station.friction, station.name, needed)
    elif steepness < STEEP:
        pushes = math.hypot(load.thrust_along, load.thrust_across)
        said = {"thrust": up(pushes, "force"), **_bounds(needed, STEEL_ON_CONCRETE)}
        source = f"{COMMON}; {FRICTION_SOURCE}"
        yield finding("caution", Check.TIE_MISSING, station.name, pushes, None, "N", source, **said)


def _against(friction: tuple[float, float], name: str, needed: float) -> Iterator[Finding]:
    """Over the high one a stop, between low and high a caution."""
    low, high = friction
    if needed > low:
        level: Level = "stop" if needed > high else "caution"
        said = _bounds(needed, friction)
        yield finding(level, Check.FOOT_KICKS_OUT, name, needed, high, "", "statics; the file", **said)


def _bounds(needed: float, friction: tuple[float, float]) -> dict[str, Part]:
    """What a foot needs, and what is under it, for the words of a finding."""
    return {"grip": times_up(needed), "low": f"{friction[0]:g}", "high": f"{friction[1]:g}"}
