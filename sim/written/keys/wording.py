"""What pydantic found wrong with a scenario, in words that its writer knows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pydantic import BaseModel, ValidationError

from sim.model.errors import Problem, nearest
from sim.model.units import quoted
from sim.written.keys.devices import DEVICE_TABLES
from sim.written.keys.places import LISTED, Raw, place_of, said
from sim.written.keys.quantities import Drawn
from sim.written.keys.stages import WrittenLeaderKeys
from sim.written.keys.stands import WrittenTie
from sim.written.keys.tables import SEVERAL, SINGLE, WrittenScenario

Path = Sequence[str | int]
ENOUGH = 200  # problems with keys; whoever has mended these sees the next


def problems_of(error: ValidationError, raw: Raw, whole: type[BaseModel] = WrittenScenario) -> list[Problem]:
    """Everything that pydantic found, each with its place in the file.

    Parameters
    ----------
    error : ValidationError
        What `whole.model_validate` raised.
    raw : dict
        What it was given.
    whole : model
        Of the file: the full form, or the short one, which has no tables.

    Returns
    -------
    list of Problem
        In the order of the tables.
    """
    return [_problem(found, raw, whole) for found in error.errors(include_url=False)[:ENOUGH]]


def _problem(found: Any, raw: Raw, whole: type[BaseModel]) -> Problem:
    """One of them."""
    path, kind, got = list(found["loc"]), found["type"], found["input"]
    model = table_at(path[:-1]) if whole is WrittenScenario else whole
    if path and path[0] == "device" and len(path) > 2:
        del path[2]  # the kind of the device, which pydantic puts there
    ctx = found.get("ctx", {})
    if kind.startswith("union_tag"):
        path.append("kind")
    place = place_of(path, raw)
    if kind == "quantity":
        return Problem(place, ctx["what"], ctx.get("hint", "") or _meaning(model, path))
    if kind == "missing" or kind == "union_tag_not_found":
        return Problem(place, "is missing", _meaning(model, path))
    if kind == "extra_forbidden":
        known = [field.alias or name for name, field in model.model_fields.items()] if model else []
        return Problem(place, "is not a key that is known here", nearest(str(path[-1]), known) or "leave it out")
    if kind == "union_tag_invalid":
        return Problem(place, f"{quoted(ctx['tag'])} is no kind of device", nearest(ctx["tag"], DEVICE_TABLES))
    what, hint = _wrong_value(kind, got, ctx, path)
    return Problem(place, what, hint or _meaning(model, path))


def _wrong_value(kind: str, got: object, ctx: dict[str, Any], path: Path) -> tuple[str, str]:
    """A value that is of the wrong type, or out of range: what was got, and what is allowed."""
    if kind == "literal_error":
        return f"{said(got)} is not allowed here", f"allowed: {ctx['expected'].replace(chr(39), chr(34))}"
    if kind in _RANGE:
        word, key = _RANGE[kind]
        return f"{said(got)} is not allowed here", f"write a number {word} {ctx[key]:g}"
    if kind == "too_short":
        return f"has {ctx['actual_length']} entries", f"at least {ctx['min_length']} wanted"
    if kind == "too_long":
        return "has too many entries", f"at most {ctx['max_length']} are allowed"
    if kind == "string_too_long":
        return f"is longer than {ctx['max_length']} characters", "write a shorter text"
    if kind == "string_pattern_mismatch":
        ends = "" if path[-1] in ("title", "species") else ", without a space at its ends"
        return f"{said(got)} is not allowed here", f"letters that can be seen, in one line{ends}"
    if kind == "list_type" and len(path) == 1:
        return "must be written in double brackets", f"[[{path[0]}]], once for each"
    wanted = _WANTED.get(kind, "something else")
    if len(path) == 1 and isinstance(got, list) and wanted == "a table":
        return f"{wanted} is wanted", f"write [{path[0]}] in single brackets"
    return f"{wanted} is wanted, and this is {said(got)}", ""


_RANGE = {
    "greater_than_equal": ("from", "ge"),
    "greater_than": ("above", "gt"),
    "less_than_equal": ("up to", "le"),
    "less_than": ("below", "lt"),
}
_WANTED = {
    "string_type": "a text in quotes",
    "string_too_short": "a text with something in it",
    "int_type": "a whole number without quotes",
    "float_type": "a number without quotes",
    "finite_number": "a finite number",
    "bool_type": "true or false",
    "list_type": "a list in [brackets]",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
}


def _meaning(model: type[BaseModel] | None, path: Path) -> str:
    """What the key that is missing would say."""
    if path[-1] == "kind":
        return "kind = " + ", ".join(f'"{kind}"' for kind in DEVICE_TABLES)
    field = model.model_fields.get(str(path[-1])) if model else None
    if field is None or not field.description:
        is_list = path[-1] in LISTED
        return f"write a table [[{path[-1]}]]" if is_list else f"write a table [{path[-1]}]"
    return f"{path[-1]}: {field.description}"


def table_at(path: Path) -> type[BaseModel] | None:
    """The model of the table that a path leads to, if it is one."""
    if not path:
        return WrittenScenario
    at = str(path[0])
    if at in SINGLE:
        model, below = SINGLE[at], path[1:]
    elif at == "device" and len(path) > 2:
        model, below = DEVICE_TABLES[str(path[2])], path[3:]
    elif at in SEVERAL and len(path) > 1:
        model, below = SEVERAL[at], path[2:]
    else:
        return None
    if not below:
        return model
    inner: dict[str, type[BaseModel]] = {"tie": WrittenTie, "leader": WrittenLeaderKeys}
    return inner.get(str(below[0]), Drawn)
