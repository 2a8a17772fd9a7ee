"""What a falling side meets, and what that gives: published impacts on springs, and lifts worked by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.model.meeting import Meeting, compliance, impact, meet
from sim.model.motion import motion_of
from sim.model.scenario import Load, Station, Tie
from tests.builders import MM, collar, lifter, station

WEIGHT = 1000.0
STRAIGHT = Load(WEIGHT, "straight", (0.0, 0.0, 1.0))


def met(
    where: Any, u: float, stop: float, other: float | None = None, load: Load = STRAIGHT, **of_lifter: Any
) -> Meeting:
    """One instant."""
    at = [None if x is None else np.array([x]) for x in (u, stop, other)]
    lost = lifter(**of_lifter)
    return meet(load, motion_of(load), lost, lost.share, where, at[0], at[1], at[2])  # type: ignore[arg-type]


def test_a_weight_that_falls_on_a_spring_by_its_energy() -> None:
    """500 N onto 100 N/mm from 25 mm: it gives 5 mm at rest, 5 (1 + sqrt(11)) = 21.58 mm at most, and 2,158 N."""
    # energy by hand: W (h + x) = k x^2 / 2
    found = met(station(collar(), give=5 * MM, tie=None), 0.030, 0.005, load=Load(500.0, "straight", (0.0, 0.0, 1.0)))
    lowest = 5 * (1 + math.sqrt(11))
    assert found.fall[0] == pytest.approx(25 * MM, rel=1e-12)
    assert found.peak[0] == pytest.approx(500 * (1 + math.sqrt(11)), rel=1e-9)
    assert 500 * (0.025 + lowest * MM) == pytest.approx(100e3 * (lowest * MM) ** 2 / 2, rel=1e-9)
    assert found.drop[0] == pytest.approx(30 * MM, rel=1e-12), "21.58 mm below first contact is below the start"
    assert found.rest[0] == pytest.approx(30 * MM, rel=1e-12)


def test_a_weight_that_falls_on_a_beam_as_published() -> None:
    """784.8 N falls 10 mm on a beam that gives 1.049 mm: n = 5.48, P = 4,301 N."""
    # J. E. Akin, Rice University, Mech 403 note; ERRATA: it prints 0.001049 mm, and m is meant
    load = Load(784.8, "straight", (0.0, 0.0, 1.0))
    found = met(station(collar(), give=1.049 * MM, tie=None), 0.060, 0.050, load=load)
    assert found.peak[0] == pytest.approx(4301, abs=1.5)
    assert found.drop[0] == pytest.approx(10 * MM + 5.48 * 1.049 * MM, abs=0.006 * MM)
    assert found.rest[0] == pytest.approx(10 * MM + 1.049 * MM, rel=1e-9)


@pytest.mark.parametrize(
    ("weight", "height", "stiffness", "printed", "factor"),
    [(5.0, 200.0, 0.090, 215.0, 3.9), (1.0, 12.0, 0.5, 9.21, 4.6)],
)
def test_weights_dropped_on_springs_as_published(
    weight: float, height: float, stiffness: float, printed: float, factor: float
) -> None:
    """5.0 N from 200 mm on 90 N/m: 215 mm, 3.9; 1.0 lb from 12 in on 0.5 lb/in: 9.21 in, 4.6."""
    # Gere, Mechanics of Materials, 7th ed., problems 2.8-4 and 2.8-5
    give = weight / stiffness
    n = float(impact(np.array([height]), np.array([give]))[0])
    assert n == pytest.approx(factor, abs=0.05)
    assert n * give == pytest.approx(printed, abs=0.5 if printed > 100 else 0.005)


def test_in_contact_it_gives_twice_what_it_gives_at_rest() -> None:
    """Caught, and not carrying: h = 0, drop 2 d, peak 2 F."""
    found = met(station(collar(), give=3 * MM, tie=None), 0.040, 0.040)
    assert (found.fall[0], found.drop[0], found.peak[0]) == (0.0, pytest.approx(6 * MM), pytest.approx(2000.0))


def leaning(**of_tie: Any) -> Station:
    """A strut at 45 degrees at first contact: base 1 m out, head 1 m up."""
    return station(collar(), head=(0.0, 1.0, 0.9), base=(0.0, 2.0, 0.0), give=2 * MM, tie=Tie("chain", **of_tie))


def test_a_tie_gives_after_the_strut_along_its_line() -> None:
    """At 45 degrees the strut carries W sqrt(2); the tie of 1.2 m stretches 3 % at 20 kN: k = 555.6 kN/m."""
    found = met(leaning(elongation=0.03, length=1.2, working_load_limit=20e3), 0.100, 0.100)
    force = WEIGHT * math.sqrt(2)
    stiff = 20e3 / (0.03 * 1.2)
    gives = 2 * MM + force * 0.5 / stiff
    assert found.peak[0] == pytest.approx(2 * force, rel=1e-9) and found.known[0]
    length = math.sqrt(2) - 2 * gives
    assert found.drop[0] == pytest.approx(1.0 - math.sqrt(length**2 - 1), rel=1e-9)  # the head goes straight down


def test_a_tie_past_its_limit_at_the_peak_is_no_figure() -> None:
    """2,828 N at the peak, of which the tie has 2,000: over 1,900, so only the strut's own give counts."""
    within = met(leaning(elongation=0.03, length=1.2, working_load_limit=2100.0), 0.100, 0.100)
    over = met(leaning(elongation=0.03, length=1.2, working_load_limit=1900.0), 0.100, 0.100)
    without = met(leaning(), 0.100, 0.100)
    assert within.known[0] and not over.known[0] and not without.known[0]
    assert over.drop[0] == without.drop[0] < within.drop[0]


def test_give_not_known_is_at_least_the_fall() -> None:
    """No peak, and not known."""
    found = met(station(collar(), tie=None), 0.040, 0.030)
    assert found.drop[0] == found.fall[0] == found.rest[0] == pytest.approx(10 * MM)
    assert math.isnan(found.peak[0]) and not found.known[0]


def test_on_both_sides_the_load_turns_about_the_other() -> None:
    """The middle gives 4 mm in contact: the side that was lost comes down 8 mm, and the middle carries its half."""
    found = met(station(collar(), side="both", give=2 * MM, tie=None), 0.050, 0.050, other=0.030, share=0.5)
    assert found.peak[0] == pytest.approx(2 * 500.0)
    assert found.drop[0] == pytest.approx(8 * MM)


def test_the_lifters_own_capture_meets_what_its_pressure_let_go() -> None:
    """With a give of its own on the lifter."""
    own = lifter(collar(), give=1 * MM)
    zero, seven = np.array([0.040]), np.array([0.047])
    found = meet(STRAIGHT, motion_of(STRAIGHT), own, 1.0, own, seven, zero, None)
    assert found.fall[0] == pytest.approx(7 * MM)
    assert found.peak[0] == pytest.approx(1000 * (1 + math.sqrt(15)))


@given(fall=st.floats(0, 0.2), give=st.floats(1e-4, 0.05))
def test_more_give_never_makes_the_peak_worse_and_never_the_drop_smaller(fall: float, give: float) -> None:
    """And energy is kept: h + n d = n^2 d / 2."""
    h, d = np.array([fall]), np.array([give])
    n = impact(h, d)
    assert h + n * d == pytest.approx(n**2 * d / 2, rel=1e-9)
    assert impact(h, 2 * d) <= n and 2 * d * impact(h, 2 * d) >= d * n


def test_compliance_is_elongation_times_length_over_the_limit() -> None:
    """None where one of the three is not known, 0 without a tie."""
    assert compliance(Tie("chain", elongation=0.02, length=2.0, working_load_limit=10e3)) == pytest.approx(4e-6)
    assert compliance(Tie("chain", elongation=0.02, length=2.0)) is None and compliance(None) == 0.0
