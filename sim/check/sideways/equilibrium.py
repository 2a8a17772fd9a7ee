"""What keeps the load in balance, in space: what heads, feet and the pivot bear, and what friction that needs.

The load is one rigid body, both of its sides at the same u. Whatever carries pushes along its line, gravity pulls at
the centre of gravity, and the pivot line takes the rest; a straight lift has no pivot, and what is left moves it. The
pivot bears at two contacts, half the track either side of its middle. Up they share by roll, fore and aft by the
turning moment. How they share what goes across cannot be told from equilibrium: in proportion to what stands on each.

Every function takes a float or an array of u and gives the like back.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.model.loads import lifter_force
from sim.model.motion import AnyFloats, Floats, Hinged, Motion, functions_for
from sim.model.scenario import Load, Point, Scenario

SLIGHT = 1e-6  # of the weight: a push smaller than this is none

Vector = tuple[AnyFloats, AnyFloats, AnyFloats]  # x, y, z: ahead, left and up are positive


@dataclass(frozen=True, slots=True)
class Contact:
    """Where something bears. `force` acts on the load side of it [N]: on the load, or on the foot of what holds it."""

    force: Vector
    across: AnyFloats  # along the surface [N]
    onto: AnyFloats  # square to the surface [N]; below 0 it would have to pull

    @property
    def friction_needed(self) -> AnyFloats:
        """The friction coefficient [1] that keeps it from sliding, shape (n,) or a float; infinite if not pressed."""
        if isinstance(self.onto, float):
            return self.across / self.onto if self.onto > 0 else math.inf
        across = np.broadcast_to(self.across, self.onto.shape)
        needed: AnyFloats = np.divide(across, self.onto, out=np.full(self.onto.shape, math.inf), where=self.onto > 0)
        return needed


@dataclass(frozen=True, slots=True)
class Push:
    """One lifter or strut, pushing the load from its foot to its head."""

    at: Vector  # its head, moved with the load [m]
    force: Vector  # on the load [N]
    head: Contact
    foot: Contact


@dataclass(frozen=True, slots=True)
class Equilibrium:
    """The load in balance at u."""

    pushed: Vector  # sum of all pushes on the load [N]; its x and y are what moves it sideways
    turning: AnyFloats  # of the pushes about the vertical: through the pivot's middle, or straight through the cg [N m]
    pivot: Vector | None  # what the pivot line must give [N]; None: a straight lift has none
    left: Contact | None  # the pivot's contacts; None: no pivot, or its track not known
    right: Contact | None


def push(motion: Motion, head: Point, base: Point, force: AnyFloats, u: AnyFloats) -> Push:
    """What a lifter or strut does to the load and to the ground.

    Parameters
    ----------
    motion : Hinged or Straight
        How the load moves.
    head, base : point
        Its head at the start, and its foot [m].
    force : float or ndarray of shape (n,)
        Along its line [N], compression positive.
    u : float or ndarray of shape (n,)
        Hinge angle [rad], or rise [m].

    Returns
    -------
    Push
        Its foot stands on level ground; its head bears against a surface that is level at the start and turns with u.
    """
    f, moved = functions_for(u), _moved(motion, head, u)
    x, y, z = (moved[n] - base[n] for n in range(3))
    per_metre = force / f.sqrt(x**2 + y**2 + z**2)
    along, across, up = x * per_metre, y * per_metre, z * per_metre
    foot = Contact((along, across, up), f.sqrt(along**2 + across**2), up)
    turned = u if isinstance(motion, Hinged) else 0 * u
    onto = up * f.cos(turned) - along * f.sin(turned)
    slope = along * f.cos(turned) + up * f.sin(turned)
    return Push(moved, foot.force, Contact(foot.force, f.sqrt(slope**2 + across**2), onto), foot)


def equilibrium(
    load: Load, motion: Motion, pushes: Sequence[Push], u: AnyFloats, track: float | None = None
) -> Equilibrium:
    """What the pivot must give, and what wants to move the load sideways and to turn it.

    Parameters
    ----------
    load : Load
        What is raised.
    motion : Hinged or Straight
        How it moves.
    pushes : sequence of Push
        Everything that carries. On a hinged load together they balance the weight's moment about the pivot.
    u : float or ndarray of shape (n,)
        Hinge angle [rad], or rise [m].
    track : float, optional
        Between the pivot's two contacts [m].

    Returns
    -------
    Equilibrium
        Forces at the pivot act on the load.
    """
    along, across, up = (sum((p.force[n] for p in pushes), 0.0 * u) for n in range(3))
    cg = _moved(motion, load.cg, u)
    x0, y0 = (0.0, 0.0) if isinstance(motion, Hinged) else cg[:2]
    turning = sum(((p.at[0] - x0) * p.force[1] - (p.at[1] - y0) * p.force[0] for p in pushes), 0.0 * u)
    if not isinstance(motion, Hinged):
        return Equilibrium((along, across, up), turning, None, None, None)
    pivot = (-along, -across, load.weight - up)
    if track is None:
        return Equilibrium((along, across, up), turning, pivot, None, None)
    height = motion.pivot_height
    roll = sum((p.at[1] * p.force[2] - (p.at[2] - height) * p.force[1] for p in pushes), 0.0 * u) - load.weight * cg[1]
    left, right = _contacts(pivot, roll, turning, track)
    return Equilibrium((along, across, up), turning, pivot, left, right)


def on_its_lifters(scenario: Scenario, motion: Motion, u: Floats) -> tuple[list[Push], Equilibrium]:
    """What each lifter pushes with while the lifters alone carry the load, both sides at u, and what balances that.

    Parameters
    ----------
    scenario : Scenario
        The lift.
    motion : Hinged or Straight
        How its load moves.
    u : float or ndarray of shape (n,)
        Hinge angle [rad], or rise [m].
    """
    load = scenario.load
    pushes = [push(motion, x.head, x.base, lifter_force(x, load, motion, u), u) for x in scenario.lifters]
    return pushes, equilibrium(load, motion, pushes, u, scenario.pivot.track)


def _moved(motion: Motion, point: Point, u: AnyFloats) -> Vector:
    """Where a point of the load is [m]."""
    if isinstance(u, float):
        return motion.moved(point, u)
    return motion.moved(point, u)


def _contacts(pivot: Vector, roll: AnyFloats, turning: AnyFloats, track: float) -> tuple[Contact, Contact]:
    """The pivot's two contacts, against this roll and turning moment of all else on the load [N m]."""
    ups = [pivot[2] / 2 - roll / track, pivot[2] / 2 + roll / track]
    alongs = [pivot[0] / 2 + turning / track, pivot[0] / 2 - turning / track]
    part = _part(ups[0], pivot[2])
    acrosses = [pivot[1] * part, pivot[1] * (1 - part)]
    f = functions_for(pivot[2])
    left, right = (Contact((x, y, z), f.sqrt(x**2 + y**2), z) for x, y, z in zip(alongs, acrosses, ups, strict=True))
    return left, right


def _part(one: AnyFloats, both: AnyFloats) -> Any:
    """The part of one in both; a half where there is nothing to part."""
    if isinstance(both, float):
        return one / both if both else 0.5
    return np.divide(one, both, out=np.full(both.shape, 0.5), where=both != 0)
