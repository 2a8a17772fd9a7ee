"""What is said of a mistake: no second error that is only an echo of the first, a hint always, words that help."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from sim.examples import example
from sim.model.errors import Problem, ScenarioError
from sim.written.reading import parse

TRAILER = example("trailer")
MISHAP = '\n[[mishap]]\nkind = "{}"\nwho = "{}"\ncall = 2\n'


def problems(text: str, name: str = "file.toml") -> list[Problem]:
    with pytest.raises(ScenarioError) as wrong:
        parse(text, name)
    assert all(problem.place and problem.what and problem.hint for problem in wrong.value.problems)
    return list(wrong.value.problems)


def changed(old: str, new: str) -> str:
    assert old in TRAILER
    return TRAILER.replace(old, new, 1)


ALONE = {
    "a lifter without a side": (changed('side = "left"\n', ""), 'lifter "left lifter" > side', "is missing"),
    "a lifter on no side there is": (changed('side = "left"', 'side = "lft"'), 'lifter "left lifter" > side', '"lft"'),
    "a mishap of no kind there is": (
        TRAILER + MISHAP.format("presure-lost", "left strut"), "mishap #1 > kind", '"presure-lost" is not allowed',
    ),
    "a mishap whose kind is a list": (
        TRAILER + MISHAP.format("slow", "left strut").replace('"slow"', '["slow"]'), "mishap #1 > kind", "a list",
    ),
    "[leader] in double brackets": (changed("[leader]", "[[leader]]"), "leader", "a table is wanted"),
}  # fmt: skip


@pytest.mark.parametrize(("text", "place", "says"), ALONE.values(), ids=ALONE.keys())
def test_one_mistake_is_one_error(text: str, place: str, says: str) -> None:
    """Nothing is said of what only follows from it."""
    (one,) = problems(text)
    assert one.place == place and says in one.what


def test_a_mishap_that_happens_to_nobody_there_is_said() -> None:
    """Where its kind is known, who is looked up."""
    (one,) = problems(TRAILER + MISHAP.format("false-caught", "left stut"))
    assert one.place == "mishap #1 > who" and one.hint == 'did you mean "left strut"?'


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[operator.op]\n[operator.op]\n", "cannot declare [operator.op] twice"),
        ("['a b'.c]\n['a b'.c]\n", 'cannot declare ["a b".c] twice'),
        ('["a)".c]\n["a)".c]\n', 'cannot declare ["a)".c] twice'),
        ("a = {b = 1}\n[a]\n", "[a]"),
    ],
)
def test_a_table_that_is_there_twice_is_named_as_it_is_written(text: str, says: str) -> None:
    """Not as Python would."""
    (one,) = problems(text)
    assert says in one.what and not re.search(r"\('|',", one.what)


def titled(title: str) -> str:
    return re.sub("title = .*", lambda _: f'title = "{title}"', TRAILER)


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        (titled("x" * 121), "title", "is longer than 120 characters"),
        (changed('name = "left strut"', f'name = "{"x" * 61}"'), "name", "is longer than 60 characters"),
        (titled(r"one\ntwo"), "title", '"one\\ntwo" is not allowed here'),
    ],
)
def test_a_text_that_is_too_long_or_not_in_one_line_says_its_limit(text: str, place: str, says: str) -> None:
    """How many characters there may be."""
    (one,) = problems(text)
    assert one.place.endswith(place) and one.what == says


UNSEEN = r"x\u001b[31m", r"x\u0007", r"x\u009b", r"x\u202e", r"x\u2066", r"x\u2028", r"x\rx"
HOLDERS = {
    "a title": titled,
    "a name": lambda name: changed("left strut", name),
    "a catcher": lambda name: changed('name = "left strut"', f'name = "left strut"\ncatcher = "{name}"'),
    "one of two catchers": lambda name: changed('name = "left strut"', f'name = "left strut"\ncatcher = ["{name}"]'),
    "a device": lambda name: TRAILER + f'[device."{name}"]\nkind = "collar"\nrise_per_turn = "5 mm"\nturns = "1 /s"\n',
    "a device used": lambda name: changed('["threaded"]', f'["{name}"]'),
    "an operator": lambda name: TRAILER + f'[operator."{name}"]\nstroke = "1 s"\n',
    "a variant": lambda name: TRAILER + f'[[variant]]\nname = "{name}"\n',
    "a species": lambda name: changed('kind = "crib"', f'kind = "crib"\nspecies = "{name}"'),
    "a key": lambda name: TRAILER + f'"{name}" = 1\n',
    "a table": lambda name: TRAILER + f'["{name}"]\n',
    "a quantity": lambda name: changed('"4 s"', f'"{name}"'),
    "a choice": lambda name: changed('motion = "hinged"', f'motion = "{name}"'),
    "a mark": lambda name: TRAILER + f'[assumed]\n"{name}" = ["1 s", "2 s"]\n',
    "a mishap": lambda name: TRAILER + MISHAP.format("slow", name),
    "what is no TOML": lambda name: TRAILER + "\n" + name.encode().decode("unicode_escape") + " = \n",
}


@pytest.mark.parametrize("holds", HOLDERS.values(), ids=HOLDERS.keys())
def test_nothing_holds_what_cannot_be_seen(holds: Callable[[str], str]) -> None:
    """It is refused, and the refusal shows it written out."""
    for name in UNSEEN:
        said = "\n".join(str(problem) for problem in problems(holds(name)))
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u202a-\u202e\u2066-\u2069]", said)


def test_a_file_name_that_cannot_be_seen_is_written_out_in_the_title() -> None:
    """Of a scenario without a title of its own."""
    untitled = re.sub("title = .*\n", "", TRAILER)
    assert parse(untitled, "lift\x1b[31m\u202e.toml").title == r"lift\u001b[31m\u202e"
    assert len(parse(untitled, f"{'x' * 300}.toml").title) == 120


def test_names_of_every_script_are_taken() -> None:
    """With the joiners and the direction marks that they need."""
    for name in ("Stütze", "支柱", "دعامة", "עמוד\u200f", "नी\u200dचे", "🚒"):
        assert any(x.name == name for x in parse(TRAILER.replace("left strut", name), "file.toml").stations)


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("spacing = 2 in", 'spacing = "2 in"'), ("spacing = “2 in”", 'spacing = "2 in"'),
        ('spacing = "2 in', 'spacing = "2 in"'), ('spacing = 2"', 'spacing = "2 in"'),
    ],
)  # fmt: skip
def test_a_quote_that_is_lost_or_curly_is_answered_with_its_line(line: str, meant: str) -> None:
    """What to write stands in the hint, ready to be copied."""
    text = example("trailer").replace('spacing = "2 in"', line)
    with pytest.raises(ScenarioError) as raised:
        parse(text, "trailer.toml")
    (problem,) = raised.value.problems
    assert problem.place == f"trailer.toml, line {text[: text.index(line)].count(chr(10)) + 1}"
    assert problem.hint == f"put straight quotes around it, such as {meant}"
