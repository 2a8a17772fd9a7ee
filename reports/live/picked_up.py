"""Rehearsals that were broken off: stored as far as they went, by the program itself or from the log that it left."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from reports.live.afterwards import Afterwards
from sim.model.chance import Crew
from sim.model.errors import KnownError, StoreError
from sim.model.scenario import Scenario
from sim.rehearsal.kept import KeptRehearsal, read_log
from sim.rehearsal.led import Rehearsal
from sim.rehearsal.surprises import Surprise
from sim.stored.store import versions
from sim.written.reading import parse

KILLED = "the program was ended before it could store it; picked up from its log"
KEPT = "it was left as it is; a text editor shows what it holds, a line a word of the leader"


@dataclass(frozen=True)
class PickedUp:
    """What was stored of a log."""

    folder: Path
    calls: int
    trouble: str  # what of it could not be read, "" for nothing


def head_of(scenario: Scenario, seed: int, surprises: tuple[Surprise, ...], settings: dict[str, Any]) -> dict[str, Any]:
    """What a log begins with: all that is needed to have the same people answer again."""
    return {
        "title": scenario.title,
        "variant": scenario.variant,
        "seed": seed,
        "surprises": [[each.kind, each.who, each.call] for each in surprises],
        "settings": settings,
        "versions": versions(),
        "scenario": scenario.text,
    }


def pick_up(log: Path, runs: Path) -> PickedUp | None:
    """Store what a log holds as a run that was stopped, and remove it; None where there was no call in it.

    Raises
    ------
    StoreError
        It cannot be read or stored; it is left as it is.
    """
    try:
        found = read_log(log)
    except OSError as error:
        raise StoreError(str(log), f"cannot be read: {error.strerror or error}", KEPT) from None
    except ValueError as error:
        raise StoreError(str(log), f"cannot be picked up: {error}", KEPT) from None
    try:
        head = found.head
        scenario = parse(head["scenario"], head["title"], head["variant"])
        surprises = tuple(Surprise(*each) for each in head["surprises"])
        rehearsal, trouble = found.again(scenario, Crew(head["seed"]), surprises)
        afterwards = Afterwards(runs, head["seed"], 0, dict(head["settings"]))
    except (KnownError, LookupError, TypeError, ValueError, AttributeError) as error:
        what = f"its first line lacks {error}" if isinstance(error, KeyError) else f"{type(error).__name__}: {error}"
        why = f"cannot be picked up: {what}{_of_another_version(found.head)}"
        raise StoreError(str(log), why, KEPT) from None
    store_broken_off(rehearsal, afterwards, KILLED)
    log.unlink(missing_ok=True)
    trouble += _of_another_version(found.head) if trouble else ""
    return PickedUp(afterwards.folder, afterwards.summary["calls"], trouble) if afterwards.folder else None


def _of_another_version(head: dict[str, Any]) -> str:
    made, here = head.get("versions", {}), versions()
    other = [f"{name} {made[name]}, here {now}" for name, now in here.items() if made.get(name, now) != now]
    return f"; it was made with {', '.join(other)}" if other else ""


def store_broken_off(rehearsal: Rehearsal, afterwards: Afterwards, why: str, at: float | None = None) -> bool:
    """Measure and store a rehearsal as far as it went; not if there was no call in it.

    Raises
    ------
    StoreError
        It could not be stored anywhere.
    """
    rehearsal.break_off(why, at)
    if rehearsal.broken_off and rehearsal.lift.site.call == 0:
        if isinstance(rehearsal, KeptRehearsal):
            rehearsal.log.discard()
        return False
    afterwards(rehearsal)
    if afterwards.folder is None:
        raise afterwards.trouble or StoreError(str(afterwards.runs), "nothing is stored")
    return True
