"""Published values, each with its source beside it: the printed digits are typed, the tolerance is half the last one.

How far a value was followed up: V read in a copy of the source, V2 in a secondary copy that quotes it, C computed here
or plain mathematics, M from memory.
"""

import math
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, Phase, settings

from sim.model.devices.collar import climbed
from sim.model.loads import axial_force, lever_share, lifter_force
from sim.model.motion import motion_of
from sim.model.pump import ram_pressure, stage_travel
from sim.model.scenario import Load, Pump
from sim.record.measures import measure
from sim.story.lift import simulate_fixed
from tests.builders import MM, collar, lift, lifter, operator, station, times_of

INCH, POUND = 0.0254, 4.4482216152605
PSI = POUND / INCH**2
drawn = settings(suppress_health_check=[HealthCheck.too_slow], phases=[Phase.explicit, Phase.reuse, Phase.generate])


def to_the_last_digit(printed):
    """What the source prints, to half its last digit."""
    digits = printed.partition(".")[2].partition("e")[0]
    exponent = int(printed.partition("e")[2] or 0)
    return pytest.approx(float(printed), abs=0.5000001 * 10.0 ** (exponent - len(digits)))


# --- hydraulics


def test_rise_per_stroke_is_pump_volume_over_ram_area():
    """10 in of rise takes 200 in of small-piston travel: a 2 in stroke raises 0.1 in."""
    # US Army TM 1-1500-204-23-2, fig. 2-5 (V, C): small piston 4 in^2, large piston 80 in^2
    stroke = Pump("hand", 4 * 2 * INCH**3, 4 * 2 * INCH**3, math.inf, math.inf)
    assert stage_travel(stroke, 80 * INCH**2, 0.0, 0.0, 0.0, 1.0) / INCH == to_the_last_digit("0.1")
    ram = lifter(name="ram", travel_per_pump=None, pump=stroke, ram_area=80 * INCH**2, operator=operator(0, 0.1, 0))
    scenario = lift(10 * INCH, ram, station(collar(turns=99.0)), rule="keep-pace", pace=0.0)
    assert measure(simulate_fixed(scenario))["pumps"]["ram"] * 2 == 200


def test_pressure_is_the_same_under_both_pistons():
    """40 lb on 4 in^2 raises 800 lb on 80 in^2; 50 lb on 2 in^2 are 25 psi and bear 250 lb on 10 in^2."""
    # US Army TM 1-1500-204-23-2, fig. 2-5 and 2-4 (V)
    assert ram_pressure(800 * POUND, 80 * INCH**2) == pytest.approx(ram_pressure(40 * POUND, 4 * INCH**2))
    assert ram_pressure(50 * POUND, 2 * INCH**2) / PSI == to_the_last_digit("25")
    assert ram_pressure(250 * POUND, 10 * INCH**2) / PSI == to_the_last_digit("25")


def test_pressure_under_a_small_piston():
    """500 N on a diameter of 5.00 mm: 2.5e7 Pa; on 25.0 mm that bears 1.25e4 N."""
    # OpenStax College Physics, section 11.5 (V)
    small, large = (math.pi * (d * MM) ** 2 / 4 for d in (5.0, 25.0))
    assert ram_pressure(500.0, small) == to_the_last_digit("2.5e7")
    assert ram_pressure(500.0, small) * large == to_the_last_digit("1.25e4")


def test_a_single_acting_pump_delivers_on_one_half_of_its_cycle():
    """The load rises while the handle works and stays, held by the check valves, while it is brought back."""
    # Navy NAVEDTRA 14329, ch. 8 (V)
    record = simulate_fixed(lift(30 * MM, lifter(collar(), name="ram"), strokes=3))
    rows = record.events[record.events["side"] == "ram"]
    rise = dict(zip(zip(rows["what"], rows["time_s"].round(3), strict=True), rows["rise_m"], strict=True))
    for begin, end, after in ((0.5, 1.5, 2.0), (2.0, 3.0, 3.5)):
        assert rise["recovers", end] - rise["strokes", begin] == pytest.approx(10 * MM)
        assert rise["strokes", after] == rise["recovers", end]


# --- statics


def test_a_cars_weight_on_its_axles():
    """1,800 kg, wheelbase 1.8 m, CG 1.05 m behind the front axle: 3,675 N on a front wheel, 5,145 N on a rear one."""
    # NCERT Physics, class XI, "System of particles and rotational motion" (V); g = 9.8
    weight, front, rear = 1800 * 9.8, (1.8, 0.0, 0.3), (0.0, 0.0, 0.3)
    cg = (0.75, 0.0, 0.5)
    share = lever_share((front, rear), cg, "straight")
    assert weight * share / 2 == to_the_last_digit("3675")
    assert weight * (1 - share) / 2 == to_the_last_digit("5145")
    load = Load(
        weight, "hinged", cg, pivot_height=0.3
    )  # hinged about the rear axle, two lifters under the front wheels
    wheel = lifter(head=front, base=(1.8, 0.0, 0.0), share=0.5)
    assert lifter_force(wheel, load, motion_of(load), 0.0) == to_the_last_digit("3675")


def test_sixty_per_cent_on_the_front_axle():
    """Wheelbase 3.0 m, 60 % on the front axle: the CG is 1.2 m behind it."""
    # OpenStax University Physics 1, ch. 12, problem 30 (V)
    assert lever_share(
        ((3.0, 0.0, 0.3), (0.0, 0.0, 0.3)), (3.0 - 1.2, 0.0, 0.5), "straight"
    ) * 100 == to_the_last_digit("60")


def test_half_the_weight_falls_short_at_the_engine_end():
    """A compact front-drive car, 63.1 % on the front axle, wheelbase 2.393 m: 26 % more than half."""
    # NHTSA light-vehicle inertial parameters (V2); the 26 % computed from it (C)
    cg = (2.393 * 0.631, 0.0, 0.507)
    load = Load(1244 * 9.80665, "hinged", cg, pivot_height=0.3)
    ram = lifter(head=(2.393, 0.0, 0.3), base=(2.393, 0.0, 0.0))
    assert lifter_force(ram, load, motion_of(load), 0.0) / (load.weight / 2) * 100 - 100 == to_the_last_digit("26")


@pytest.mark.parametrize(("degrees", "printed"), [(5, "0.469"), (10, "0.4375"), (20, "0.371")])
def test_the_lifted_side_gets_lighter_as_it_rises(degrees, printed):
    """F/W = 1/2 (1 - tan a / SSF), SSF = T/2h = 1.41: a body lifted by one side about the other."""
    # rigid-body moments (C); SSF 1.41: the fleet of cars of model year 2003, NHTSA HS-809 868 (V)
    assert side_force(math.radians(degrees), 1.41) == to_the_last_digit(printed)


def test_the_lifted_side_weighs_nothing_at_the_balance_point():
    """At a = atan SSF."""
    assert side_force(math.atan(1.41), 1.41) == pytest.approx(0, abs=1e-12)


def side_force(a, ssf):
    """Upright force at the lifted side of a body of weight 1, tilted by a."""
    width = 1.5
    load = Load(1.0, "hinged", (width / 2, 0.0, width / (2 * ssf)))
    up = (width * math.cos(a), 0.0, -1.0)  # where an upright lifter stands by then
    return lifter_force(lifter(head=(width, 0.0, 0.0), base=up), load, motion_of(load), a)


def test_cg_height_from_raising_one_end():
    """z = r + (F' - F) L / (W tan a): what the axle that stays on the ground gains when the other end is raised."""
    # ISO 10392 method (V)
    weight, base, r, z, a = 17_000.0, 2.6, 0.31, 0.56, math.radians(15)
    load = Load(weight, "hinged", (1.2, 0.0, z), pivot_height=r)
    level, raised = (
        weight - lifter_force(
            lifter(head=(base, 0.0, r), base=(base * math.cos(u), 0.0, -1.0)), load, motion_of(load), u
        )
        for u in (0.0, a)
    )  # fmt: skip
    assert r + (raised - level) * base / (weight * math.tan(a)) == pytest.approx(z)


@pytest.mark.parametrize(
    ("degrees", "axial", "thrust"), [(60, "1.155", "0.577"), (45, "1.414", "1.000"), (30, "2.000", "1.732")]
)
def test_a_strut_that_leans_carries_more_and_pushes_its_foot_out(degrees, axial, thrust):
    """Axial V / sin a, thrust V cot a."""
    # trigonometry (C)
    a = math.radians(degrees)
    load = Load(1.0, "straight", (0.0, 0.0, 1.0))
    force = lifter_force(lifter(head=(0.0, 0.0, math.tan(a)), base=(1.0, 0.0, 0.0)), load, motion_of(load), 0.0)
    assert force == to_the_last_digit(axial)
    assert force * math.cos(a) == to_the_last_digit(thrust)


def test_two_legs_of_a_sling_or_of_an_a_frame():
    """L W / (2 H): 16 ft legs, 12 ft high, 15,000 lb: 10,000 lb; at 120 degrees between them each carries the load."""
    # BC Crane Safety (V, C); FEMA US&R SCT module 4c (V)
    assert axial_force(15_000.0, 0.5, 12 / 16) == to_the_last_digit("10000")
    assert axial_force(1.0, 0.5, math.cos(math.radians(120 / 2))) == pytest.approx(1)


# --- threads


@pytest.mark.parametrize(
    ("lead_mm", "turns", "source"),
    [
        (7.0, "3.63", "Tr 40x7, ISO 2904 (V2)"),
        (9.0, "2.82", "Tr 60x9, ISO 2904 (V2)"),
        (18.0, "1.41", "Tr 60x18 (P9), two starts: the lead counts, not the pitch; ISO 2901 (V)"),
        (6.35, "4.00", "Acme 1 1/2 and 2 in, 4 per inch, ASME B1.5 (V2)"),
        (8.467, "3.00", "Acme 2 1/2 in, 3 per inch, ASME B1.5 (V2)"),
        (12.70, "2.00", "Acme 3 in, 2 per inch, ASME B1.5 (V2)"),
    ],
)
def test_turns_for_an_inch(lead_mm, turns, source):
    """At one turn a second a collar needs 25.4 mm / lead seconds from first turn to seat."""
    thread = replace(collar(turns=1.0, chases="after"), rise_per_turn=lead_mm * MM)
    record = simulate_fixed(lift(INCH, lifter(thread, travel_per_pump=INCH)))
    assert times_of(record, "seats")[0] - times_of(record, "turns")[0] == to_the_last_digit(turns), source
    assert INCH / climbed(1.0, lead_mm * MM) == to_the_last_digit(turns)
