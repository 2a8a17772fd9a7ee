"""How far a load would fall, and fell, read from records that were written by hand."""

import pytest

from sim.examples import example
from sim.model.scenario import Load
from sim.record.drops import drops_of
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.story.lift import simulate
from sim.written.reading import parse
from tests.builders import MM, WEIGHT, by_hand, collar, lift, lifter, station, two_lifters
from tests.sim.record.rows_by_hand import BOTH_SIDES, ONE, PINNED, leader, place, side


def test_a_drop_is_onto_the_best_that_is_not_open():
    """Until the pin is in nothing holds: 20 mm, 20 J of 1 kN. With it in at 12, of 24, only 12 mm."""
    found = measure(by_hand(ONE, PINNED))
    for loss in ("largest_drop_pressure_lost", "largest_drop_lifter_lost"):
        drop = found[loss]
        assert drop["drop_m"] == pytest.approx(20 * MM)
        assert drop["energy_J"] == pytest.approx(WEIGHT * 20 * MM)
        assert (drop["side"], drop["call"], drop["time_s"], drop["onto"]) == ("left", 1, 3, None)


def test_a_pin_that_is_out_holds_nothing_however_high_it_was():
    """12 of 20 mm held; out again from 5 s on: all 20 mm to fall, though what it held is still written down."""
    rows = [
        side(0, 0, "starts", 0),
        place(0, 0, "starts", 0, 0),
        leader(0, 1, "calls"),
        side(2, 1, "recovers", 20),
        place(2, 1, "caught", 20, 12),
        place(5, 1, "swap", 20, 12, caught=False, is_open=True),
        place(9, 1, "caught", 20, 18, before=12),
        leader(9, 1, "raised"),
    ]
    drop = measure(by_hand(ONE, rows))["largest_drop_pressure_lost"]
    assert (drop["drop_m"], drop["time_s"], drop["onto"]) == (pytest.approx(20 * MM), 5, None)


def test_a_lost_lifter_takes_its_own_capture_with_it():
    """The ram's collar holds 9 of 10 mm, the strut 4: 1 mm onto the one, 6 mm onto the other."""
    rows = [
        side(0, 0, "starts", 0),
        place(0, 0, "starts", 0, 0),
        place(0, 0, "starts", 0, 0, name="ram"),
        leader(0, 1, "calls"),
        place(2, 1, "rests", 10, 4),
        place(2, 1, "rests", 10, 9, name="ram"),
        side(2, 1, "recovers", 10),
        leader(3, 1, "raised"),
    ]
    found = measure(by_hand(lift(10 * MM, lifter(collar(), name="ram"), station(collar())), rows))
    pressure, lost = found["largest_drop_pressure_lost"], found["largest_drop_lifter_lost"]
    assert (pressure["drop_m"], pressure["onto"]) == (pytest.approx(1 * MM), "ram")
    assert (lost["drop_m"], lost["onto"]) == (pytest.approx(6 * MM), "strut")
    assert found["settled_rise_m"] == pytest.approx(9 * MM)


def test_a_station_on_both_stops_one_side_about_the_other():
    """Left falls from 10 to 2 x 7 - 6 = 8, right from 6 to 2 x 7 - 10 = 4: 2 mm each; half of 1 kN falls."""
    scenario = lift(8 * MM, *two_lifters(), station(collar(), side="both"))
    lift_of = Measured(by_hand(scenario, BOTH_SIDES))
    ends = [drops_of(lift_of, x, lifter_holds=True) for x in scenario.lifters]
    assert [each.first.stop[-1] / MM for each in ends] == pytest.approx([8, 4])
    drop = measure(by_hand(scenario, BOTH_SIDES))["largest_drop_pressure_lost"]
    assert (drop["drop_m"], drop["energy_J"]) == pytest.approx((2 * MM, 0.5 * WEIGHT * 2 * MM))


def test_a_fall_that_happened():
    """From 10 to 4 mm onto the strut: 6 mm, 6 J."""
    rows = [
        side(0, 0, "starts", 0),
        place(0, 0, "starts", 0, 0),
        leader(0, 1, "calls"),
        side(2, 1, "recovers", 10),
        place(2, 1, "rests", 10, 4),
        side(2, 1, "falls", 10),
        side(2, 1, "fell", 4),
        place(2, 1, "fell", 4, 4),
        leader(2, 1, "pressure-lost", "strut"),
        leader(2, 1, "dropped"),
    ]
    fall = measure(by_hand(ONE, rows, "dropped"))["fall"]
    assert (fall["fell_m"], fall["stopped_at_rise_m"], fall["energy_J"]) == pytest.approx((6 * MM, 4 * MM, 6))
    assert (fall["loss"], fall["side"], fall["call"], fall["caught_by"]) == ("pressure-lost", "left", 1, "strut")


def test_a_drop_on_a_hinged_load_is_measured_at_the_lifters_head_and_the_energy_at_the_cg():
    """Half a metre of head at 3 m is a quarter of CG at 1.5 m, for a small angle: u = 0.01 rad."""
    load = Load(WEIGHT, "hinged", (1.5, 0.0, 0.3), pivot_height=0.3)
    ram = lifter(name="ram", head=(3.0, 0.0, 0.3), base=(3.0, 0.0, 0.0))
    rows = [
        side(0, 0, "starts", 0),
        leader(0, 1, "calls"),
        {**side(2, 1, "recovers", 0), "u": 0.01, "rise_m": 0.03},
        leader(3, 1, "raised"),
    ]
    drop = measure(by_hand(lift(15 * MM, ram, load=load), rows))["largest_drop_pressure_lost"]
    assert drop["drop_m"] == pytest.approx(0.03, rel=1e-4)
    assert drop["energy_J"] == pytest.approx(WEIGHT * 0.015, rel=1e-4)


def test_where_one_place_takes_over_the_next_stop_is_read_at_the_same_instant():
    """A drop that is largest between two events: beside it the drop with that place gone, which is no smaller."""
    scenario = parse(example("trailer"), "trailer")  # in ours, replication 25 of seed 0 has its largest drop there
    for loss in ("largest_drop_pressure_lost", "largest_drop_lifter_lost"):
        drop = measure(simulate(scenario, 0, 25))[loss]
        assert drop["next_drop_m"] >= drop["drop_m"] > 0
        assert drop["next_onto"] != drop["onto"]
