"""What holds the pivot, and a lifter's foot, as read from a file; what is not written is not known."""

import pytest

import sim
from sim.model.errors import ScenarioError
from sim.model.scenario import Pivot
from sim.model.units import LBF
from tests.sim.written.broken_places import TRAILER, changed


def read(tmp_path, text):
    """The scenario of this text."""
    path = tmp_path / "lift.toml"
    path.write_text(text, encoding="utf-8")
    return sim.load(path)


def test_what_is_not_written_is_not_known(tmp_path):
    """No default that holds anything."""
    scenario = read(tmp_path, TRAILER)
    assert scenario.pivot == Pivot(None, None, None, None)
    assert {x.tie for x in scenario.lifters} == {None}
    assert {x.tie.to for x in scenario.stations} == {"ground"}


def test_friction_under_a_foot_comes_through_for_each_side(tmp_path):
    """Of a lifter and of a station; unwritten it is not known."""
    under = ("left lifter", "left strut")
    changes = [(f'name = "{name}"', f'name = "{name}"\nfriction = [0.2, 0.5]') for name in under]
    scenario = read(tmp_path, changed(*changes))
    assert {place.name: place.friction for place in (*scenario.lifters, *scenario.stations)} == {
        "left lifter": (0.2, 0.5), "right lifter": None, "left strut": (0.2, 0.5), "right strut": None,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("written", "said"),
    [("[0.5, 0.2]", "the lower one first"), ("[0.3]", "2"), ("[-0.1, 0.2]", "0"), ("[0.3, 2.1]", "2")],
)
def test_friction_that_cannot_be_is_said_at_its_place(tmp_path, written, said):
    """Of a foot as of the pivot."""
    with pytest.raises(ScenarioError) as wrong:
        read(tmp_path, changed(('name = "left strut"', f'name = "left strut"\nfriction = {written}')))
    (problem,) = wrong.value.problems
    assert problem.place.startswith('station "left strut" > friction') and said in f"{problem.what} {problem.hint}"


def test_what_is_written_comes_through(tmp_path):
    """In SI, and a lifter's tie with what it is made fast to."""
    pivot = '[pivot]\nheld = "chocked-behind"\nholds = "1800 lb"\nfriction = [0.3, 0.4]\ntrack = "80 in"\n'
    tie = 'name = "left lifter"\ntie = {kind = "rope", to = "pivot", working_load_limit = "900 lb"}'
    scenario = read(tmp_path, changed(('name = "left lifter"', tie), add=pivot))
    assert scenario.pivot.held == "chocked-behind" and scenario.pivot.friction == (0.3, 0.4)
    assert abs(scenario.pivot.holds - 1800 * LBF) < 1e-6 and abs(scenario.pivot.track - 80 * 0.0254) < 1e-9
    tied = {x.name: x.tie for x in scenario.lifters}
    assert tied["left lifter"].to == "pivot" and tied["right lifter"] is None
    assert abs(tied["left lifter"].working_load_limit - 900 * LBF) < 1e-6
