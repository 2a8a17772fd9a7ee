"""Where each thing stands at this moment of the lift: a side of the load, a place that holds it, a device there.

Plain and changeable: `site.py` moves them, the people of `lift.py` and `catchers.py` act on them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from math import inf

import simpy

from sim.model.devices import EXACT, Device, Held, Step
from sim.model.devices.collar import time_to_reach
from sim.model.devices.protocol import at_its_end
from sim.model.motion import Line
from sim.model.scenario import Lifter, Station


@dataclass(frozen=True, slots=True)
class RamRun:
    """One run of a ram, from contact to where it was packed up for the next."""

    contact: float  # demand of the lifter's line at its start [m]
    free: float  # ram travel that raised nothing [m]
    travel: float  # at its end [m]
    origin: float  # the demand at which the lifter's own capture was set up [m]


@dataclass(slots=True, eq=False)
class SideNow:
    """One side of the load and the lifter that drives it."""

    lifter: Lifter
    line: Line
    free: float  # ram travel that raises nothing [m]
    called: simpy.Event  # the next word that its operator is to act on
    places: list[PlaceNow] = field(default_factory=list)
    u: float = 0.0  # where it is at `since`,
    since: float = 0.0
    rate: float = 0.0  # how fast it goes,
    u_end: float = 0.0  # and where the stroke under way will leave it,
    end: float = inf  # at this time
    rise: float = 0.0  # of the head at u [m]
    travel: float = 0.0  # of this run of the ram, before the stroke under way [m],
    travel_end: float = 0.0  # and after it
    earlier_travel: float = 0.0  # of the runs before a re-set [m]
    contact: float = 0.0  # demand of the lifter's line at the start of this run [m]
    runs: list[RamRun] = field(default_factory=list)  # of the ram, that it was packed up after
    run_out: bool = False  # it has been brought back to the run before
    pumps: int = 0
    made: bool = False  # its gaps are made, from a lowering call until it lands
    moving: bool = False
    ready: bool = True

    def u_at(self, time: float) -> float:
        """Where the side is at a time within the stroke under way [rad or m]."""
        return self.u + self.rate * (time - self.since)

    @property
    def left(self) -> float:
        """Ram travel left [m]."""
        return self.lifter.travel - self.travel

    def stays_in_contact(self) -> None:
        """The load has come down, and the ram with it; what has been spent before it moved is not spent again."""
        self.travel = self.travel_end = self.free + self.line.demand(self.u) - self.contact
        again = max(0.0, self.free - self.travel)
        self.free, self.contact = self.free - again, self.contact - again


@dataclass(slots=True, eq=False)
class DeviceNow:
    """One device at one place, and who keeps it up."""

    device: Device
    place: PlaceNow
    catcher: str
    held: Held
    caught: bool
    open: bool = False
    hands: bool = False
    working: bool = False
    climb: float = 0.0  # how fast a collar is being turned up; below 0: back [m/s]
    goes_down_to: float | None = None  # what it is to hold at the most, where it is being let down [m]
    only_tightened: bool = False  # the load is on its way down: nothing is moved up any more

    @property
    def captured(self) -> float:
        """What it holds of the line [m]."""
        return self.place.origin + self.held.captured

    @property
    def demand(self) -> float:
        """The demand as the device sees it, since it was last set up [m]."""
        return self.place.demand - self.place.origin

    @property
    def gap(self) -> float:
        """What it does not hold of the demand [m]."""
        return self.demand - self.held.captured

    @property
    def reach(self) -> float:
        """What it would hold after work begun now [m]."""
        return (self.device.tightened if self.only_tightened else self.device.reach)(self.held, self.demand)

    @property
    def left(self) -> float:
        """What it could still take up of the gap [m]."""
        return self.reach - self.held.captured

    @property
    def ends_in(self) -> float:
        """Until a collar that is being turned comes to the end of its thread [s]; infinite: it does not."""
        if self.climb <= 0 or self.device.ends_at == inf:
            return inf
        here = self.place
        return time_to_reach(self.device.ends_at, self.held.captured, self.climb, self.demand, here.rate)

    @property
    def can_be_worked(self) -> bool:
        """Whether its catcher could begin on it now."""
        if self.caught:
            return False
        if self.device.chases == "with" and self.place.moving > 0:
            return not at_its_end(self.device, self.held)
        if self.device.chases == "with":
            return self.left > EXACT
        return self.place.moving == 0 and self.reach > self.held.captured + EXACT

    def steps(self) -> tuple[Step, ...]:
        """The work that brings it up to what is there now."""
        return (self.device.tighten if self.only_tightened else self.device.steps)(self.held, self.demand)


@dataclass(slots=True, eq=False)
class PlaceNow:
    """A station, or a lifter's own capture: a line with its demand, and what its devices hold of it."""

    where: Lifter | Station
    name: str
    line: Line
    sides: list[SideNow]
    devices: list[DeviceNow] = field(default_factory=list)
    demand: float = 0.0  # at `since` [m],
    since: float = 0.0
    rate: float = 0.0  # and how fast it grows [m/s]
    origin: float = 0.0  # the demand at which the devices were last set up [m]
    moving: int = 0  # how many of its sides are

    def state(self) -> tuple[float, bool, bool, bool]:
        """What the best device not open holds (of an open place, what the best one held) [m]; open, hands, caught."""
        if len(self.devices) == 1:
            d = self.devices[0]
            return self.origin + d.held.captured, d.open, d.hands, d.caught
        holding = [d.captured for d in self.devices if not d.open]
        captured = max(holding or [d.captured for d in self.devices])
        return captured, not holding, any(d.hands for d in self.devices), all(d.caught for d in self.devices)

    @property
    def captured(self) -> float:
        """What is held here [m]."""
        return self.state()[0]

    @property
    def open(self) -> bool:
        """Nothing here holds just now."""
        return self.state()[1]

    @property
    def hands(self) -> bool:
        """Hands are in here."""
        return self.state()[2]

    @property
    def caught(self) -> bool:
        """Whether every device here is."""
        return self.state()[3]

    @property
    def gap(self) -> float:
        """What nothing here holds of the demand [m]."""
        return self.demand - self.captured

    @property
    def u_held(self) -> float:
        """The u at which this place would stop the load [rad or m]."""
        return 0.0 if self.open else self.line.u_at(max(0.0, self.captured))

    def set_up(self, slack: float) -> None:
        """Put every device at contact, or as far behind it as the tie's slack."""
        self.origin = self.demand
        for d in self.devices:
            d.held, d.climb, d.open, d.hands = d.device.at_start(slack), 0.0, False, False
            d.caught = not d.reach > d.held.captured + EXACT


def names_of(sides: Iterable[SideNow]) -> str:
    """Their lifters' names."""
    return ", ".join(s.lifter.name for s in sides)


def mean_u(sides: list[SideNow], time: float) -> float:
    """The mean of the sides' u at a time [rad or m]."""
    return sides[0].u_at(time) if len(sides) == 1 else (sides[0].u_at(time) + sides[1].u_at(time)) / 2
