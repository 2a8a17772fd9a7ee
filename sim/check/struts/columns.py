"""How much stress a straight column bears before it buckles: metal after Euler and Johnson, timber after the NDS.

Length over thickness is everything. `slenderness` is the effective length (K times the length; K is 1 where both ends
are pinned) over the radius of gyration of a metal section, over the thickness of a timber post.
"""

from __future__ import annotations

import math

import numpy as np

from sim.model.motion import Floats, functions_for

SAWN = 0.8  # c of sawn lumber
EULER_SHARE = 0.822  # of Emin / (le/d)^2
MOST_SLENDER = 50.0  # le/d of a timber post: NDS 2018 3.7.1.4


class TooSlender(ValueError):
    """A timber post longer than `MOST_SLENDER` times its thickness, for which there is no published stress."""


def tube_area(outer: float, wall: float) -> float:
    """Metal in the cross section of a round tube [m^2]; a wall of half the diameter is a solid rod."""
    return math.pi * wall * (outer - wall)


def tube_radius(outer: float, wall: float) -> float:
    """Radius of gyration of a round tube [m]: the root of second moment of area over area."""
    return math.hypot(outer, outer - 2 * wall) / 4


def changeover(modulus: float, yields: float) -> float:
    """The slenderness at which Johnson's parabola and Euler's curve touch, both at half the yield stress.

    Parameters
    ----------
    modulus, yields : float
        Modulus of elasticity and yield stress [Pa].

    Returns
    -------
    float
        Effective length over radius of gyration, a number.
    """
    return math.pi * math.sqrt(2 * modulus / yields)


def euler(slenderness: Floats, modulus: float) -> Floats:
    """Stress at which a slender column bows out, however strong its metal.

    Parameters
    ----------
    slenderness : float or ndarray of shape (n,)
        Effective length over radius of gyration, a number above 0.
    modulus : float
        Modulus of elasticity [Pa].

    Returns
    -------
    float or ndarray of shape (n,)
        Mean stress over the section [Pa].
    """
    return math.pi**2 * modulus / slenderness**2


def johnson(slenderness: Floats, modulus: float, yields: float) -> Floats:
    """Stress at which a stocky column fails: yield at no length, less by a parabola that touches Euler's curve.

    Parameters
    ----------
    slenderness : float or ndarray of shape (n,)
        Effective length over radius of gyration, a number from 0 to the changeover.
    modulus, yields : float
        Modulus of elasticity and yield stress [Pa].

    Returns
    -------
    float or ndarray of shape (n,)
        Mean stress over the section [Pa].
    """
    return yields * (1 - yields * slenderness**2 / (4 * math.pi**2 * modulus))


def metal_stress(slenderness: Floats, modulus: float, yields: float) -> Floats:
    """Stress at which a metal column fails: after Johnson up to the changeover, beyond it after Euler.

    Parameters
    ----------
    slenderness : float or ndarray of shape (n,)
        Effective length over radius of gyration, a number from 0 on.
    modulus, yields : float
        Modulus of elasticity and yield stress [Pa].

    Returns
    -------
    float or ndarray of shape (n,)
        Mean stress over the section [Pa].
    """
    touch = changeover(modulus, yields)
    if isinstance(slenderness, float):
        return johnson(slenderness, modulus, yields) if slenderness <= touch else euler(slenderness, modulus)
    slender = euler(np.maximum(slenderness, touch), modulus)
    return np.where(slenderness <= touch, johnson(slenderness, modulus, yields), slender)


def stability_factor(slenderness: Floats, modulus: float, bears: float) -> Floats:
    """The part of its strength along the grain that a timber post keeps at this length: Cp of NDS 2018 3.7.1.5.

    Parameters
    ----------
    slenderness : float or ndarray of shape (n,)
        Effective length over thickness, a number above 0 and up to `MOST_SLENDER`.
    modulus, bears : float
        Emin, and what the timber bears along the grain with every factor but this one [Pa].

    Returns
    -------
    float or ndarray of shape (n,)
        Cp, 0 to 1.

    Raises
    ------
    TooSlender
        The slenderness, or one of them, is not above 0 and up to `MOST_SLENDER`.
    """
    if not np.all((np.asarray(slenderness) > 0) & (np.asarray(slenderness) <= MOST_SLENDER)):
        raise TooSlender(slenderness)
    ratio = EULER_SHARE * modulus / slenderness**2 / bears
    middle = (1 + ratio) / (2 * SAWN)
    root = functions_for(slenderness).sqrt(middle**2 - ratio / SAWN)
    return ratio / SAWN / (middle + root)  # type: ignore[no-any-return]  # as middle - root, which loses digits where the post is short
