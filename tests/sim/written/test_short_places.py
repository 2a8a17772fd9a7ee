"""What is wrong with the full form of a short one is said at the key that its writer knows: key by key.

Values of the full form are put in here one at a time, as the ends of a range that is marked in [assumed] are.
"""

from __future__ import annotations

import pytest

from sim.model.errors import Problem, ScenarioError
from sim.written.reading import parse, with_values
from tests.short_forms import MACHINE, NOSE
from tests.staged import SHORT as DOWN

WHOLE = NOSE.replace("end_weight", "weight")
LEFT, STRUT = "lifter.left lifter", "station.left strut"


def wrong(text: str, path: str, value: str | float) -> list[Problem]:
    """All that is wrong with a short form once one value of its full form is another."""
    with pytest.raises(ScenarioError) as raised:
        with_values(parse(text, "short.toml"), {path: value})
    return list(raised.value.problems)


@pytest.mark.parametrize(
    ("text", "path", "value", "key"),
    [
        (NOSE, "load.end_weight", "-1 lb", "end_weight"),
        (WHOLE, "load.weight", "-1 lb", "weight"),
        (NOSE, "load.end_at", "-1 in", "hinge_to_lifters"),
        (WHOLE, "load.cg[0]", "-1 in", "like"),  # its like says where the weight lies
        (NOSE, "need.rise", "148 in", "rise"),
        (NOSE, "need.point[0]", "-1 in", "hinge_to_point"),
        (NOSE + 'hinge_height = "12 in"\n', "load.pivot_height", "-1 in", "hinge_height"),
        (NOSE + 'take_up = "1/2 in"\n', "load.take_up", "-1 in", "take_up"),
        (NOSE + 'gap = "1/2 in"\n', "leader.gap_limit", "-1 in", "gap"),
        (NOSE + "strokes = 3\n", "leader.strokes", 0, "strokes"),
        (NOSE, f"{LEFT}.travel_per_pump", "0 in", "strokes_per_inch"),
        (MACHINE, f"{LEFT}.travel_per_pump", "0 mm", "strokes_per_25_mm"),
        (NOSE + 'travel = "10 in"\n', f"{LEFT}.travel", "0 in", "travel"),
        (NOSE + 'apart = "60 in"\n', f"{LEFT}.head[1]", "-30 in", "apart"),  # both heads 30 in to the right
        (NOSE + 'lifter_height = "24 in"\n', f"{LEFT}.head[2]", "0 in", "lifter_height"),
        (NOSE, f"{LEFT}.head[0]", "-140 in", "hinge_to_lifters"),
        (NOSE + 'strut_height = "36 in"\n', f"{STRUT}.head[2]", "0 in", "strut_height"),
        (NOSE + 'with = "cribbing"\nlifter_height = "24 in"\n', "station.left crib.head[2]", "0 in", "lifter_height"),
        (NOSE + 'hinge_to_struts = "119 in"\n', f"{STRUT}.head[0]", "-119 in", "hinge_to_struts"),
        (DOWN, "stage[1].time", "-1 s", "hold"),
        (DOWN, "stage[2].leader.step", "0 in", "step"),
        (DOWN, "stage[0].do", "lower", "down_again"),
        (NOSE + 'with = "pinned strut"\n', f"{STRUT}.head[0]", "-119 in", "with"),
    ],
)
def test_a_value_of_the_full_form_is_said_at_the_key_that_was_written(
    text: str, path: str, value: str | float, key: str
) -> None:
    """And no word of a preset where the writer gave the value."""
    found = wrong(text, path, value)
    assert {problem.place for problem in found} == {key}
    assert not any("the short form is silent here" in problem.hint for problem in found)


@pytest.mark.parametrize(
    ("path", "value", "key"),
    [
        ("load.pivot_height", "-1 in", "hinge_height"),
        ("load.take_up", "-1 in", "take_up"),
        ("leader.gap_limit", "-1 in", "gap"),
        ("leader.strokes", 0, "strokes"),
        (f"{LEFT}.travel", "0 in", "travel"),
        (f"{LEFT}.head[2]", "0 in", "lifter_height"),
        (f"{STRUT}.head[2]", "0 in", "lifter_height"),  # of strut and lifter height, where neither is written, the last
        (f"{STRUT}.head[0]", "-119 in", "with"),
    ],
)
def test_where_the_short_form_is_silent_the_key_is_named_that_would_say_it(
    path: str, value: str | float, key: str
) -> None:
    """With the load whose preset was taken instead."""
    (found,) = wrong(NOSE, path, value)
    assert found.place == key
    assert found.hint.endswith('the short form is silent here: what "trailer nose" stands for is taken')


def test_what_comes_of_no_key_is_said_where_it_stands() -> None:
    """How fast a collar is turned is in the presets alone."""
    (found,) = wrong(NOSE, "device.threaded collar.rise_per_turn", "0 in")
    assert found.place == 'device."threaded collar".rise_per_turn'
