"""Motion: closed forms against plain geometry, and each direction the inverse of the other."""

import math
from dataclasses import FrozenInstanceError, fields

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sim.model.motion import Hinged, Straight, motion_of
from sim.model.scenario import Load

HINGED = Hinged(pivot_height=0.3)
STRAIGHT = Straight()
HEAD, BASE = (3.5, 0.9, 0.6), (3.6, 1.8, 0.0)

ahead = st.floats(0.5, 6.0)
across = st.floats(-2.0, 2.0)
high = st.floats(0.3, 2.0)


@st.composite
def spots(draw):
    """A head on the load and a base on the ground that are not in one place, the line getting longer."""
    head = (draw(ahead), draw(across), draw(high))
    base = (draw(ahead), draw(across), draw(st.floats(-0.2, 0.2)))
    assume(math.dist(head, base) > 0.3)
    return head, base


def turned(point, u, pivot_height):
    """A point turned about the line x = 0, z = pivot_height, by complex numbers: the plane z + ix, multiplied."""
    there = complex(point[0], point[2] - pivot_height) * complex(math.cos(u), math.sin(u))
    return there.real, point[1], pivot_height + there.imag


def test_a_hinged_point_turns_about_the_pivot():
    """A quarter turn puts a point 2 m ahead of the pivot 2 m above it."""
    assert HINGED.moved((2.0, 0.5, 0.3), math.pi / 2) == pytest.approx((0.0, 0.5, 2.3))


@given(spots(), st.floats(0, 0.5))
def test_a_hinged_point_moves_as_a_complex_number_is_turned(spot, u):
    """Where it is, and how far it has risen."""
    head, _ = spot
    there = turned(head, u, 0.3)
    assert HINGED.moved(head, u) == pytest.approx(there)
    assert HINGED.rise(head, u) == pytest.approx(there[2] - head[2], abs=1e-12)


def test_a_small_rise_is_not_lost_in_rounding():
    """A micrometre-sized angle: the rise is x u to its own twelve digits, not to those of z."""
    assert HINGED.rise((3.0, 0.0, 2.0), 1e-9) == pytest.approx(3e-9, rel=1e-8)


def test_a_straight_point_goes_up_and_nowhere_else():
    """0.2 m."""
    assert STRAIGHT.moved((1.0, 2.0, 3.0), 0.2) == pytest.approx((1.0, 2.0, 3.2))
    assert STRAIGHT.rise((1.0, 2.0, 3.0), 0.2) == 0.2


@pytest.mark.parametrize("motion", [HINGED, STRAIGHT])
@given(spot=spots(), u=st.floats(0, 0.4))
def test_demand_is_how_much_longer_the_line_is(motion, spot, u):
    """The closed form against the distance between the two points themselves."""
    head, base = spot
    longer = math.dist(motion.moved(head, u), base) - math.dist(head, base)
    assert motion.line(head, base).demand(u) == pytest.approx(longer, abs=1e-12)


@pytest.mark.parametrize("motion", [HINGED, STRAIGHT])
@given(spot=spots(), u=st.floats(0, 0.4))
def test_u_at_undoes_demand(motion, spot, u):
    """From u to the line's length and back, wherever the line lengthens by then."""
    line = motion.line(*spot)
    assume(line.lengthens and u < line.last_u - 1e-3)
    assert line.u_at(line.demand(u)) == pytest.approx(u, abs=1e-7)


@given(spots(), st.floats(0.001, 0.3))
def test_u_for_rise_undoes_rise(spot, rise):
    """The angle that raises a point so far does raise it so far; a straight load is raised by what it is raised."""
    head, _ = spot
    u = HINGED.u_for_rise(head, rise)
    assume(not math.isnan(u))
    assert HINGED.rise(head, u) == pytest.approx(rise, abs=1e-9)
    assert STRAIGHT.u_for_rise(head, rise) == rise


def test_a_rise_that_no_angle_gives_is_not_a_number():
    """2 m out, 3 m up; and a point behind the pivot, at it, or right under it, which does not rise to begin with."""
    assert math.isnan(HINGED.u_for_rise((2.0, 0.0, 0.3), 3.0))
    for point in ((-2.0, 0.0, 0.3), (-0.5, 0.0, 0.3), (0.0, 0.0, 0.3), (0.0, 0.0, -0.7)):
        assert math.isnan(HINGED.u_for_rise(point, 0.1))


def test_the_most_that_a_point_can_rise_is_up_to_right_above_the_pivot():
    """2 m out at the pivot's height: 2 m, a quarter turn. One half a metre out rises a tenth: asin 0.2."""
    assert HINGED.u_for_rise((2.0, 0.0, 0.3), 2.0) == pytest.approx(math.pi / 2)
    assert HINGED.u_for_rise((0.5, 0.0, 0.3), 0.1) == pytest.approx(math.asin(0.2))


def test_a_line_shorter_than_at_the_start_stands_for_the_start():
    """Slack does not hold the load below where it was, not even slack as long as the line."""
    for line in (HINGED.line(HEAD, BASE), STRAIGHT.line(HEAD, BASE)):
        assert line.u_at(-0.01) == line.u_at(-line.start) == 0


def test_a_hinged_line_is_longest_with_the_head_opposite_the_base():
    """At `last_u` base, pivot and head stand in one line; on either side of it the line is shorter."""
    line = HINGED.line(HEAD, BASE)
    x, _, z = HINGED.moved(HEAD, line.last_u)
    assert math.atan2(z - 0.3, x) - math.atan2(BASE[2] - 0.3, BASE[0]) == pytest.approx(math.pi)
    assert line.demand(line.last_u) > max(line.demand(line.last_u - 0.01), line.demand(line.last_u + 0.01))
    assert line.u_at(line.demand(line.last_u) + 0.1) == pytest.approx(line.last_u)  # past it, no further
    assert STRAIGHT.line(HEAD, BASE).last_u == math.inf


@pytest.mark.parametrize("motion", [HINGED, STRAIGHT])
@given(spot=spots(), u=st.floats(0.01, 0.3))
def test_the_arm_is_how_fast_the_line_lengthens(motion, spot, u):
    """Virtual work: F dL = F arm du. The closed form against a central difference of the line's length."""
    head, base = spot
    line = motion.line(head, base)
    step = 1e-5
    slope = (line.demand(u + step) - line.demand(u - step)) / (2 * step)
    assert motion.arm(head, base, u) == pytest.approx(slope, abs=1e-6)


@given(spots())
def test_a_line_lengthens_just_where_its_arm_is_positive(spot):
    """What reading asks of every line, and what it asks of every lifter, are the same thing at the start."""
    for motion in (HINGED, STRAIGHT):
        arm = motion.arm(*spot, 0.0)
        assume(abs(arm) > 1e-9)
        assert motion.line(*spot).lengthens == (arm > 0)


@pytest.mark.parametrize(
    ("motion", "head", "base", "longer"),
    [
        (HINGED, (2.0, 0.0, 0.5), (2.0, 0.0, 0.0), True),
        (HINGED, (2.0, 0.0, 0.3), (2.0, 0.0, 0.8), False),  # from above
        (HINGED, (2.0, 0.0, 0.3), (1.0, 0.0, 0.3), False),  # from between the pivot and the head
        (HINGED, (-1.0, 0.0, 0.3), (2.0, 0.0, 0.3), False),  # the pivot is between the two
        (HINGED, HEAD, (0.0, 0.9, 0.3), False),  # from the pivot itself: a radius
        (HINGED, (1.0, 0.0, -0.7), (-1.0, 0.0, 0.8), True),  # over the pivot, to a head under it
        (STRAIGHT, (2.0, 0.0, 0.5), (2.0, 0.0, 0.0), True),
        (STRAIGHT, (2.0, 0.0, 0.5), (1.0, 0.0, 0.5), False),  # level
        (STRAIGHT, (2.0, 0.0, 0.5), (2.0, 0.0, 0.8), False),  # from above
    ],
)
def test_which_lines_lengthen_as_the_load_starts_to_move(motion, head, base, longer):
    """By hand, by the arm, and by the distance a moment later."""
    line = motion.line(head, base)
    assert line.lengthens == (motion.arm(head, base, 0.0) > 1e-12) == (line.demand(1e-6) > 1e-9) == longer


def test_where_a_line_over_the_pivot_stops_lengthening():
    """The base 1 m behind and 0.5 m above it, the head 1 m ahead and 1 m below: in line atan 0.5 below level."""
    line = HINGED.line((1.0, 0.0, -0.7), (-1.0, 0.0, 0.8))
    assert line.last_u == pytest.approx(math.pi / 4 - math.atan(0.5))


def test_a_motion_and_a_line_are_never_changed():
    """Every station and every moment of the lift asks the same ones."""
    for part in (HINGED, HINGED.line(HEAD, BASE), STRAIGHT.line(HEAD, BASE)):
        with pytest.raises(FrozenInstanceError):
            setattr(part, fields(part)[0].name, 0.0)


def test_the_arm_of_a_weight_moves_back_as_the_load_turns_up():
    """A CG 1.8 m ahead and 0.7 m above the pivot, at 0.1 rad: 1.8 cos 0.1 - 0.7 sin 0.1."""
    assert HINGED.lever((1.8, 0.0, 1.0), 0.1) == pytest.approx(1.8 * math.cos(0.1) - 0.7 * math.sin(0.1))
    assert STRAIGHT.lever((1.8, 0.0, 1.0), 0.1) == 1


@pytest.mark.parametrize("motion", [HINGED, STRAIGHT])
def test_floats_and_arrays_agree(motion):
    """Every function, at a hundred places; a line's u also where it is shorter than at the start or past straight."""
    u = np.linspace(0, 0.35, 100)
    line = motion.line(HEAD, BASE)
    functions = [
        lambda u: motion.moved(HEAD, u)[0],
        lambda u: motion.moved(HEAD, u)[2],
        lambda u: motion.rise(HEAD, u),
        lambda u: motion.arm(HEAD, BASE, u),
        lambda u: motion.lever(HEAD, u),
        line.demand,
        lambda u: line.u_at(u / 4),
    ]
    for function in functions:
        assert function(u) == pytest.approx(np.array([function(float(x)) for x in u]), abs=1e-13)
        assert type(function(0.1)) is float  # Python's own: five times as fast as numpy's, and the story asks often
    demands = np.linspace(-line.start, 9.0, 100)
    assert line.u_at(demands) == pytest.approx(np.array([line.u_at(float(x)) for x in demands]), abs=1e-13)


def test_the_scenario_says_which_motion():
    """Hinged, about its pivot, or straight."""
    assert motion_of(Load(1.0, "hinged", (1.0, 0.0, 0.0), pivot_height=0.4)) == Hinged(0.4)
    assert motion_of(Load(1.0, "straight", (1.0, 0.0, 0.0), pivot_height=0.4)) == Straight()
