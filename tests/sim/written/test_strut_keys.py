"""What a strut is made of, as read from a file; what is not written is not known."""

import pytest

from sim.check import check
from sim.model.errors import ScenarioError
from sim.model.scenario import Strut
from sim.model.units import INCH, PSI
from sim.written.reading import parse
from tests.sim.written.broken_places import changed

NAME = 'name = "left strut"'


def left_strut(*lines):
    """The trailer with these keys on its left strut, as it is read."""
    return parse(changed((NAME, "\n".join([NAME, *lines]))), "lift.toml").stations[0].strut


def test_what_is_not_written_is_not_known():
    """No tube that is taken for granted."""
    assert left_strut() == Strut(None, None, "", None)


def test_a_tube_is_read_with_its_metal():
    """Outer diameter, wall and yield stress in SI; a wall of half the diameter is a rod."""
    strut = left_strut('tube = ["3 in", "0.25 in"]', 'material = "steel"', 'yield = "36 ksi"')
    assert strut.tube == pytest.approx((3 * INCH, 0.25 * INCH)) and strut.material == "steel"
    assert strut.yields == pytest.approx(36e3 * PSI) and strut.post is None
    assert left_strut('tube = ["1 in", "0.5 in"]').tube == pytest.approx((INCH, INCH / 2))


@pytest.mark.parametrize(
    ("written", "inches"),
    [("4x4", (3.5, 3.5)), ("6 x 4", (3.5, 5.5)), ("2x6", (1.5, 5.5)), ("3.5 in", (3.5, 3.5)), ("6x6", (5.5, 5.5))],
)
def test_a_post_is_dressed_and_thinner_than_wide(written, inches):
    """Of two sides the smaller is its thickness."""
    # dressed sizes: PS 20, NDS Table 1A
    assert left_strut(f'post = "{written}"').post == pytest.approx([each * INCH for each in inches])


BROKEN = {
    "a wall thicker than half": (['tube = ["3 in", "2 in"]'], "> tube", "half the outer diameter"),
    "a diameter alone": (['tube = ["3 in"]'], "> tube", "2 wanted"),
    "a bare number": (['tube = ["3 in", 0.25]'], "> tube[1]", "no unit"),
    "nothing for a wall": (['tube = ["3 in", "0 in"]'], "> tube[1]", "less than"),
    "a post that is none": (['post = "5x5"'], "> post", "4x4"),
    "tube and post": (['tube = ["3 in", "0.25 in"]', 'post = "4x4"'], "", "both tube and post"),
    "a yield without a tube": (['yield = "36 ksi"'], "> tube", "yield means nothing without it"),
    "a yield of timber": (['post = "4x4"', 'yield = "36 ksi"'], "> yield", "belongs to a tube"),
    "a material of nothing": (['material = "steel"'], "> tube", "material means nothing"),
    "a yield without a unit": (['tube = ["3 in", "0.25 in"]', "yield = 36"], "> yield", "unit"),
    "a misspelt yield": (['tube = ["3 in", "0.25 in"]', 'yeild = "36 ksi"'], "> yeild", "yield"),
}


@pytest.mark.parametrize(("lines", "place", "says"), BROKEN.values(), ids=BROKEN.keys())
def test_what_cannot_be_is_refused_with_its_place(lines, place, says):
    """Where, what, and what to write."""
    with pytest.raises(ScenarioError) as refused:
        left_strut(*lines)
    said = [(problem.place, f"{problem.what} {problem.hint}") for problem in refused.value.problems]
    assert any(where == f'station "left strut"{" " * bool(place)}{place}' and says in text for where, text in said), (
        said
    )


def test_a_strut_in_a_file_is_checked():
    """As it was written: the one that is known gets its figures, the other does not."""
    tube = '\ntube = ["3 in", "0.25 in"]\nmaterial = "aluminum"\nyield = "35 ksi"'
    struts = check(parse(changed((NAME, NAME + tube)), "lift.toml")).struts
    assert struts["left strut"].capacity > 0 and struts["right strut"].capacity is None
