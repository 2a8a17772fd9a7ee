"""Where a point of the load is when the load has moved, and how long a line to it has become.

One number u moves a side: the hinge angle [rad] of a hinged load, the rise [m] of a straight one. Every function takes
a float or an array of u and gives the like back, so that the story and the batch call the same ones. x runs from the
pivot towards the lifting end, y to the left, z up from the ground.

Rigid-body rotation about a fixed line and the law of cosines; both directions in closed form.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from sim.model.scenario import Load, Point

Floats = TypeVar("Floats", float, NDArray[np.float64])
AnyFloats = float | NDArray[np.float64]


def functions_for(x: AnyFloats) -> Any:
    """The library whose sin and sqrt suit x: `math` for a float (five times as fast), numpy for one of shape (n,)."""
    return math if isinstance(x, float) else np


@dataclass(frozen=True, slots=True)
class HingedLine:
    """A line from a fixed base to a head that turns about the pivot: the third side of a triangle."""

    square: float  # sum of the squares of what does not change [m^2]
    twice: float  # twice the product of the two arms [m^2]
    angle: float  # between the arms at the start [rad]
    start: float  # length at the start [m]

    def demand(self, u: Floats) -> Floats:
        """How much longer the line has become.

        Parameters
        ----------
        u : float or ndarray of shape (n,)
            Hinge angle [rad].

        Returns
        -------
        float or ndarray of shape (n,)
            Length less length at the start [m].
        """
        f = functions_for(u)
        return f.sqrt(self.square - self.twice * f.cos(self.angle + u)) - self.start  # type: ignore[no-any-return]

    def u_at(self, demand: Floats) -> Floats:
        """The hinge angle at which the line is longer by `demand` [m]; never below the start, never past straight.

        Parameters
        ----------
        demand : float or ndarray of shape (n,)
            Length less length at the start [m].

        Returns
        -------
        float or ndarray of shape (n,)
            Hinge angle [rad].
        """
        f = functions_for(demand)
        cosine = (self.square - (self.start + demand) ** 2) / self.twice
        if isinstance(demand, float):
            return max(0.0, math.acos(min(1.0, max(-1.0, cosine))) - self.angle)
        return np.maximum(0.0, f.acos(np.clip(cosine, -1.0, 1.0)) - self.angle)  # type: ignore[no-any-return]

    @property
    def last_u(self) -> float:
        """Where the line stops lengthening [rad]: base, pivot and head in one line."""
        return math.pi - self.angle

    @property
    def lengthens(self) -> bool:
        """Whether the line gets longer as the load starts to move."""
        return self.twice > 0 and 0 < self.angle < math.pi


@dataclass(frozen=True, slots=True)
class StraightLine:
    """A line from a fixed base to a head that goes straight up."""

    across: float  # horizontal distance from base to head, squared [m^2]
    up: float  # height of the head above the base at the start [m]
    start: float  # length at the start [m]

    def demand(self, u: Floats) -> Floats:
        """How much longer the line has become [m] at rise u [m], a float or an ndarray of shape (n,)."""
        f = functions_for(u)
        return f.sqrt(self.across + (self.up + u) ** 2) - self.start  # type: ignore[no-any-return]

    def u_at(self, demand: Floats) -> Floats:
        """The rise [m] at which the line is longer by `demand` [m]: float, or shape (n,); never below the start."""
        f = functions_for(demand)
        square = (self.start + demand) ** 2 - self.across
        if isinstance(demand, float):
            return max(0.0, math.sqrt(max(0.0, square)) - self.up)
        return np.maximum(0.0, f.sqrt(np.maximum(0.0, square)) - self.up)  # type: ignore[no-any-return]

    @property
    def last_u(self) -> float:
        """None, so infinite [m]: a line that goes up never stops lengthening."""
        return math.inf

    @property
    def lengthens(self) -> bool:
        """Whether the line gets longer as the load starts to move."""
        return self.up > 0


@dataclass(frozen=True, slots=True)
class Hinged:
    """The load turns about a line at the far end."""

    pivot_height: float

    def moved(self, point: Point, u: Floats) -> tuple[Floats, float, Floats]:
        """Where the point is: x, y and z [m] at hinge angle u [rad], a float or an ndarray of shape (n,)."""
        f = functions_for(u)
        x, y, z = point[0], point[1], point[2] - self.pivot_height
        sine, cosine = f.sin(u), f.cos(u)
        return x * cosine - z * sine, y, self.pivot_height + x * sine + z * cosine

    def rise(self, point: Point, u: Floats) -> Floats:
        """How far the point has risen [m] at hinge angle u [rad], a float or an ndarray of shape (n,)."""
        f = functions_for(u)
        x, z = point[0], point[2] - self.pivot_height
        return x * f.sin(u) - 2 * z * f.sin(u / 2) ** 2  # type: ignore[no-any-return]

    def u_for_rise(self, point: Point, rise: float) -> float:
        """The hinge angle [rad] that raises the point by `rise` [m]; NaN where no angle does."""
        x, z = point[0], point[2] - self.pivot_height
        radius = math.hypot(x, z)
        sine = (z + rise) / radius if radius > 0 else math.inf
        if not (x > 0 and abs(sine) <= 1):
            return math.nan
        return math.asin(sine) - math.atan2(z, x)

    def line(self, head: Point, base: Point) -> HingedLine:
        """The line from a base on the ground to a head on the load."""
        hx, hz = head[0], head[2] - self.pivot_height
        bx, bz = base[0], base[2] - self.pivot_height
        across = head[1] - base[1]
        angle = math.remainder(math.atan2(hz, hx) - math.atan2(bz, bx), 2 * math.pi)
        return HingedLine(
            square=hx * hx + hz * hz + bx * bx + bz * bz + across * across,
            twice=2 * math.hypot(hx, hz) * math.hypot(bx, bz),
            angle=angle,
            start=math.dist(head, base),
        )

    def arm(self, head: Point, base: Point, u: Floats) -> Floats:
        """Moment arm about the pivot [m] of a push from base to head, at hinge angle u [rad]: float, or shape (n,)."""
        x, y, z = self.moved(head, u)
        along_x, along_y, along_z = x - base[0], y - base[1], z - base[2]
        length = functions_for(u).sqrt(along_x**2 + along_y**2 + along_z**2)
        return (x * along_z - (z - self.pivot_height) * along_x) / length  # type: ignore[no-any-return]

    def lever(self, point: Point, u: Floats) -> Floats:
        """How far the point is ahead of the pivot [m], the arm of a weight there: float, or shape (n,)."""
        f = functions_for(u)
        return point[0] * f.cos(u) - (point[2] - self.pivot_height) * f.sin(u)  # type: ignore[no-any-return]


@dataclass(frozen=True, slots=True)
class Straight:
    """The load goes straight up."""

    def moved(self, point: Point, u: Floats) -> tuple[Floats, float, Floats]:
        """Where the point is: x, y and z [m] at rise u [m], a float or an ndarray of shape (n,)."""
        return point[0] + 0 * u, point[1], point[2] + u

    def rise(self, point: Point, u: Floats) -> Floats:
        """How far the point has risen [m]: u itself, float or of shape (n,)."""
        return u

    def u_for_rise(self, point: Point, rise: float) -> float:
        """The u [m] that raises the point by `rise` [m]: the same."""
        return rise

    def line(self, head: Point, base: Point) -> StraightLine:
        """The line from a base on the ground to a head on the load."""
        across = (head[0] - base[0]) ** 2 + (head[1] - base[1]) ** 2
        return StraightLine(across=across, up=head[2] - base[2], start=math.dist(head, base))

    def arm(self, head: Point, base: Point, u: Floats) -> Floats:
        """Vertical part of a push from base to head, 0 to 1, at rise u [m]: float, or shape (n,)."""
        up = head[2] - base[2] + u
        f = functions_for(u)
        return up / f.sqrt((head[0] - base[0]) ** 2 + (head[1] - base[1]) ** 2 + up**2)  # type: ignore[no-any-return]

    def lever(self, point: Point, u: Floats) -> Floats:
        """The number 1, float or of shape (n,): the lifters carry the whole weight, however far it has risen."""
        return 1.0 + 0 * u


Motion = Hinged | Straight
Line = HingedLine | StraightLine


def motion_of(load: Load) -> Motion:
    """The motion that the scenario asks for."""
    return Hinged(load.pivot_height) if load.motion == "hinged" else Straight()
