"""Scenarios broken by hand: what no single line shows. Every one is refused with its place."""

import pytest

from sim.model.errors import ScenarioError
from sim.written.reading import parse, read
from tests.sim.written.broken_places import BROKEN_PLACES, TRAILER, changed
from tests.sim.written.broken_stages import BROKEN_STAGES
from tests.sim.written.broken_values import BROKEN_VALUES

BY_HAND = BROKEN_PLACES | BROKEN_STAGES | BROKEN_VALUES


@pytest.mark.parametrize(("text", "place", "says"), BY_HAND.values(), ids=BY_HAND.keys())
def test_a_scenario_that_cannot_be_is_refused_with_its_place(text, place, says):
    """What no single line shows: names, keys that go together, geometry, figures out of reach."""
    with pytest.raises(ScenarioError) as refused:
        parse(text, "broken.toml")
    assert any(
        place in problem.place and says in f"{problem.what} {problem.hint}" for problem in refused.value.problems
    )


def test_everything_that_is_wrong_is_said_at_once():
    """A bare number, a wrong name and a missing key in three tables are three problems of one error."""
    text = changed(
        ('pace = "4 s"', "pace = 4"), ('operator = "steady"', 'operator = "stedy"'), ("swap = {", "swop = {")
    )
    with pytest.raises(ScenarioError) as refused:
        parse(text, "x")
    assert [problem.place for problem in refused.value.problems] == [
        "leader.pace", "device.pinned.swap", "device.pinned.swop", 'lifter "left lifter" > operator',
    ]  # fmt: skip


def test_all_that_the_geometry_forbids_is_said_at_once():
    """Two lines that do not lengthen and a need out of reach."""
    text = changed(
        ('base = ["145 in", "30 in", "0 in"]', 'base = ["145 in", "30 in", "60 in"]'),
        ('base = ["120 in", "70 in", "0 in"]', 'base = ["120 in", "70 in", "99 in"]'),
        ('rise = "5 in"', 'rise = "4 m"'),
    )
    with pytest.raises(ScenarioError) as refused:
        parse(text, "x")
    places = [problem.place for problem in refused.value.problems]
    assert places == ["need.rise", 'lifter "left lifter" > base', 'station "left strut" > base']


def test_an_error_reads_as_the_style_guide_has_it():
    """Place, what was got; a blank line; the hint."""
    with pytest.raises(ScenarioError) as refused:
        parse(changed(('rise_per_turn = "0.25 in"', 'rise_per_turn = "0.25"')), "x")
    assert str(refused.value) == (
        'error: device.ram-collar.rise_per_turn: "0.25" has no unit\n\n'
        'hint: write a length, such as "4 1/2 in" or "127 mm"'
    )


def test_an_error_survives_being_made_again_from_its_arguments():
    """SimPy rebuilds an error that leaves a process as type(e)(*e.args)."""
    with pytest.raises(ScenarioError) as refused:
        parse("", "x")
    again = type(refused.value)(*refused.value.args)
    assert str(again) == str(refused.value)


def test_an_unknown_variant_is_refused_with_the_nearest():
    """`--variant pind` asks for "pinned"."""
    with pytest.raises(ScenarioError, match='did you mean "pinned"') as refused:
        parse(TRAILER, "x", "pind")
    assert refused.value.problems[0].place == "variant"


@pytest.mark.parametrize(
    ("written", "says"),
    [(None, "cannot be read: no such file"), (b'title = "\xff"', "line 1 is not UTF-8"), ("folder", "cannot be read")],
)
def test_a_file_that_cannot_be_read_is_a_problem_like_any_other(tmp_path, written, says):
    """Not there, a folder, not UTF-8: no traceback."""
    path = tmp_path / "lift.toml"
    if written == "folder":
        path.mkdir()
    elif written is not None:
        path.write_bytes(written)
    with pytest.raises(ScenarioError) as refused:
        read(path)
    assert says in str(refused.value)
    assert "lift.toml" in refused.value.problems[0].place
