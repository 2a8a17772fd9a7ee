"""What a side that comes down meets, and what that gives: fall, drop, rest and peak, one function for all who ask.

A load that falls by h along the line of what it meets, onto something that gives by d under the load at rest, comes
down to d (1 + sqrt(1 + 2 h / d)) below first contact, peaks at 1 + sqrt(1 + 2 h / d) times the load at rest, and rests
d below first contact: energy on a linear spring (Roark; Akin, Rice University). Strut and ground give by what the file
says; the tie that holds a strut's foot stretches by F cos / k, and lets the strut down along its line by F cos^2 / k.
The two give one after the other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.model.devices import EXACT
from sim.model.loads import axial_force, effort
from sim.model.motion import AnyFloats, Motion
from sim.model.scenario import Lifter, Load, Station, Tie

NOTHING = 1.0  # [N] of thrust: what an upright strut asks of its tie

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Meeting:
    """What comes of a side that falls onto a place; each of shape (n,), brought back to the lifter's head."""

    fall: Array  # until it is met [m]
    drop: Array  # and what then gives, to the lowest point [m]; at least that much where the give is not known
    rest: Array  # where it comes to rest below where it was [m]
    peak: Array  # axial force at the lowest point [N]; nan: not known
    known: Flags  # whether all that gives is known
    left: (
        Array  # how far the lowest point is above the start, along that line [m]; below nothing: the start comes first
    )


def compliance(tie: Tie | None) -> float | None:
    """How much longer a tie gets per newton [m/N]; 0 where there is none, None where it is not known."""
    if tie is None:
        return 0.0
    if tie.elongation is None or tie.length is None or tie.working_load_limit is None:
        return None
    return tie.elongation * tie.length / tie.working_load_limit


def impact(fall: AnyFloats, give: AnyFloats) -> Array:
    """How many times the load at rest a load peaks at that falls onto something that gives.

    Parameters
    ----------
    fall : float or ndarray of shape (n,)
        Until it is met, along the line in which it is met [m].
    give : float or ndarray of shape (n,)
        Under the load at rest [m], more than 0.

    Returns
    -------
    float or ndarray of shape (n,)
        The factor 1 + sqrt(1 + 2 fall / give): 2 for a load that is let go in contact.
    """
    factor: Array = 1 + np.sqrt(1 + 2 * fall / give)
    return factor


def meet(
    load: Load,
    motion: Motion,
    lost: Lifter,
    share: float,
    where: Lifter | Station,
    u: Array,
    stop: Array,
    other: Array | None,
) -> Meeting:
    """A side at u comes down onto a place that stops it at `stop`.

    Parameters
    ----------
    load, motion : Load, Hinged or Straight
        What is raised, and how.
    lost : Lifter
        Of the side that comes down.
    share : float
        What part of the effort `where` takes then, 0 to 1 (`loads.share_met`).
    where : Lifter or Station
        What it is met by: a station, or the lifter's own capture.
    u, stop : ndarray of shape (n,)
        Where the side is, and where first contact is [rad or m].
    other : ndarray of shape (n,), optional
        u of the other side, which a place on both sides is turned about [rad or m]; None if there is none.

    Returns
    -------
    Meeting
        Never below the start.
    """
    about = other if where.side == "both" else None
    line = motion.line(where.head, where.base)
    now, met = (u, stop) if about is None else ((u + about) / 2, (stop + about) / 2)
    contact = line.demand(met)
    was, nothing = motion.rise(lost.head, u), np.zeros_like(u)

    def head_down(by: Array) -> Array:
        """How far the lifter's head is below where it was, with the line shorter by so much than at contact [m]."""
        lower = line.u_at(np.maximum(0.0, contact - by))
        side = lower if about is None else 2 * lower - about
        reached = np.where(by > 0, np.minimum(stop, np.maximum(0.0, side)), stop)
        down: Array = was - motion.rise(lost.head, reached)
        return down

    give, tie = where.give, where.tie if isinstance(where, Station) else None
    longer = compliance(tie)
    fall = was - motion.rise(lost.head, stop)
    above = contact if about is None else contact - line.demand(about / 2)
    if give is None:
        return Meeting(fall, fall, fall, np.full_like(u, np.nan), np.zeros(u.shape, dtype=bool), above)
    along = np.maximum(0.0, line.demand(now) - contact)
    force = np.maximum(0.0, axial_force(effort(load, motion, met), share, motion.arm(where.head, where.base, met)))
    lean = nothing  # cos^2 of its angle; of no interest where no tie holds its foot
    if tie is not None:
        x, y, _ = motion.moved(where.head, met)
        lean = ((x - where.base[0]) ** 2 + (y - where.base[1]) ** 2) / (line.start + contact) ** 2
    alone, together = nothing + give, give + force * lean * (longer or 0.0)
    factor = impact(along, np.maximum(together, EXACT))
    over = np.zeros(u.shape, dtype=bool)
    if longer and tie is not None and tie.working_load_limit is not None:
        over = force * factor * np.sqrt(lean) > tie.working_load_limit
        together = np.where(over, alone, together)  # past its limit a stretch is no figure
        factor = impact(along, np.maximum(together, EXACT))
    rigid = together <= EXACT
    tied = longer is not None or force * np.sqrt(lean) < NOTHING  # an upright strut asks nothing of its tie
    known = ~over & ~rigid & tied
    lowest = np.where(rigid, 0.0, together * factor)
    peak = np.where(rigid, np.nan, force * factor)
    return Meeting(fall, head_down(lowest), head_down(np.where(rigid, 0.0, together)), peak, known, above - lowest)
