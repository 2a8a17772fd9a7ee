"""What was done to a plan at the desk, step by step, kept beside it: undone and done again, across restarts.

Of every step the whole file is kept, so that undoing brings back comments and spellings too. Half-typed answers are
kept here and nowhere else.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sim.stored.whole import write_whole

MOST_STEPS = 200
FIRST = "as it was found"
ELSEWHERE = "changed outside the desk"


def version_of(text: str) -> str:
    """By what a page says which state of the file it shows."""
    return hashlib.sha256(text.encode()).hexdigest()[:16]


@dataclass
class Edit:
    """The file after one thing was done."""

    text: str
    done: str


@dataclass
class History:
    """All steps of one plan, where in them it is, and what is half-typed."""

    steps: list[Edit]
    at: int = 0
    drafts: dict[str, str] = field(default_factory=dict)  # by field
    good: str = ""  # the last text that could be read as a plan
    kept: bool = False  # whether it is kept as it is

    @property
    def text(self) -> str:
        """The file, as the desk left it."""
        return self.steps[self.at].text

    @property
    def to_undo(self) -> str:
        """What undoing would take back; "" for nothing."""
        return self.steps[self.at].done if self.at else ""

    @property
    def to_redo(self) -> str:
        """What would be done again; "" for nothing."""
        return self.steps[self.at + 1].done if self.at + 1 < len(self.steps) else ""

    def add(self, text: str, done: str) -> None:
        """One more step; what had been undone is gone."""
        del self.steps[self.at + 1 :]
        self.steps.append(Edit(text, done))
        del self.steps[:-MOST_STEPS]
        self.at = len(self.steps) - 1

    def go(self, by: int) -> str:
        """Step back or forth; the text to write."""
        self.at = min(max(0, self.at + by), len(self.steps) - 1)
        return self.text


def read_history(kept: Path, text: str) -> History:
    """What is kept of a plan; a file that was changed elsewhere since then is one step more.

    Parameters
    ----------
    kept : Path
        Where it is kept; what cannot be read there counts as nothing.
    text : str
        The file as it is now.
    """
    try:
        found: Any = json.loads(kept.read_text(encoding="utf-8"))
        steps = [Edit(str(step["text"]), str(step["done"])) for step in found["steps"]]
        drafts = {str(name): str(said) for name, said in found["drafts"].items()}
        history = History(steps, int(found["at"]), drafts, str(found["good"]), kept=True)
        if not 0 <= history.at < len(steps):
            raise ValueError("no such step")
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return History([Edit(text, FIRST)])
    if history.text != text:
        history.add(text, ELSEWHERE)
        history.kept = False
    return history


def keep_history(kept: Path, history: History) -> None:
    """Keep it, whole or not at all."""
    steps = [{"text": step.text, "done": step.done} for step in history.steps]
    data = {"steps": steps, "at": history.at, "drafts": history.drafts, "good": history.good}
    write_whole(kept, json.dumps(data, ensure_ascii=False))
