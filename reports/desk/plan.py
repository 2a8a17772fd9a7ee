"""One plan at the desk: read, changed a field at a time, saved whole or not at all.

A change is written when the whole file can be read with it. One that cannot is kept as it was typed, as a draft, and
tried again with every later one: two values that only go together may be typed one after the other.
"""

from __future__ import annotations

import contextlib
import threading
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from tomlkit.exceptions import TOMLKitError

from reports.desk.cards.fields import Card, Field
from reports.desk.document import changed
from reports.desk.history import History, keep_history, read_history, version_of
from reports.desk.texts import find_field, good, put, read_plan, read_text
from sim.model.errors import Problem, Refused, ScenarioError
from sim.model.scenario import Scenario
from sim.stored.whole import write_whole
from sim.written.keys.places import Raw
from sim.written.short.table import is_short

LONGEST_ANSWER = 400


class Stale(Exception):
    """The page that asked for a change shows a file that is no more."""


@dataclass(frozen=True)
class State:
    """A plan as it is now."""

    text: str
    version: str
    raw: Raw  # {} where it is no TOML
    cards: tuple[Card, ...]
    scenario: Scenario | None  # at the last text that could be read as one
    current: bool  # whether that is the text as it is
    problems: tuple[Problem, ...]  # of the file
    drafts: dict[str, tuple[str, tuple[Problem, ...]]]  # by field: as typed, and why it was not taken
    undo: str
    redo: str

    @property
    def short(self) -> bool:
        """Whether it is in short form."""
        return is_short(self.raw)

    def whole(self, name: str = "this") -> Scenario:
        """The scenario of the last text that could be read as one.

        Raises
        ------
        Refused
            There was none yet.
        """
        if self.scenario is None:
            raise Refused(f"{name} is not a whole plan yet", "fill in what is marked on its Plan screen")
        return self.scenario


@dataclass
class DeskPlan:
    """A scenario file that is worked on."""

    file: Path
    kept: Path  # its history
    lock: threading.RLock = field(default_factory=threading.RLock)
    wrong: dict[str, tuple[Problem, ...]] = field(default_factory=dict)  # why each draft was not taken

    def state(self) -> State:
        """As it is now, the file read anew."""
        with self.lock:
            history = self._history()
            state = self._state(history)
            if not history.kept:  # seen for the first time, or changed elsewhere: that can be undone
                with contextlib.suppress(OSError):
                    keep_history(self.kept, history)
            return state

    def answer(self, version: str, name: str, said: str) -> State:
        """Answer a field; where that cannot be, the answer stays a draft.

        Raises
        ------
        Stale
            The file is not what the page shows.
        Refused
            There is no such field, or the file cannot be written.
        """
        with self.lock:
            history = self._fresh(version)
            here = find_field(self._state(history).cards, name)
            said = said.strip()[:LONGEST_ANSWER]
            history.drafts.pop(name, None)
            self.wrong.pop(name, None)
            if said != here.value:
                self._take(history, here, said)
            keep_history(self.kept, history)
            return self._state(history)

    def guess(self, version: str, name: str, low: str, high: str) -> State:
        """Mark a field as assumed, from a low to a high; both empty: as measured.

        Raises
        ------
        Refused
            It is no amount.
        """
        with self.lock:
            history = self._fresh(version)
            here = find_field(self._state(history).cards, name)
            if not here.path:
                raise Refused("this has no low and no high", "mark an amount")
            ends = [low.strip()[:LONGEST_ANSWER], high.strip()[:LONGEST_ANSWER]]
            mark = name + GUESS
            history.drafts.pop(mark, None)
            self.wrong.pop(mark, None)
            try:
                read = [here._read(end) for end in ends] if any(ends) else None
                text = changed(history.text, [(("assumed", here.path), read)])
                good(text, self.file.name)
            except ScenarioError as wrong:
                history.drafts[mark] = " to ".join(ends)
                self.wrong[mark] = wrong.problems
            else:
                self._write(history, text, f"{here.named} {'a guess' if read else 'measured'}")
            keep_history(self.kept, history)
            return self._state(history)

    def change(self, version: str, done: Callable[[], str], how: Callable[[str], str]) -> State:
        """Change the file as a whole, such as by adding a strut.

        Raises
        ------
        Stale
            The file is not what the page shows.
        ScenarioError
            The plan could not be read with that.
        Refused
            The file cannot be changed like that.
        """
        with self.lock:
            history = self._fresh(version)
            try:
                text = how(history.text)
            except (TOMLKitError, tomllib.TOMLDecodeError, KeyError, TypeError, AttributeError):
                raise Refused("this file cannot be changed as it is", "undo, or see to it by hand") from None
            good(text, self.file.name)
            self._write(history, text, done())
            keep_history(self.kept, history)
            return self._state(history)

    def go(self, version: str, by: int) -> State:
        """Undo (-1) or do again (1)."""
        with self.lock:
            history = self._fresh(version)
            text = history.go(by)
            history.drafts.clear()
            self.wrong.clear()
            self._save(text)
            keep_history(self.kept, history)
            return self._state(history)

    # --- in the plan

    def _history(self) -> History:
        return read_history(self.kept, read_text(self.file))

    def _fresh(self, version: str) -> History:
        history = self._history()
        if version_of(history.text) != version:
            raise Stale
        return history

    def _take(self, history: History, here: Field, said: str) -> None:
        """Write an answer, with the drafts that go together with it; or keep it as a draft."""
        was = f", was {here.value}" if here.value else ""
        done = f"{here.named} {said or 'left open'}{was}"
        others = {name: draft for name, draft in history.drafts.items() if not name.endswith(GUESS)}
        try:
            alone = self._with(history.text, here, said)
        except ScenarioError as wrong:
            together = self._together(history.text, {**others, here.id: said}) if others else None
            if together is None:
                history.drafts[here.id] = said
                self.wrong[here.id] = wrong.problems
                return
            for name in others:
                del history.drafts[name]
            self._write(history, together, done)
            return
        self._write(history, alone, done)
        for name, draft in others.items():
            text = self._together(history.text, {name: draft})
            if text is not None:
                del history.drafts[name]
                self._write(history, text, f"{find_field(read_plan(text, self.file.name).cards, name).named} {draft}")

    def _with(self, text: str, here: Field, said: str) -> str:
        """The file with an answer in it, good as a plan."""
        text = put(text, here, said)
        good(text, self.file.name)
        return text

    def _together(self, text: str, answers: dict[str, str]) -> str | None:
        try:
            for name, said in answers.items():
                text = put(text, find_field(read_plan(text, self.file.name).cards, name), said)
            good(text, self.file.name)
        except (ScenarioError, Refused, TOMLKitError):
            return None
        return text

    def _write(self, history: History, text: str, done: str) -> None:
        if text != history.text:
            self._save(text)
            history.add(text, done)
        history.good = text

    def _save(self, text: str) -> None:
        try:
            write_whole(self.file, text)
        except OSError as error:
            why = error.strerror or str(error)
            raise Refused(f"{self.file.name}: cannot be written: {why}", "nothing of it was changed") from None

    def _state(self, history: History) -> State:
        text = history.text
        read = read_plan(text, self.file.name)
        scenario = read.scenario
        current = scenario is not None
        if current and history.good != text:
            history.good, history.kept = text, False
        if scenario is None and history.good:
            scenario = read_plan(history.good, self.file.name).scenario
        drafts = {name: (said, self._why(text, read.cards, name, said)) for name, said in history.drafts.items()}
        steps = history.to_undo, history.to_redo
        whole = current and not drafts
        return State(text, version_of(text), read.raw, read.cards, scenario, whole, read.problems, drafts, *steps)

    def _why(self, text: str, cards: tuple[Card, ...], name: str, said: str) -> tuple[Problem, ...]:
        """Why a draft was not taken; found again after a restart."""
        if name not in self.wrong:
            try:
                self._with(text, find_field(cards, name.removesuffix(GUESS)), said)
            except ScenarioError as wrong:
                self.wrong[name] = wrong.problems
            except Refused:
                return ()
        return self.wrong.get(name, ())


GUESS = "~"  # after a field's name: its low and high
