"""What is the same in every lift of a scenario: its sides, places, devices and people, each known by its number."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from sim.batch.parts.arrays import Array
from sim.batch.parts.works import ArrayWork, work_of
from sim.model.chance import FixedValues
from sim.model.devices import Collar, Device
from sim.model.motion import Line, Motion
from sim.model.scenario import Lifter, Scenario, Station
from sim.record.record import Book
from sim.story.site import Site


@dataclass(frozen=True, slots=True)
class DeviceHere:
    """One device at one place, and who keeps it up."""

    device: Device
    work: ArrayWork | None  # None: a collar, which is turned
    place: int
    person: int
    slack: float  # of its place's tie [m]

    @property
    def ends(self) -> bool:
        """Whether it is a collar whose thread has an end."""
        return self.work is None and self.device.ends_at < inf

    @property
    def collar(self) -> Collar:
        """The collar that it is."""
        assert isinstance(self.device, Collar)
        return self.device


@dataclass(frozen=True, slots=True)
class Layout:
    """Numbers, in the order of the scenario: sides 0 and 1, places, the devices of all places, the people at them."""

    scenario: Scenario
    motion: Motion
    lifters: tuple[Lifter, ...]  # one a side, with the travel that its lines allow
    ram_lines: tuple[Line, ...]
    places: tuple[Lifter | Station, ...]
    lines: tuple[Line, ...]  # of the places
    devices: tuple[DeviceHere, ...]
    people: tuple[str, ...]
    sides_of: tuple[tuple[int, ...], ...]  # of each place
    places_of: tuple[tuple[int, ...], ...]  # of each side
    devices_at: tuple[tuple[int, ...], ...]  # of each place
    devices_of: tuple[tuple[int, ...], ...]  # of each person
    ends_at: Array  # (devices, 1) the demand past which each captures nothing more [m]
    hands: tuple[int, ...]  # the devices at which hands are in while they are worked at
    comes_down: bool  # the load is let down again

    @property
    def steps(self) -> bool:
        """Whether any device is worked in steps."""
        return any(here.work is not None for here in self.devices)

    @property
    def one_each(self) -> bool:
        """Whether every place has one device: place and device then have the same number."""
        return len(self.devices) == len(self.places)

    def of_each_device(self, of_places: Array) -> Array:
        """What is given for places (places, ...), for the place of each device: (devices, ...) [m]."""
        return of_places if self.one_each else of_places[[here.place for here in self.devices]]

    def is_own(self, place: int) -> bool:
        """Whether it is a lifter's own capture."""
        return isinstance(self.places[place], Lifter)

    def is_both(self, place: int) -> bool:
        """Whether it is on both sides of the load."""
        return self.places[place].side == "both"


def layout_of(scenario: Scenario) -> Layout:
    """The layout of a scenario that has no mishaps."""
    site = Site(scenario, FixedValues(), Book())  # for its lines and its lifters' travel
    places = scenario.places
    people = tuple(dict.fromkeys(name for place in places for name in place.catchers))
    devices = tuple(
        DeviceHere(device, work_of(device, place.slack), n, people.index(name), place.slack)
        for n, place in enumerate(places)
        for device, name in zip(place.capture, place.catchers, strict=True)
    )
    sides = range(len(site.sides))
    return Layout(
        scenario=scenario,
        motion=site.motion,
        lifters=tuple(side.lifter for side in site.sides),
        ram_lines=tuple(side.line for side in site.sides),
        places=places,
        lines=tuple(site.motion.line(place.head, place.base) for place in places),
        devices=devices,
        people=people,
        sides_of=tuple(tuple(s for s in sides if p.side in (scenario.lifters[s].side, "both")) for p in places),
        places_of=tuple(
            tuple(n for n, p in enumerate(places) if p.side in (scenario.lifters[s].side, "both")) for s in sides
        ),
        devices_at=tuple(tuple(n for n, d in enumerate(devices) if d.place == p) for p in range(len(places))),
        devices_of=tuple(tuple(n for n, d in enumerate(devices) if d.person == h) for h in range(len(people))),
        ends_at=np.array([[d.device.ends_at] for d in devices]).reshape(len(devices), 1),
        hands=tuple(n for n, d in enumerate(devices) if d.work is not None and d.work.hands),
        comes_down=scenario.comes_down,
    )
