"""Cribbing: capacities as crews have them printed, species as the design values have them, height and pieces."""

from dataclasses import replace

import pytest

from sim.check import check
from sim.check.cribs import capacity, outside_width, rule_stress, species_stress
from sim.model.devices.crib import Timber
from sim.model.units import INCH, LBF, PSI
from sim.written.keys.devices import timber_side
from tests.builders import MM, crib, lift, lifter, station


@pytest.mark.parametrize(
    ("nominal", "per_layer", "exact", "printed", "rounding"),
    [
        ("4x4", 2, 24_500, 24_000, 1000),  # California State Fire Training, Rescue Systems 1, ch. 30 (2000)
        ("4x4", 3, 55_125, 55_000, 1000),  # the same
        ("6x6", 2, 60_500, 60_000, 1000),  # US&R rule, as quoted in secondary literature
        ("6x6", 3, 136_125, 136_000, 1000),  # the same
    ],
)
def test_crib_capacities_are_those_of_the_rule(nominal, per_layer, exact, printed, rounding):
    """500 psi x actual side^2 x contacts; the printed figures are it, rounded down to the thousand."""
    pounds = capacity(timber_side(nominal), per_layer, rule_stress()) / LBF
    assert pounds == pytest.approx(exact, rel=1e-9)
    assert pounds // rounding * rounding == printed


@pytest.mark.parametrize(
    ("species", "printed"),
    [("Douglas Fir-Larch", 625), ("Southern Pine", 565), ("Hem-Fir", 405), ("Spruce-Pine-Fir", 425)],
)
def test_stresses_across_the_grain_are_those_of_the_design_values(species, printed):
    """And two thirds of it, nearly, when wet."""
    # NDS Supplement 2018, Table 4A, as quoted in secondary literature; wet x 0.67
    assert species_stress(species, wet=False) / PSI == pytest.approx(printed)
    assert species_stress(species.upper().replace("-", " "), wet=True) / PSI == pytest.approx(0.67 * printed)


def test_the_rule_of_thumb_overstates_soft_and_wet_timber():
    """Hem-Fir, Spruce-Pine-Fir, and Douglas Fir when it is wet (419 psi): all below the rule's 500 psi."""
    # computed from the two above
    assert species_stress("Douglas Fir-Larch", wet=True) / PSI == pytest.approx(419, abs=0.5)
    for species, wet in (("Hem-Fir", False), ("SPF", False), ("Douglas Fir-Larch", True)):
        assert species_stress(species, wet) < rule_stress()
    assert species_stress("oak", wet=False) is None


def on_crib(timber: Timber, height=1.0, weight=1000.0, rise=20 * MM):
    """A straight lift beside a crib that stands upright."""
    pile = crib(89 * MM, 38 * MM, 19 * MM, wedge=25 * MM, timber=timber)
    at = station(pile, name="crib", head=(0.0, 1.0, height), base=(0.0, 1.0, 0.0), tie=None)
    scenario = lift(rise, lifter(travel_per_pump=4 * MM), at)
    return replace(scenario, load=replace(scenario.load, weight=weight))


FOUR = Timber(side=3.5 * INCH, per_layer=2, length=0.6, species="Douglas Fir-Larch")


def test_the_lower_of_rule_and_species_counts():
    """Douglas Fir dry is held to the rule, Hem-Fir to its own stress, and a note says so."""
    dry = check(on_crib(FOUR)).cribs["crib: crib"]
    assert dry.capacity / LBF == pytest.approx(24_500)
    assert "US&R" in dry.stress_source
    soft = check(on_crib(replace(FOUR, species="Hem-Fir")))
    assert soft.cribs["crib: crib"].capacity / LBF == pytest.approx(24_500 * 405 / 500)
    assert soft.cribs["crib: crib"].capacity_by_rule / LBF == pytest.approx(24_500)
    assert any("overstate" in f.what.words("si") and f.subject == "crib: crib" for f in soft.of_level("note"))


def test_a_crib_over_its_capacity_is_a_stop():
    """Times the design factor, with the whole side on it."""
    for weight, stopped in ((24_500 / 1.5 * 0.99 * LBF, False), (24_500 / 1.5 * 1.01 * LBF, True)):
        found = [f for f in check(on_crib(FOUR, weight=weight)).of_level("stop") if "capacity" in f.what.words("si")]
        assert bool(found) == stopped


def test_timber_that_is_not_described_reads_not_known():
    """No size, no capacity; no length, no judgement of its height."""
    sheet = check(on_crib(Timber()))
    got = sheet.cribs["crib: crib"]
    assert (got.capacity, got.margin, got.width, got.height_over_width) == (None, None, None, None)
    assert sum("not known" in f.what.words("si") for f in sheet.of_level("caution") if f.subject == "crib: crib") == 2


def test_a_crib_may_be_three_times_as_high_as_it_is_wide():
    """US&R practice; its width is that between the outermost timbers, without the tails."""
    # US&R practice, as quoted in secondary literature
    width = outside_width(FOUR)
    assert width == pytest.approx(0.6 - 2 * 3.5 * INCH)
    for height, stopped in ((3 * width - 0.05, False), (3 * width + 0.01, True)):
        found = [f for f in check(on_crib(FOUR, height=height)).of_level("stop") if "width" in f.what.words("si")]
        assert bool(found) == stopped


def test_a_crib_is_as_high_as_it_gets_by_the_end_of_the_lift():
    """500 mm wide: 1.49 m at the start is under three times that, and 1.51 m after 20 mm of rise is over it."""
    wide = replace(FOUR, length=500 * MM + 2 * 3.5 * INCH)
    sheet = check(on_crib(wide, height=1.49))
    got = sheet.cribs["crib: crib"]
    assert (got.height_start, got.height_end) == pytest.approx((1.49, 1.51))
    assert got.height_over_width == pytest.approx(1.51 / 0.5)
    (high,) = [f for f in sheet.of_level("stop") if "width" in f.what.words("si")]
    assert (high.value, high.limit) == pytest.approx((1.51, 1.5))
    assert "gets 1,510.0 mm high" in high.what.words("si")
    assert not [f for f in check(on_crib(wide, height=1.47)).of_level("stop") if "width" in f.what.words("si")]


@pytest.mark.parametrize("per_layer", [2, 3])
def test_layers_and_timbers_up_to_the_end_of_the_lift(per_layer):
    """1 m: eleven layers of 89 mm and one of 19; 20 mm of rise: one of 19, and wedges for the last millimetre.

    The list is of timbers, so many a layer, as they are carried to it.
    """
    got = check(on_crib(replace(FOUR, per_layer=per_layer))).cribs["crib: crib"]
    assert got.pieces_start == {"89": 11 * per_layer, "19": per_layer}
    assert got.pieces_added == {"19": per_layer}
    assert (got.layers_start, got.layers_end, got.timbers) == (12, 13, 13 * per_layer)
    assert got.wedge == pytest.approx(1 * MM)


def test_nominal_sizes_are_dressed_sizes():
    """4x4 is 3.5 in, 6x6 is 5.5 in, 2x4 is 1.5 x 3.5 in."""
    # PS 20 / NDS Table 1A, as quoted in secondary literature
    assert [timber_side(x) / INCH for x in ("4x4", "6x6", "2x4")] == pytest.approx([3.5, 5.5, 3.5])
