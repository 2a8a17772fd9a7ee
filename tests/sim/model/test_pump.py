"""Ram travel of a stroke: a figure, or one or two stages of a pump, its relief, and the end of the ram's travel."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.model.pump import ram_pressure, ram_travel, stage_travel, travel_at_pressure
from sim.model.scenario import Pump
from tests.builders import MM, lifter

AREA = 1e-3  # 10 cm^2: 1 kN on it is 1 MPa
TWO = Pump("two-speed", first_stage=10e-6, second_stage=2e-6, shift_pressure=2e6, relief_pressure=60e6)
RELIEVED = Pump("relieved", first_stage=10e-6, second_stage=10e-6, shift_pressure=math.inf, relief_pressure=2e6)


def travel(force, pump=TWO, take_up=0.0, spent=0.0, fill=1.0, most=1.0):
    """Of one stroke [m]."""
    ram = lifter(travel_per_pump=None, pump=pump, ram_area=AREA, travel=most)
    return ram_travel(ram, take_up, force, spent, fill)


def test_a_given_travel_is_taken_as_given_times_the_fill():
    """10 mm, three quarters filled; a float of Python's own, as was asked with."""
    given = ram_travel(lifter(), 0.0, 5e3, 0.0, 0.75)
    assert given == pytest.approx(7.5 * MM) and type(given) is float


def test_a_stage_moves_its_volume_over_the_rams_area():
    """10 and 2 cm^3 on 10 cm^2: 10 and 2 mm."""
    assert travel(1e3) == pytest.approx(10 * MM)
    assert travel(3e3) == pytest.approx(2 * MM)


def test_at_the_shift_pressure_itself_the_second_stage_works():
    """2 kN is 2 MPa."""
    assert travel(2e3) == pytest.approx(2 * MM)
    assert travel(2e3 - 1e-6) == pytest.approx(10 * MM)


def test_a_stroke_that_crosses_the_shift_spends_the_rest_of_its_handle_in_the_second_stage():
    """4 kN come on over 10 mm of take-up: 2 MPa at 5 mm, half the handle; the other half gives 1 mm."""
    assert travel(4e3, take_up=10 * MM) == pytest.approx(6 * MM)
    assert travel(4e3, take_up=10 * MM, fill=0.4) == pytest.approx(4 * MM)  # ends before it gets there
    assert travel(4e3, take_up=10 * MM, spent=2 * MM) == pytest.approx((3 + 0.7 * 2) * MM)
    assert travel(4e3, take_up=10 * MM, spent=5 * MM) == pytest.approx(2 * MM)


def test_a_stroke_stalls_where_the_pressure_would_pass_the_relief():
    """Not at the relief pressure itself; over it not at all; in the take-up where it is reached."""
    assert travel(2e3, RELIEVED) == pytest.approx(10 * MM)
    assert travel(2e3 + 1e-6, RELIEVED) == 0
    assert travel(4e3, RELIEVED, take_up=10 * MM) == pytest.approx(5 * MM)
    assert travel(4e3, RELIEVED, take_up=10 * MM, spent=3 * MM) == pytest.approx(2 * MM)
    assert travel(4e3, RELIEVED, take_up=10 * MM, spent=6 * MM) == 0


@given(
    force=st.floats(0, 1e5), take_up=st.floats(0, 0.02), spent=st.floats(0, 0.1), fill=st.floats(0, 1),
    pump=st.sampled_from([TWO, RELIEVED, None]),
)  # fmt: skip
def test_the_ram_never_passes_its_travel_and_never_goes_back(force, take_up, spent, fill, pump):
    """29 CFR 1910.244(a)(2)(ii): the travel has a positive stop, and the limit is not overrun."""
    given_travel = {"travel_per_pump": 10 * MM} if pump is None else {"travel_per_pump": None}
    ram = lifter(travel=0.1, pump=pump, ram_area=AREA, **given_travel)
    assert 0 <= ram_travel(ram, take_up, force, spent, fill) <= 0.1 - spent + 1e-15


@given(force=st.floats(1, 1e5), take_up=st.floats(0, 0.02), fill=st.floats(0.1, 1), part=st.floats(0, 1))
def test_a_stroke_is_its_two_parts_one_after_the_other(force, take_up, fill, part):
    """What a stroke gives does not depend on how it is cut: the force only depends on where the ram is."""
    whole = stage_travel(TWO, AREA, take_up, force, 0.0, fill)
    first = stage_travel(TWO, AREA, take_up, force, 0.0, fill * part)
    second = stage_travel(TWO, AREA, take_up, force, first, fill * (1 - part))
    assert first + second == pytest.approx(whole, abs=1e-12)


def test_the_pressure_comes_on_in_proportion_while_take_up_is_spent():
    """Of 4 kN over 10 mm: 2 MPa at 5 mm; 5 MPa never; with no take-up at once."""
    assert travel_at_pressure(2e6, AREA, 10 * MM, 4e3) == pytest.approx(5 * MM)
    assert travel_at_pressure(5e6, AREA, 10 * MM, 4e3) == math.inf
    assert travel_at_pressure(2e6, AREA, 0.0, 4e3) == 0


def test_pressure_is_force_over_area():
    """4 kN on 10 cm^2: 4 MPa."""
    assert ram_pressure(4e3, AREA) == pytest.approx(4e6)
    assert ram_pressure(1.0, 3.0) == pytest.approx(1 / 3)


@pytest.mark.parametrize("pump", [TWO, RELIEVED])
@pytest.mark.parametrize("take_up", [0.0, 10 * MM])
def test_floats_and_arrays_agree(pump, take_up):
    """At a thousand strokes, those without a force and at the shift and relief pressures among them, and in silence."""
    force, spent, fill = (
        axis.ravel()
        for axis in np.meshgrid(np.linspace(0, 4e3, 11), np.linspace(0, 30 * MM, 10), np.linspace(0, 1, 10))
    )
    ram = lifter(travel_per_pump=None, pump=pump, ram_area=AREA, travel=25 * MM)
    some = [ram_travel(ram, take_up, float(f), float(s), float(x)) for f, s, x in zip(force, spent, fill, strict=True)]
    with np.errstate(all="raise"):
        assert ram_travel(ram, take_up, force, spent, fill) == pytest.approx(np.array(some), abs=1e-15)


def test_floats_and_arrays_agree_on_a_given_travel():
    """Cut off at the ram's own."""
    spent = np.array([0.0, 0.012, 0.02])
    assert ram_travel(lifter(travel=20 * MM), 0.0, np.ones(3), spent, np.ones(3)) == pytest.approx([10 * MM, 8 * MM, 0])
