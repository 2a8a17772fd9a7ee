"""A short form as it was written, with the presets that stand for the rest."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from sim.model.units import LENGTH, read
from sim.written.keys.people import MIRRORED
from sim.written.keys.places import Raw, listed
from sim.written.short.hands import Devices, Everybody, crew
from sim.written.short.presets import Preset, kinds, the
from sim.written.short.table import WrittenShort, goes_straight

YOURS = "yours"
COLLAR = "collar on the ram"
ORDINALS = ("", "second ", "third ", "fourth ", "fifth ", "sixth ")  # as many as may follow a side


@dataclass(frozen=True, slots=True)
class Follower:
    """One of those that follow a side of the load."""

    preset: Preset
    called: str  # "strut", "crib"; "second strut" where there is one already
    along: float  # from the hinge line, or from the lifters on a load that goes straight up [m]
    written: Any = None  # the same as it was written

    @property
    def pile(self) -> bool:
        """Whether it stands upright and needs no tie."""
        return bool(self.preset.values["stands"] == "pile")

    @property
    def devices(self) -> list[str]:
        """What captures there."""
        return list(self.preset.values["devices"])


@dataclass(frozen=True)
class Short:
    """What was written, and the presets that stand for the rest."""

    written: WrittenShort
    raw: Raw
    title: str
    load: Preset
    operator: Preset

    @property
    def straight(self) -> bool:
        """Whether all of it goes up."""
        return goes_straight(self.written.like, self.written.far_end)

    @cached_property
    def followers(self) -> tuple[Follower, ...]:
        """What follows each side, in the order in which it is written."""
        presets = [kinds("follower")[name] for name in self.written.follows or self.load.follows(self.written.units)]
        whats = ["crib" if preset.values["stands"] == "pile" else "strut" for preset in presets]
        along = self._along(len(presets))
        return tuple(
            Follower(preset, f"{ORDINALS[whats[:at].count(what)]}{what}", *along[at])
            for at, (preset, what) in enumerate(zip(presets, whats, strict=True))
        )

    def _along(self, count: int) -> list[tuple[float, Any]]:
        """As written; others inwards of the one before, straight up by turns behind and ahead."""
        strut = the("strut").values
        beside, apart = read(strut["beside"], LENGTH), read(strut["apart"], LENGTH)
        written = listed(self.raw.get("hinge_to_struts"))
        places: list[tuple[float, Any]] = [(read(each, LENGTH), each) for each in written]
        for at in range(len(places), count):
            if self.straight:
                places.append(((-1) ** (at + 1) * (beside + at // 2 * apart), None))
            else:
                places.append((places[-1][0] - apart if places else strut["at"] * self.to_lifters, None))
        return places

    @property
    def devices(self) -> list[str]:
        """All that captures beside the lifters, each kind once."""
        return list(dict.fromkeys(device for each in self.followers for device in each.devices))

    @property
    def devices_at(self) -> Devices:
        """How many devices each place of a side has, at last the lifter itself."""
        return (*(len(each.devices) for each in self.followers), int(self.written.lifter_collars))

    @cached_property
    def crew(self) -> Everybody:
        """The people shared out."""
        return crew(self.written.people, self.sides, self.devices_at, self.written.catchers)

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
    def to_point(self) -> float:
        """The same, to the point that has to rise [m]."""
        return 0.0 if self.straight else self.metres("hinge_to_point")

    @property
    def half(self) -> float:
        """From the centreline to a lifter [m]."""
        return 0.0 if len(self.sides) == 1 else self.metres("apart") / 2


def short_of(written: WrittenShort, raw: Raw, name: str) -> Short:
    """What was written, with its presets."""
    load = kinds("load")[written.like]
    operator = kinds("operator")[written.operators or "steady"]
    return Short(written, raw, written.title or name.removesuffix(".toml"), load, operator)
