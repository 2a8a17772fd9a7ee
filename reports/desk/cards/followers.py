"""What follows the load in a short plan: one question for each that is there, and one for what else there might be."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from reports.desk.cards.fields import Choices, Field, Written, typed
from sim.ask.questions import NOTHING_ELSE, PARTS, SHARED_OUT
from sim.model.errors import ScenarioError
from sim.model.units import Units
from sim.written.keys.assumed import marks_of
from sim.written.keys.places import Raw, listed
from sim.written.short.presets import kinds
from sim.written.short.shorthand import short_of
from sim.written.short.table import MOST_FOLLOW, read_short
from sim.written.short.toml_page import TomlPage

KEY = "hinge_to_struts"
_PART = {part.key: part for part in PARTS}
_NAMES: Choices = tuple((name, f"{name}: {said}") for name, said in _PART["with"].choices)


def followers_of(raw: Raw, units: Units) -> list[str]:
    """Their names: as written, or as offered for a load like this one."""
    load = kinds("load").get(str(raw.get("like")))
    return [typed(name) for name in listed(raw.get("with"))] or (load.follows(units) if load else [])


def follower_fields(raw: Raw, units: Units) -> list[Field]:
    """One for each; and one more as long as there may be more."""
    names = followers_of(raw, units)
    first, also = _PART["with"], _PART["also"]
    choices = ((NOTHING_ELSE, NOTHING_ELSE), *_NAMES)
    fields = [
        Field("with", first.asks[units], (("with",),), "choice", names[0] if "with" in raw else "", first.how,
              _NAMES if len(names) < 2 else choices, next(iter(names), ""), writes=_chosen(raw, names, 0))
    ]  # fmt: skip
    for at in range(1, min(len(names) + 1, MOST_FOLLOW)):
        value = names[at] if at < len(names) else NOTHING_ELSE
        writes = _chosen(raw, names, at)
        fields.append(Field(f"with.{at}", also.asks[units], (("with",),), "choice", value, "", choices, writes=writes))
    return fields


def place_fields(raw: Raw, units: Units) -> list[Field]:
    """From the hinge line to each."""
    part, names = _PART[KEY], followers_of(raw, units)
    written = listed(raw.get(KEY))
    fields = []
    for at, name in enumerate(names):
        value = typed(written[at]) if at < len(written) else ""
        several = isinstance(raw.get(KEY), list)
        steps = (KEY, at) if several else (KEY,)
        label, row = (part.asks[units], "") if len(names) < 2 else (f"{at + 1}, {name}", part.asks[units])
        path = f"{KEY}[{at}]" if several else KEY if at == 0 else ""
        fields.append(
            Field(KEY if at == 0 else f"{KEY}.{at}", label, (steps,), "quantity", value, part.how, (),
                  _taken(raw, units, at), row, path=path, writes=_put_at(raw, units, at))
        )  # fmt: skip
    return fields


def catchers_field(raw: Raw, units: Units) -> Field:
    """Who works them."""
    part = _PART["catchers"]
    choices = tuple((name, name if name == said else f"{name}: {said}") for name, said in part.choices)
    value = typed(raw.get("catchers")) or SHARED_OUT
    return Field("catchers", part.asks[units], (("catchers",),), "choice", value, part.how, choices,
                 writes=lambda said: [(("catchers",), None if said in ("", SHARED_OUT) else said)])  # fmt: skip


def placed(raw: Raw, units: Units, at: int, said: str) -> Written:
    """How far along one of them stands, the others where they are; "" for where it is taken to stand."""
    spots = _spots(raw)
    while len(spots) <= at:
        spots.append((_taken(raw, units, len(spots)), None))
    spots[at] = (said, spots[at][1]) if said else (_taken(raw, units, at), None)
    return _written(raw, spots if said or at + 1 < len(spots) else spots[:-1])


def _put_at(raw: Raw, units: Units, at: int) -> Callable[[str], Written]:
    return lambda said: placed(raw, units, at, said)


def _chosen(raw: Raw, names: list[str], at: int) -> Callable[[str], Written]:
    """Another one there; or one fewer, and its place with it."""

    def write(said: str) -> Written:
        left = [*names[:at], *([] if said in ("", NOTHING_ELSE) else [said]), *names[at + 1 :]]
        found: Written = [(("with",), (left if len(left) > 1 else left[0]) if left else None)]
        spots = _spots(raw)
        if len(left) < len(names) and at < len(spots):
            found += _written(raw, [*spots[:at], *spots[at + 1 :]])
        return found

    return write


Spot = tuple[str, Any]  # a length as it was typed, and its low and high where it is a guess


def _spots(raw: Raw) -> list[Spot]:
    marks = marks_of(raw)
    alone = not isinstance(raw.get(KEY), list)
    return [(typed(each), marks.get(KEY if alone else f"{KEY}[{at}]")) for at, each in enumerate(listed(raw.get(KEY)))]


def _written(raw: Raw, spots: list[Spot]) -> Written:
    """The places, and which of them are guesses: one as a length, several as a list."""
    lengths = [length for length, _ in spots]
    found: Written = [((KEY,), (lengths if len(lengths) > 1 else lengths[0]) if lengths else None)]
    paths = [KEY] if len(spots) == 1 else [f"{KEY}[{at}]" for at in range(len(spots))]
    wanted = {path: ends for path, (_, ends) in zip(paths, spots, strict=True) if ends}
    there = {path: ends for path, ends in marks_of(raw).items() if path.partition("[")[0] == KEY}
    found += [(("assumed", path), None) for path in there if path not in wanted]
    return found + [(("assumed", path), ends) for path, ends in wanted.items() if there.get(path) != ends]


def _taken(raw: Raw, units: Units, at: int) -> str:
    """Where one is taken to stand after those before it, as far as the plan can be read."""
    before = {key: value for key, value in raw.items() if key not in (KEY, "assumed")}
    if at and KEY in raw:
        before[KEY] = listed(raw[KEY])[:at]
    try:
        followers = short_of(read_short(before), before, "").followers
    except ScenarioError:
        return ""
    return TomlPage(units).length(followers[at].along) if at < len(followers) else ""
