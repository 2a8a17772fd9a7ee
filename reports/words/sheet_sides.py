"""What is alike on the left and on the right stands on a sheet once: findings, lines of the plan, rows of tables.

Alike means alike in either kind of units, so that a page that can be switched between them keeps its lines.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from reports.words.sheet_many import MANY, named, spanned, without_amounts
from sim.check import Finding
from sim.check.findings import Level
from sim.check.plan import PlanLine
from sim.model.sentences import Sentence
from sim.model.units import Units

SIDES = re.compile(r"\b(left|right)\b")
BOTH = "left and right"


@dataclass(frozen=True, slots=True)
class Said:
    """One finding; or two that say the same of the left side and of the right; or many that are alike."""

    level: Level
    subject: str
    what: Sentence
    source: str


def gathered(findings: Iterable[Finding]) -> list[Said]:
    """The findings, in their order."""
    here = list(findings)
    plain = [_side_less(finding.what) for finding in here]
    keys = [
        (a.level, _plain(a.subject), what.words("us"), what.words("si"), a.source)
        for a, what in zip(here, plain, strict=True)
    ]
    alike: dict[tuple[object, ...], list[tuple[int, ...]]] = {}
    for group in pairs(keys, [finding.subject for finding in here]):
        first = group[0]
        alike.setdefault((here[first].level, without_amounts(plain[first]), here[first].source), []).append(group)
    lines = []
    for groups in alike.values():
        said = [(group, [here[n] for n in group]) for group in groups]
        if len(said) >= MANY:
            lines.append((groups[0], _as_one_of_many([each for _, each in said])))
        else:
            lines += [(group, _as_one_of_two(each)) for group, each in said]
    return [each for _, each in sorted(lines, key=lambda line: line[0])]


def _as_one_of_two(alike: Sequence[Finding]) -> Said:
    """One finding, or one of the left and one of the right."""
    first = alike[0]
    if len(alike) == 1:
        return Said(first.level, first.subject, first.what, first.source)
    return Said(first.level, _both(first.subject), _side_less(first.what), first.source)


def _as_one_of_many(groups: Sequence[Sequence[Finding]]) -> Said:
    """Many findings in one line: whose they are, how many, and the figures from the least to the most."""
    said = [_as_one_of_two(group) for group in groups]
    subject = f"{named([each.subject for each in said])} ({sum(map(len, groups))} in all)"
    what = spanned([_side_less(each.what) for group in groups for each in group])
    return Said(said[0].level, subject, what, said[0].source)


def plan_lines(lines: Sequence[PlanLine]) -> list[PlanLine]:
    """The plan, in its order."""
    keys = [(_plain(a.subject), a.what, a.numbers.words("us"), a.numbers.words("si")) for a in lines]
    grouped = pairs(keys, [line.subject for line in lines])
    return [replace(lines[n], subject=_both(lines[n].subject)) if rest else lines[n] for n, *rest in grouped]


def mirrored(rows: list[list[str]], in_other_units: list[list[str]]) -> list[list[str]]:
    """The rows of a table: what points left on the left and right on the right points out."""
    keys = [tuple(_plain(cell) for cell in (*a, *b)) for a, b in zip(rows, in_other_units, strict=True)]
    grouped = pairs(keys, [row[0] for row in rows])
    return [_as_one(rows[n], rows[rest[0]]) if rest else rows[n] for n, *rest in grouped]


def pairs(keys: Sequence[tuple[str, ...]], names: Sequence[str]) -> list[tuple[int, ...]]:
    """Numbers of those that stand alone, and of those two that are alike but for left and right, in their order."""
    found: dict[tuple[str, ...], list[int]] = {}
    for n, key in enumerate(keys):
        found.setdefault(key, []).append(n)
    grouped: list[tuple[int, ...]] = []
    for alike in found.values():
        sides = {side for n in alike for side in SIDES.findall(names[n])}
        two = len(alike) == 2 and sides == {"left", "right"}
        grouped += [tuple(alike)] if two else [(n,) for n in alike]
    return sorted(grouped)


def other(units: Units) -> Units:
    """The units that these are not."""
    return "si" if units == "us" else "us"


def _side_less(what: Sentence) -> Sentence:
    """The same said of one side, whichever it is."""
    return what.with_parts(lambda part: _plain(part) if isinstance(part, str) else part)


def _plain(text: str) -> str:
    return SIDES.sub("one", text)


def _both(text: str) -> str:
    return SIDES.sub(BOTH, text, count=1)


def _as_one(row: list[str], mirror: list[str]) -> list[str]:
    """One row for two."""
    names = [SIDES.findall(row[0]), SIDES.findall(mirror[0])]
    cells = [_both(row[0])]
    for one, mirrored_one in zip(row[1:], mirror[1:], strict=True):
        sides = [SIDES.findall(one), SIDES.findall(mirrored_one)]
        if sides[0] == sides[1]:
            cells.append(one)
        elif _plain(one).startswith("one "):  # a name
            cells.append(_plain(one))
        else:
            cells.append(SIDES.sub("out" if sides == names else "in", one))
    return cells
