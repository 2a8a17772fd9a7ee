"""Names that one table of a scenario uses of another: whether there is such a thing, and only one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, islice

from sim.model.errors import Problem, nearest
from sim.model.units import quoted
from sim.written.choices import BELONGS
from sim.written.keys.people import MIRRORED, catchers_of, replaced, sided_names
from sim.written.keys.places import MOST_CALLS, PEOPLE, Raw, dotted, rows, table, text, texts

ENOUGH = 200  # problems with names; whoever has mended these sees the next


@dataclass(frozen=True, slots=True)
class Spot:
    """A lifter or a station, once for each of its sides, as far as it can be read."""

    place: str
    name: str
    side: str | None
    lifter: bool
    row: Raw

    def catchers(self, replace: dict[str, list[str]]) -> tuple[str, ...]:
        """Who works its devices, in the variant that replaces these."""
        devices = replaced(texts(self.row, "capture"), replace)
        return catchers_of(self.name, self.lifter, len(devices), self.row.get("catcher"))


def name_problems(raw: Raw, variant: str) -> list[Problem]:
    """Every name in the file that leads nowhere, or to two things.

    Parameters
    ----------
    raw : dict
        The file as TOML has it; values of a wrong type are passed over, for pydantic says them.
    variant : str
        The variant that is asked for, "" for none.

    Returns
    -------
    list of Problem
        In the order of the checks.
    """
    spots = _spots(raw)
    variants = [text(row, "name") for _, row in rows(raw, "variant")]
    checks = (_twice(raw, spots), _sides(spots), _used(raw), _people(raw, spots), _variants(raw, spots))
    found = list(islice(chain(*checks, _leader(raw), _mishaps(raw, spots)), ENOUGH))
    if variant and variant not in variants:
        hint = nearest(variant, [name for name in variants if name]) or "the scenario has no variants"
        found.append(Problem("variant", f"there is no variant {quoted(variant)}", hint))
    return found


def _spots(raw: Raw) -> list[Spot]:
    found = []
    for kind in PEOPLE:
        for place, row in rows(raw, kind):
            sides = texts(row, "sides")
            for at, name in enumerate(sided_names(text(row, "name") or "", sides)):
                side = MIRRORED[at] if sides else text(row, "side")
                found.append(Spot(place, name, side, kind == "lifter", row))
    return found


def _twice(raw: Raw, spots: list[Spot]) -> Iterator[Problem]:
    """Lifters and stations together have names of their own; so have variants."""
    seen: set[str] = set()
    for spot in spots:
        if text(spot.row, "name") and spot.name in seen:
            hint = "lifters and stations share no name"
            yield Problem(f"{spot.place} > name", f"{quoted(spot.name)} is taken", hint)
        seen.add(spot.name)
    names: set[str | None] = set()
    for place, row in rows(raw, "variant"):
        if text(row, "name") in names:
            yield Problem(f"{place} > name", "is taken", "every variant needs a name of its own")
        names.add(text(row, "name"))


def _sides(spots: list[Spot]) -> Iterator[Problem]:
    """One lifter a side, and no station on a side without one; a lifter whose side cannot be read may be on any."""
    driven: set[str | None] = set()
    for spot in spots:
        if spot.lifter and spot.side and spot.side in driven:
            yield Problem(f"{spot.place} > side", f"there is a lifter on the {spot.side} already", "one lifter a side")
        if spot.lifter:
            driven.add(spot.side)
    known = bool(driven) and driven <= set(MIRRORED)
    for spot in spots:
        if not spot.lifter and spot.side in MIRRORED and known and spot.side not in driven:
            yield Problem(f"{spot.place} > side", f"there is no lifter on the {spot.side}", 'or side = "both"')


def _used(raw: Raw) -> Iterator[Problem]:
    """Operators, pumps and devices that lifters and stations name."""
    for kind in PEOPLE:
        for place, row in rows(raw, kind):
            for key in ("operator", "pump"):
                name = text(row, key)
                if kind == "lifter" and name is not None and name not in table(raw, key):
                    yield _unknown(f"{place} > {key}", key, name, raw)
            devices = texts(row, "capture")
            for at, name in enumerate(devices):
                if name not in table(raw, "device"):
                    yield _unknown(f"{place} > capture[{at}]", "device", name, raw)
                if name in devices[:at]:
                    yield Problem(f"{place} > capture[{at}]", f"{quoted(name)} is there twice", "write it once")


def _people(raw: Raw, spots: list[Spot]) -> Iterator[Problem]:
    """Nobody pumps and catches at once; whoever is described works somewhere."""
    operators = {spot.name for spot in spots if spot.lifter}
    everyone = _everyone(raw, spots)
    for spot in spots:
        written, devices = spot.row.get("catcher"), texts(spot.row, "capture")
        if isinstance(written, list) and len(written) != len(devices):
            what = f"has {len(written)} names for {len(devices)} devices"
            yield Problem(f"{spot.place} > catcher", what, "write one name, or one a device")
        named = {written} if isinstance(written, str) else set(texts(spot.row, "catcher"))
        for name in sorted(named & operators):
            hint = "nobody does both at once"
            yield Problem(f"{spot.place} > catcher", f"{quoted(name)} is at a pump handle", hint)
        others = {other.name for other in spots if other.name != spot.name}
        for name in sorted((_everyone(raw, [spot]) - named - {spot.name}) & others):
            what = f"one of its devices would be worked by {quoted(name)}, which is another place"
            yield Problem(f"{spot.place} > catcher", what, "name the people here, or rename the other place")
    for name in table(raw, "catcher"):
        if name not in everyone:
            hint = nearest(name, everyone) or "leave it out: there is no lifter or station that anybody works"
            yield Problem(dotted(["catcher", name]), f"nobody is called {quoted(name)}", hint)


def _everyone(raw: Raw, spots: list[Spot]) -> set[str]:
    """All catchers, of the scenario as written and of its variants."""
    changes: list[dict[str, list[str]]] = [{}] + [_replace(row) for _, row in rows(raw, "variant")]
    return {name for replace in changes for spot in spots for name in spot.catchers(replace)}


def _replace(variant: Raw) -> dict[str, list[str]]:
    replace = table(variant, "replace")
    return {old: texts(replace, old) for old in replace}


def _variants(raw: Raw, spots: list[Spot]) -> Iterator[Problem]:
    """What a variant replaces is there and is used; no station is left without a device."""
    used = {name for spot in spots for name in texts(spot.row, "capture")}
    stations = {name for spot in spots if not spot.lifter for name in (spot.name, text(spot.row, "name") or "")}
    for place, row in rows(raw, "variant"):
        replace = _replace(row)
        for at, name in enumerate(texts(row, "leave_out")):
            if name not in stations:
                hint = nearest(name, stations) or "the scenario has no stations"
                yield Problem(f"{place} > leave_out[{at}]", f"there is no station {quoted(name)}", hint)
        for old, new in replace.items():
            here = f"{place} > {dotted(['replace', old])}"
            if old not in table(raw, "device"):
                yield _unknown(here, "device", old, raw)
            elif old not in used:
                hint = nearest(old, used) or "leave it out, or add it to a capture"
                yield Problem(here, f"no lifter or station uses {quoted(old)}", hint)
            for at, name in enumerate(new):
                if name not in table(raw, "device"):
                    yield _unknown(f"{here}[{at}]", "device", name, raw)
        for spot in spots:
            devices = replaced(texts(spot.row, "capture"), replace)
            if not devices and not spot.lifter and texts(spot.row, "capture"):
                what = f"leaves station {quoted(spot.name)} without a device"
                yield Problem(f"{place} > replace", what, "put another device in the place of at least one of them")
            if len(set(devices)) < len(devices) and replace:
                what = f"gives {quoted(spot.name)} the same device twice"
                yield Problem(f"{place} > replace", what, "write it once")


def _leader(raw: Raw) -> Iterator[Problem]:
    """Who stops for a gap must know for which."""
    leader = table(raw, "leader")
    if raw.get("leader", leader) is not leader:
        return  # no table: what stands there cannot be read
    hint = 'the largest gap at which the next call is made, such as "0.25 in"; "0 in" where all must be taken up'
    if leader.get("rule", "stop-until-caught") == "stop-until-caught" and "gap_limit" not in leader:
        yield Problem("leader.gap_limit", "is missing", hint)
    for place, row in rows(raw, "variant") + rows(raw, "stage"):
        keys = leader | table(row, "leader")
        if table(row, "leader").get("rule") == "stop-until-caught" and "gap_limit" not in keys:
            yield Problem(f"{place} > leader.gap_limit", "is missing", hint)


def _mishaps(raw: Raw, spots: list[Spot]) -> Iterator[Problem]:
    """Who a mishap happens to is there, and is a lifter or a catcher as the mishap has it; its call can come."""
    lifters = {spot.name for spot in spots if spot.lifter}
    most = table(raw, "leader").get("max_calls", 500)
    for place, row in rows(raw, "mishap"):
        who, kind, call = text(row, "who"), text(row, "kind"), row.get("call")
        able = _everyone(raw, spots) if kind in ("slow", "false-caught") else lifters
        if who is not None and kind in BELONGS and kind != "stop" and who not in able:
            what = "a catcher" if kind in ("slow", "false-caught") else "a lifter"
            hint = nearest(who, able) or f"the scenario has no {what.removeprefix('a ')}"
            yield Problem(f"{place} > who", f"{quoted(who)} is not {what}", hint)
        if isinstance(call, int) and isinstance(most, int) and MOST_CALLS >= call > most >= 1:
            yield Problem(f"{place} > call", f"{call} is beyond max_calls", f"the lift ends after {most} calls")


def _unknown(place: str, kind: str, name: str, raw: Raw) -> Problem:
    hint = nearest(name, [each for each in table(raw, kind)]) or f"describe it under [{kind}.NAME]"
    return Problem(place, f"there is no {kind} {quoted(name)}", hint)
