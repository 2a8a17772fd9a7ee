"""Which "caught" ends which work, and how fast a catcher is taken to be where none was heard, timed by hand.

One ram: in each call it moves from 0.50 to 1.50 after it, by 10 mm. Its collar is turned from 0.75 on, by the plan
at 4 mm/s, and takes 0.50 to be seated: by the plan it is caught at 0.75 + 2.50 + 0.50 = 3.75.
"""

from __future__ import annotations

import pytest

from sim.drill.catching import Work
from sim.drill.drilled import drilled
from sim.drill.log.lines import parse_log
from sim.model.scenario import Scenario
from tests.builders import MM, collar, lift, lifter, operator


def worked(calls: list[float], caught: list[float], scenario: Scenario | None = None) -> list[Work]:
    """The captures of a drill: its calls, every stroke as above, and when "caught" was heard."""
    rows = [(time, "hand,caught") for time in caught]
    for call in calls:
        strokes = (call + 0.5, "left lifter,stroke start"), (call + 1.5, "left lifter,stroke end")
        rows += [(call, "leader,call"), *strokes]
    text = "\n".join(["time_s,who,what", *(f"{time:.2f},{what}" for time, what in sorted(rows))])
    log = parse_log(text + "\n", "d.csv")
    return drilled([log], scenario or planned()).replayed.works


def planned(recover: float = 0.5, **leader: object) -> Scenario:
    """The plan: an operator who is ready so long after the stroke, and keys of the leader."""
    return lift(100 * MM, lifter(collar(), catcher="hand", operator=operator(recover=recover)), **leader)


def ends(works: list[Work]) -> list[tuple[float, bool]]:
    """When each capture ended, and whether that was heard."""
    return [(round(work.end, 6), work.end_seen) for work in works]


def test_a_catcher_seen_three_times_is_taken_to_be_as_fast_as_the_middle_one() -> None:
    """10 mm in 10 s, in 5 and in 2: the fourth, which nobody heard, in 5 s, and seated 6.25 after its call."""
    #  caught at 11.25, 6.25 and 3.25 after the call, less 0.75 before it was turned and 0.50 to seat it
    works = worked([0, 20, 40, 60], [11.25, 26.25, 43.25])
    assert [work.rate / MM for work in works] == pytest.approx([1, 2, 5, 2])
    assert ends(works) == [(11.25, True), (26.25, True), (43.25, True), (66.25, False)]


def test_one_seen_only_twice_is_taken_to_be_as_fast_as_planned() -> None:
    """10 mm in 10 s and in 5: the third, which nobody heard, at 4 mm/s, caught 3.75 after its call."""
    works = worked([0, 20, 40], [11.25, 26.25])
    assert [work.rate / MM for work in works] == pytest.approx([1, 2, 4])
    assert ends(works) == [(11.25, True), (26.25, True), (43.75, False)]


@pytest.mark.parametrize(
    ("call", "caught"),
    [
        (5.75, 4.5),  # hardly later: 10 mm in the 3.25 from the next move, at 6.25, to 9.50, and so here: 0.75 + 3.25
        (5.85, 3.75),  # the leader waited for somebody: it was caught before that call, as the plan has it
    ],
)
def test_a_leader_who_calls_later_than_the_pumps_are_ready_waited_for_a_capture(call: float, caught: float) -> None:
    """Ready at 1.50 + 4.00; up to 0.3 s later is no waiting. One "caught" is heard, at 10.00, after the second call."""
    works = worked([0, call], [10], planned(recover=4.0))
    assert ends(works) == [(caught, False), (10, True)]


@pytest.mark.parametrize(
    ("call", "heard"),
    [
        (4.25, [(10, True)]),  # 20 mm in the 8.75 from 0.75 to 9.50: not at the load yet when it moves on at 4.75
        (4.35, [(3.75, False), (10, True)]),
    ],
)
def test_a_leader_who_calls_later_than_the_pace_waited_for_a_capture(call: float, heard: list[object]) -> None:
    """Pace 4.00, the pumps long ready: up to 0.3 s later is the pace kept, and the one "caught" ends one long chase."""
    assert ends(worked([0, call], [10], planned(pace=4.0))) == heard


def test_a_leader_who_keeps_the_pace_waits_for_nobody() -> None:
    """However late the call: at 5.85 the load moves on at 6.35, 10 mm in the 3.15 from there to 9.50, so 4.40 here."""
    works = worked([0, 5.85], [10], planned(recover=4.0, rule="keep-pace"))
    assert ends(works) == [(4.4, False), (10, True)]
