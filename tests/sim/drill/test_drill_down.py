"""The way down of a drill: what was heard, call by call, beside the plan, and what it gives reason to ask about."""

from __future__ import annotations

import pytest

from reports.drill.debrief_page import write_debrief_page
from reports.drill.timer import write_timer
from reports.words.drill import way_down as words
from sim.drill.debriefed import debrief
from sim.drill.log.lines import parse_log
from sim.drill.way_down import FREEING, HANDS, LOWERING, PARTS
from sim.model.scenario import Stage
from tests.builders import MM, collar, lift, lifter

PLAN = lift(15 * MM, lifter(collar(), name="ram"), stages=(Stage("raise", 15 * MM), Stage("lower", 0.0)), step=10 * MM)
UP = """time_s,who,what,note
0,leader,call,
0.5,ram,stroke start,
1.5,ram,stroke end,
3.8,ram collar,caught,
4,leader,call,
4.5,ram,stroke start,
5.5,ram,stroke end,
7.8,ram collar,caught,
"""
DOWN = """30,leader,up,
32,leader,room,
32.5,ram collar,hands in,
37,ram collar,hands out,
38,leader,down,
43,ram,landed,
50,leader,call down,
51,ram collar,hands in,
52,leader,room,
55,leader,down,
56,ram collar,hands out,
"""


def test_each_call_down_is_timed_from_what_was_heard() -> None:
    """Freeing to room, first hand in to last hand out, down to landed; what was not noted is not known."""
    (drill,) = debrief([parse_log(UP + DOWN, "log.csv")], PLAN, plan=False).drills
    assert drill.down is not None and drill.summary["calls"] == 2  # the way up is measured as ever
    first, second = drill.down.calls
    assert [first.part(name) for name in PARTS] == [2.0, 4.5, 5.0] and first.remarks == []
    assert [second.part(name) for name in PARTS] == [2.0, 5.0, None]
    assert second.remarks == [
        "ram collar: hands in before room was called", "down was called with hands in: ram collar"
    ]  # fmt: skip
    assert drill.down.mean(HANDS) == pytest.approx(4.75)
    assert drill.as_json()["way_down"]["mean_s"][LOWERING] == 5.0


def test_the_plan_stands_beside_it_at_its_mean_times() -> None:
    """Freed in 2.0 s; a collar turned back by 10 mm (0.25 + 2.5) and a look of 0.25; react 0.5 and 20 mm at 5 mm/s."""
    (drill,) = debrief([parse_log(UP + DOWN, "log.csv")], PLAN, plan=False).drills
    assert drill.down is not None
    assert drill.down.plan == pytest.approx({FREEING: 2.0, HANDS: 3.0, LOWERING: 4.5})


def test_a_log_without_a_way_down_has_none_and_its_words_before_one_are_left_out() -> None:
    """And a plan that only goes up has nothing to stand beside it."""
    (drill,) = debrief([parse_log(UP, "log.csv")], PLAN, plan=False).drills
    assert drill.down is None
    (early,) = debrief([parse_log(UP + "9,leader,room,\n", "log.csv")], PLAN, plan=False).drills
    assert early.down is None and "before any call down" in str(early.problems[-1])


def test_the_page_and_the_terminal_have_a_row_a_call() -> None:
    """With what is to be asked about."""
    found = debrief([parse_log(UP + DOWN, "log.csv")], PLAN, plan=False)
    page = write_debrief_page(found)
    assert "The way down, as heard: 2 calls; to be asked about in 1 call." in page
    assert "down was called with hands in: ram collar; not noted: lowering" in page
    (drill,) = found.drills
    assert drill.down is not None
    assert words.rows(drill.down)[-1] == ["mean, in the plan", "2.0 s", "3.0 s", "4.5 s", ""]


def test_the_timer_has_the_buttons_of_the_way_down_where_the_plan_has_one() -> None:
    """Up, room, down of the leader; hands in and out at a device; landed at a lifter."""
    up_only = write_timer(lift(15 * MM, lifter(collar(), name="ram")))
    both = write_timer(PLAN)
    for what in ("call down", "room", "down", "hands in", "landed"):
        assert f'data-what="{what}"' in both and f'data-what="{what}"' not in up_only
    assert 'data-then="hands out"' in both
