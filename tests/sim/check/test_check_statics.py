"""Who carries what, against published statics, against an independent solution, and by laws that can be argued."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sim.check import check
from sim.check.balance import reactions
from sim.check.course import course_of
from sim.check.findings import Check
from sim.check.lifters import lifter_load
from sim.check.stations import station_load
from sim.model.loads import axial_force, effort, lever_share, lifter_force
from sim.model.motion import motion_of
from sim.model.scenario import Load, Need, Scenario
from tests.builders import MM, collar, lift, lifter, station, two_lifters

G = 9.8  # [m/s^2], as the textbooks below have it


def hinged(load, *places, need=(3.0, 0.0, 0.5), rise=100 * MM):
    """A lift of this load, turned about its pivot."""
    return replace(lift(rise, *places, load=load), need=Need(need, rise))


def pair(head=(2.0, 0.5, 0.6), base=(2.2, 0.6, 0.0), left_share=0.5):
    """Two lifters, each other's mirror image but for their shares."""
    sides = {"left": 1, "right": -1}
    share = {"left": left_share, "right": 1 - left_share}
    at = {
        side: {"head": (head[0], y * head[1], head[2]), "base": (base[0], y * base[1], base[2])}
        for side, y in sides.items()
    }
    return tuple(lifter(collar(), side=side, share=share[side], **at[side]) for side in sides)


# --- published


@pytest.mark.parametrize(("at", "printed"), [(0.75, 3675), (1.05, 5145)])
def test_a_car_stands_on_its_wheels_as_the_lever_rule_has_it(at, printed):
    """1,800 kg, wheelbase 1.8 m, CG 1.05 m behind the front axle: 3,675 N on each front wheel, 5,145 N on each rear."""
    # NCERT, Physics XI, exercises: g = 9.8 m/s^2; `at` is how far the CG is from the axle that stays
    load = Load(1800 * G, "hinged", (at, 0.0, 0.0))
    axle = effort(load, motion_of(load), 0.0) / 1.8
    assert axle / 2 == pytest.approx(printed, abs=0.5)


def test_the_centre_of_gravity_of_a_truck_from_its_axle_loads():
    """Wheelbase 3.0 m, 60 % of the weight on the front axle: the CG is 1.2 m behind it."""
    # OpenStax, University Physics 1, ch. 12, problem 30
    assert lever_share(((0.0, 0.0, 0.0), (3.0, 0.0, 0.0)), (1.2, 0.0, 0.0), "straight") == pytest.approx(
        0.60, abs=0.005
    )


@pytest.mark.parametrize(("degrees", "printed"), [(5, 0.469), (10, 0.4375), (20, 0.371)])
def test_a_body_tipped_over_its_far_edge_gets_lighter_as_its_ssf_says(degrees, printed):
    """F/W = 1/2 (1 - tan a / SSF); SSF 1.41: 0.469 at 5 deg, 0.4375 at 10 deg, 0.371 at 20 deg."""
    # rigid-body moments, computed; SSF = T/2h of the car fleet, NHTSA HS-809 868
    track, ssf = 1.5, 1.41
    load = Load(1.0, "hinged", (track / 2, 0.0, track / 2 / ssf))
    motion, angle = motion_of(load), math.radians(degrees)
    lifted = effort(load, motion, angle) / motion.lever((track, 0.0, 0.0), angle)
    assert lifted == pytest.approx(printed, abs=0.0005)


def test_the_lifted_side_weighs_nothing_where_the_body_balances():
    """Zero at a = atan SSF."""
    load = Load(1.0, "hinged", (0.75, 0.0, 0.75 / 1.41))
    assert effort(load, motion_of(load), math.atan(1.41)) == pytest.approx(0, abs=1e-12)


@given(z=st.floats(0.3, 1.0), tilt=st.floats(0.05, 0.4), x=st.floats(0.5, 2.0))
def test_the_height_of_the_cg_comes_back_from_raising_one_end(z, tilt, x):
    """z = r + (F' - F) L / (W tan a), with F' the load on the axle that stays (ISO 10392, the method)."""
    wheelbase, axle, weight = 2.5, 0.3, 15000.0
    load = Load(weight, "hinged", (x, 0.0, z), pivot_height=axle)
    motion, far = motion_of(load), (wheelbase, 0.0, axle)
    staying = [weight - effort(load, motion, u) / motion.lever(far, u) for u in (0.0, tilt)]
    found = axle + (staying[1] - staying[0]) * wheelbase / (weight * math.tan(tilt))
    assert found == pytest.approx(z, rel=1e-9)


@pytest.mark.parametrize(("degrees", "axial", "thrust"), [(60, 1.155, 0.577), (45, 1.414, 1.000), (30, 2.000, 1.732)])
def test_a_leaning_strut_carries_more_and_pushes_its_foot_out(degrees, axial, thrust):
    """A strut at angle a from the ground that carries V: axial V / sin a, thrust V cot a."""
    # trigonometry, computed
    out = 1 / math.tan(math.radians(degrees))
    strut = station(collar(), head=(0.0, 1.0, 1.0), base=(0.0, 1.0 + out, 0.0), side="left")
    course = course_of(lift(1 * MM, lifter(collar(), travel_per_pump=1 * MM), strut))
    load = station_load(course, strut)
    assert load.static_start / 1000.0 == pytest.approx(axial, abs=0.0005)
    assert load.thrust_across / 1000.0 == pytest.approx(thrust, abs=0.002)  # the strut has grown steeper by 1 mm
    assert load.thrust_along == 0


def test_two_legs_share_as_a_sling_does():
    """Leg tension = L W / (2 H): 16 ft legs, 15,000 lb, 12 ft high: 10,000 lb."""
    # BC Crane Safety, sling angles
    assert axial_force(15000.0, 0.5, 12 / 16) == pytest.approx(10000)


def test_legs_120_degrees_apart_each_carry_the_load():
    """At 120 deg between the legs each carries as much as the whole load."""
    # FEMA US&R Structural Collapse Technician, module 4c
    assert axial_force(1.0, 0.5, math.cos(math.radians(60))) == pytest.approx(1.0)


@pytest.mark.parametrize(("front_share", "wheelbase", "more"), [(0.631, 2.393, 0.26)])
def test_the_engine_end_of_a_front_wheel_drive_car_needs_more_than_half_the_weight(front_share, wheelbase, more):
    """Compact, front drive, 63.1 % on the front axle: its engine end needs 26 % more than half the weight."""
    # NHTSA light-vehicle inertial parameters, as quoted in secondary literature; 26 % computed from it
    load = Load(12200.0, "hinged", (front_share * wheelbase, 0.0, 0.5))
    at_end = effort(load, motion_of(load), 0.0) / wheelbase
    assert at_end / (load.weight / 2) - 1 == pytest.approx(more, abs=0.005)


# --- an independent solution


def cross_row(point, along):
    """Moment of a unit force along a line, at a point, about the origin."""
    return np.cross(point, along)


coordinate = st.floats(-0.8, 0.8)


@st.composite
def hinged_lifts(draw):
    """A hinged load with one or two lifters anywhere that raises it."""
    zp = draw(st.floats(0.0, 0.5))
    cg = (draw(st.floats(0.5, 3.0)), draw(st.floats(-0.3, 0.3)), draw(st.floats(0.2, 1.5)))
    load = Load(draw(st.floats(1e3, 1e5)), "hinged", cg, zp)
    sides = draw(st.sampled_from([("left",), ("left", "right")]))
    made = []
    for side in sides:
        y = draw(st.floats(0.35, 0.8)) * (1 if side == "left" else -1)
        head = (draw(st.floats(1.0, 3.0)), y, draw(st.floats(0.5, 1.0)))
        base = (head[0] + draw(st.floats(-0.3, 0.3)), y + draw(st.floats(-0.3, 0.3)), 0.0)
        made.append((side, head, base))
    share = 1.0 if len(made) == 1 else lever_share((made[0][1], made[1][1]), cg, "hinged")
    shares = (share, 1 - share)
    lifters = [lifter(collar(), side=s, share=p, head=h, base=b) for (s, h, b), p in zip(made, shares, strict=False)]
    scenario = hinged(load, *lifters)
    motion = motion_of(load)
    assume(all(motion.arm(x.head, x.base, 0.0) > 0.2 and motion.arm(x.head, x.base, 0.2) > 0.2 for x in lifters))
    return scenario


@given(scenario=hinged_lifts(), u=st.floats(0.0, 0.2))
def test_forces_are_those_of_the_full_equilibrium_of_a_hinged_load(scenario: Scenario, u: float):
    """Six equations of the load as a free body, solved outright: lifters, and five reactions of the hinge."""
    load, motion = scenario.load, motion_of(scenario.load)
    zp = load.pivot_height
    columns, lifters = [], scenario.lifters
    for x in lifters:
        head = np.array(motion.moved(x.head, u))
        along = head - np.array(x.base)
        along = along / np.linalg.norm(along)
        columns.append(np.concatenate([along, cross_row(head, along)]))
    pivot = np.array([0.0, 0.0, zp])
    for axis in np.eye(3):  # the hinge holds its line in place
        columns.append(np.concatenate([axis, cross_row(pivot, axis)]))
    for axis in (0, 2):  # and keeps the load from rolling and from turning on the ground, but not from tilting
        columns.append(np.concatenate([np.zeros(3), np.eye(3)[axis]]))
    matrix = np.array(columns).T
    cg = np.array(motion.moved(load.cg, u))
    weight = np.array([0.0, 0.0, -load.weight])
    right = -np.concatenate([weight, cross_row(cg, weight)])
    if len(lifters) == 2:  # seven unknowns: the sides share the moment by the lever rule
        arms = [matrix[4, n] - zp * matrix[0, n] for n in range(2)]  # y moment about the hinge
        matrix = np.vstack([matrix, [arms[0] * lifters[1].share, -arms[1] * lifters[0].share, 0, 0, 0, 0, 0]])
        right = np.append(right, 0.0)
    solved = np.linalg.solve(matrix, right)
    for n, x in enumerate(lifters):
        assert lifter_force(x, load, motion, u) == pytest.approx(solved[n], rel=1e-9, abs=1e-9 * load.weight)
    course = course_of(scenario)
    ours = np.array(reactions(course, np.array([u]))).ravel()
    assert ours == pytest.approx(solved[len(lifters) : len(lifters) + 3], rel=1e-9, abs=1e-9 * load.weight)


@given(
    share=st.floats(0.0, 1.0), rise=st.floats(0.0, 0.3), ax=coordinate, ay=st.floats(0.2, 1.0), bx=coordinate,
    by=st.floats(-1.0, -0.2), lean=st.tuples(coordinate, coordinate), height=st.floats(0.5, 1.5),
)  # fmt: skip
def test_forces_are_those_of_the_full_equilibrium_of_a_straight_load(share, rise, ax, ay, bx, by, lean, height):
    """Two lifters anywhere: forces and the roll about their line, with guides that push level where the heads are."""
    heads = [np.array([ax, ay, height]), np.array([bx, by, height])]
    cg = share * heads[0] + (1 - share) * heads[1] + np.array([0.0, 0.0, 0.4])
    parts = (share, 1 - share)
    lifters = [
        lifter(side=side, share=part, head=tuple(h), base=(h[0] + 0.3 * lean[0], h[1] + 0.3 * lean[1], 0.0))
        for side, part, h in zip(("left", "right"), parts, heads, strict=True)
    ]
    load = Load(5000.0, "straight", tuple(cg))
    assert lever_share((lifters[0].head, lifters[1].head), load.cg, "straight") == pytest.approx(share, abs=1e-12)
    motion = motion_of(load)
    line = heads[1] - heads[0]
    roll = np.array([-line[1], line[0], 0.0]) / np.hypot(line[0], line[1])  # about this axis only the lifters hold it
    columns = []
    for x in lifters:
        head = np.array(motion.moved(x.head, rise))
        along = (head - np.array(x.base)) / np.linalg.norm(head - np.array(x.base))
        columns.append(np.append(along, np.dot(cross_row(head, [0.0, 0.0, along[2]]), roll)))
    for axis in np.eye(3)[:2]:  # guides push level, at the height of the heads
        columns.append(np.append(axis, 0.0))
    matrix = np.array(columns).T
    weight = np.array([0.0, 0.0, -load.weight])
    right = -np.append(weight, np.dot(cross_row(cg, weight), roll))
    solved = np.linalg.solve(matrix, right)
    for n, x in enumerate(lifters):
        assert lifter_force(x, load, motion, rise) == pytest.approx(solved[n], rel=1e-9, abs=1e-9 * load.weight)


# --- laws


@given(share=st.floats(0.05, 0.95), u=st.floats(0.0, 0.3))
def test_shares_sum_to_the_effort(share, u):
    """What the lifters' pushes turn the load with is together what its weight turns it back with."""
    load = Load(9000.0, "hinged", (1.2, 0.0, 0.8), 0.3)
    motion, lifters = motion_of(load), pair(left_share=share)
    turned = sum(lifter_force(x, load, motion, u) * motion.arm(x.head, x.base, u) for x in lifters)
    assert turned == pytest.approx(effort(load, motion, u), rel=1e-12)


@given(times=st.floats(0.1, 10.0))
def test_forces_scale_with_the_weight(times):
    """Twice the weight, twice every force of lifter and station."""
    strut = station(collar(), head=(2.5, 0.5, 0.8), base=(2.5, 1.2, 0.0))
    light = hinged(Load(4000.0, "hinged", (1.2, 0.0, 0.6), 0.3), *pair(), strut)
    heavy = replace(light, load=replace(light.load, weight=4000.0 * times))
    one, other = course_of(light), course_of(heavy)
    for key in ("axial_start", "axial_end", "axial_worst", "thrust_along", "thrust_across", "foot_force", "alone"):
        a, b = (getattr(lifter_load(c, c.scenario.lifters[0]), key) for c in (one, other))
        assert b == pytest.approx(times * a, rel=1e-9, abs=1e-9)
    for key in ("static_start", "static_worst", "thrust_along", "thrust_across", "foot_force"):
        a, b = (getattr(station_load(c, strut), key) for c in (one, other))
        assert b == pytest.approx(times * a, rel=1e-9, abs=1e-9)


@given(y=st.floats(-0.3, 0.3))
def test_a_mirrored_load_swaps_left_and_right(y):
    """Mirror the load: what the left lifter carried the right one carries, and thrusts across change their sign."""
    loads = []
    for cg_y in (y, -y):
        load = Load(4000.0, "hinged", (1.2, cg_y, 0.6), 0.3)
        heads = [x.head for x in pair()]
        course = course_of(hinged(load, *pair(left_share=lever_share((heads[0], heads[1]), load.cg, "hinged"))))
        loads.append({x.name: lifter_load(course, x) for x in course.scenario.lifters})
    one, mirrored = loads
    for a, b in (("left lifter", "right lifter"), ("right lifter", "left lifter")):
        assert mirrored[b].axial_worst == pytest.approx(one[a].axial_worst, rel=1e-12)
        assert mirrored[b].thrust_along == pytest.approx(one[a].thrust_along, rel=1e-12)
        assert mirrored[b].thrust_across == pytest.approx(-one[a].thrust_across, rel=1e-12)


@given(height=st.floats(0.3, 2.0), rise=st.floats(0.0, 0.5))
def test_a_vertical_lifters_axial_force_is_its_vertical_one(height, rise):
    """Straight up, the lifters' pushes are their shares of the weight; nothing pushes sideways."""
    a, b = two_lifters(left={"head": (0.0, 0.5, height)}, right={"head": (0.0, -0.5, height)})
    load, motion = Load(6000.0, "straight", (0.0, 0.0, 1.0)), motion_of(Load(6000.0, "straight", (0.0, 0.0, 1.0)))
    assert [lifter_force(x, load, motion, rise) for x in (a, b)] == pytest.approx([3000.0, 3000.0], rel=1e-12)


@given(lean=st.floats(-0.3, 0.3), rise=st.floats(0.0, 0.3), out=st.floats(-0.2, 0.2))
def test_hinged_with_a_very_long_arm_tends_to_straight(lean, rise, out):
    """A pivot a thousand kilometres away, CG and head over each other: the same force as straight up."""
    far = 1e6
    flat = Load(6000.0, "straight", (0.0, 0.0, 0.8))
    turned = Load(6000.0, "hinged", (far, 0.0, 0.8))
    one = lifter(share=1.0, head=(0.0, 0.0, 0.7), base=(lean, out, 0.0))
    other = lifter(share=1.0, head=(far, 0.0, 0.7), base=(far + lean, out, 0.0))
    straight = lifter_force(one, flat, motion_of(flat), rise)
    assert lifter_force(other, turned, motion_of(turned), rise / far) == pytest.approx(straight, rel=1e-5)


# --- sides


@pytest.mark.parametrize(("side", "across"), [("left", -0.3), ("right", 0.2)])
def test_a_strut_on_the_wrong_side_of_the_centreline_is_a_stop(side, across):
    """Left is positive: a head to the right of the centreline is not the left side's. By how much is said, in both."""
    wrong = station(collar(), side=side, head=(0.0, across, 1.0), base=(0.0, across, 0.0))
    found = [f for f in check(lift(20 * MM, *two_lifters(collar()), wrong)).findings if f.check is Check.WRONG_SIDE]
    assert [(f.level, f.subject, f.value) for f in found] == [("stop", "strut", abs(across))]
    assert f"on the {side}" in found[0].what.words("si")
    assert {-0.3: "300.0 mm", 0.2: "200.0 mm"}[across] in found[0].what.words("si")


@pytest.mark.parametrize("side", ["left", "right", "both"])
def test_a_strut_on_its_side_or_on_the_centreline_is_not(side):
    """On the line itself it may be of either."""
    right = station(collar(), side=side, head=(0.0, 0.0, 1.0), base=(0.0, 0.0, 0.0))
    sheet = check(lift(20 * MM, *two_lifters(collar()), station(collar(), name="own", side="right"), right))
    assert not [f for f in sheet.findings if f.check is Check.WRONG_SIDE]
