"""What bears sideways, seen from above: at each foot and at the pivot's contacts, at rest and at its worst.

At rest is the start, the lifters having just taken the load; the worst instant is that of the swept lift at which what
bears there needs most friction. Nothing here says whether there is as much.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sim.check.course import STEPS
from sim.check.sideways.equilibrium import SLIGHT, Contact, on_its_lifters
from sim.model.motion import motion_of
from sim.model.scenario import Scenario

Array = NDArray[np.float64]
Way = Literal["ahead", "behind"]


@dataclass(frozen=True, slots=True)
class Bearing:
    """One contact with the ground, or with what the pivot stands on."""

    name: str
    at: tuple[float, float]  # ahead, left [m]
    along: Array  # how it pushes there, ahead is positive, from the start to the top: shape (n,) [N]
    across: Array  # to the left is positive [N]
    needs: Array | None  # friction coefficient [1]; None: not known

    @property
    def worst(self) -> int:
        """The instant at which it needs most friction; where that is not known, pushes most."""
        return int(np.argmax(np.hypot(self.along, self.across) if self.needs is None else self.needs))

    def push(self, n: int) -> float:
        """How hard it pushes sideways at an instant [N]."""
        return math.hypot(float(self.along[n]), float(self.across[n]))

    def friction(self, n: int) -> float | None:
        """What friction coefficient [1] it needs at an instant; None: not known, or it is not pressed at all."""
        if self.needs is None or not math.isfinite(float(self.needs[n])):
            return None
        return float(self.needs[n])


@dataclass(frozen=True, slots=True)
class FromAbove:
    """Everything that bears, through the lift."""

    u: Array  # (n,) from the start to the top [rad or m]
    bearings: tuple[Bearing, ...]
    chocks: tuple[Way, ...]  # on which sides of the pivot something must hold it

    @property
    def most(self) -> float:
        """The hardest push of all [N]."""
        return max((float(np.hypot(b.along, b.across).max()) for b in self.bearings), default=0.0)


def from_above(scenario: Scenario, top: float) -> FromAbove:
    """What bears sideways, the lifters alone carrying the load.

    Parameters
    ----------
    scenario : Scenario
        The lift.
    top : float
        Where u goes to [rad or m].
    """
    u = np.linspace(0.0, top, STEPS)
    pushes, found = on_its_lifters(scenario, motion_of(scenario.load), u)
    bearings = [
        _bearing(f"{x.name}, foot", (x.base[0], x.base[1]), pushed.foot, -1.0)
        for x, pushed in zip(scenario.lifters, pushes, strict=True)
    ]
    if found.pivot is not None:
        bearings += _at_the_pivot(scenario, found.left, found.right, found.pivot)
    least = SLIGHT * scenario.load.weight
    ahead = [b.along for b in bearings if b.name.startswith("pivot")]
    chocks: list[Way] = ["ahead"] if any(float(each.max()) > least for each in ahead) else []
    chocks += ["behind"] if any(float(each.min()) < -least for each in ahead) else []
    return FromAbove(u, tuple(bearings), tuple(chocks))


def over_the_need(scenario: Scenario) -> FromAbove:
    """What bears sideways from the start until the need is reached."""
    need = scenario.need
    return from_above(scenario, motion_of(scenario.load).u_for_rise(need.point, need.rise))


def _at_the_pivot(
    scenario: Scenario, left: Contact | None, right: Contact | None, pivot: tuple[object, ...]
) -> Iterator[Bearing]:
    """Its two contacts; where its track is not known the whole of it, in its middle."""
    if left is None or right is None or scenario.pivot.track is None:
        along, across = (-np.asarray(each, dtype=np.float64) for each in pivot[:2])
        yield Bearing("pivot", (0.0, 0.0), along, across, None)
        return
    half = scenario.pivot.track / 2
    yield _bearing("pivot, left", (0.0, half), left, -1.0)
    yield _bearing("pivot, right", (0.0, -half), right, -1.0)


def _bearing(name: str, at: tuple[float, float], contact: Contact, sign: float) -> Bearing:
    """What a contact passes on: the other way round than what it gives."""
    shape = np.shape(contact.onto)
    along, across = (sign * np.broadcast_to(np.asarray(x, dtype=np.float64), shape) for x in contact.force[:2])
    return Bearing(name, at, along, across, np.broadcast_to(np.asarray(contact.friction_needed), shape))
