"""A nut on a threaded strut: it holds at any height, as fast as it can be turned."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import ClassVar, Literal

from sim.model.devices.protocol import Held, Step
from sim.model.draw import Draw


@dataclass(frozen=True, slots=True)
class Collar:
    """A collar turned up a thread by hand. Takes up slack, leaves nothing, is never open."""

    name: str
    rise_per_turn: float  # the thread's lead [m]
    turns: Draw  # turning rate [1/s]
    react: Draw = Draw(0.0)  # [s]
    seat: Draw = Draw(0.0)  # [s]
    chases: Literal["with", "after"] = "with"
    reach_limit: float = inf  # how far beyond the start it can be turned up [m]
    kind: ClassVar[str] = "collar"

    @property
    def finest(self) -> float:
        """It is turned, not moved in steps: infinite [m]."""
        return inf

    @property
    def ends_at(self) -> float:
        """Where its thread ends [m]."""
        return self.reach_limit

    def at_start(self, slack: float) -> Held:
        """Behind by the slack, until someone turns."""
        return Held(-slack)

    def reach(self, held: Held, demand: float) -> float:
        """All of it, as far as the thread goes [m]."""
        return min(demand, self.reach_limit)

    def steps(self, held: Held, demand: float) -> tuple[Step, ...]:
        """None: a collar follows the load, it does not work in steps."""
        return ()

    def tightened(self, held: Held, demand: float) -> float:
        """Turned up as ever [m]."""
        return self.reach(held, demand)

    def tighten(self, held: Held, demand: float) -> tuple[Step, ...]:
        """None, as ever."""
        return ()

    def let_down(self, held: Held, to: float) -> tuple[Step, ...]:
        """None: it is turned back, at its own speed."""
        return ()

    def seconds_a_call(self, gives: float) -> float:
        """Turned up, and seated [s]."""
        return self.react.mean + gives / climbed(self.turns.mean, self.rise_per_turn) + self.seat.mean


def climbed(rate: float, lead: float) -> float:
    """How fast a collar climbs its thread.

    Parameters
    ----------
    rate : float or ndarray of shape (n,)
        Turning rate [1/s].
    lead : float
        Advance per turn, pitch times starts [m] (ISO 2901, ASME B1.5).

    Returns
    -------
    float or ndarray of shape (n,)
        Climb [m/s].
    """
    return rate * lead


def chase(gap: float, load_rate: float, climb: float, seconds: float) -> tuple[float, float]:
    """How a collar that is being turned closes on a load that moves evenly.

    Parameters
    ----------
    gap : float
        Gap at the start [m].
    load_rate, climb : float
        How fast the demand grows, and the collar's own climb [m/s].
    seconds : float
        For how long [s].

    Returns
    -------
    gap : float
        Gap at the end [m].
    met : float
        When the collar met the load [s], counted from the start; infinite if it did not. From then on it stays
        with the load if it is the faster of the two, and falls behind again if not.
    """
    closing = climb - load_rate
    if closing < 0:
        return gap - closing * seconds, float("inf")
    met = gap / closing if closing > 0 else (0.0 if gap <= 0 else float("inf"))
    return (0.0, met) if met <= seconds else (gap - closing * seconds, float("inf"))


def time_to_reach(level: float, start: float, climb: float, demand: float, rate: float) -> float:
    """When a collar that is being turned, and can pass no load, comes to a level: the end of its thread.

    Parameters
    ----------
    level, start : float
        The level, and what it holds at the start, below it [m].
    climb : float
        Its own climb [m/s].
    demand, rate : float
        The demand at the start [m], and how fast it grows [m/s].

    Returns
    -------
    float
        Counted from the start [s]; infinite where the demand does not come to that level.
    """
    load = 0.0 if demand >= level else (level - demand) / rate if rate > 0 else inf
    return max((level - start) / climb, load)
