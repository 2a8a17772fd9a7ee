"""The cards of a short plan: the questions of `ask`, and the keys that may go with them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from reports.desk.cards.fields import Card, Choices, Field, Group, Kind, Written, number, typed
from reports.desk.cards.followers import catchers_field, follower_fields, followers_of, place_fields
from reports.desk.cards.labels import NUMBERS, STATION
from sim.ask.asking import needed
from sim.ask.questions import HELD, PARTS, UNKNOWN, Part
from sim.model.errors import Problem, ScenarioError
from sim.model.units import Units
from sim.written.keys.places import Raw
from sim.written.short.presets import Preset, kinds, the
from sim.written.short.table import WrittenShort
from sim.written.short.toml_page import TomlPage

FAR_END: Choices = (("stays down", "yes: it turns about it"), ("goes up too", "no: all of it goes up, level"))
WHICH: Choices = (("end_weight", "at the lifting end"), ("weight", "as a whole"))
FEW: Choices = (("1", "1, on the centreline"), ("2", "2, one a side"))
YES_NO: Choices = (("true", "yes"), ("false", "no"))
LABELS = {
    "title": "What do you call this plan?",
    "hinge_height": "Hinge line above ground",
    "point_height": "The point that has to come up, above ground",
    "lifter_height": "Where the lifters meet the load, above ground",
    "strut_height": "Where what follows it meets the load, above ground",
    "take_up": "Ram travel spent before the load moves",
    "travel": "How far can each ram move?",
    "lifter_collars": "Has each ram a collar of its own?",
    "hold": "How long does it then stand?",
    "down_again": "And down again?",
    "step": "How far does one lowering call come down?",
    "tie_slack": "How far do the ties leave the struts behind the load?",
    **{key: STATION[f"*{key}"] for key in ("tube", "post", "material", "yield")},
    "operators": "What kind of people pump?",
    "pace": "Shortest time from call to call",
}  # keys beside the questions
MADE_OF = ("tube", "post", "material", "yield")  # of a strut
LAYOUT = (  # card, its title, the questions on it, further keys, keys that are folded away
    (
        "load",
        "What is raised",
        ("like", "far_end", "pivot_held", "weight", "weight_from"),
        (),
        ("hinge_height", "take_up"),
    ),
    ("where", "Where it is lifted", ("hinge_to_lifters", "hinge_to_point"), (), ("point_height", "lifter_height")),
    ("need", "What must be cleared", ("rise",), ("hold", "down_again"), ("step",)),
    ("lifters", "Lifters", ("lifters", "apart", "strokes_per_inch"), ("travel", "lifter_collars"), ()),
    ("follows", "What follows it", ("with", "hinge_to_struts", "catchers"), ("strut_height", "tie_slack"), MADE_OF),
    ("people", "People", ("people",), ("operators",), ()),
    ("leader", "The leader", ("strokes", "gap"), ("pace",), ()),
    ("name", "This plan", (), ("title",), ()),
)
ADDS: Choices = (
    ("strut", "a threaded strut"),
    ("pinned strut", "a pinned strut"),
    ("crib", "a crib"),
    ("chain", "a chain"),
    ("strap", "a strap"),
)
OPERATORS: Choices = tuple((name, name) for name in kinds("operator"))
_KINDS: dict[str, Kind] = {"title": "text", **{key: NUMBERS[key] for key in MADE_OF if key in NUMBERS}}
_DESCRIBED = {field.alias or name: field.description or "" for name, field in WrittenShort.model_fields.items()}
_PART = {part.key: part for part in PARTS}
_FOLLOWERS: dict[str, Callable[[Raw, Units], list[Field]]] = {
    "with": follower_fields,
    "hinge_to_struts": place_fields,
    "catchers": lambda raw, units: [catchers_field(raw, units)],
}


def short_cards(raw: Raw, units: Units) -> tuple[Card, ...]:
    """The cards, as far as the file can be read."""
    answers = {part.key: typed(raw.get(part.keys[0])) for part in PARTS if part.keys and part.keys[0] in raw}
    first, *also = [*followers_of(raw, units), ""]
    answers |= {"with": first, "also": ", ".join(each for each in also if each)}
    if raw.get("far_end"):
        answers["far_end"] = "no" if raw["far_end"] == "goes up too" else "yes"
    cards = []
    for name, title, questions, keys, folded in LAYOUT:
        fields: list[Field] = []
        for key in questions:
            if needed(_PART[key], answers) or (key == "catchers" and key in raw):
                fields += _asked(_PART[key], raw, units)
        fields += [_key(key, raw, units) for key in keys]
        fields += [_key(key, raw, units, more=True) for key in folded]
        group = Group(name, "", tuple(fields), names=(name,))
        cards.append(Card(name, title, (group,), ADDS if name == "follows" else ()))
    return tuple(cards)


def _asked(part: Part, raw: Raw, units: Units) -> list[Field]:
    """A question; of the weight also whether it is that at the end."""
    label = part.asks[units]
    if part.key == "weight":
        which = "weight" if "weight" in raw else "end_weight"
        amount = _field(which, "What does it weigh?", raw, how=part.how, row=label, steps=((which,),))
        moved = _moved(raw, which)
        return [amount, _field("which", "That is", raw, "choice", value=which, choices=WHICH, writes=moved, row=label)]
    if part.key == "strokes_per_inch":
        inch = "strokes_per_inch" in raw or (units == "us" and "strokes_per_25_mm" not in raw)
        key = "strokes_per_inch" if inch else "strokes_per_25_mm"
        return [_field(key, part.asks["us" if inch else "si"], raw, "number", how=part.how)]
    key = part.keys[0]
    if key in _FOLLOWERS:
        return _FOLLOWERS[key](raw, units)
    if part.key == "far_end":
        return [_field(key, label, raw, "choice", how=part.how, choices=FAR_END, offered=_offered(key, raw, units))]
    if part.key == "lifters":
        writes = _whole("lifters")
        value = typed(raw.get(key))
        return [_field(key, label, raw, "choice", value, part.how, FEW, _offered(key, raw, units), writes=writes)]
    if key == "pivot_held":
        choices = tuple((HELD[name], name) for name, _ in part.choices if HELD[name])
        return [_field(key, label, raw, "choice", how=part.how, choices=choices, offered=UNKNOWN)]
    if part.choices:
        choices = tuple((name, f"{name}: {said}") for name, said in part.choices)
        return [_field(key, label, raw, "choice", how=part.how, choices=choices, offered=_offered(key, raw, units))]
    kind: Kind = "whole" if key in ("people", "strokes") else "quantity"
    return [_field(key, label, raw, kind, how=part.how, offered=_offered(key, raw, units))]


def _key(key: str, raw: Raw, units: Units, more: bool = False) -> Field:
    """A key that no question asks for."""
    offered, how = _offered(key, raw, units), _DESCRIBED[key]
    choices = {"lifter_collars": YES_NO, "down_again": YES_NO, "operators": OPERATORS}.get(key, ())
    kind: Kind = "choice" if choices else _KINDS.get(key, "quantity")
    return _field(key, LABELS[key], raw, kind, how=how, choices=choices, offered=offered, more=more)


def _field(
    key: str, label: str, raw: Raw, kind: Kind = "quantity", value: str = "", how: str = "", choices: Choices = (),
    offered: str = "", **rest: Any,
) -> Field:  # fmt: skip
    said = value or typed(raw.get(key))
    path = key if kind in ("quantity", "number") else ""
    steps = rest.pop("steps", ((key,),))
    return Field(key, label, steps, kind, said, how, choices, offered, path=path, **rest)


def _moved(raw: Raw, which: str) -> Any:
    """The weight under its other key."""

    def write(said: str) -> Written:
        if said == which:
            return []
        if said not in dict(WHICH):
            raise ScenarioError([Problem("which", "is neither of these", "at the lifting end, or as a whole")])
        return [((which,), None), ((said,), raw.get(which))]

    return write


def _whole(key: str) -> Any:
    def write(said: str) -> Written:
        return [((key,), int(number(key, said, r"[0-9]{1,9}", "a whole number")) if said else None)]

    return write


def _offered(key: str, raw: Raw, units: Units) -> str:
    """What is taken where the file is silent, in its units."""
    load = kinds("load").get(str(raw.get("like")))
    presets: dict[str, Preset] = {"pace": the("leader"), "strokes": the("leader"), "gap": the("leader")}
    presets |= {"travel": the("lifter"), "tie_slack": the("strut")}
    fixed = {"operators": "steady", "lifters": "2", "lifter_collars": "false", "weight_from": "estimate"}
    fixed |= {"hold": "none", "down_again": "false", "step": "as the gap"}
    fixed |= dict.fromkeys(MADE_OF, "not known")
    if key in fixed:
        return fixed[key]
    preset = presets.get(key, load)
    if preset is None:
        return ""
    found = preset.values.get(key) or preset.suggest.get(units, {}).get(key, "")
    return typed(TomlPage(units).in_units(found))
