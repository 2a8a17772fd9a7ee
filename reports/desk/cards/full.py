"""The cards of a plan in full form: what stands in its tables, and what may stand there; left and right as one."""

from __future__ import annotations

import types
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from reports.desk.cards import labels
from reports.desk.cards.fields import Card, Choices, Field, Group, Kind, Written, opposite, other_side, typed
from reports.desk.cards.short import ADDS
from reports.desk.document import Steps
from sim.written.keys.assumed import steps_to
from sim.written.keys.devices import DEVICE_TABLES
from sim.written.keys.places import Raw
from sim.written.keys.stages import WrittenLeaderKeys
from sim.written.keys.stands import WrittenTie
from sim.written.keys.tables import SEVERAL, SINGLE


@dataclass(frozen=True)
class Place:
    """A table of the file; or two of them that stand for left and right."""

    steps: tuple[Steps, ...]
    rows: tuple[Raw, ...]
    model: type[BaseModel]
    raw: Raw

    @property
    def id(self) -> str:
        """The same as long as its name is."""
        return ":".join([str(self.steps[0][0]), str(self.rows[0].get("name") or self.steps[0][-1])])


def full_cards(raw: Raw) -> tuple[Card, ...]:
    """The cards, as far as the file can be read."""
    straight = _table(raw, "load").get("motion") == "straight"
    load = {key: label for key, label in labels.LOAD.items() if not (straight and key == "*pivot_height")}
    cards = [
        Card("load", "What is raised", (_single(raw, "load", load),)),
        *([] if straight else [Card("pivot", "What holds the far end", (_single(raw, "pivot", labels.PIVOT),))]),
        Card("need", "What must be cleared", (_single(raw, "need", labels.NEED),)),
        Card("lifters", "Lifters", tuple(_listed(raw, "lifter", labels.LIFTER))),
        Card("follows", "What follows it", tuple(_listed(raw, "station", labels.STATION)), ADDS),
        Card("worked", "How that is worked", tuple(_named(raw, "device", labels.DEVICE))),
        Card("people", "People", tuple(_people(raw))),
        Card("leader", "The leader", (_single(raw, "leader", labels.LEADER),)),
        Card("stages", "Stages, and where it starts", tuple(_stages(raw)), STAGE_ADDS),
        Card("limits", "Limits, and the ground", (_single(raw, "limits", labels.LIMITS),
                                                  _single(raw, "ground", labels.GROUND))),
        Card("name", "This plan", (Group("name", "", (
            Field("title", "What do you call this plan?", (("title",),), "text", typed(raw.get("title"))),)),)),
    ]  # fmt: skip
    return tuple(cards)


STAGE_ADDS: Choices = (("raise", "up to a height"), ("hold", "stand for a time"), ("lower", "and down again"))
_GOES = {"raise": ("Up to", "as far as it has to rise"), "lower": ("And down again to", "all the way down")}


def _stages(raw: Raw) -> Iterator[Group]:
    """[[stage]], each with what its kind asks for; and [start]."""
    found = raw.get("stage")
    for at, row in enumerate(found if isinstance(found, list) else []):
        if isinstance(row, dict):
            place = Place((("stage", at),), (row,), SEVERAL["stage"], raw)
            fields = tuple(_as_done(field, row) for field in _fields(place, labels.STAGE))
            yield Group(place.id, f"Stage {at + 1}", fields, True, (f"stage #{at + 1}",))
    start = _single(raw, "start", labels.START)
    (rise,) = start.fields
    rise = replace(rise, offered="none, it starts from where it stands", writes=lambda said: _started(rise, said))
    yield replace(start, title="If it begins half-way", fields=(rise,))


def _as_done(field: Field, row: Raw) -> Field:
    """A field of a stage in the words of what is done in it."""
    key = str(field.steps[0][-1])
    if key == "to":
        label, offered = _GOES.get(str(row.get("do")), (field.label, ""))
        return replace(field, label=label, offered=offered)
    return replace(field, offered="as the leader does") if key in ("strokes", "step") else field


def _started(rise: Field, said: str) -> Written:
    """[start] has nothing else: without its rise it goes as a whole."""
    return [(rise.steps[0], said)] if said else [(("start",), None)]


def _people(raw: Raw) -> Iterator[Group]:
    yield _single(raw, "crew", labels.CREW)
    yield from _named(raw, "operator", labels.OPERATOR)
    yield from _named(raw, "catcher", labels.CATCHER)


def _single(raw: Raw, name: str, said: labels.Labels) -> Group:
    place = Place(((name,),), (_table(raw, name),), SINGLE[name], raw)
    title = "The ground" if name == "ground" else ""
    return Group(name, title, tuple(_fields(place, said)), names=(name,))


def _named(raw: Raw, kind: str, said: labels.Labels) -> Iterator[Group]:
    """[kind.NAME], each with its keys."""
    for name, row in _table(raw, kind).items():
        if isinstance(row, dict):
            table = DEVICE_TABLES.get(str(row.get("kind"))) if kind == "device" else SEVERAL[kind]
            if table is not None:
                what = labels.KINDS.get(str(row.get("kind")), "") if kind == "device" else _WHO[kind]
                fields = tuple(_fields(Place(((kind, name),), (row,), table, raw), said))
                yield Group(f"{kind}:{name}", f"{name}: {what}" if what != name else name, fields,
                            names=(f"{kind} {name}", name))  # fmt: skip


_WHO = {"operator": "at a pump handle", "catcher": "walks between places"}


def _listed(raw: Raw, kind: str, said: labels.Labels) -> Iterator[Group]:
    """[[kind]], those of left and right that mirror each other as one."""
    found = raw.get(kind)
    listed = [row if isinstance(row, dict) else {} for row in found] if isinstance(found, list) else []
    taken: set[int] = set()
    for at, row in enumerate(listed):
        if at in taken:
            continue
        other = next((n for n in range(at + 1, len(listed)) if n not in taken and _mirrors(row, listed[n])), None)
        taken |= {at} | ({other} if other is not None else set())
        numbers = (at,) if other is None else (at, other)
        place = Place(tuple((kind, n) for n in numbers), tuple(listed[n] for n in numbers), SEVERAL[kind], raw)
        name = str(row.get("name", f"{kind} {at + 1}"))
        title = f"left and {listed[other].get('name')}" if other is not None else name
        if row.get("sides"):
            title = f"left and right {name}"
        names = (*(str(listed[n].get("name", "")) for n in numbers), f"left {name}", f"right {name}")
        yield Group(place.id, title, tuple(_fields(place, said)), kind == "station", names)


def _mirrors(one: Raw, other: Raw) -> bool:
    """Whether the one stands on the left and the other, of the same name, on the right."""
    names = [str(row.get("name", "")) for row in (one, other)]
    sides = [row.get("side") for row in (one, other)]
    return sides == ["left", "right"] and "left" in names[0] and other_side(names[0]) == names[1]


def _fields(place: Place, said: labels.Labels) -> Iterator[Field]:
    """The fields of a table."""
    row = place.rows[0]
    for marked, label in said.items():
        key = marked.removeprefix("*")
        path, more = tuple(key.split(".")), marked.startswith("*")
        written = _at(row, path)
        if path[0] == "side" and ("sides" in row or len(place.rows) > 1):
            continue
        if written is None and _replaced(key, row):
            continue
        if key in labels.POINTS:
            yield from _point(place, key, label, more)
        elif isinstance(written, dict) and "mean" in written:
            sd = "sd" in written
            yield from _field(place, (*path, "mean"), "usually" if sd else label, key, more, label if sd else "")
            if sd:
                yield from _field(place, (*path, "sd"), "give or take", key, more, row_of=label)
        elif path[0] in _by_key(place.model):
            yield from _field(place, path, label, key, more)


def _replaced(key: str, row: Raw) -> bool:
    """Whether another key of the table says the same."""
    stands_alone = "tie" not in row and "base" in row and "head" in row and row["base"][:2] == row["head"][:2]
    return (
        (key == "base" and "angle" in row)
        or (key in ("angle", "foot") and "angle" not in row)
        or (key in ("end_weight", "end_at") and "cg" in row)
        or (key == "cg" and "end_weight" in row)
        or (key == "travel_per_pump" and "pump" in row)
        or (key in ("pump", "ram_area") and "travel_per_pump" in row)
        or (key in ("soil", "bearing") and bool({"soil", "bearing"} - {key} & set(row)))
        or (key.startswith("tie.") and stands_alone)
        or (key in ("tube", "yield") and "post" in row)
        or (key == "post" and "tube" in row)
        or (key == "catcher" and not row.get("capture"))
        or _of_another_stage(key, row.get("do"))
    )


def _of_another_stage(key: str, does: Any) -> bool:
    """Whether only a stage of another kind has it."""
    has = {"raise": ("do", "to", "leader.strokes"), "hold": ("do", "time"), "lower": ("do", "to", "leader.step")}
    return does in has and key not in has[does]


def _point(place: Place, key: str, label: str, more: bool) -> Iterator[Field]:
    straight = _table(place.raw, "load").get("motion") == "straight"
    axes = labels.STRAIGHT_AXES if straight else labels.AXES
    for axis, words in enumerate(axes):
        yield from _field(place, (key, axis), words, key, more, row_of=label)


def _field(place: Place, path: Steps, label: str, key: str, more: bool, row_of: str = "") -> Iterator[Field]:
    """A field for the table; one each for left and right where they say different things."""
    values = [typed(_at(row, path)) for row in place.rows]
    mirror = opposite if path[-1] == 1 and path[0] in labels.POINTS else other_side if key in _SIDED else str
    alike = len(values) == 1 or values[1] == mirror(values[0]) or (not values[0] and not values[1])
    choices = _choices(place, path, key)
    kind: Kind = (
        "choice" if choices else labels.NUMBERS.get(str(path[1] if path[0] in _NESTED else path[0]), "quantity")
    )
    how = _described(place.model, path)
    steps = tuple((*at, *path) for at in place.steps)
    name = f"{place.id}:{'.'.join(str(each) for each in path)}"
    marks = kind in ("quantity", "number", "whole")
    if alike:
        yield Field(name, label, steps, kind, values[0], how, choices, _OFFERED.get(key, ""), row_of, more,
                    mirror, _path(steps[0], place.raw) if marks else "")  # fmt: skip
        return
    for at, value in zip(steps, values, strict=True):
        side = str(_at(place.raw, at[:2]).get("side", ""))
        yield Field(f"{name}:{side}", f"{label} ({side})", (at,), kind, value, how, choices, "", row_of, more,
                    path=_path(at, place.raw) if marks else "")  # fmt: skip


_SIDED = ("catcher", "side")
_OFFERED = {
    "catcher": "somebody of its own",
    "people": "not known",
    "rated_load": "not known",
    "give": "not known",
    "base_area": "not known",
    "tube": "not known",
    "post": "not known",
    "material": "not known",
    "yield": "not known",
    "soil": "not known",
    "pace": "0 s",
    "gap": "1 in, the default",
    "drop": "3 in, the default",
    "design_factor": "1.5, the default",
    "friction": "not known",
    "holds": "not known",
    "held": "not known",
    "track": "not known",
    "tie.to": "ground",
}  # what stands for a key that is not written


def _path(steps: Steps, raw: Raw) -> str:
    """As [assumed] names a place of the file: rows by their names; of {mean, sd} the whole."""
    if steps[-1] == "sd":
        return ""
    steps = steps[:-1] if steps[-1] == "mean" else steps
    said = ""
    here: Any = raw
    for step in steps:
        if isinstance(step, int):
            row = here[step] if isinstance(here, list) and step < len(here) else None
            name = row.get("name") if isinstance(row, dict) else None
            said += f".{name}" if name else f"[{step}]"
        else:
            said += f".{step}" if said else step
        here = _at(here, (step,))
    return said if steps_to(said, raw) == steps else ""


def _choices(place: Place, path: Steps, key: str) -> Choices:
    """What a key may say, if it says one of few."""
    if key in ("operator", "pump"):
        return tuple((name, name) for name in _table(place.raw, key))
    model = _NESTED.get(str(path[0]), place.model)
    field = model.model_fields.get(str(path[-1]))
    allowed = tuple(_literals(field.annotation)) if field is not None else ()
    if field is not None and field.annotation is bool:
        allowed = ("true", "false")
    return tuple((each, labels.SAID.get(each, each)) for each in allowed if isinstance(each, str))


_NESTED: dict[str, type[BaseModel]] = {"tie": WrittenTie, "leader": WrittenLeaderKeys}  # tables within a table


def _literals(annotation: Any) -> Iterator[Any]:
    origin = get_origin(annotation)
    if origin is Literal:
        yield from get_args(annotation)
    elif origin in (Union, types.UnionType, Annotated):
        for each in get_args(annotation):
            yield from _literals(each)


def _described(model: type[BaseModel], path: Steps) -> str:
    nested = _NESTED.get(str(path[0]))
    field = _by_key(nested).get(str(path[1])) if nested else _by_key(model).get(str(path[0]))
    return (field.description or "") if field else ""


def _by_key(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """The fields of a table by what they are called in a file."""
    return {field.alias or name: field for name, field in model.model_fields.items()}


def _at(here: Any, path: Steps) -> Any:
    for step in path:
        if isinstance(here, dict):
            here = here.get(str(step))
        elif isinstance(here, list) and isinstance(step, int) and step < len(here):
            here = here[step]
        else:
            return None
    return here


def _table(raw: Raw, name: str) -> Raw:
    found = raw.get(name)
    return found if isinstance(found, dict) else {}
