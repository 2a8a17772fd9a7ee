"""A scenario file being changed: one value, table or row at a time; comments, order and spellings stay as they are.

A place is a row of steps, keys and numbers, as `sim.written.keys.assumed.steps_to` has them:
`("station", 0, "tie", "slack")`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import tomlkit
from tomlkit.items import AoT, Comment, InlineTable, Table, Whitespace

Steps = tuple[str | int, ...]


def changed(text: str, values: Sequence[tuple[Steps, Any]]) -> str:
    """The file with other values in some places; None takes the key away."""
    document = tomlkit.parse(text)
    for steps, value in values:
        if value is None:
            _take_away(document, steps)
        else:
            _put(document, steps, value)
    return document.as_string()


def with_row(text: str, kind: str, row: dict[str, Any]) -> str:
    """The file with one more [[kind]], after those that are there."""
    document = tomlkit.parse(text)
    table = tomlkit.table()
    for key, value in row.items():
        table.append(key, _item(value))
    rows = document.get(kind)
    if isinstance(rows, AoT) and len(rows):
        last = rows[-1]
        after = _tail(last)
        _add(last, [(None, Whitespace("\n"))])
        rows.append(table)
        _add(rows[-1], after or [(None, Whitespace("\n"))])
    else:
        listed = tomlkit.aot()
        listed.append(table)
        document.append(tomlkit.key(kind), listed)
        return _spaced(document.as_string(), f"[[{kind}]]")
    return document.as_string()


def without_row(text: str, kind: str, at: int) -> str:
    """The file without one of its [[kind]]; words that stand before the next table stay."""
    document = tomlkit.parse(text)
    rows: Any = document[kind]
    after = _tail(rows[at])
    if at:
        _tail(rows[at - 1])
        _add(rows[at - 1], after)
    del rows[at]
    if not len(rows):
        del document[kind]
    return document.as_string()


def with_table(text: str, kind: str, name: str, values: dict[str, Any]) -> str:
    """The file with [kind.name], at its end if it is not there yet."""
    document = tomlkit.parse(text)
    if name in document.get(kind, {}):
        return text
    table = tomlkit.table()
    for key, value in values.items():
        table.append(key, _item(value))
    head = f"[{kind}.{tomlkit.key(name).as_string()}]"
    return f"{text.rstrip()}\n\n{head}\n{table.as_string()}"


def _put(document: Any, steps: Steps, value: Any) -> None:
    here = document
    for n, step in enumerate(steps[:-1]):
        if isinstance(step, str) and step not in here:
            here = _made(here, step, steps[n + 1])
        else:
            here = here[step]
    last = steps[-1]
    if isinstance(here, Table) and isinstance(last, str) and last not in here:
        after = _tail(here)
        here.append(last, _item(value))
        _add(here, after)
    else:
        here[last] = _item(value)


def _made(here: Any, step: str, following: str | int) -> Any:
    """A table that was not there yet: [name] at the end of the file, or {...} within another."""
    fresh: Any = tomlkit.table() if isinstance(here, tomlkit.TOMLDocument) else tomlkit.inline_table()
    if isinstance(here, tomlkit.TOMLDocument):
        if here.body and not here.as_string().endswith("\n\n"):
            here.add(tomlkit.nl())
        here.append(step, fresh)
    else:
        after = _tail(here)
        here.append(step, fresh)
        _add(here, after)
    return here[step]


def _take_away(document: Any, steps: Steps) -> None:
    here = document
    for step in steps[:-1]:
        if isinstance(step, str) and step not in here:
            return
        here = here[step]
    if steps[-1] in here:
        del here[steps[-1]]
    if not len(here) and len(steps) > 1 and isinstance(here, InlineTable):
        _take_away(document, steps[:-1])


def _item(value: Any) -> Any:
    """A value as TOML has it; a table within a table in one line."""
    if isinstance(value, dict):
        table = tomlkit.inline_table()
        for key, each in value.items():
            table.append(key, _item(each))
        return table
    return tomlkit.item(value)


def _tail(table: Any) -> list[tuple[Any, Any]]:
    """What stands after the last key of a table, taken off it: it belongs to whatever comes next."""
    body = table.value.body if isinstance(table, Table) else []
    found: list[tuple[Any, Any]] = []
    while body and body[-1][0] is None and isinstance(body[-1][1], Whitespace | Comment):
        found.insert(0, body.pop())
    return found


def _add(table: Any, lines: list[tuple[Any, Any]]) -> None:
    if isinstance(table, Table):
        table.value.body.extend(lines)


def _spaced(text: str, head: str) -> str:
    """An empty line before a table that was added."""
    before, found, after = text.rpartition(f"\n{head}\n")
    return f"{before.rstrip()}\n\n{head}\n{after}" if found else text
