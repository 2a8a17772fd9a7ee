"""[assumed]: values of the file that nobody measured, each by its path, with how low and how high it may be.

    "device.threaded.turns" = ["0.4 /s", "0.9 /s"]
    "load.cg[2]" = ["30 in", "44 in"]
    "station.left strut.tie.slack" = ["0.25 in", "1 in"]

A path runs from table to key as they are written; in a list of tables the name says which, in any list [0], [1] and so
on. Of a short form, its own keys are paths, and those of the full form that it stands for. Here the paths are found and
the ranges held against the file's own values; whether a low or a high would do is seen by reading the scenario with it
(`reading.py`), through all that any other value has to stand.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema

from sim.model.errors import Problem, nearest
from sim.model.scenario import Range
from sim.model.units import DIMENSIONS, TIME, Dimension, QuantityError, quoted, read
from sim.written.keys.places import MOST, Raw, dotted, rows, said, table

TABLE = "assumed"
Steps = tuple[str | int, ...]
Number = str | float
HUGE = 1e300  # whole numbers may be larger than any float
DEEP = 8  # no value of a scenario lies deeper
PATH = '"leader.pace", "load.cg[2]" or "station.left strut.tie.slack"'


def flat(written: object) -> object:
    """Paths as TOML has them, `load.weight = [...]`, as one text each; whatever is no table stays."""
    return dict(_flat(written)) if isinstance(written, dict) else written


def _flat(here: Raw, before: str = "", deep: int = DEEP) -> Iterator[tuple[str, Any]]:
    for key, value in here.items():
        path = f"{before}.{key}" if before else key
        if isinstance(value, dict) and deep:
            yield from _flat(value, path, deep - 1)
        else:
            yield path, value


End = Annotated[Any, WithJsonSchema({"type": ["string", "number"]})]
Marks = Annotated[
    dict[str, Annotated[list[End], Field(min_length=2, max_length=2)]],
    Field(max_length=MOST[TABLE]),
    BeforeValidator(flat),
]


# --- paths


def steps_to(path: str, raw: Any, deep: int = DEEP) -> Steps | None:
    """The keys and places that lead to a path's value; None where it leads nowhere."""
    for step, names in _below(raw, top=deep == DEEP):
        for name in names:
            if path == name:
                return (step,)
            rest = path[len(name) :] if path.startswith(name) else ""
            further = steps_to(rest.removeprefix("."), raw[step], deep - 1) if rest[:1] in (".", "[") and deep else None
            if further:
                return (step, *further)
    return None


def _below(here: object, top: bool) -> Iterator[tuple[str | int, list[str]]]:
    """What lies in a table or a list, each with the ways to name it: the first is ours."""
    if isinstance(here, dict):
        yield from ((key, [key, quoted(key)]) for key in here if not (top and key == TABLE))
    elif isinstance(here, list):
        for at, each in enumerate(here):
            name = each.get("name") if isinstance(each, dict) else None
            named = [name, quoted(name)] if isinstance(name, str) and name else []
            yield at, [*named, f"[{at}]"]


def paths(here: Any, before: str = "", deep: int = DEEP) -> Iterator[str]:
    """Every path to a value that can have a low and a high."""
    if before and _sort(here):
        yield before
        return
    for step, (name, *_) in _below(here, top=not before) if deep else ():
        divider = "" if not before or name.startswith("[") else "."
        yield from paths(here[step], f"{before}{divider}{name}", deep - 1)


def put(raw: Raw, steps: Steps, value: Number) -> Raw:
    """The file with another value in one place: of {mean, sd} another mean, and an sd of the same share of it."""
    changed = copy.deepcopy(raw)
    here: Any = changed
    for step in steps[:-1]:
        here = here[step]
    before = here[steps[-1]]
    here[steps[-1]] = _scaled(before, value) if isinstance(before, dict) else value
    return changed


def _scaled(drawn: Raw, mean: Number) -> Raw:
    if "sd" not in drawn:
        return {"mean": mean}
    before, sd = drawn["mean"], drawn["sd"]
    dimension = _dimension(before)
    was, by = _amount(before, dimension), _amount(mean, dimension)
    if not was > 0:
        return {"mean": mean, "sd": sd}
    share = _amount(sd, dimension) / was
    if dimension is None:
        return {"mean": mean, "sd": by * share}
    unit = next(name for name, size in dimension.units.items() if size == 1.0)
    return {"mean": mean, "sd": f"{by * share!r} {unit}"}


# --- ranges


def marks_of(raw: Raw) -> dict[str, Any]:
    """What stands under [assumed], by path, whatever a person put there."""
    return dict(_flat(table(raw, TABLE)))


def ranges_of(raws: Sequence[Raw]) -> tuple[tuple[Range, ...], list[Problem]]:
    """What the file marks as assumed, and what is wrong with it.

    Parameters
    ----------
    raws : sequence of dict
        The file as TOML has it; of a short form, the full form that it stands for after it. Marks of a wrong shape are
        passed over, for pydantic says them.

    Returns
    -------
    ranges : tuple of Range
        In the order written.
    problems : list of Problem
        Empty, if every path leads to one value, which lies within its range.
    """
    ranges, found = [], []
    seen: dict[tuple[int, Steps], str] = {}
    marks = marks_of(raws[0])
    for path, ends in marks.items() if len(marks) <= MOST[TABLE] else ():
        if not (isinstance(ends, list) and len(ends) == 2):
            continue
        place = dotted([TABLE, path])
        spot = spot_of(path, raws)
        if spot is None:
            found.append(_nowhere(place, path, raws))
            continue
        which, steps = spot
        inside = next((said for at, said in seen.items() if _overlap(at, (which, steps))), None)
        value = value_at(raws[which], steps)
        wrong = _twice(place, inside) if inside is not None else _wrong(path, value, ends)
        seen[which, steps] = path
        if wrong is None:
            mean = value["mean"] if isinstance(value, dict) else value
            ranges.append(Range(path, ends[0], ends[1], mean))
        else:
            found.append(wrong)
    return tuple(ranges), found


def spot_of(path: str, raws: Sequence[Raw]) -> tuple[int, Steps] | None:
    """In which of the forms a path leads somewhere, and by which steps."""
    for which, raw in enumerate(raws):
        steps = steps_to(path, raw)
        if steps:
            return which, steps
    return None


def value_at(raw: Raw, steps: Steps) -> Any:
    """What stands there."""
    here: Any = raw
    for step in steps:
        here = here[step]
    return here


def put_all(raws: Sequence[Raw], which: int, values: Mapping[str, Number]) -> Raw:
    """One of the forms, with those of the values in it that have their place there."""
    raw = raws[which]
    for path, value in values.items():
        spot = spot_of(path, raws)
        if spot is not None and spot[0] == which:
            raw = put(raw, spot[1], value)
    return raw


def sets_of(raws: Sequence[Raw], variant: str) -> dict[str, Number]:
    """What a variant sets in other places of its file, by path."""
    listed = [row for raw in raws for _, row in rows(raw, "variant") if row.get("name") == variant]
    return dict(table(listed[0], "set")) if listed and variant else {}


def set_problems(raws: Sequence[Raw]) -> Iterator[Problem]:
    """Paths that a variant sets, and that lead nowhere, or to what is no single value."""
    for place, row in rows(raws[0], "variant"):
        for path, value in table(row, "set").items():
            here = f"{place} > {dotted(['set', path])}"
            spot = spot_of(path, raws)
            if spot is None:
                yield _nowhere(here, path, raws)
            else:
                yield from _set_problem(here, path, value_at(raws[spot[0]], spot[1]), value)


def _set_problem(here: str, path: str, before: Any, value: object) -> Iterator[Problem]:
    """What is wrong with a value in the place of another: the reader sees the rest."""
    if not (_sort(before) or isinstance(before, str | bool)):
        below = next(paths(before, path), path)
        yield Problem(here, "is not one value", f"write one in it, such as {quoted(below)}")
    elif isinstance(before, dict):
        dimension = _dimension(before["mean"])
        try:
            _amount(value, dimension) if dimension or _is_number(value) else read(value, TIME)
        except QuantityError as wrong:
            yield Problem(here, wrong.what, wrong.hint)


def _overlap(one: tuple[int, Steps], other: tuple[int, Steps]) -> bool:
    """Whether the one is a part of the other."""
    shorter = min(len(one[1]), len(other[1]))
    return one[0] == other[0] and one[1][:shorter] == other[1][:shorter]


def _nowhere(place: str, path: str, raws: Sequence[Raw]) -> Problem:
    hint = nearest(path, [known for raw in raws for known in paths(raw)])
    if not hint.startswith("did"):
        hint = f"the path of a value that stands in it, such as {PATH}"
    return Problem(place, "is not a value that is written in this file", hint)


def _twice(place: str, other: str) -> Problem:
    return Problem(place, f"is the same value as {quoted(other)}, or a part of it, which is marked too", "mark it once")


def _wrong(path: str, value: Any, ends: list[Any]) -> Problem | None:
    """What is wrong with a range by itself."""
    place = dotted([TABLE, path])
    if not _sort(value):
        below = next(paths(value, path), "")
        hint = f"mark one value in it, such as {quoted(below)}" if below else "mark a quantity or a number"
        return Problem(place, f"is {said(value)}, which has no low and no high", hint)
    mean = value["mean"] if isinstance(value, dict) else value
    dimension = _dimension(mean)
    for end in ends:
        if dimension is None and not _is_number(end):
            what = f"a number without quotes is wanted, and this is {said(end)}"
            return Problem(place, what, f"the file has {said(mean)} there")
        try:
            _amount(end, dimension)
        except QuantityError as wrong:
            return Problem(place, wrong.what, wrong.hint)
    low, own, high = (_amount(each, dimension) for each in (ends[0], mean, ends[1]))
    lowest, here, highest = (said(each) for each in (ends[0], mean, ends[1]))
    if not (math.isfinite(low) and math.isfinite(high)):
        return Problem(place, f"from {lowest} to {highest} is no range of numbers", "write two finite ones")
    if low > high:
        return Problem(place, f"{lowest} is more than {highest}", "write how low it may be first, then how high")
    if low == high:
        return Problem(place, "low and high are the same", "write how low and how high it may be, or leave it out")
    if not low * (1 - _same(low)) <= own <= high * (1 + _same(high)):
        what = f"the file has {here}, which is not between {lowest} and {highest}"
        return Problem(place, what, "widen the range, or correct the value")
    return None


def _same(end: float) -> float:
    """So much apart, in proportion, is the same written in other units."""
    return 1e-9 if end > 0 else -1e-9


def said_of(ranges: Sequence[Range]) -> Iterator[str]:
    """A sentence on what is marked, if anything is."""
    if ranges:
        marked = ", ".join(f"{each.path} ({each.low} to {each.high})" for each in ranges)
        yield f"Marked as assumed, from a low to a high value: {marked}."


# --- values


def _sort(value: object) -> bool:
    """Whether it is a value with a low and a high: a number, a quantity, or {mean, sd}."""
    if isinstance(value, dict):
        return "mean" in value and _sort(value["mean"]) and not isinstance(value["mean"], dict)
    return _is_number(value) or (isinstance(value, str) and _dimension(value) is not None)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _dimension(value: object) -> Dimension | None:
    """What kind of quantity a text is; None for a number, and for any other text."""
    for dimension in DIMENSIONS if isinstance(value, str) else ():
        try:
            read(value, dimension)
        except QuantityError:
            continue
        return dimension
    return None


def _amount(value: Any, dimension: Dimension | None) -> float:
    if dimension is not None:
        return read(value, dimension)
    return float(value) if -HUGE < value < HUGE else math.inf
