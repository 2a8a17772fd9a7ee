"""What was measured is the answer, and what is far from the plan is asked about."""

from __future__ import annotations

import pytest

from reports.words.drill.debrief import came_of_it
from reports.words.drill.observed import asked_again, measured
from sim.drill.debriefed import debrief
from sim.drill.drilled import Drill
from sim.drill.log.lines import Log, parse_log
from sim.model.scenario import Scenario
from tests.builders import MM, collar, lift, lifter, pin, station

TWO_CALLS = """time_s,who,what,note
0,leader,call
0.5,left lifter,stroke start
1.5,left lifter,stroke end
4,hand,caught
6,leader,call
6.5,left lifter,stroke start
7.5,left lifter,stroke end
10,hand,caught
"""


def plan(slack: float = 0.0) -> Scenario:
    """Two strokes of 10 mm, one strut, pinned where its tie is slack."""
    return lift(
        20 * MM, lifter(name="left lifter"), station(pin(30 * MM) if slack else collar(), slack=slack, catcher="hand")
    )


def log(more: str = "", text: str = TWO_CALLS) -> Log:
    """The log of it, with more lines."""
    return parse_log(text + more, "d.csv")


def drill(more: str = "", slack: float = 0.0, text: str = TWO_CALLS) -> Drill:
    """The drill of it."""
    return debrief([log(more, text)], plan(slack), plan=False).drills[0]


def test_a_measured_rise_and_gap_come_first_and_the_plan_s_beside_them() -> None:
    """28 mm of rise with the log's two strokes of 10 mm; the widest of two gaps; the computed answer follows."""
    seen = drill("5,strut,gap,3 mm\n8,strut,gap,11 mm\n12,,rise,28 mm\n")
    assert measured(seen, "si") == (
        "Measured: 28.0 mm of rise at the needed point after 12 s (computed: 20.0 mm); "
        f"a gap of 11.0 mm at the strut after 8.0 s (computed: {1000 * seen.beside[1].computed:.1f} mm)."
    )
    assert came_of_it(seen, "si").startswith(measured(seen, "si") + " ")


def test_where_nothing_was_measured_nothing_is_said_of_it() -> None:
    """The answer is the computed one."""
    assert measured(drill(), "si") == "" and "Measured" not in came_of_it(drill(), "si")


def test_slack_that_was_there_is_told_apart() -> None:
    """The first hole comes up at 30 mm, and 5 mm were slack: 20 mm risen is a gap of 25 mm, and of 20 mm but for it."""
    slack = drill(slack=5 * MM)
    assert slack.summary["largest_gap"]["gap_m"] == pytest.approx(0.025)
    assert slack.gap_but_for_slack == pytest.approx(0.020)
    assert came_of_it(slack, "si").endswith("But for the slack at the start the largest gap was 20.0 mm.")
    assert "slack" not in came_of_it(drill(), "si")


def test_a_stroke_of_over_three_times_the_plan_s_is_asked_about() -> None:
    """The plan's stroke takes 1 s. 3 s are not asked about, 3.5 s are."""

    def questions(stroke: float) -> list[str]:
        text = "time_s,who,what,note\n"
        for call in (0, 20, 40):
            text += f"{call},leader,call\n{call + 0.5},left lifter,stroke start\n"
            text += f"{call + 0.5 + stroke},left lifter,stroke end\n{call + 15},hand,caught\n"
        found = debrief([log(text=text)], plan(), plan=False)
        return [q for q in asked_again(found.drills, found.crew.known, "si") if "stroke" in q]

    assert questions(3.0) == []
    assert questions(3.5) == ["steady, stroke: 3.5 s observed, 1 s in the plan: was that the whole call's pumping?"]


def test_a_rise_of_over_three_times_the_computed_one_is_asked_about() -> None:
    """62 mm where two strokes of 10 mm were logged; 59 mm is not."""
    found = debrief([log("12,,rise,62 mm\n")], plan(), plan=False)
    asked = asked_again(found.drills, [], "si")
    assert len(asked) == 1 and "a rise of 62.0 mm at the needed point after 12 s (computed: 20.0 mm)" in asked[0]
    assert not asked_again([drill("12,,rise,59 mm\n")], [], "si")
