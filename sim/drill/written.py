"""The crew's own times in a copy of the scenario, its comments kept; or as tables to paste."""

from __future__ import annotations

from typing import Any

import tomlkit
from tomlkit.items import InlineTable, Table

from sim.drill.crew import DrilledCrew, Known
from sim.model.scenario import Scenario
from sim.written.keys.assumed import steps_to
from sim.written.reading import parse
from sim.written.short.short import expand


def with_crew(scenario: Scenario, crew: DrilledCrew, name: str, drills: int) -> str:
    """The scenario's text with the crew's times in it; a short form is written out in full first.

    Parameters
    ----------
    scenario : Scenario
        As read from a file.
    crew : Crew
        What the drills say.
    name : str
        Of the scenario's file.
    drills : int
        How many drills that was.
    """
    document = tomlkit.parse(expand(scenario.text, name))
    for known in crew.fitted:
        table = _table(document, known)
        if table is not None:
            _put(table, known, drills)
    _unmark(document, {(k.sample.table, k.sample.name, k.sample.quantity) for k in crew.fitted})
    return tomlkit.dumps(document)


def tables(scenario: Scenario, crew: DrilledCrew, name: str, drills: int) -> str:
    """Just the [operator.*] and [device.*] tables that a drill has something about, whole, to be pasted."""
    whole = tomlkit.parse(with_crew(scenario, crew, name, drills))
    parts = []
    for kind, own in dict.fromkeys((k.sample.table, k.sample.name) for k in crew.fitted):
        table = whole.get(kind, {}).get(own)
        if table is not None:
            parts.append(_dumped(kind, own, table))
    return "\n".join(parts)


def _dumped(kind: str, own: str, table: Any) -> str:
    alone = tomlkit.document()
    outer = tomlkit.table(is_super_table=True)
    outer.append(own, table)
    alone.append(kind, outer)
    return tomlkit.dumps(alone).strip() + "\n"


def fitted(scenario: Scenario, crew: DrilledCrew, name: str, drills: int) -> Scenario:
    """The scenario with the crew's own times."""
    return parse(with_crew(scenario, crew, name, drills), name, scenario.variant)


def _table(document: Any, known: Known) -> Any:
    """Where a quantity stands; None where the scenario has no such table of its own (a preset)."""
    kinds = document.get(known.sample.table)
    table = kinds.get(known.sample.name) if kinds is not None else None
    return table if isinstance(table, Table | InlineTable) else None


def _put(table: Any, known: Known, drills: int) -> None:
    key, written = known.sample.quantity, known.written
    before = table.get(key)
    if isinstance(written, dict):
        value: Any = tomlkit.inline_table()
        value.update(written)
    else:
        value = tomlkit.string(written)
    table[key] = value
    if isinstance(table, Table):
        said = _comment(known, drills)
        if before is not None:
            earlier = before.trivia.comment.lstrip("# ")
            said += f"; before: {before.as_string()}" + (f" ({earlier})" if earlier else "")
        table[key].comment(said)


def _unmark(document: Any, drilled: set[tuple[str, ...]]) -> None:
    """What a drill has shown is assumed no more: its range goes, for the value may lie outside it now."""

    def without(marks: Any, before: str) -> None:
        for name in list(marks):
            path = f"{before}.{name}" if before else name
            if isinstance(marks[name], dict):
                without(marks[name], path)
            steps = steps_to(path, raw)
            if (steps and steps[:3] in drilled) or marks[name] == {}:
                del marks[name]

    raw = document.unwrap()
    if isinstance(raw.get("assumed"), dict):
        without(document["assumed"], "")
        if not document["assumed"]:
            del document["assumed"]


def _comment(known: Known, drills: int) -> str:
    assert known.fit is not None
    low, high = known.fit.mean.low, known.fit.mean.high
    unit = "/s" if known.sample.is_rate else "s"
    times = f"{len(known.sample.values)} times in {drills} drill{'s' if drills != 1 else ''}"
    return f"drilled: {times}; mean between {low:.2f} and {high:.2f} {unit} (95 %)"
