"""Who follows the load: so many on a side, and who serves which device.

One leads, one pumps at each lifter, the rest follow the load: one a device, a place or a side, one for all, or as many
as there are. A person who serves devices at two places walks.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import Literal, get_args

from sim.model.errors import Problem

Catchers = Literal["one a device", "one a place", "one a side", "one for all"]
CATCHERS: tuple[Catchers, ...] = get_args(Catchers)
Devices = tuple[int, ...]  # how many each place of one side has: those beside the lifter, at last the lifter's own


@dataclass(frozen=True, slots=True)
class Hands:
    """Who works the devices of one side."""

    at: tuple[tuple[str, ...], ...]  # place by place, a name a device; () where each device has a person of its own
    walker: str = ""  # who serves more than one place
    walks_to: tuple[int, ...] = ()  # which


@dataclass(frozen=True, slots=True)
class Everybody:
    """Everybody: who works where, and what there is to say of it."""

    sides: dict[str, Hands]
    catchers: int
    spare: int
    missing: int  # were nobody to do two jobs
    all_sides: bool  # one person serves both sides


def enough(lifters: int, devices: Devices, how: Catchers | None = None) -> int:
    """People with whom all is worked as wanted; the leader and the operators among them."""
    return 1 + lifters + _catchers(lifters, devices, how)


def _catchers(lifters: int, devices: Devices, how: Catchers | None) -> int:
    if how == "one a place":
        return lifters * sum(count > 0 for count in devices)
    if how == "one a side":
        return lifters
    return 1 if how == "one for all" else lifters * sum(devices)


def hands_problem(people: int | None, lifters: int, devices: Devices, how: Catchers | None = None) -> Problem | None:
    """Whether there are too few people to lead, to pump and to follow the load at all."""
    least = 1 + lifters + 1
    if people is None or people >= least:
        return None
    pumps = "one pumps" if lifters == 1 else f"{lifters} pump"
    what = f"{people} are too few: one leads, {pumps}, and somebody must follow the load"
    most = enough(lifters, devices, how)
    return Problem("people", what, f"{least} at the least" + (f"; {most} for {how or 'one a device'}" * (most > least)))


def crew(people: int | None, sides: tuple[str, ...], devices: Devices, how: Catchers | None = None) -> Everybody:
    """The people shared out: the left side first where they do not come out even.

    Parameters
    ----------
    people : int or None
        All of them; None for as many as there is work for.
    sides : tuple of str
        Those that have a lifter.
    devices : tuple of int
        At each place of a side.
    how : str or None
        Who works what; None for as many as there are.

    Returns
    -------
    Everybody
        `hands_problem` sees to it that there are enough to follow the load at all.
    """
    full = enough(len(sides), devices, how)
    here = full if people is None else people
    catchers = (full if how else min(here, full)) - 1 - len(sides)
    spare, missing = max(0, here - full), max(0, full - here)
    if len(sides) == 2 and catchers == 1:
        shared = _hands(devices, ["hand"])
        return Everybody(dict.fromkeys(sides, shared), 1, spare, missing, True)
    first = -(-catchers // len(sides))
    shares = (first, catchers - first)
    by_side = {s: _on_side(s, n, devices, how) for s, n in zip(sides, shares, strict=False)}
    return Everybody(by_side, catchers, spare, missing, False)


def _on_side(side: str, people: int, devices: Devices, how: Catchers | None) -> Hands:
    """The first devices have a person each, the last person serves the rest; or each place has one."""
    named = [f"{side} hand"] if people == 1 else [f"{side} hand {number}" for number in range(1, people + 1)]
    if how == "one a place":  # by name: a variant may have more devices there
        served = iter(named)
        return Hands(tuple((next(served),) * count if count else () for count in devices))
    jobs = sum(devices)
    if people >= jobs and jobs != 1:
        return Hands(((),) * len(devices))
    return _hands(devices, named)


def _hands(devices: Devices, named: list[str]) -> Hands:
    """One device after the other; whoever is named last serves all that is left."""
    served = [named[min(job, len(named) - 1)] for job in range(sum(devices))]
    at = tuple(tuple(served[a:b]) for a, b in pairwise(accumulate(devices, initial=0)))
    walks_to = tuple(place for place, names in enumerate(at) if served[-1] in names)
    return Hands(at, served[-1], walks_to) if len(walks_to) > 1 else Hands(at)
