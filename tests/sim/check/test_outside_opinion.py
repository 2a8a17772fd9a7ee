"""A general-purpose library as an outside opinion: scipy's initial value solver, with events, on what the model solves
in closed form. It knows rates, not formulas: it finds by itself when the gap is closed."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from sim.model.motion import Hinged, Straight
from sim.model.scenario import Load
from sim.story.lift import simulate_fixed
from tests.builders import MM, WEIGHT, lift, lifter, operator, station, times_of
from tests.builders import collar as a_collar

TIGHT = {"rtol": 1e-10, "atol": 1e-13}
HEAD, BASE, RAM = (3.0, 0.9, 0.9), (3.0, 1.7, 0.0), {"head": (3.5, 0.8, 0.6), "base": (3.6, 0.8, 0.0)}


def gap_closed(_, y):
    """The event: the collar has met the load."""
    return y[0]


gap_closed.terminal, gap_closed.direction = True, -1


def chase(gap, rate, climb, begin, end):
    """Gap at the end, and when it was closed (None: not), by the solver."""
    found = solve_ivp(lambda _, y: [rate - climb], (begin, end), [gap], events=gap_closed, **TIGHT)
    met = found.t_events[0]
    return (0.0, float(met[0])) if met.size else (float(found.y[0, -1]), None)


@given(
    react=st.integers(0, 120).map(lambda n: n / 100 + 0.003),
    turns=st.floats(0.5, 8.0),
    stroke=st.floats(0.8, 2.0),
)
@settings(max_examples=25)
def test_when_a_collar_meets_a_hinged_load(react, turns, stroke):
    """Gap at the stop and the time of meeting, on a leaning strut of a hinged lift, against the solver's event."""
    load = Load(WEIGHT, "hinged", (1.8, 0.0, 0.9), pivot_height=0.3)
    ram = lifter(name="ram", operator=operator(stroke=stroke), **RAM)
    strut = station(a_collar(react=react, seat=0.5, turns=turns), head=HEAD, base=BASE, tie=None)
    record = simulate_fixed(lift(4 * MM, ram, strut, load=load, max_calls=1, gap_limit=1.0))

    start, climb = 0.5, turns * 2 * MM
    u = brought_to(10 * MM)
    rate = (math.dist(turned(HEAD, u), BASE) - math.dist(HEAD, BASE)) / stroke
    stop, turns_from = start + stroke, start + react
    gap, met = rate * min(react, stroke), None
    if turns_from < stop:
        gap, met = chase(gap, rate, climb, turns_from, stop)
    gap_at_stop = 0.0 if met is not None and climb >= rate else gap
    rows = record.events[(record.events["station"] == "strut") & (record.events["what"] == "rests")]
    assert rows["gap_m"].iloc[0] == pytest.approx(gap_at_stop, abs=1e-9)
    if met is None:
        _, met = chase(gap, 0.0, climb, max(stop, turns_from), 1e4)
        assert times_of(record, "seats", "strut collar") == pytest.approx([met], abs=1e-6)
    else:
        assert times_of(record, "meets", "strut collar") == pytest.approx([met], abs=1e-6)
        assert times_of(record, "seats", "strut collar") == pytest.approx([stop], abs=1e-6)


def turned(point, u):
    """Where a point of the load is, by the solver: every point moves at right angles to its radius."""
    x, y, z = point
    found = solve_ivp(lambda _, p: [-p[1], p[0]], (0, u), [x, z - 0.3], **TIGHT)
    return found.y[0, -1], y, found.y[1, -1] + 0.3


def brought_to(travel):
    """The angle to which the ram has brought the load: the event is its length."""
    x, y, z = RAM["head"]

    def long_enough(_, p):
        return math.dist((p[0], y, p[1] + 0.3), RAM["base"]) - math.dist(RAM["head"], RAM["base"]) - travel

    long_enough.terminal = True
    found = solve_ivp(lambda _, p: [-p[1], p[0]], (0, 1), [x, z - 0.3], events=long_enough, max_step=0.01, **TIGHT)
    return float(found.t_events[0][0])


@pytest.mark.parametrize("travel", [1 * MM, 40 * MM, 180 * MM])
def test_how_far_a_ram_brings_a_hinged_load(travel):
    """Angle from ram travel: the closed form against the solver's event on the ram's length."""
    motion = Hinged(0.3)
    assert motion.line(RAM["head"], RAM["base"]).u_at(travel) == pytest.approx(brought_to(travel), abs=1e-8)


@pytest.mark.parametrize("u", [0.05, 0.2, 0.5])
def test_where_a_point_has_turned_to(u):
    """Closed form against the solved motion."""
    assert Hinged(0.3).moved(HEAD, u) == pytest.approx(turned(HEAD, u), abs=1e-9)


@pytest.mark.parametrize("motion", [Hinged(0.3), Straight()])
def test_a_line_is_as_long_as_its_arm_makes_it(motion):
    """dL/du is the arm: integrated over the lift, it is the demand."""
    found = solve_ivp(lambda u, _: [motion.arm(HEAD, BASE, float(u))], (0, 0.3), [0.0], **TIGHT)
    assert motion.line(HEAD, BASE).demand(0.3) == pytest.approx(found.y[0, -1], abs=1e-9)


def test_the_simulated_lift_is_the_solved_lift():
    """The worked lift of the design as one system: load, collar and clock, and of the people only their delays."""
    seat, look, react, climb, rate = 0.5, 0.25, 0.25, 4 * MM, 10 * MM
    t, demand, calls = 0.0, 0.0, []
    while True:
        calls.append(t)
        gap, met = chase(rate * react, rate, climb, t + 0.5 + react, t + 1.5)
        demand += rate * 1.0
        assert met is None
        _, met = chase(gap, 0.0, climb, t + 1.5, 1e4)
        caught = met + seat
        if demand >= 15 * MM - 1e-9:
            break
        t = caught + look
    record = simulate_fixed(lift(15 * MM, lifter(a_collar(), name="ram")))
    assert times_of(record, "calls") == pytest.approx(calls, abs=1e-6)
    assert times_of(record, "raised") == pytest.approx([caught], abs=1e-6)
    assert np.isclose(record.events["demand_m"].max(), demand)
