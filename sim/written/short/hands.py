"""Who follows the load where people are few: so many on a side, and who serves which device.

One leads, one pumps at each lifter, the rest follow the load. A person who serves devices at two places walks.
"""

from __future__ import annotations

from dataclasses import dataclass

from sim.model.errors import Problem


@dataclass(frozen=True, slots=True)
class Hands:
    """Who works the devices of one side."""

    strut: tuple[str, ...]  # a name a device; () where each device has a person of its own
    lifter: tuple[str, ...]
    walker: str = ""  # who serves more than one place


@dataclass(frozen=True, slots=True)
class Everybody:
    """Everybody: who works where, and what there is to say of it."""

    sides: dict[str, Hands]
    catchers: int
    spare: int
    all_sides: bool  # one person serves both sides


def enough(lifters: int, jobs: int) -> int:
    """People with whom every device has one of its own; the leader and the operators among them."""
    return 1 + lifters + lifters * jobs


def hands_problem(people: int | None, lifters: int, jobs: int) -> Problem | None:
    """Whether there are too few people to lead, to pump and to follow the load at all."""
    least = 1 + lifters + 1
    if people is None or people >= least:
        return None
    pumps = "one pumps" if lifters == 1 else f"{lifters} pump"
    what = f"{people} are too few: one leads, {pumps}, and somebody must follow the load"
    most = enough(lifters, jobs)
    return Problem("people", what, f"{least} at the least" + (f"; {most} for one a device" if most > least else ""))


def crew(people: int | None, sides: tuple[str, ...], strut: int, lifter: int) -> Everybody:
    """The people shared out: the left side first where they do not come out even.

    Parameters
    ----------
    people : int or None
        All of them; None for as many as there is work for.
    sides : tuple of str
        Those that have a lifter.
    strut, lifter : int
        Devices at each strut, and on each lifter.

    Returns
    -------
    Crew
        `hands_problem` sees to it that there are enough.
    """
    jobs = strut + lifter
    full = enough(len(sides), jobs)
    here = full if people is None else people
    catchers = min(here, full) - 1 - len(sides)
    spare = max(0, here - full)
    if len(sides) == 2 and catchers == 1:
        shared = Hands(("hand",) * strut, ("hand",) * lifter, "hand")
        return Everybody({side: shared for side in sides}, 1, spare, True)
    first = -(-catchers // len(sides))
    shares = (first, catchers - first)
    return Everybody(
        {s: _on_side(s, n, strut, lifter) for s, n in zip(sides, shares, strict=False)}, catchers, spare, False
    )


def _on_side(side: str, people: int, strut: int, lifter: int) -> Hands:
    """The first devices have a person each, the last person serves the rest."""
    jobs = strut + lifter
    if people >= jobs and jobs != 1:
        return Hands((), ())
    named = [f"{side} hand"] if people == 1 else [f"{side} hand {number}" for number in range(1, people + 1)]
    served = [named[min(job, people - 1)] for job in range(jobs)]
    walks = strut > 0 and lifter > 0 and served[strut - 1] == served[-1]
    return Hands(tuple(served[:strut]), tuple(served[strut:]), served[-1] if walks else "")
