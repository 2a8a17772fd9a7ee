"""How far one stroke of the pump handle moves the ram."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.model.motion import AnyFloats, Floats
from sim.model.scenario import Lifter, Pump


def ram_travel(lifter: Lifter, take_up: float, force: Floats, spent: Floats, fill: Floats) -> Floats:
    """Ram travel of one stroke.

    Parameters
    ----------
    lifter : Lifter
        Its pump, ram area and travel.
    take_up : float
        Ram travel to spend before the load moves; the force grows in proportion while it is spent [m].
    force : float or ndarray of shape (n,)
        Axial force at the start of the stroke, once take-up is spent [N].
    spent : float or ndarray of shape (n,)
        Ram travel so far [m].
    fill : float or ndarray of shape (n,)
        Share of a full handle movement delivered, 0 to 1.

    Returns
    -------
    float or ndarray of shape (n,)
        How far the ram moves [m]; never past its travel (29 CFR 1910.244(a)(2)(ii): a positive stop).
    """
    if lifter.travel_per_pump is not None:
        full: Any = lifter.travel_per_pump * fill
    else:
        assert lifter.pump is not None and lifter.ram_area is not None
        full = stage_travel(lifter.pump, lifter.ram_area, take_up, force, spent, fill)
    left = lifter.travel - spent
    return min(full, left) if isinstance(spent, float) else np.minimum(full, left)  # type: ignore[no-any-return]


def stage_travel(
    pump: Pump, area: float, take_up: float, force: AnyFloats, spent: AnyFloats, fill: AnyFloats
) -> AnyFloats:
    """Ram travel [m] of one stroke of a two-stage pump, were the ram endless: float, or shape (n,), as in `ram_travel`.

    Volume per stroke over ram area (US Army TM 1-1500-204-23-2, fig. 2-5), the first stage below the shift pressure,
    the second from it on. A stroke that crosses it spends the rest of its handle movement in the second stage. Over the
    relief pressure nothing moves.
    """
    shift = travel_at_pressure(pump.shift_pressure, area, take_up, force)
    relief = travel_at_pressure(pump.relief_pressure, area, take_up, force, reached=True)
    fast, slow = pump.first_stage / area, pump.second_stage / area
    if isinstance(spent, float):
        in_first = min(fast * fill, max(0.0, shift - spent))
        return min(in_first + (fill - in_first / fast) * slow, max(0.0, relief - spent))
    in_first = np.minimum(fast * fill, np.maximum(0.0, shift - spent))
    return np.minimum(in_first + (fill - in_first / fast) * slow, np.maximum(0.0, relief - spent))


def travel_at_pressure(
    pressure: float, area: float, take_up: float, force: AnyFloats, reached: bool = False
) -> AnyFloats:
    """Ram travel [m] at which the ram's pressure comes to `pressure`: float, or shape (n,); infinite if it never does.

    With `reached`, a full force that just comes to the pressure does not count as over it (relief); without, it does
    (shift): the second stage works from the shift pressure on.
    """
    bears = pressure * area  # the force that the ram bears at this pressure
    if isinstance(force, float):
        never = force < bears or (reached and force == bears)
        return float("inf") if never else take_up * bears / force
    below = (force <= bears) if reached else (force < bears)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(below, np.inf, take_up * bears / force)


def ram_pressure(force: Floats, area: float) -> Floats:
    """Pressure under the ram.

    Parameters
    ----------
    force : float or ndarray of shape (n,)
        Axial force [N].
    area : float
        Ram area [m^2].

    Returns
    -------
    float or ndarray of shape (n,)
        Pressure [Pa].
    """
    return force / area
