"""Who carries what while the load is up."""

from __future__ import annotations

from sim.model.motion import Floats, Motion
from sim.model.scenario import Lifter, Load, Point, Station


def effort(load: Load, motion: Motion, u: Floats) -> Floats:
    """What all lifters together must balance.

    Parameters
    ----------
    load : Load
        What is raised.
    motion : Hinged or Straight
        How it moves.
    u : float or ndarray of shape (n,)
        Hinge angle [rad], or rise [m].

    Returns
    -------
    float or ndarray of shape (n,)
        Moment about the pivot [N m] of a hinged load, the weight [N] of a straight one.
    """
    return load.weight * motion.lever(load.cg, u)


def axial_force(effort: Floats, share: float, arm: Floats) -> Floats:
    """Force along a lifter that carries its share of the load.

    Parameters
    ----------
    effort : float or ndarray of shape (n,)
        Moment about the pivot [N m], or weight [N] on a straight lift.
    share : float
        This side's part of the effort, 0 to 1.
    arm : float or ndarray of shape (n,)
        Moment arm of the lifter's axis [m], or its vertical part (straight).

    Returns
    -------
    float or ndarray of shape (n,)
        Axial force [N], compression positive.
    """
    return share * effort / arm


def lifter_force(lifter: Lifter, load: Load, motion: Motion, u: Floats) -> Floats:
    """Axial force [N] on a lifter with its side at u, a float or an ndarray of shape (n,)."""
    return axial_force(effort(load, motion, u), lifter.share, motion.arm(lifter.head, lifter.base, u))


def lever_share(heads: tuple[Point, Point], cg: Point, motion: str) -> float:
    """The first of two lifters' part of the load, by the lever rule.

    Parameters
    ----------
    heads : tuple of two points
        Where the two lifters carry the load [m].
    cg : point
        Centre of gravity [m].
    motion : {"hinged", "straight"}
        A hinged load shares across (on y), a straight one along the horizontal line between the heads.

    Returns
    -------
    float
        0 to 1 where the CG lies between the heads; outside that one of them would have to pull.

    Raises
    ------
    ZeroDivisionError
        The two heads are in line: nothing says how they share.
    """
    (ax, ay, _), (bx, by, _) = heads
    if motion == "hinged":
        return (cg[1] - by) / (ay - by)
    dx, dy = ax - bx, ay - by
    return ((cg[0] - bx) * dx + (cg[1] - by) * dy) / (dx * dx + dy * dy)


def share_met(load: Load, lost: Lifter, stays: Lifter | None, where: Lifter | Station) -> float:
    """What part of the effort a place takes that a lost side comes down onto, 0 to 1.

    On the lost lifter's own side that lifter's part. In the middle the load turns about the lifter that stays, so by
    the lever rule a place half-way takes twice that part.
    """
    if where.side != "both":
        return lost.share
    if stays is None:
        return 1.0
    towards = lever_share((lost.head, stays.head), where.head, load.motion)
    return min(1.0, lost.share / towards) if towards > 0 else 1.0


def fall_energy(load: Load, motion: Motion, share: float, u: Floats, stop: Floats) -> Floats:
    """What a side gives up when it comes down: its share of the weight times how far the CG falls.

    Parameters
    ----------
    load, motion : Load, Hinged or Straight
        What is raised, and how.
    share : float
        This side's part of the load, 0 to 1.
    u, stop : float or ndarray of shape (n,)
        Where the side is, and where it is stopped [rad or m].

    Returns
    -------
    float or ndarray of shape (n,)
        Energy [J].
    """
    return share * load.weight * (motion.rise(load.cg, u) - motion.rise(load.cg, stop))
