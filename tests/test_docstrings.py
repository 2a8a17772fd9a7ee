"""What the docstrings of everything public have to say, so that a call can be written without reading the body.

Read by numpydoc's own parser, from the source alone: nothing is imported.
"""

from __future__ import annotations

import ast
import builtins
import re
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

import pytest
from numpydoc.docscrape import NumpyDocString

ROOT = Path(__file__).parents[1]
FILES = sorted([*ROOT.glob("sim/**/*.py"), *ROOT.glob("reports/**/*.py")])
Function = ast.FunctionDef | ast.AsyncFunctionDef
ARRAYS = re.compile(r"\b(Array|NDArray|ndarray|Flags|Floats|AnyFloats|Chosen|Places|Who)\b")
NUMBERS = re.compile(r"(float|Floats|AnyFloats|Array)( \| None)?")
UNIT = re.compile(r"\[[^\]]+\]")
NO_UNIT = re.compile(r"\b(0 to 1|shares?|part|chance|times|numbers?|confidence|factor|cosine)\b", re.IGNORECASE)


@dataclass(frozen=True)
class Public:
    """A public class, function or method."""

    name: str
    node: ast.ClassDef | Function
    method: bool
    above: str  # the docstrings of its class, module and package

    @property
    def text(self) -> str:
        """Its docstring."""
        return ast.get_docstring(self.node) or ""

    @cached_property
    def doc(self) -> NumpyDocString:
        """Its docstring, parsed; what the parser warns of is an error."""
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            return NumpyDocString(self.text)

    @property
    def parameters(self) -> list[str]:
        """What it takes."""
        assert not isinstance(self.node, ast.ClassDef)
        given = self.node.args
        names = [x.arg for x in (*given.posonlyargs, *given.args, *given.kwonlyargs)]
        return names[self.method :] + [x.arg for x in (given.vararg, given.kwarg) if x]

    @property
    def returns(self) -> str:
        """What its annotation says that it gives back."""
        assert not isinstance(self.node, ast.ClassDef)
        return ast.unparse(self.node.returns) if self.node.returns else ""


@cache
def everything() -> list[Public]:
    """Everything public in sim/ and reports/."""
    return [found for file in FILES for found in _public(file)]


@cache
def parsed(file: Path) -> ast.Module:
    """A file, or nothing where there is none."""
    return ast.parse(file.read_text(encoding="utf-8") if file.exists() else "")


def _public(file: Path) -> Iterator[Public]:
    above = [ast.get_docstring(parsed(each)) or "" for each in (file, file.with_name("__init__.py"))]
    yield from _inside(parsed(file), str(file.relative_to(ROOT)), False, "\n".join(above))


def _inside(node: ast.Module | ast.ClassDef, name: str, method: bool, above: str) -> Iterator[Public]:
    for each in node.body:
        if isinstance(each, ast.ClassDef | Function) and not each.name.startswith("_"):
            static = any(ast.unparse(x) == "staticmethod" for x in each.decorator_list)
            found = Public(f"{name}: {each.name}", each, method and not static, above)
            yield found
            if isinstance(each, ast.ClassDef):
                yield from _inside(each, found.name, True, f"{above}\n{found.text}")


def functions() -> list[Public]:
    """Those of them that are called."""
    return [public for public in everything() if not isinstance(public.node, ast.ClassDef)]


def raised(function: Function) -> set[str]:
    """The exceptions that it raises by name and does not catch itself."""
    found: set[str] = set()

    def look(node: ast.AST, caught: set[str]) -> None:
        if isinstance(node, Function | ast.Lambda):
            return
        if isinstance(node, ast.Try):
            names = {ast.unparse(n) for h in node.handlers if h.type for n in getattr(h.type, "elts", [h.type])}
            for inner in node.body:
                look(inner, caught | names)
            for inner in (*node.handlers, *node.orelse, *node.finalbody):
                look(inner, caught)
            return
        if isinstance(node, ast.Raise) and node.exc is not None:
            name = ast.unparse(node.exc.func if isinstance(node.exc, ast.Call) else node.exc)
            if name[0].isupper() and name not in caught:
                found.add(name)
        for inner in ast.iter_child_nodes(node):
            look(inner, caught)

    for statement in function.body:
        look(statement, set())
    return found


@cache
def exceptions() -> set[str]:
    """Every exception that there is: Python's, and those that a file here defines or imports."""
    known = {name for name in dir(builtins) if isinstance(getattr(builtins, name), type)}
    for file in FILES:
        for node in ast.walk(parsed(file)):
            if isinstance(node, ast.ClassDef):
                known.add(node.name)
            elif isinstance(node, ast.ImportFrom):
                known |= {alias.asname or alias.name for alias in node.names}
    return known


def test_there_is_something_to_read() -> None:
    """Else every rule below would hold."""
    assert len(everything()) > 1000 and len(functions()) > 800


def test_everything_public_says_in_one_line_what_it_is() -> None:
    """A line that ends as a sentence does; more may follow after an empty one."""
    summaries = {public.name: public.doc["Summary"] for public in everything()}
    assert [name for name, lines in summaries.items() if len(lines) != 1 or lines[0][-1:] not in tuple(".!?")] == []


def test_parameters_are_those_of_the_signature() -> None:
    """Where there is a list of them it is whole, and names no other."""
    wrong = []
    for public in functions():
        said = [name.strip().lstrip("*") for entry in public.doc["Parameters"] for name in entry.name.split(",")]
        if said and sorted(said) != sorted(public.parameters):
            wrong.append(public.name)
    assert wrong == []


def test_arrays_come_with_their_shapes() -> None:
    """In the docstring of the function; or of its class, file or package, where all arrays there have the same."""
    taken = {p.name: ast.unparse(p.node.args) + p.returns for p in functions()}  # type: ignore[union-attr]
    assert [
        public.name for public in functions()
        if ARRAYS.search(taken[public.name]) and "shape (" not in public.above + public.text
    ] == []  # fmt: skip


def test_quantities_come_with_their_units() -> None:
    """A number given back, and each number of a list of parameters: its unit in brackets, or that it is a plain one."""
    wrong = []
    for public in functions():
        doc = public.doc
        if NUMBERS.fullmatch(public.returns) and not (UNIT.search(public.text) or NO_UNIT.search(public.text)):
            wrong.append(public.name)
        for entry in (*doc["Parameters"], *doc["Returns"]):
            said = " ".join([entry.name, *entry.desc])
            if re.search(r"\bfloat\b|ndarray", entry.type) and not (UNIT.search(said) or NO_UNIT.search(said)):
                wrong.append(f"{public.name} > {entry.name}")
    assert wrong == []


def test_errors_are_announced() -> None:
    """What a function raises by name stands under Raises; what stands there is an exception that exists."""
    silent, unknown = [], []
    for public in functions():
        assert not isinstance(public.node, ast.ClassDef)
        said = {entry.type for entry in public.doc["Raises"]}
        silent += [f"{public.name} > {name}" for name in sorted(raised(public.node) - said)]
        unknown += [f"{public.name} > {name}" for name in sorted(said - exceptions())]
    assert silent == [] and unknown == []


@pytest.mark.parametrize(
    ("source", "missing"),
    [
        ("def f():\n    raise A", {"A"}),
        ("def f():\n    try:\n        raise A\n    except A:\n        raise B(1)", {"B"}),
        ("def f():\n    try:\n        g()\n    except A:\n        raise", set()),
        ("def f():\n    def g():\n        raise A\n    return g", set()),
    ],
)
def test_what_a_function_raises_is_read_from_its_body(source: str, missing: set[str]) -> None:
    """By name, not what it catches itself, and not what a function inside it raises."""
    (function,) = ast.parse(source).body
    assert isinstance(function, ast.FunctionDef)
    assert raised(function) == missing
