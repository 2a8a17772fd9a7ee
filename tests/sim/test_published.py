"""Published values, each with its source beside it: the printed digits are typed, the tolerance is half the last one.

How far a value was followed up: V read in a copy of the source, V2 in a secondary copy that quotes it, C computed here
or plain mathematics, M from memory.
"""

import math
from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from scipy.special import ndtri

from sim.chance import Crew, lognormal, read_tile
from sim.devices.collar import climbed
from sim.draw import Draw
from sim.lift import tell_fixed
from sim.loads import axial_force, lever_share, lifter_force
from sim.measures import measure
from sim.motion import motion_of
from sim.pump import ram_pressure, stage_travel
from sim.reading import parse
from sim.scenario import Load, Pump
from sim.series import place_series
from tests.builders import MM, collar, crib, lift, lifter, operator, pin, station, times_of
from tests.random_lifts import lifts

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
    assert measure(tell_fixed(scenario))["pumps"]["ram"] * 2 == 200


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
    record = tell_fixed(lift(30 * MM, lifter(collar(), name="ram"), strokes=3))
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
    record = tell_fixed(lift(INCH, lifter(thread, travel_per_pump=INCH)))
    assert times_of(record, "seats")[0] - times_of(record, "turns")[0] == to_the_last_digit(turns), source
    assert INCH / climbed(1.0, lead_mm * MM) == to_the_last_digit(turns)


# --- a raised load is secured at once


def could_still_capture(device, gap):
    """Whether a device of this kind, alone at its place and without slack, could take up something of this gap."""
    if device.kind == "collar":
        return gap > 1e-9
    if device.kind == "crib":
        return gap > max(0.0, min(device.pieces) - device.wedge) + 1e-9
    return gap >= (device.click if device.kind == "strap" else device.spacing) + 1e-9


@drawn
@given(lifts(mishaps=False))
def test_no_lift_ends_with_a_station_that_could_still_capture(scenario):
    """ "cribbed, blocked, or otherwise secured at once": however a lift ends, everything is caught first."""
    # 29 CFR 1910.244(a)(2)(iii) (V); the same words 29 CFR 1926.305(d)(1)(i) (V2)
    record = tell_fixed(scenario)
    for where in scenario.places:
        last = record.events[record.events["station"] == where.name].iloc[-1]
        assert last["caught"]
        assert not last["hands"]
        slack = getattr(where, "slack", 0.0)
        (device, *others) = where.capture
        if (
            others
            or last["open"]
            or (device.kind == "strap" and last["captured_m"] > device.reach_limit - device.click)
        ):
            continue
        stays = slack if device.kind in ("pin", "chain") else 0.0
        assert not could_still_capture(device, last["gap_m"] - stays)


@drawn
@given(lifts(mishaps=False))
def test_no_call_goes_out_over_a_gap_that_could_be_captured(scenario):
    """Under stop-until-caught: no station open, no hands in, and a gap over the limit only where all is caught."""
    # 29 CFR 1910.244(a)(2)(iii) (V)
    scenario = replace(scenario, leader=replace(scenario.leader, rule="stop-until-caught"))
    record = tell_fixed(scenario)
    places = place_series(record.events)
    latest = {}
    for row in record.events.itertuples():
        if row.station:
            latest[row.station] = row
        elif row.what in ("calls", "levels"):
            over = [
                n
                for n, p in places.items()
                if p.gap().just_after(np.array([row.time_s]))[0] > scenario.leader.gap_limit + 1e-8
            ]
            assert not any(place.open or place.hands for place in latest.values())
            assert not over or all(place.caught for place in latest.values())


def test_lift_an_inch_crib_an_inch():
    """An inch a call, pieces an inch high: every call finds the load cribbed, no gap is ever wider than the inch."""
    # FEMA CERT Basic Training, light search and rescue, as quoted in secondary literature (V2)
    scenario = lift(5 * INCH, lifter(travel_per_pump=INCH), station(crib(INCH)))
    found = measure(tell_fixed(scenario))
    assert (found["outcome"], found["calls"], found["over_limit_calls"]) == ("raised", 5, 0)
    assert found["largest_gap"]["gap_m"] / INCH == pytest.approx(1)
    assert found["largest_standing_gap"]["gap_m"] == 0


# --- people


@pytest.mark.parametrize("name", ["trailer", "van"])
def test_the_shipped_crews_are_people(name):
    """Nobody answers a call sooner than a person can hear it and move; pumping at a rate that people keep."""
    # Cattell, Mind 11 (1886): simple reaction to sound 122 and 126 ms (V)
    # hand pumping preferred at 30 to 50 cycles a minute, a field study (V)
    scenario = parse((files("sim.examples") / f"{name}.toml").read_text(encoding="utf-8"), name)
    for ram in scenario.lifters:
        person = ram.operator
        mu, sigma = lognormal(person.react.mean, person.react.sd)
        assert math.exp(mu - 3 * sigma) > 0.126
        assert 30 <= 60 / (person.stroke.mean + person.recover.mean) <= 50
    for device in (d for place in scenario.places for d in place.capture):
        assert device.react.mean > 0.126


# --- mathematics and statistics


def test_what_is_left_by_whole_steps_is_uniform():
    """Of a random first hole, mean s/2 and variance s^2/12: told lifts with the first hole at each of fifty places."""
    # renewal theory (C)
    s, n = 25 * MM, 50
    left = []
    for k in range(n):
        pinned = station(pin(s, first_hole=(k + 0.5) / n * s))
        record = tell_fixed(lift(61 * MM, lifter(travel_per_pump=61.3 * MM), pinned, max_calls=1))
        left.append(record.events["gap_m"].dropna().iloc[-1])
    assert np.mean(left) == pytest.approx(s / 2, abs=s / (2 * n))
    assert np.var(left) == pytest.approx(s**2 / 12 * (1 - 1 / n**2), rel=1e-6)
    assert min(left) >= 0 and max(left) < s


def test_the_mean_residual_of_a_lognormal_step():
    """E[X^2] / (2 E[X]): of steps with mean 10 and cv 0.3, 5.45."""
    # renewal theory (V); the figure computed (C)
    mu, sigma = lognormal(10.0, 3.0)
    assert math.exp(2 * mu + 2 * sigma**2) / (2 * math.exp(mu + sigma**2 / 2)) == to_the_last_digit("5.45")
    crew = Crew(
        seed=1
    )  # and of the steps that a crew draws, a point thrown among 2,000 of them: to four standard errors
    steps = np.array([crew.draw("a", "place", Draw(10.0, 3.0), call) for call in range(2000)])
    ends = np.cumsum(steps)
    thrown = (np.arange(20_000) + 0.5) / 20_000 * ends[-1]
    residual = ends[np.searchsorted(ends, thrown)] - thrown
    assert residual.mean() == pytest.approx(5.45, abs=4 * 5.45 * 0.5 / math.sqrt(2000))


@pytest.mark.parametrize(("sides", "printed"), [(2, 0.56419), (3, 0.84628)])
def test_the_later_of_two_sides_and_of_three(sides, printed):
    """Each nearly normal (cv 0.02): the latest is mean + 0.56419 sd, of three + 0.84628 sd; to four standard errors."""
    # order statistics (C)
    mean, sd = 10.0, 0.2
    mu, sigma = lognormal(mean, sd)
    n = 8192
    each = [np.exp(mu + sigma * ndtri(read_tile(5, 0, f"hand {k}", "swap", 0, 0, n).ravel())) for k in range(sides)]
    latest = (np.max(each, axis=0).mean() - mean) / sd
    assert latest == pytest.approx(printed, abs=4 * 0.83 / math.sqrt(16 * n))


def max_plus(matrix, state):
    """One step of a max-plus system."""
    return tuple(max(a + x for a, x in zip(row, state, strict=True)) for row in matrix)


def test_a_lift_is_a_max_plus_system():
    """Call, first and second station caught: each waits for the latest of what it waits for."""
    # Heidergott, Olsder, van der Woude, Max Plus at Work, ch. 0 (from memory): [[2, 5], [3, 3]], cycle time 4
    state, seen = (0, 0), []
    for _ in range(4):
        state = max_plus(((2, 5), (3, 3)), state)
        seen.append(state)
    assert seen == [(5, 3), (8, 8), (13, 11), (16, 16)]
    assert (seen[3][0] - seen[1][0]) / 2 == 4

    # told: ready 2.0 after the call; a caught 0.25 + 10 / 4 + 0.5 after the stop at 1.5, b 1.0 + 10 / 2 + 0.5
    slow = replace(collar(chases="after", react=1.0, turns=1.0), name="slow")
    scenario = lift(45 * MM, lifter(), station(collar(chases="after"), name="a"), station(slow, name="b"))
    record = tell_fixed(scenario)
    ready, look, a, b = 2.0, 0.25, 4.75, 8.0
    matrix = tuple(tuple(after + x for x in (ready, look, look)) for after in (0.0, a, b))
    state, told = (0.0, a, b), []
    for _ in range(5):
        told.append(state)
        state = max_plus(matrix, state)
    assert (
        list(
            zip(
                times_of(record, "calls"),
                times_of(record, "caught", "a collar"),
                times_of(record, "caught", "b collar"),
                strict=True,
            )
        )
        == told
    )
    assert np.diff(times_of(record, "calls")) == pytest.approx(b + look)  # the cycle time: the slowest circuit
