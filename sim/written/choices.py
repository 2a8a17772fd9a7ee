"""Keys of one table that stand for each other, need each other or shut each other out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import chain

from sim.model.errors import Problem
from sim.model.units import PRESSURE, QuantityError, quoted, read
from sim.written.keys.places import Raw, dotted, rows, table

Belongs = Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]]
BELONGS: Belongs = {  # a mishap's keys besides kind and call: those it must have, those it may have
    "pressure-lost": (("who",), ("after", "phase")),
    "lifter-lost": (("who",), ("after", "phase")),
    "slow": (("who", "factor"), ()),
    "missed": (("who",), ()),
    "false-caught": (("who",), ()),
    "stop": (("time",), ("after", "phase")),
}
STAGES: Belongs = {  # the keys of a stage likewise
    "raise": ((), ("to", "leader")),
    "hold": (("time",), ()),
    "lower": ((), ("to", "leader")),
}


def choice_problems(raw: Raw) -> list[Problem]:
    """Every table of the file whose keys do not go together.

    Parameters
    ----------
    raw : dict
        The file as TOML has it; values of a wrong type are passed over, for pydantic says them.

    Returns
    -------
    list of Problem
        In the order of the checks.
    """
    found = list(_of_load(table(raw, "load"))) if isinstance(raw.get("load"), dict) else []
    for kind in ("lifter", "station"):
        for place, row in rows(raw, kind):
            found += _one_of(place, row, ("side", "sides"), 'side = "left", or sides = ["left", "right"] for one each')
            if isinstance(row.get("sides"), list) and sorted(map(str, row["sides"])) != ["left", "right"]:
                found.append(Problem(f"{place} > sides", "must name both sides", 'sides = ["left", "right"]'))
            found += _of_base(place, row)
            found += _of_pump(place, row) if kind == "lifter" else _of_strut(place, row)
    for place, row in rows(raw, "stage"):
        found += _of_kind(place, row, "do", STAGES, 'stage with do = "{}"')
        found += _of_calls(place, row)
    for place, row in rows(raw, "mishap"):
        found += _of_kind(place, row, "kind", BELONGS, 'mishap of kind "{}"')
        found += _of_phase(place, row, raw)
    for name, pump in table(raw, "pump").items():
        if isinstance(pump, dict):
            found += _both(dotted(["pump", name]), pump, ("second_stage", "shift_pressure"))
            found += _relief_problem(dotted(["pump", name]), pump)
    ground = table(raw, "ground")
    if "bearing" in ground and "soil" in ground:
        found.append(Problem("ground", "has both bearing and soil", "write the one you know better"))
    if "depth" in ground or "edge" in ground:
        found += _both("ground", ground, ("edge", "depth"))
    found += _of_pivot(table(raw, "pivot"), table(raw, "load").get("motion"))
    return found


def _of_pivot(pivot: Raw, motion: object) -> Iterator[Problem]:
    """Only a hinged load has one, and nothing holds no force."""
    if pivot and motion == "straight":
        yield Problem("pivot", "belongs to a hinged load", "a straight one has no pivot: leave it out")
    if "holds" in pivot and pivot.get("held") == "nothing":
        yield Problem("pivot.holds", 'does not go with held = "nothing"', "leave it out, or write what holds it")
    elif "holds" in pivot and "held" not in pivot:
        yield Problem("pivot.held", "is missing", "holds means nothing without it")


def _of_load(load: Raw) -> Iterator[Problem]:
    """Either the centre of gravity, or a scale under the end of a hinged load."""
    scale = [key for key in ("end_weight", "end_at") if key in load]
    if scale and "cg" in load:
        yield Problem("load", f"has both cg and {scale[0]}", "write cg, or else end_weight and end_at")
    elif scale and load.get("motion") == "straight":
        yield Problem(f"load.{scale[0]}", "belongs to a hinged load", "write weight and cg for a straight one")
    elif scale:
        yield from _both("load", load, ("end_weight", "end_at"))
    elif "cg" not in load:
        hint = "where the centre of gravity is; or, on a hinged load, what a scale shows: end_weight and end_at"
        yield Problem("load.cg", "is missing", hint)
    if "weight" not in load and "end_weight" not in load:
        yield Problem("load.weight", "is missing", "the whole weight; or, on a hinged load, end_weight and end_at")


def _of_base(place: str, row: Raw) -> Iterator[Problem]:
    """Where it stands: a base, or an angle and which way the foot stands."""
    if "base" in row and ("angle" in row or "foot" in row):
        yield Problem(place, "has both base and angle or foot", "write base, or else angle and foot")
    elif "base" not in row:
        if "angle" not in row:
            hint = "three coordinates; or angle and foot, for a foot at height 0"
            yield Problem(f"{place} > base", "is missing", hint)
        if "angle" in row and "foot" not in row:
            yield Problem(f"{place} > foot", "is missing", 'foot = "ahead", "behind", "out" or "in"')


def _of_strut(place: str, row: Raw) -> Iterator[Problem]:
    """A tube or a post, and what is said of the one or of either."""
    if "tube" in row and "post" in row:
        yield Problem(place, "has both tube and post", "a strut is the one or the other")
    elif "yield" in row and "post" in row:
        yield Problem(f"{place} > yield", "belongs to a tube", "what timber bears is looked up by its material")
    elif "yield" in row and "tube" not in row:
        yield Problem(f"{place} > tube", "is missing", "yield means nothing without it")
    elif "material" in row and not {"tube", "post"} & set(row):
        yield Problem(f"{place} > tube", "is missing", "material means nothing without it, or without post")


def _of_pump(place: str, row: Raw) -> Iterator[Problem]:
    """Ram travel of a stroke: as a figure, or from a pump and the ram's area."""
    if "travel_per_pump" in row and ("pump" in row or "ram_area" in row):
        yield Problem(place, "has both travel_per_pump and pump or ram_area", "write the one or the other")
    elif "travel_per_pump" not in row and "pump" not in row and "ram_area" not in row:
        yield Problem(f"{place} > travel_per_pump", "is missing", "ram travel of one stroke; or pump and ram_area")
    else:
        yield from _both(place, row, ("pump", "ram_area"))


def _of_kind(place: str, row: Raw, key: str, belongs: Belongs, said: str) -> Iterator[Problem]:
    """Only the keys that its kind knows, which stands under a key of its own."""
    kind = row.get(key)
    if not isinstance(kind, str) or kind not in belongs:
        return
    needed, allowed = belongs[kind]
    for each in dict.fromkeys(name for names in belongs.values() for name in chain(*names)):
        if each in needed and each not in row:
            yield Problem(f"{place} > {each}", "is missing", f"a {said.format(kind)} needs it")
        if each in row and each not in needed + allowed:
            yield Problem(f"{place} > {each}", f"does not belong to a {said.format(kind)}", "leave it out")


def _of_calls(place: str, stage: Raw) -> Iterator[Problem]:
    """The calls of all stages are counted together."""
    if "max_calls" in table(stage, "leader"):
        yield Problem(f"{place} > leader.max_calls", "counts the calls of the whole lift", "write it under [leader]")


def _of_phase(place: str, mishap: Raw, raw: Raw) -> Iterator[Problem]:
    """Only a lowering call has parts."""
    _, allowed = BELONGS.get(str(mishap.get("kind")), ((), ()))
    lowers = any(stage.get("do") == "lower" for _, stage in rows(raw, "stage"))
    if "phase" in mishap and "phase" in allowed and not lowers:
        hint = 'leave phase out, or write a [[stage]] with do = "lower"'
        yield Problem(f"{place} > phase", "is a part of a lowering call, and a stage that lowers is missing", hint)


def _one_of(place: str, row: Raw, keys: tuple[str, str], hint: str) -> Iterator[Problem]:
    if keys[0] in row and keys[1] in row:
        yield Problem(place, f"has both {keys[0]} and {keys[1]}", hint)
    elif keys[0] not in row and keys[1] not in row:
        yield Problem(f"{place} > {keys[0]}", "is missing", hint)


def _both(place: str, row: Raw, keys: tuple[str, str]) -> Iterator[Problem]:
    """Two keys that mean nothing without each other."""
    for key, other in (keys, keys[::-1]):
        if other in row and key not in row:
            divider = " > " if " " in place else "."
            yield Problem(f"{place}{divider}{key}", "is missing", f"{other} means nothing without it")


def _relief_problem(place: str, pump: Raw) -> list[Problem]:
    """A relief valve below the shift pressure: the second stage would never work."""
    try:
        shift, relief = (read(pump[key], PRESSURE) for key in ("shift_pressure", "relief_pressure"))
    except (KeyError, QuantityError):
        return []
    if relief > shift:
        return []
    what = f"{quoted(str(pump['relief_pressure']))} is not above the shift pressure"
    return [
        Problem(f"{place}.relief_pressure", what, "the second stage works between the two: a higher relief pressure")
    ]
