"""Who is in a lesson: the writer's own lift with its devices, rule or pace exchanged, everything else kept.

Where the scenario has no device of a kind that a lesson needs, an invented one of a plausible size stands in, and
`Cast.assumed` says so.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import atan2, hypot, inf
from typing import TypeVar

from sim.model.devices import Collar, Crib, Device, Pin
from sim.model.draw import Draw
from sim.model.errors import Problem, ScenarioError
from sim.model.loads import lifter_force
from sim.model.motion import motion_of
from sim.model.pump import ram_travel
from sim.model.scenario import Lifter, Scenario, Station
from sim.model.units import INCH
from sim.written.reading import variants

Kind = TypeVar("Kind", Collar, Crib, Pin)
Each = TypeVar("Each", bound=Device)
STAND_INS: dict[str, tuple[Device, str]] = {
    "collar": (
        Collar("threaded", 0.25 * INCH, Draw(0.6), Draw(0.5), Draw(1.0)),
        "a collar with a 1/4 in (6.35 mm) lead turned 0.6 times a second stands in for one",
    ),
    "pin": (
        Pin("pinned", 2 * INCH, Draw(8.0), Draw(1.0)),
        "a pinned strut with a hole every 2 in (50.8 mm), swapped in 8 s, stands in for one",
    ),
    "crib": (
        Crib("cribbing", (3.5 * INCH, 1.5 * INCH, 0.75 * INCH), Draw(10.0), 1 * INCH, Draw(6.0), Draw(1.0)),
        "cribbing of 3 1/2, 1 1/2 and 3/4 in pieces and wedges up to 1 in stands in for it",
    ),
}


@dataclass(frozen=True)
class Cast:
    """A scenario made ready for lessons."""

    scenario: Scenario  # without mishaps; an uncapturable gap does not end the lift

    @cached_property
    def station(self) -> Station:
        """The one that is watched: the first one tied, or the first of all."""
        tied = [s for s in self.scenario.stations if s.tie is not None]
        return (tied or list(self.scenario.stations))[0]

    @cached_property
    def lifter(self) -> Lifter:
        """The lifter of the watched station's side."""
        return next(
            (x for x in self.scenario.lifters if self.station.side in (x.side, "both")), self.scenario.lifters[0]
        )

    @cached_property
    def own_devices(self) -> dict[str, Device]:
        """The first device of each kind that the scenario's stations, or those of its variants, have."""
        found: dict[str, Device] = {}
        ways = [self.scenario, *(variants(self.scenario) if self.scenario.text else ())]
        for scenario in ways:
            for station in scenario.stations:
                for device in station.capture:
                    found.setdefault(device.kind, device)
        return found

    def device(self, kind: type[Kind]) -> Kind:
        """The scenario's own device of a kind, or the one that stands in for it; of a thread or holes without an end.

        A lesson sets other spacings and other rises side by side, and is not about where a strut ends.
        """
        device = self.own_devices.get(kind.kind) or STAND_INS[kind.kind][0]
        assert isinstance(device, kind)
        return endless(device)

    def assumed(self, *kinds: str) -> tuple[str, ...]:
        """What stands in for the kinds that the scenario does not have, and what is taken to have no end: sentences."""
        lacking = tuple(
            f"The scenario has no {kind} at a station: {STAND_INS[kind][1]} (invented, common practice)."
            for kind in kinds
            if kind not in self.own_devices
        )
        own = [self.own_devices[kind] for kind in kinds if kind in self.own_devices]
        ended = [device.name for device in own if endless(device) != device]
        return lacking + tuple(
            f'"{name}" is taken to go on as far as the load: where it ends is left out.' for name in ended
        )

    @property
    def collar(self) -> Collar:
        """The collar of the lessons."""
        return self.device(Collar)

    @property
    def pin(self) -> Pin:
        """The pinned strut of the lessons."""
        return self.device(Pin)

    @property
    def crib(self) -> Crib:
        """The cribbing of the lessons."""
        return self.device(Crib)


def endless(device: Each) -> Each:
    """The same device on a thread, or with holes, that go on as far as the load."""
    if isinstance(device, Collar):
        return replace(device, reach_limit=inf)
    return replace(device, holes=None) if isinstance(device, Pin) else device


def cast(scenario: Scenario) -> Cast:
    """A scenario made ready for lessons.

    Raises
    ------
    ScenarioError
        It has no station: nothing besides the rams holds anything, so there is nothing to teach with.
    """
    if not scenario.stations:
        hint = "add a [[station]], or leave out --scenario for the trailer"
        raise ScenarioError([Problem("station", "a lesson needs a station", hint)])
    return Cast(
        replace(scenario, mishaps=(), stages=(), start=0.0, leader=replace(scenario.leader, if_uncapturable="go-on"))
    )


def angle_of(spot: Lifter | Station) -> float:
    """A strut's or a lifter's angle from horizontal at the start [rad]."""
    head, base = spot.head, spot.base
    return atan2(head[2] - base[2], hypot(head[0] - base[0], head[1] - base[1]))


def halfway(scenario: Scenario, lifter: Lifter, fill: float, strokes: int = 1) -> tuple[float, float]:
    """Where the side is before and after so many strokes with this share delivered, halfway to the needed rise.

    Take-up is spent, and what the pump gives there is taken for all of them.
    """
    motion = motion_of(scenario.load)
    u = motion.u_for_rise(scenario.need.point, scenario.need.rise) / 2
    ram, take_up = motion.line(lifter.head, lifter.base), scenario.load.take_up
    at = float(ram.demand(u))
    force = lifter_force(lifter, scenario.load, motion, u)
    travel = sum(ram_travel(lifter, take_up, force, at + take_up, fill) for _ in range(strokes))
    return float(ram.u_at(at - travel / 2)), float(ram.u_at(at + travel / 2))


def fitted(scenario: Scenario, *devices: Device) -> Scenario:
    """The same lift with these devices, and a catcher for each, at every station."""
    stations = tuple(replace(s, capture=devices, catchers=people(s.name, len(devices))) for s in scenario.stations)
    return replace(scenario, stations=stations, walk={})


def people(station: str, count: int) -> tuple[str, ...]:
    """The catchers of a station, one a device, named as a scenario file would have them."""
    return tuple(station if n == 0 else f"{station} {n + 1}" for n in range(count))
