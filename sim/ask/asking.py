"""The nine questions that make a short scenario: what is asked, what is offered, what is wrong with an answer.

No talking here: `reports/terminal/ask.py` does that. An answer is text as a person gives it, and is judged by the
reader that will read the file: with what is offered for the questions still to come, the whole scenario is parsed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from sim.ask.offers import followers, offered
from sim.ask.questions import PARTS, Part
from sim.model.errors import Problem, ScenarioError
from sim.model.units import Units
from sim.written.reading import parse
from sim.written.short.presets import kinds
from sim.written.short.table import goes_straight
from sim.written.short.toml_page import TomlPage

Answers = Mapping[str, str]


@dataclass
class Asking:
    """Where somebody is in the nine questions, and what has been answered."""

    units: Units = "us"
    given: dict[str, str] = field(default_factory=dict)  # by options: not asked
    typed: dict[str, str] = field(default_factory=dict)
    taken: dict[str, str] = field(default_factory=dict)  # with Enter: offered anew if what they hang on changes
    at: int = 0

    @property
    def answers(self) -> dict[str, str]:
        """All of them."""
        return {**self.taken, **self.typed, **self.given}

    @property
    def part(self) -> Part | None:
        """What to ask now; None when all is answered."""
        while self.at < len(PARTS) and not self._asked(PARTS[self.at]):
            self.at += 1
        return PARTS[self.at] if self.at < len(PARTS) else None

    def offer(self, part: Part) -> str:
        """What stands in the brackets."""
        return self.typed.get(part.key) or offered(part, self.answers, self.units)

    def take(self, said: str) -> list[Problem]:
        """Take an answer, "" for the one offered, and go on; or say what is wrong with it and stay.

        Parameters
        ----------
        said : str
            What was typed.

        Returns
        -------
        list of Problem
            Empty where the answer was taken.
        """
        part = self.part
        assert part is not None, "there is nothing left to ask"
        answer = said.strip() or self.offer(part)
        problems = self.wrong(part, answer)
        if problems:
            return problems
        enter = not said.strip() and part.key not in self.typed
        (self.taken if enter else self.typed)[part.key] = answer
        (self.typed if enter else self.taken).pop(part.key, None)
        self.at += 1
        return []

    def wrong(self, part: Part, answer: str) -> list[Problem]:
        """What is wrong with an answer, or with it and those before it together."""
        if unread := written({part.key: answer})[1]:
            return unread
        earlier = [each for each in PARTS[: PARTS.index(part)] if each.key in self.answers]
        answers = {each.key: self.answers[each.key] for each in earlier} | {part.key: answer}
        concerned = {key for each in (*earlier, part) for key in each.keys}
        found = problems_of(self._filled(answers), self.units)
        if part is PARTS[-1]:
            return found
        return [problem for problem in found if problem.place.partition("[")[0] in concerned]

    def back(self) -> bool:
        """Go to the question before; False at the first."""
        for at in range(self.at - 1, -1, -1):
            if self._asked(PARTS[at]):
                self.at = at
                return True
        return False

    def resume(self, typed: Answers, taken: Answers) -> int:
        """Take up answers kept from before, up to the first that no longer holds; how many."""
        while (part := self.part) is not None:
            kept = typed.get(part.key) or taken.get(part.key)
            if kept is None or self.wrong(part, kept):
                break
            (self.typed if part.key in typed else self.taken)[part.key] = kept
            self.at += 1
        return len(self.typed) + len(self.taken)

    def text(self) -> str:
        """The short scenario."""
        return short_text(self._filled(self.answers), self.units)

    def _filled(self, answers: Answers) -> dict[str, str]:
        """The answers, and what is offered where there is none yet."""
        filled = dict(answers)
        for part in PARTS:
            if part.key not in filled and needed(part, filled):
                filled[part.key] = offered(part, filled, self.units)
        return {key: answer for key, answer in filled.items() if needed(_PART[key], filled)}

    def _asked(self, part: Part) -> bool:
        return part.key not in self.given and needed(part, self.answers)


_PART = {part.key: part for part in PARTS}


def needed(part: Part, answers: Answers) -> bool:
    """Whether a question means anything after these answers: no hinge line on a load that goes straight up."""
    if part.key == "apart":
        return _said("lifters", answers) != 1
    if part.key == "catchers":
        return sum(len(kinds("follower")[name].values["devices"]) for name in followers(answers)) > 1
    if part.key == "pivot_held" or part.key.startswith("hinge_to"):
        return not goes_straight(_said("like", answers), _said("far_end", answers))
    return True


def _said(key: str, answers: Answers) -> object:
    """What an answer says, if it is one."""
    return written({key: answers[key]})[0].get(key) if key in answers else None


def written(answers: Answers) -> tuple[dict[str, Any], list[Problem]]:
    """The keys of the short form that these answers make, and what is no answer at all."""
    keys: dict[str, Any] = {}
    problems: list[Problem] = []
    for part in PARTS:
        if part.key in answers:
            try:
                keys.update(part.read(answers[part.key]))
            except ScenarioError as wrong:
                problems += wrong.problems
    also = keys.pop("also", [])
    if also and "with" in keys:
        keys["with"] = [keys["with"], *also]
    return keys, problems


def problems_of(answers: Answers, units: Units) -> list[Problem]:
    """Everything that is wrong with these answers, at the keys of the short form."""
    _, problems = written(answers)
    try:
        parse(short_text(answers, units), "asked.toml")
    except ScenarioError as wrong:
        known = {problem.place for problem in problems}
        problems += [problem for problem in wrong.problems if problem.place not in known]
    return problems


def short_text(answers: Answers, units: Units) -> str:
    """The short scenario that these answers make."""
    keys, _ = written(answers)
    page = TomlPage(units)
    page.words(
        "A short scenario, made by liftcadence ask. liftcadence check FILE --expand prints all that stands behind it.",
        "The README lists what else may be written here.",
    )
    if units == "si" and "strokes_per_inch" in keys:
        keys["strokes_per_25_mm"] = keys.pop("strokes_per_inch")
    page.key("title", title_of(keys))
    page.key("units", units)
    for part in PARTS:
        for key in part.keys:
            if part.key in answers and key in keys:
                page.key(key, keys[key], part.words)
    return page.text()


def title_of(keys: Mapping[str, Any]) -> str:
    """What a short scenario with these keys is called, until somebody calls it otherwise."""
    like, rise = str(keys.get("like", "")), str(keys.get("rise", ""))
    down = " and down again" if keys.get("down_again") else ""
    return f"{like[:1].upper()}{like[1:]}, up {rise}"[: 120 - len(down)] + down
