"""Broken scenario files: every one is refused with its place, all at once, and never with anything but a ScenarioError.

Here the shipped scenarios are broken line by line, and at random; those broken by hand are in `test_broken_by_hand.py`.
"""

import copy
import re

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from sim.examples import example
from sim.model.errors import ScenarioError
from sim.written.reading import parse
from tests import staged

QUANTITY = re.compile(r'"(-?)([0-9][0-9./ ]*?) ?(in/s|in|lb|s|min|deg|/s|kg|m|mm|cm\^2|cm\^3|MPa|kN)"')
REQUIRED = {
    "load": {"weight", "motion", "cg"}, "need": {"point", "rise"}, "leader": {"gap_limit"}, "operator": {"stroke"},
    "stage": {"do", "time"}, "start": {"rise"}, "mishap": {"kind", "who", "call"},
    "pump": {"first_stage", "second_stage", "shift_pressure"},
    "device": {"kind", "rise_per_turn", "turns", "spacing", "swap", "pieces", "place"},
    "lifter": {"name", "side", "sides", "head", "base", "travel", "travel_per_pump", "pump", "ram_area", "operator"},
    "station": {"name", "side", "sides", "head", "base", "capture"}, "variant": {"name"},
}  # fmt: skip
SIGNED = {"cg", "point", "head", "base"}


def keys_of(text):
    """Every line `key = value` of a file: its number, its table's place, the kind of table, its key and its value."""
    seen, place, kind = {}, "", ""
    lines = text.split("\n")
    for at, line in enumerate(lines):
        if table := re.match(r"\[\[(\w+)\]\]", line):
            kind = table[1]
            seen[kind] = seen.get(kind, 0) + 1
            name = re.match(r'name = "(.*?)"', lines[at + 1])
            place = f'{kind} "{name[1]}" > ' if name else f"{kind} #{seen[kind]} > "
        elif table := re.match(r"\[(\w+)(\.[\w-]+)?\]", line):
            kind, place = table[1], f"{table[1]}{table[2] or ''}."
        elif key := re.match(r"(\w+) = (.*)", line):
            yield at, place, kind, seen.get(kind, 0), key[1], key[2]


def mutations(text):
    """Every line broken in every way that it can be: what it is then, and the place to be named."""
    lines = text.split("\n")

    def broken(at, line):
        return "\n".join([*lines[:at], line, *lines[at + 1 :]])

    for at, place, kind, number, key, value in keys_of(text):
        here = place + key
        after = f"{kind} #{number} > {key}" if key == "name" else here
        renamed = here if key == "kind" else f"{after}x"  # of a device of no kind, no key can be judged
        yield pytest.param(broken(at, f"{key}x = {value}"), renamed, id=f"{here}: renamed")
        yield pytest.param(broken(at, f'{key} = "'), f"line {at + 1}", id=f"{here}: torn off")
        if key in REQUIRED.get(kind, set()):
            missing = after.removesuffix("s") if key == "sides" else after
            yield pytest.param(broken(at, ""), missing, id=f"{here}: left out")
        if (got := QUANTITY.search(value)) is None:
            continue
        other = "lb" if got[3] not in ("lb", "kg", "kN") else "s"
        for called, wrong in {
            "no unit": f'"{got[1]}{got[2]}"',
            "bare": "1.25",
            "another dimension": f'"{got[1]}{got[2]} {other}"',
            "not a number": f'"nan {got[3]}"',
            "bare not a number": "nan",
            "infinite": f'"inf {got[3]}"',
            "endless": f'"1e400 {got[3]}"',
            "decimal comma": f'"1,5 {got[3]}"',
            "no such unit": f'"{got[2]} {got[3]}q"',
            "a truth": "true",
            "a date": "1979-05-27",
        }.items():
            yield pytest.param(broken(at, f"{key} = {value.replace(got[0], wrong, 1)}"), here, id=f"{here}: {called}")
        if key not in SIGNED:
            negative = value.replace(got[0], f'"-3 {got[3]}"', 1)
            yield pytest.param(broken(at, f"{key} = {negative}"), here, id=f"{here}: negative")


def on_the_way_down():
    """The same of stages, of the start, of a valve and of a mishap on the way down."""
    shipped = {each.id for each in mutations(example("trailer"))}
    return [each for each in mutations(staged.WHOLE) if each.id not in shipped]


@pytest.mark.parametrize(
    ("text", "place"), [*mutations(example("trailer")), *mutations(example("van")), *on_the_way_down()]
)
def test_a_broken_line_is_refused_with_its_place(text, place):
    """Key renamed or left out; quantity bare, of another dimension, not a number, infinite, negative."""
    with pytest.raises(ScenarioError) as refused:
        parse(text, "broken.toml")
    said = str(refused.value)
    assert place in said
    assert all(problem.place and problem.what for problem in refused.value.problems)
    assert said.startswith("error: ")


def leaves(raw, path=()):
    """The path to everything in a file, tables and lists too."""
    items = raw.items() if isinstance(raw, dict) else enumerate(raw) if isinstance(raw, list) else ()
    for key, value in items:
        yield (*path, key)
        yield from leaves(value, (*path, key))


TEXTS = {"staged": staged.WHOLE, **{name: example(name) for name in ("trailer", "van", "new-si")}}
WHOLE = {name: tomlkit.parse(text).unwrap() for name, text in TEXTS.items()}
SPOTS = [(name, path) for name, raw in WHOLE.items() for path in leaves(raw)]
WORDS = ["5 in", "1 s", "1 /s", "5 lb", "left", "both", "threaded", "left lifter", "collar", "-1 in", "5 mm/s", "1 min",
         "raise", "hold", "lower", "room"]  # fmt: skip
ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**6), 10**6) | st.floats()
    | st.text("abc 0.5-inlbs/\n\u00a0", max_size=8)
    | st.sampled_from(WORDS),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["mean", "name", "x", ""]), inner),
    max_leaves=5,
)  # fmt: skip


@given(st.lists(st.tuples(st.sampled_from(SPOTS), ANYTHING), min_size=1, max_size=3))
def test_whatever_stands_anywhere_is_read_or_refused(changes):
    """Any value in the place of any other, up to three at once: a Scenario or a ScenarioError, never anything else."""
    name = changes[0][0][0]
    raw = copy.deepcopy(WHOLE[name])
    for (of, path), value in changes:
        here = raw
        try:
            for key in path[:-1]:
                here = here[key]
            if of == name and value is None:
                del here[path[-1]]
            elif of == name:
                here[path[-1]] = value
        except (TypeError, KeyError, IndexError):
            continue  # an earlier change took the place away
    try:
        text = tomlkit.dumps(raw)
    except (TypeError, ValueError):
        return  # None in a list is no TOML
    try:
        scenario = parse(text, name)
    except ScenarioError as refused:
        assert all(problem.place and problem.what for problem in refused.problems)
    else:
        assert sum(lifter.share for lifter in scenario.lifters) == pytest.approx(1)
