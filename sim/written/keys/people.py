"""Who works what: the names of the places, and of the people at the devices."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sim.model.scenario import Side

MIRRORED: tuple[Side, Side] = ("left", "right")


def sided_names(name: str, sides: object) -> tuple[str, ...]:
    """The names that one table stands for: its own, or one for each of its sides."""
    return tuple(f"{side} {name}" for side in MIRRORED) if sides else (name,)


def replaced(capture: Sequence[str], replace: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """The devices of a place in a variant."""
    return tuple(new for old in capture for new in replace.get(old, (old,)))


def catchers_of(name: str, on_lifter: bool, devices: int, written: object) -> tuple[str, ...]:
    """Who works the devices of a place: one name a device.

    Parameters
    ----------
    name : str
        Of the lifter or station.
    on_lifter : bool
        A lifter's own name is that of the person at its pump.
    devices : int
        How many there are.
    written : str, list of str or None
        The `catcher` of the place: one person for all of them, or one a device; where that leaves a device without
        a person, it has one of its own.

    Returns
    -------
    tuple of str
        "left strut", "left strut 2", and so on.
    """
    if isinstance(written, str):
        return (written,) * devices
    first = f"{name} capture" if on_lifter else name
    own = [first] + [f"{first} {number}" for number in range(2, devices + 1)]
    named = [each for each in written if isinstance(each, str)] if isinstance(written, list) else []
    return tuple((named + own[len(named) :])[:devices])
