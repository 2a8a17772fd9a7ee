"""The way down in a real browser: the large button says the word that is due, and a line says what is waited for."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from sim.model.draw import Draw
from sim.model.scenario import Stage
from tests.builders import MM
from tests.reports.live.opened import CAUGHT, Page
from tests.reports.live.served import serving, short_lift

pytestmark = [pytest.mark.browser, pytest.mark.usefixtures("patient")]
SPEED = 6.0


def up_and_down() -> Any:
    """The short lift, held, and let down in one step."""
    lift = short_lift()
    lifters = tuple(replace(x, operator=replace(x.operator, lowering=Draw(20 * MM))) for x in lift.lifters)
    stages = (
        Stage("raise", lift.need.rise), Stage("hold", time=600.0), Stage("lower", 0.0, leader={"step": 1.0})
    )  # fmt: skip
    return replace(lift, lifters=lifters, stages=stages)


def due(caller: Page, word: str) -> None:
    """Wait until this word is on the button, and said in the line over it."""
    caller.page.wait_for_function("word => document.querySelector('#call-all span').textContent === word", arg=word)
    assert word.lower() in caller.page.inner_text("#waits").lower()


def test_up_held_and_down_again_by_one_key(browser: Any, tmp_path: Path) -> None:
    """Call, call, high enough, go on, up, room, down: each is asked for, and space says it."""
    with serving(up_and_down(), tmp_path, speed=SPEED) as served:
        caller = Page(browser, served)
        caller.begin()
        due(caller, "Call")
        caller.call(1)
        caller.has_risen(0.004)
        caller.page.wait_for_function(CAUGHT)
        caller.call(2)
        caller.has_risen(0.018)
        caller.page.wait_for_function(CAUGHT)
        assert caller.page.inner_text("#end").startswith("High enough")
        caller.end()
        for word in ("Go on", "Up", "Room", "Down"):
            due(caller, word)
            assert caller.page.is_visible(".live-sides") == (word == "Up")
            caller.press("Space")
        assert "Lowered" in caller.scored() and caller.complaints == []
