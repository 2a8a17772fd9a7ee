"""The commented scenarios that `new` writes, and the schema for editors: both show every key there is."""

import difflib
import json
import re
import tomllib

import pytest

from sim.examples import NAMES, STARTS, example
from sim.model.draw import Draw
from sim.model.errors import ScenarioError
from sim.written.keys.devices import DEVICE_TABLES
from sim.written.keys.quantities import Drawn
from sim.written.keys.stands import WrittenTie
from sim.written.keys.tables import SEVERAL, SINGLE, schema
from sim.written.reading import parse


@pytest.mark.parametrize("name", STARTS.values())
def test_the_starting_scenarios_show_every_key(name):
    """Every key of every table stands in the file that `new` writes, and a word about it the first time."""
    text = example(name)
    tables = [*SINGLE.values(), *SEVERAL.values(), WrittenTie, *DEVICE_TABLES.values()]
    keys = {field.alias or key for model in tables for key, field in model.model_fields.items()}
    missing = {key for key in keys if not re.search(rf"^(# )?{key} = ", text, re.M)} - {"tie", "walk"}
    assert not missing
    explained = {match[1] for match in re.finditer(r"^(?:# )?(\w+) = .*  # ", text, re.M)}
    plain = {"tie"}  # said in the line of its table
    assert keys - explained <= plain


@pytest.mark.parametrize("name", STARTS.values())
def test_each_key_that_may_be_added_is_a_good_one(name):
    """A commented line, its "# " taken away, is known and well formed, whatever else it then shuts out."""
    lines = example(name).split("\n")
    commented = [at for at, line in enumerate(lines) if re.match(r"# [a-z_]+ = ", line)]
    assert len(commented) > 25
    for at in commented:
        try:
            parse(opened(lines, at), name)
        except ScenarioError as wrong:
            for problem in wrong.problems:
                assert re.search(r"has both|is missing|nobody is called|already", problem.what), (lines[at], problem)


@pytest.mark.parametrize("name", STARTS.values())
def test_the_stages_that_may_be_added_are_a_lift_up_and_down_again(name):
    """All of their lines, the "# " taken away."""
    lines = example(name).split("\n")
    first = next(at for at, line in enumerate(lines) if line.startswith("# [[stage]]"))
    last = next(at for at, line in enumerate(lines) if line.startswith("# [start]"))
    text = "\n".join(line.removeprefix("# ") if first <= at < last else line for at, line in enumerate(lines))
    assert [stage.do for stage in parse(text, name).stages] == ["raise", "raise", "hold", "lower"]


def opened(lines, at):
    """The text with one commented key opened; under a commented table, with the table and its keys up to there."""
    start = at
    while re.match(r"# (\[|[a-z_]+ = )", lines[start - 1]) and not lines[start].startswith("# ["):
        start -= 1
    start = start if lines[start].startswith("# [") else at
    return "\n".join([*lines[:start], *(line[2:] for line in lines[start : at + 1]), *lines[at + 1 :]])


def test_the_schema_is_json_and_describes_every_key():
    """An editor shows what each key means; a time is a text or a table."""
    as_json = json.loads(json.dumps(schema()))
    for name, table in as_json["$defs"].items():
        if "properties" in table and not name.startswith("Drawn"):
            assert set(table["properties"]) - {"kind"} <= {
                k for k, v in table["properties"].items() if "description" in v
            }
    assert [each["type"] for each in as_json["$defs"]["DrawnTime"]["anyOf"]] == ["string", "object"]


def test_the_shipped_scenarios_are_what_the_schema_wants():
    """Every table of theirs is one the schema knows, every key too."""
    known = schema()
    for name in (*NAMES, *STARTS.values()):
        assert set(tomllib.loads(example(name))) <= set(known["properties"])


def test_a_drawn_quantity_is_one_figure_or_a_table():
    """A bare figure has no spread."""
    assert Drawn(mean=1.0).draw == Draw(1.0, 0.0)


def test_the_trailer_that_comes_down_is_the_one_that_goes_up_and_its_stages() -> None:
    """Two files that differ in nothing else."""
    up, down = example("trailer").splitlines(), example("trailer-and-down").splitlines()
    more = [line for line in difflib.ndiff(up, down) if line[:1] in "+-"]
    assert all(line.startswith("+ ") for line in more)
    assert [line[2:].split("#")[0].strip() for line in more if "=" in line] == [
        'do = "raise"', 'do = "hold"', 'time = "10 min"', 'do = "lower"', 'leader = {step = "1/4 in"}',
        'lowering = {mean = "0.2 in/s", sd = "0.05 in/s"}', 'close = "0.5 s"',
    ]  # fmt: skip
