"""Many places of which the same is to be said: one line for all, with their names and the span of the figures."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from sim.model.sentences import Amount, Part, Sentence, Span

MANY = 4  # so many lines that differ in names and figures alone become one
NAMED = 12  # names and runs of names in one line
_NUMBERED = re.compile(r"(.*?)(0|[1-9]\d{0,8})(\D*)", re.DOTALL)  # "07" is another name than "7"


def without_amounts(what: Sentence) -> Sentence:
    """What a sentence says apart from its amounts. A number in a name is none."""
    return what.with_parts(lambda part: "#" if isinstance(part, Amount) else part)


def spanned(said: Sequence[Sentence]) -> Sentence:
    """Sentences that differ in their amounts alone, as one: each amount as the span from the least to the most.

    Parameters
    ----------
    said : sequence of Sentence
        At least one; alike `without_amounts`.

    Returns
    -------
    Sentence
        "it would carry 1,411 to 8,461 lb" of "it would carry 8,461 lb", "it would carry 1,411 lb" and others.
    """
    columns = iter(list(zip(*(what.amounts() for what in said), strict=True)))

    def span(part: Part) -> Part:
        if not isinstance(part, Amount):
            return part
        ordered = sorted(next(columns), key=lambda amount: amount.value)
        return Span(ordered[0], ordered[-1])

    return said[0].with_parts(span)


def named(names: Sequence[str]) -> str:
    """Many names in a few words: runs of numbers drawn together, and of very many those at the front.

    Parameters
    ----------
    names : sequence of str
        In their order.

    Returns
    -------
    str
        "left strut 1 to 6, left strut 9, rear crib"; after `NAMED` of those, "and 7 others".
    """
    runs = list(_runs(names))
    left = sum(count for _, count in runs[NAMED:])
    return ", ".join(run for run, _ in runs[:NAMED]) + (f" and {left} others" if left else "")


def _runs(names: Sequence[str]) -> Iterator[tuple[str, int]]:
    """Runs of names, in the order in which the first of each kind came up; and of how many names each is."""
    kinds: dict[tuple[str, str], list[int]] = {}
    for name in names:
        found = _NUMBERED.fullmatch(name)
        numbered = found is not None and not found[1].endswith(tuple("0123456789"))
        before, number, after = found.groups() if found and numbered else (name, "0", "")
        kinds.setdefault((before, after if numbered else "\0"), []).append(int(number))
    for (before, after), numbers in kinds.items():
        if after == "\0":
            yield before, len(numbers)
            continue
        ordered = sorted(set(numbers))
        cuts = [0, *(k for k, (a, b) in enumerate(pairwise(ordered), 1) if b != a + 1), len(ordered)]
        for first, end in pairwise(cuts):
            low, high = ordered[first], ordered[end - 1]
            yield f"{before}{low}{f' to {high}' if high > low else ''}{after}", end - first
