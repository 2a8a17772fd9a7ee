"""The house stays one to find one's way in: no folder of more modules than a newcomer looks through.

Which way its rooms import each other stands in pyproject.toml, and `make lint` holds it.
"""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[1]
MOST = 13  # about a dozen
MORE = {"sim/check": 16, "sim/model": 14, "reports/words": 14}  # a module for each thing that is looked at


def test_no_folder_holds_more_than_about_a_dozen_modules() -> None:
    """`__init__.py` is no module to look through."""
    modules = [path for top in ("sim", "reports") for path in (ROOT / top).rglob("*.py") if path.name != "__init__.py"]
    held = Counter(path.parent.relative_to(ROOT).as_posix() for path in modules)
    assert len(held) > 20
    assert {folder: count for folder, count in held.items() if count > MORE.get(folder, MOST)} == {}


def test_no_class_name_stands_for_two_things() -> None:
    """A reader who meets a name knows what it is, wherever that is."""
    named = Counter(
        node.name
        for top in ("sim", "reports")
        for path in (ROOT / top).rglob("*.py")
        for node in ast.parse(path.read_text("utf-8")).body
        if isinstance(node, ast.ClassDef)
    )
    assert len(named) > 200
    assert [name for name, times in named.items() if times > 1] == []
