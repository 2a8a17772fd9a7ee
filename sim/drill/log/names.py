"""Who is meant by a name in a log: the leader, someone at a pump, someone at a device."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sim.model.errors import nearest
from sim.model.scenario import Lifter, Scenario

Spot = tuple[str, int]  # a device: its place's name, and which of the place's devices
LEADERS = ("leader", "team leader", "the leader", "officer", "")


@dataclass(frozen=True, slots=True)
class Person:
    """What a name in a log can stand for."""

    name: str
    lifter: str = ""  # at whose pump this person is
    spots: tuple[Spot, ...] = ()  # devices kept up


class NamesInLog:
    """Everybody in a scenario, found by what a log calls them: by lifter, station, catcher, or station and device."""

    def __init__(self, scenario: Scenario) -> None:
        self.known: dict[str, Person] = {}
        self.names: list[str] = ["leader"]
        catchers: dict[str, list[Spot]] = {}
        places: dict[str, list[Spot]] = {}
        for where in scenario.places:
            for n, catcher in enumerate(where.catchers):
                catchers.setdefault(catcher, []).append((where.name, n))
                places.setdefault(where.name, []).append((where.name, n))
                self._add(f"{where.name} {where.capture[n].name}", spots=[(where.name, n)])
        for name, spots in catchers.items():
            self._add(name, spots=spots)
        lifters = {lifter.name for lifter in scenario.lifters}
        for where in scenario.places + tuple(x for x in scenario.lifters if not x.capture):
            own_pump = where.name if isinstance(where, Lifter) else ""
            namesake = self.known.get(key(where.name))  # a station's first catcher often bears its name
            self._add(where.name, own_pump, list(namesake.spots) if namesake else places.get(where.name, []))
        operators = [lifter.operator.name for lifter in scenario.lifters]
        for lifter in scenario.lifters:
            alone = operators.count(lifter.operator.name) == 1 and lifter.operator.name not in lifters
            if alone and key(lifter.operator.name) not in self.known:
                self._add(lifter.operator.name, lifter.name)

    def _add(self, name: str, lifter: str = "", spots: list[Spot] | None = None) -> None:
        self.known[key(name)] = Person(name, lifter, tuple(spots or ()))
        self.names.append(name)

    def find(self, written: str) -> Person | None:
        """Who is meant, capitals and spacing apart; None if it is nobody here."""
        return self.known.get(key(written))

    def leads(self, written: str) -> bool:
        """Whether the leader is meant."""
        return key(written) in LEADERS

    def hint(self, written: str) -> str:
        """The nearest name."""
        return nearest(written[:60], dict.fromkeys(self.names))


def key(name: str) -> str:
    """A name without capitals, dashes and double spaces.

    >>> key("Left_Strut ")
    'left strut'
    """
    return re.sub(r"[\s_-]+", " ", name).strip().lower()
