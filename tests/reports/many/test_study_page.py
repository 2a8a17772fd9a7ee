"""Pages and terminal of studies and cadences: the answer first, how sure it is, no word that promises anything."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from importlib.resources import files
from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console

from reports.many.cadence_page import write_cadence_page
from reports.many.study_page import write_study_page
from reports.stored.many import store_cadence, store_study
from reports.terminal.study import show_cadence, show_study
from reports.words.cadence import answer
from reports.words.study import headline
from sim.many.cadence import Cadence, cadence
from sim.many.studied import Study
from sim.many.study import study
from sim.model.scenario import Scenario
from sim.written.reading import parse

PROMISES = re.compile(r"\b(safe|safely|secure|secured|OK|pass|passes|passed)\b")


def shipped(variant: str = "") -> Scenario:
    """The trailer."""
    return parse((files("sim.examples") / "trailer.toml").read_text(encoding="utf-8"), "trailer", variant)


@pytest.fixture(scope="module")
def studied() -> Study:
    """A small study, with crews."""
    return study(shipped(), 200, crew_sd=0.2, workers=1)


@pytest.fixture(scope="module", params=[("", True), ("", False), ("pinned", False)], ids=str)
def found(request: pytest.FixtureRequest) -> Cadence:
    """A small cadence that has an answer, one that has only a looser one, and one that has none."""
    variant, looser = request.param
    return cadence(shipped(variant), n=60, paces=(0.0, 8.0), limits=(0.0127,), workers=1, looser=looser)


def printed(show: object, *args: object) -> str:
    """What the terminal shows."""
    out = StringIO()
    show(*args[:1], Console(file=out, width=200), *args[1:])  # type: ignore[operator]
    return out.getvalue()


def test_a_study_says_its_answer_and_how_sure_it_is(studied: Study) -> None:
    """On the terminal and on the page: simulation error only, and the other doubt beside it."""
    text, page = printed(show_study, studied, "trailer.toml"), write_study_page(studied, "trailer.toml")
    for said in (text, page):
        assert "simulation error only" in said
        assert "other crews" in said
        assert "liftcadence run trailer.toml --seed 0 --replication" in said
        assert not PROMISES.search(said.split("The scenario as read")[0].split("<style>")[0] if "<" in said else said)
    assert "Content-Security-Policy" in page


def test_a_study_that_was_stopped_says_so(studied: Study) -> None:
    """So many of so many count."""
    stopped = replace(studied, wanted=1000)
    assert "200 of 1,000" in printed(show_study, stopped, "f")
    assert "Stopped early: 200 of 1,000" in write_study_page(stopped, "f")


def test_a_cadence_is_words_that_a_leader_can_use(found: Cadence) -> None:
    """A pace, a hold, the gauge block; or that no way meets the risk, and what would."""
    text, page = printed(show_cadence, found), write_cadence_page(found)
    if found.best is None:
        assert "No way to call that was tried" in text
        only_looser = not found.scenario.variant
        assert ("unless you ask for it with --looser" in text) == only_looser
        assert ("What would:" in text) != only_looser
    else:
        assert "hold at 1/2 in, by a gauge block, never a finger or hand" in text
        assert "with 95 % confidence" in text.lower()
    assert "The bottleneck is the" in page


def test_a_cadence_that_was_stopped_says_so(found: Cadence) -> None:
    """On the terminal and on the page: how many ways to call were tried."""
    stopped = replace(found, wanted=len(found.ways) + 3)
    said = f"Stopped early: {len(found.ways)} of {stopped.wanted} ways to call were tried and count here."
    assert said in printed(show_cadence, stopped)
    assert said in write_cadence_page(stopped)
    assert "Stopped early" not in printed(show_cadence, found)


def test_what_is_stored_has_the_lines_that_are_shown_again(studied: Study, found: Cadence, tmp_path: Path) -> None:
    """The answer first, in the summary of a study and of a cadence."""
    for folder, first in (
        (store_study(studied, "f", tmp_path, page=False), headline(studied, "us")),
        (store_cadence(found, tmp_path, page=False), answer(found, found.scenario.units)),
    ):
        assert json.loads((folder / "summary.json").read_text())["said"][0] == first
