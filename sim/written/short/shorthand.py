"""A short form as it was written, with the presets that stand for the rest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sim.model.units import LENGTH, read
from sim.written.keys.people import MIRRORED
from sim.written.keys.places import Raw
from sim.written.short.hands import Everybody, crew
from sim.written.short.presets import Preset, kinds, the
from sim.written.short.table import WrittenShort, goes_straight

YOURS = "yours"
COLLAR = "collar on the ram"


@dataclass(frozen=True)
class Short:
    """What was written, and the presets that stand for the rest."""

    written: WrittenShort
    raw: Raw
    title: str
    load: Preset
    follower: Preset
    operator: Preset
    crew: Everybody

    @property
    def straight(self) -> bool:
        """Whether all of it goes up."""
        return goes_straight(self.written.like, self.written.far_end)

    @property
    def devices(self) -> list[str]:
        """At each strut."""
        return list(self.follower.values["devices"])

    @property
    def sides(self) -> tuple[str, ...]:
        """Those that have a lifter; a lone one counts as the left one."""
        return MIRRORED[: self.written.lifters]

    def value(self, key: str, preset: Preset) -> tuple[Any, str]:
        """The value of a key and where it comes from: yours, or the preset's."""
        if key in self.raw:
            return self.raw[key], YOURS
        of = f"{preset.name}: " if preset is self.load else ""
        return preset.values[key], of + preset.source[key]

    def offered(self, key: str) -> tuple[Any, str]:
        """The value of a key, or else what loads like this one are offered."""
        if key in self.raw:
            return self.raw[key], YOURS
        return self.load.suggest[self.written.units][key], f"{self.load.name}: what is offered"

    def metres(self, key: str) -> float:
        """The same as a length [m]."""
        return read(self.offered(key)[0], LENGTH)

    @property
    def to_lifters(self) -> float:
        """Along the load from the hinge line [m]; 0 where there is none."""
        return 0.0 if self.straight else self.metres("hinge_to_lifters")

    @property
    def to_struts(self) -> float:
        """The same, to what follows the load [m]."""
        if self.straight:
            return -read(the("strut").values["beside"], LENGTH)
        if "hinge_to_struts" in self.raw:
            return self.metres("hinge_to_struts")
        share: float = the("strut").values["at"]
        return share * self.to_lifters

    @property
    def to_point(self) -> float:
        """The same, to the point that has to rise [m]."""
        return 0.0 if self.straight else self.metres("hinge_to_point")

    @property
    def half(self) -> float:
        """From the centreline to a lifter [m]."""
        return 0.0 if len(self.sides) == 1 else self.metres("apart") / 2


def short_of(written: WrittenShort, raw: Raw, name: str) -> Short:
    """What was written, with its presets and its people."""
    load = kinds("load")[written.like]
    follower = kinds("follower")[written.follows or load.suggest[written.units]["with"]]
    operator = kinds("operator")[written.operators or "steady"]
    sides = MIRRORED[: written.lifters]
    people = crew(written.people, sides, len(follower.values["devices"]), int(written.lifter_collars))
    return Short(written, raw, written.title or name.removesuffix(".toml"), load, follower, operator, people)
