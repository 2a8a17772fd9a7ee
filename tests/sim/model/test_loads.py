"""Who carries what: balances by hand, and the work of the lifters against that of the weight."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.model.loads import axial_force, effort, fall_energy, lever_share, lifter_force
from sim.model.motion import motion_of
from sim.model.scenario import Load
from tests.builders import lifter

HINGED = Load(20_000.0, "hinged", (1.8, 0.0, 0.9), pivot_height=0.3)
STRAIGHT = Load(20_000.0, "straight", (1.8, 0.0, 0.9))


def test_a_lifter_straight_under_the_end_carries_its_part_of_the_moment():
    """20 kN 1.8 m out, balanced 3.6 m out by an upright lifter: 10 kN, 5 kN on each of two."""
    ram = lifter(head=(3.6, 0.0, 0.3), base=(3.6, 0.0, 0.0), share=0.5)
    assert effort(HINGED, motion_of(HINGED), 0.0) == 36_000
    assert lifter_force(ram, HINGED, motion_of(HINGED), 0.0) == pytest.approx(5_000)


def test_a_straight_lifter_that_leans_carries_more_than_its_weight():
    """60 degrees from the ground: 1 / sin 60 = 1.1547 of it."""
    ram = lifter(head=(0.0, 0.0, math.sqrt(3)), base=(1.0, 0.0, 0.0))
    assert lifter_force(ram, STRAIGHT, motion_of(STRAIGHT), 0.0) == pytest.approx(20_000 * 2 / math.sqrt(3))


def test_axial_force_is_the_share_of_the_effort_over_the_arm():
    """0.4 of 900 N m on 1.5 m."""
    assert axial_force(900.0, 0.4, 1.5) == pytest.approx(240)


@pytest.mark.parametrize("load", [HINGED, STRAIGHT])
@given(end=st.floats(0.02, 0.3), out=st.floats(-0.3, 0.5))
def test_the_lifters_do_the_work_that_the_weight_gains(load, end, out):
    """The integral of force along the ram is weight times rise of the CG (and the energy of falling back)."""
    motion = motion_of(load)
    ram = lifter(head=(3.5, 0.8, 0.6), base=(3.5 + out, 0.8, 0.0))
    u, weights = np.polynomial.legendre.leggauss(20)
    u, weights = (u + 1) * end / 2, weights * end / 2
    work = np.sum(weights * lifter_force(ram, load, motion, u) * motion.arm(ram.head, ram.base, u))
    assert work == pytest.approx(load.weight * motion.rise(load.cg, end))
    assert work == pytest.approx(fall_energy(load, motion, 1.0, end, 0.0))


def test_a_fall_gives_up_the_sides_share_of_the_weight_over_the_fall_of_the_cg():
    """30 of 50 mm, 0.4 of 20 kN."""
    assert fall_energy(STRAIGHT, motion_of(STRAIGHT), 0.4, 0.05, 0.02) == pytest.approx(0.4 * 20_000 * 0.03)


def test_two_hinged_lifters_share_across():
    """CG 0.2 m left of the middle of two that stand 1.6 m apart: 0.5 + 0.2 / 1.6 on the left."""
    heads = ((3.5, 0.8, 0.6), (3.0, -0.8, 0.6))
    assert lever_share(heads, (1.8, 0.2, 0.9), "hinged") == pytest.approx(0.625)
    assert lever_share(heads[::-1], (1.8, 0.2, 0.9), "hinged") == pytest.approx(0.375)


def test_two_straight_lifters_share_along_the_line_between_them():
    """CG a quarter of the way from the first to the second, beside the line or on it: the first carries 3/4."""
    heads = ((0.0, 0.0, 1.0), (4.0, 3.0, 1.0))
    assert lever_share(heads, (1.0, 0.75, 5.0), "straight") == pytest.approx(0.75)
    assert lever_share(heads, (1.0 - 0.3, 0.75 + 0.4, 5.0), "straight") == pytest.approx(0.75)


def test_two_heads_in_line_share_in_no_known_way():
    """The lever rule divides by the distance between them."""
    with pytest.raises(ZeroDivisionError):
        lever_share(((3.5, 0.8, 0.6), (2.5, 0.8, 0.6)), (1.8, 0.0, 0.9), "hinged")


@pytest.mark.parametrize("load", [HINGED, STRAIGHT])
def test_floats_and_arrays_agree(load):
    """Every function, at a hundred places."""
    motion, ram, u = motion_of(load), lifter(head=(3.5, 0.8, 0.6), base=(3.6, 0.8, 0.0)), np.linspace(0, 0.35, 100)
    functions = [
        lambda u: effort(load, motion, u) + 0 * u,
        lambda u: lifter_force(ram, load, motion, u),
        lambda u: fall_energy(load, motion, 0.5, u, u / 2),
    ]
    for function in functions:
        assert function(u) == pytest.approx(np.array([function(float(x)) for x in u]), rel=1e-13)
