"""Nobody writes a word of the record as bare text: `What.HOLDS`, not "holds"; and no field by its number."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from sim.record.columns import COLUMNS
from sim.record.what import What

ROOT = Path(__file__).parents[1]
HELD = [
    "sim/story", "sim/record", "sim/rehearsal", "sim/drill", "sim/lessons", "sim/stored", "sim/batch/by_story.py",
    "reports/lift", "reports/views", "reports/live", "reports/slides", "reports/words/work.py",
    "reports/words/answer.py", "reports/words/drill/debrief.py",
]  # fmt: skip
OWN = ["sim/record/what.py"]  # where they are written down
OTHER = {  # the same letters for something else: a measure, a column, a quantity drawn, a key of a lesson, a word said
    *COLUMNS, "calls", "holds", "captures", "caught", "raised", "strokes", "turns", "walks", "room", "clear",
}  # fmt: skip
OF_A_PAGE = {("reports/views/drawing.py", "falls")}  # where a side would come down to, for the script
WRITES = {"isin", "say", "leader", "lifter", "place", "book_side", "book_place", "caught", "aim", "Ended", "_book_all"}
SCRIPTS = re.compile(r"""\.what\s*[!=]==\s*["']([^"']*)["']""")


def bare_words(source: str) -> Iterator[tuple[int, str]]:
    """Where a word of the record stands as text: compared, matched, handed on, returned, or the key of a table."""
    tree = ast.parse(source)
    above = {inner: outer for outer in ast.walk(tree) for inner in ast.iter_child_nodes(outer)}
    for node in ast.walk(tree):
        if not (isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in set(What)):
            continue
        inner: ast.AST = node
        while isinstance(above[inner], ast.Tuple | ast.List | ast.Set | ast.IfExp | ast.Starred):
            inner = above[inner]
        at = above[inner]
        name = getattr(at.func, "attr", getattr(at.func, "id", "")) if isinstance(at, ast.Call) else ""
        asked = (isinstance(at, ast.Compare) and "what" in ast.unparse(at)) or isinstance(at, ast.MatchValue)
        handed = isinstance(at, ast.Call | ast.keyword | ast.Compare)
        begins = isinstance(at, ast.Dict) and inner in at.keys
        named = isinstance(at, ast.Assign | ast.Return) and inner is not node
        if asked or name in WRITES or (node.value not in OTHER and (handed or begins or named)):
            yield node.lineno, node.value


def files() -> list[Path]:
    """The modules that are held to it."""
    found = [
        p for held in HELD for p in ([ROOT / held] if held.endswith(".py") else sorted((ROOT / held).rglob("*.py")))
    ]
    return [path for path in found if str(path.relative_to(ROOT)) not in OWN]


def test_no_module_has_a_word_of_the_record_as_bare_text() -> None:
    """A typo in one would measure zero; a typo in a name of the enum is an error."""
    found = {(str(p.relative_to(ROOT)), word, line) for p in files() for line, word in bare_words(p.read_text("utf-8"))}
    assert sorted((path, line, word) for path, word, line in found if (path, word) not in OF_A_PAGE) == []
    assert len(files()) > 50


@pytest.mark.parametrize(
    "source",
    [
        'rows = events[events["what"] == "holds"]',
        'x = what == "calls"',
        'x = row.what in ("moves", "settles")',
        'x = events["what"].isin(["calls", "levels"])',
        'self.say("calls" if everybody else "levels", "")',
        'site.book_side(side, "strokes")',
        'site.book_place(place, "", "falls", before=1.0)',
        'raise Ended("not-reached", why)',
        'def f():\n    return "stopped", "why"',
        'DOING = {"reacts": "reacting"}',
        'ENDS = ("recovers", "ready")',
        'match what:\n    case "caught" | "misses":\n        pass',
        'Kink(after, d, "meets", 0.0, 0.0)',
    ],
)
def test_a_word_as_bare_text_is_found(source: str) -> None:
    """However it is used."""
    assert list(bare_words(source))


@pytest.mark.parametrize(
    "source",
    [
        'summary["calls"]',
        'own[["open", "caught"]]',
        '{"calls": 3, "holds": 1}',
        'draw(who, "turns", of, call)',
        '"In calls."',
    ],
)
def test_the_same_letters_for_a_measure_a_column_or_a_quantity_are_left_alone(source: str) -> None:
    """They are other things."""
    assert not list(bare_words(source))


def test_no_module_takes_a_field_of_a_row_by_its_number() -> None:
    """Rows of the book have names for their fields."""
    numbered = re.compile(r"\brow\[-?\d")
    assert numbered.search("times.append(row[0])")
    assert [str(path) for path in files() if numbered.search(path.read_text("utf-8"))] == []


def test_the_pages_scripts_ask_for_words_that_there_are() -> None:
    """They cannot import the enum, so their words are compared with it."""
    scripts = sorted((ROOT / "reports/assets").glob("*.js"))
    asked = {word for script in scripts for word in SCRIPTS.findall(script.read_text("utf-8"))}
    assert {"calls", "levels", "moves", "rests"} <= asked <= set(What)
