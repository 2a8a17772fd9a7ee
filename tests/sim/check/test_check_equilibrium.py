"""The load in balance, in space: against numpy.linalg, textbooks, and lifts drawn at random."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.check.sideways.equilibrium import equilibrium, push
from sim.model.loads import lever_share, lifter_force
from sim.model.motion import motion_of
from sim.model.scenario import Load
from tests.builders import lifter

G = 9.80  # as the textbooks use it
WORKED = Load(40e3, "hinged", (2.0, 0.1, 1.2), 0.5)


def hinged_pair(load, left, right):
    """Two lifters, each a head and a base, that share by the lever rule."""
    share = lever_share((left[0], right[0]), load.cg, "hinged")
    return (
        lifter(side="left", head=left[0], base=left[1], share=share),
        lifter(side="right", head=right[0], base=right[1], share=1 - share),
    )


def pushes_of(load, lifters, u):
    """What each lifter does to the load at u."""
    motion = motion_of(load)
    return [push(motion, x.head, x.base, lifter_force(x, load, motion, u), u) for x in lifters]


def solved(load, lifters, u, track):
    """The same by `numpy.linalg`: seven equations for two lifters, the pivot's x and z on each side, and its y."""
    pivot = np.array([0.0, 0.0, load.pivot_height])
    turn = np.array([[math.cos(u), 0, -math.sin(u)], [0, 1, 0], [math.sin(u), 0, math.cos(u)]])

    def moved(point):
        return turn @ (np.array(point) - pivot)

    columns = []
    for each in lifters:
        at = moved(each.head)
        way = at + pivot - np.array(each.base)
        way /= np.linalg.norm(way)
        columns.append(np.concatenate([way, np.cross(at, way)]))
    for y in (track / 2, -track / 2):
        for way in ([1.0, 0, 0], [0, 0, 1.0]):
            columns.append(np.concatenate([way, np.cross([0, y, 0], way)]))
    columns.append(np.array([0, 1.0, 0, 0, 0, 0]))
    pitch = [column[4] for column in columns[:2]]
    shares = [lifters[1].share * pitch[0], -lifters[0].share * pitch[1], 0, 0, 0, 0, 0]
    weight = np.array([0, 0, -load.weight])
    known = -np.concatenate([weight, np.cross(moved(load.cg), weight)])
    return np.linalg.solve(np.vstack([np.array(columns).T, shares]), np.append(known, 0.0))


def test_the_worked_lift_of_the_design():
    """One leg out and ahead, one ahead: what turns the load decides, not the sum."""
    # ours
    pair = hinged_pair(WORKED, ((4, 0.8, 0.9), (4.3, 1.1, 0)), ((4, -0.8, 0.9), (4, -0.8, 0)))
    pushes = pushes_of(WORKED, pair, 0.05)
    found = equilibrium(WORKED, motion_of(WORKED), pushes, 0.05, 1.6)
    assert pushes[0].force == pytest.approx((-3144, -2902, 10635), abs=0.5)
    assert pushes[1].force == pytest.approx((-196, 0, 8610), abs=0.5)
    assert pushes[0].foot.friction_needed == pytest.approx(0.4023, abs=5e-5)
    assert pushes[1].foot.friction_needed == pytest.approx(0.0227, abs=5e-5)
    assert (found.left.force[0], found.left.onto) == pytest.approx((-4066, 10778), abs=0.5)
    assert (found.right.force[0], found.right.onto) == pytest.approx((7405, 9977), abs=0.5)
    assert found.left.friction_needed == pytest.approx(0.4023, abs=5e-5)
    assert found.right.friction_needed == pytest.approx(0.7553, abs=5e-5)
    assert (found.pushed[1], found.turning) == pytest.approx((-2902, -9177), abs=0.5)


# --- textbooks


def test_a_ladder_against_a_smooth_wall():
    """400.0 N at 53 deg: wall and friction 150.7 N, floor 427.4 N in all; it slips under 0.5 cot b, 0.377."""
    # OpenStax University Physics 1, 12.2; its 427.4 is of a rounded 150.7, exact is 427.4503
    top = (5 * math.cos(math.radians(53)), 0.0, 5 * math.sin(math.radians(53)))
    load = Load(400.0, "hinged", (top[0] / 2, 0.0, top[2] / 2))
    wall = lifter(head=top, base=(top[0] + 1, 0.0, top[2]))
    (pushed,) = pushes_of(load, [wall], 0.0)
    found = equilibrium(load, motion_of(load), [pushed], 0.0, 0.4)
    assert pushed.force == pytest.approx((-150.7, 0, 0), abs=0.05)
    assert found.pivot[0] == pytest.approx(150.7, abs=0.05)
    assert math.hypot(*found.pivot) == pytest.approx(427.4, abs=0.051)
    assert found.left.friction_needed == pytest.approx(0.377, abs=5e-4)


def test_two_legs_that_meet():
    """15.0 kg on legs at 30 and 45 deg: 108 and 132 N, the second 1.225 times the first."""
    # OpenStax College Physics, 4.7 (the traffic light; props carry in thrust what its wires do in tension)
    load = Load(15.0 * G, "straight", (0.0, 0.0, 1.0))
    motion, head = motion_of(load), (0.0, 0.0, 1.0)
    bases = [(-1 / math.tan(math.radians(30)), 0.0, 0.0), (1.0, 0.0, 0.0)]

    def shared(part):
        legs = [lifter(head=head, base=b, share=s) for b, s in zip(bases, (part, 1 - part), strict=True)]
        return equilibrium(load, motion, pushes_of(load, legs, 0.0), 0.0), [
            lifter_force(leg, load, motion, 0.0) for leg in legs
        ]

    none, all_of_it = (shared(part)[0].pushed[0] for part in (0.0, 1.0))
    found, (one, other) = shared(none / (none - all_of_it))  # where nothing is left to move it sideways
    assert (one, other) == pytest.approx((108, 132), abs=0.5) and other / one == pytest.approx(1.225, abs=5e-4)
    assert found.pushed == pytest.approx((0, 0, 15.0 * G), abs=1e-9) and found.pivot is None


def kerb(weight, radius, height):
    """A wheel that is pulled level at its axle against a kerb: it turns about the kerb's edge."""
    load = Load(weight, "hinged", (math.sqrt(2 * radius * height - height**2), 0.0, radius), height)
    pull = lifter(head=load.cg, base=(load.cg[0] + 1, 0.0, radius))
    (pushed,) = pushes_of(load, [pull], 0.0)
    return pushed, equilibrium(load, motion_of(load), [pushed], 0.0)


def test_a_wheel_at_a_kerb():
    """0.800 kg, radius 6.00 cm, kerb 3.00 cm: 13.6 N; and the edge gives weight and pull back."""
    # university physics problem, ch. 12: F = W sqrt(2rh - h^2) / (r - h)
    pushed, found = kerb(0.800 * G, 0.06, 0.03)
    assert -pushed.force[0] == pytest.approx(13.6, abs=0.05)
    assert found.pivot == pytest.approx((-pushed.force[0], 0, 0.800 * G), abs=1e-9)


@pytest.mark.parametrize(("height", "holds"), [(0.05, 0.329), (0.10, 0.484), (0.25, 0.882), (0.50, 1.732)])
def test_what_a_fixed_chock_holds(height, holds):
    """Over the wheel's weight, by the chock's height over the wheel's radius."""
    # the kerb's formula, computed
    assert -kerb(1.0, 1.0, height)[0].force[0] == pytest.approx(holds, abs=5e-4)


# --- drawn lifts


@st.composite
def drawn(draw):
    """A hinged load on two lifters that lean as they like, and the whole of its sweep."""

    def number(low, high):
        return draw(st.floats(low, high))

    load = Load(number(5e3, 2e5), "hinged", (number(0.5, 3), number(-0.5, 0.5), number(0.3, 2)), number(0, 1))
    heads = [(number(3, 5), y * number(0.6, 1.5), number(0.6, 1.2)) for y in (1, -1)]
    bases = [(x + number(-0.5, 0.5), y + number(-0.5, 0.5), 0.0) for x, y, _ in heads]
    pair = hinged_pair(load, *zip(heads, bases, strict=True))
    return load, pair, np.linspace(0.0, number(0.01, 0.15), 7), number(0.5, 2.5)


def mirrored(point):
    """Left for right."""
    return point[0], -point[1], point[2]


@given(drawn())
def test_forces_and_moments_sum_to_nought_and_linalg_says_the_same(case):
    """At every instant, all that acts on the load, about a point that is none of the model's own."""
    load, pair, us, track = case
    motion, size = motion_of(load), load.weight
    pushes = pushes_of(load, pair, us)
    found = equilibrium(load, motion, pushes, us, track)
    cg, force = motion.moved(load.cg, us), (0 * us, 0 * us, 0 * us - size)
    acts = [(cg, force), *((p.at, p.force) for p in pushes)]
    for contact, y in ((found.left, track / 2), (found.right, -track / 2)):
        acts.append(((0.0, y, load.pivot_height), contact.force))
    for n, u in enumerate(us):
        at = [np.array([np.broadcast_to(part, us.shape)[n] for part in where]) for where, _ in acts]
        by = [np.array([np.broadcast_to(part, us.shape)[n] for part in what]) for _, what in acts]
        moments = sum(np.cross(where - [1.0, 2.0, 3.0], what) for where, what in zip(at, by, strict=True))
        assert np.abs(sum(by)).max() <= 1e-9 * size and np.abs(moments).max() <= 1e-9 * size
        one, other, xl, zl, xr, zr, y = solved(load, pair, float(u), track)
        ours = [lifter_force(x, load, motion, float(u)) for x in pair]
        ours += [c.force[k][n] for c in (found.left, found.right) for k in (0, 2)]
        assert [*ours, found.pivot[1][n]] == pytest.approx([one, other, xl, zl, xr, zr, y], abs=1e-7 * size)


@given(drawn())
def test_a_mirrored_lift_mirrors_and_a_float_is_an_array_of_one(case):
    """Left is right, across and turning change their sign; u as a float gives what it gives in an array."""
    load, (left, right), us, track = case
    found = equilibrium(load, motion_of(load), pushes_of(load, (left, right), us), us, track)
    other = replace(load, cg=mirrored(load.cg))
    turned = [replace(x, head=mirrored(x.head), base=mirrored(x.base)) for x in (left, right)]
    seen = equilibrium(other, motion_of(other), pushes_of(other, turned, us), us, track)
    near = {"abs": 1e-9 * load.weight}
    assert seen.pushed[1] == pytest.approx(-found.pushed[1], **near)
    assert seen.turning == pytest.approx(-found.turning, **near)
    assert seen.left.onto == pytest.approx(found.right.onto, **near)
    assert seen.left.force[0] == pytest.approx(found.right.force[0], **near)
    last = float(us[-1])
    alone = equilibrium(load, motion_of(load), pushes_of(load, (left, right), last), last, track)
    assert alone.right.force == pytest.approx(tuple(part[-1] for part in found.right.force), **near)
    assert alone.left.friction_needed == pytest.approx(found.left.friction_needed[-1])


def test_a_head_needs_what_the_turned_surface_asks_and_nothing_pressed_on_holds_nothing():
    """An upright lifter under a load that has turned by u needs tan u at its head, none at its foot."""
    motion, u = motion_of(WORKED), 0.2
    x, y, z = motion.moved((4.0, 0.8, 0.9), u)
    upright = push(motion, (4.0, 0.8, 0.9), (x, y, z - 1), 1e4, u)
    assert upright.head.friction_needed == pytest.approx(math.tan(u))
    assert upright.foot.friction_needed == pytest.approx(0.0, abs=1e-9)
    square = push(motion, (4.0, 0.8, 0.9), (x + math.sin(u), y, z - math.cos(u)), 1e4, u)  # to the turned face
    assert square.head.friction_needed == pytest.approx(0.0, abs=1e-9) and square.foot.friction_needed > 0.2
    assert push(motion, (4.0, 0.8, 0.9), (x, y, z - 1), -1e4, u).foot.friction_needed == math.inf
    both = push(motion, (4.0, 0.8, 0.9), (x + 0.5, y, 0.0), np.array([-1e4, 1e4]), np.array([u, u]))
    assert both.foot.friction_needed == pytest.approx([math.inf, 0.5 / z])
