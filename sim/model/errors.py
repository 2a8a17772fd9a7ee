"""What can be wrong with what a person wrote. Only `cli.py` prints these and exits."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import islice

from sim.model.visible import visible

SHOWN = 40  # problems of one file; whoever has mended these sees the next
LOOKED_AT, LISTED = 1000, 12  # known names that a hint is sought among; that are listed where none is near


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong: where it stands, what is wrong with it, and what to do."""

    place: str  # `station "left strut" > capture[0]`, `device.threaded.rise_per_turn`
    what: str
    hint: str = ""

    def __str__(self) -> str:
        said = f"error: {visible(self.place)}: {visible(self.what)}"
        return f"{said}\n\nhint: {visible(self.hint)}" if self.hint else said


class KnownError(Exception):
    """Something that the person at the keyboard can mend: its text says what is wrong, and what to do."""


class Refused(KnownError):
    """Something asked for that cannot be done as it was asked: what, and what to do."""

    def __init__(self, what: str, hint: str) -> None:
        super().__init__(what, hint)

    def __str__(self) -> str:
        return f"error: {visible(self.args[0])}\n\nhint: {visible(self.args[1])}"


class ScenarioError(KnownError):
    """A scenario that cannot be used: everything that is wrong with it, at once."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(self.problems)

    def __str__(self) -> str:
        said = [str(problem) for problem in self.problems[:SHOWN]]
        more = len(self.problems) - SHOWN
        return "\n\n".join(said + [f"and {more:,} more: mend these first"] * (more > 0))


def nearest(written: str, known: Iterable[str]) -> str:
    """The hint for a name that is not known: the nearest one that is, or all of them.

    Parameters
    ----------
    written : str
        What the person wrote.
    known : iterable of str
        What would have been understood.

    Returns
    -------
    str
        `did you mean "threaded"?`, or the list of what is known, or "" if nothing is.
    """
    names = {name.lower(): name for name in islice(known, LOOKED_AT)}
    close = get_close_matches(written[:80].lower(), names, n=1, cutoff=0.72)
    if close:
        return f'did you mean "{names[close[0]]}"?'
    listed = ", ".join(f'"{name}"' for name in sorted(names.values())[:LISTED])
    return f"known here: {listed}{', and others' * (len(names) > LISTED)}" if names else ""


class StoreError(KnownError):
    """A run that cannot be stored or found: what, why, and what to do."""

    def __init__(self, what: str, why: str, hint: str = "") -> None:
        super().__init__(what, why, hint)

    def __str__(self) -> str:
        what, why, hint = (visible(part) for part in self.args)
        return f"error: {what}: {why}" + (f"\n\nhint: {hint}" if hint else "")
