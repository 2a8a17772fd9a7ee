"""The kept inputs of the fuzzers, replayed: what the shipped files hold, and whatever failed once."""

from __future__ import annotations

from pathlib import Path

import pytest

from sim.model.errors import KnownError, Problem, ScenarioError
from tests.fuzz import targets
from tests.fuzz.fuzz import CORPUS, LONGEST
from tests.fuzz.targets import TARGETS

KEPT = [(name, path) for name in TARGETS for path in sorted((CORPUS / name).iterdir())]


@pytest.mark.parametrize(("name", "path"), KEPT, ids=[f"{name}: {path.name}" for name, path in KEPT])
def test_a_kept_input_gives_a_result_or_words(name: str, path: Path) -> None:
    """A scenario, a log or a message; or an error that says where, what, and what to do about it."""
    TARGETS[name](path.read_bytes())


def test_every_target_has_inputs_to_begin_with() -> None:
    """Some that are good, so that what lies behind the reading is reached; none longer than the fuzzer makes them."""
    assert set(LONGEST) == set(TARGETS) == {path.name for path in CORPUS.iterdir()}
    assert all(len(path.read_bytes()) <= LONGEST[name] for name, path in KEPT)
    assert targets.parse((CORPUS / "scenario" / "trailer").read_text(encoding="utf-8"), "trailer").lifters
    assert targets.parse_log((CORPUS / "drill_log" / "trailer.csv").read_bytes(), "trailer.csv").entries


WRONG: list[KnownError] = [
    ScenarioError([]),
    ScenarioError([Problem("load.weight", "is missing", "")]),
    ScenarioError([Problem("", "is missing", "write it")]),
    ScenarioError([Problem("load", "cannot declare ('operator', 'op') twice", "once")]),
    ScenarioError([Problem("load", "<class 'int'> is wanted", "write it")]),
    KnownError("error: no hint to it"),
]


@pytest.mark.parametrize("wrong", WRONG, ids=str)
def test_the_fuzzers_see_poor_words(wrong: KnownError, monkeypatch: pytest.MonkeyPatch) -> None:
    """An error without a place, words or a hint, or in Python's words, is a find."""

    def refuse(*_: object) -> None:
        raise wrong

    monkeypatch.setattr(targets, "parse", refuse)
    with pytest.raises(AssertionError):
        targets.scenario(b"")


def test_the_fuzzers_see_any_other_error(monkeypatch: pytest.MonkeyPatch) -> None:
    """It comes through."""

    def fall_over(*_: object) -> None:
        raise KeyError("x")

    for name, of in (("parse", "scenario"), ("parse_log", "drill_log")):
        monkeypatch.setattr(targets, name, fall_over)
        with pytest.raises(KeyError):
            TARGETS[of](b"")
