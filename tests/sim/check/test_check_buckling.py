"""What the check says of a strut that may buckle: never met where something is not known, a stop over its capacity."""

import json
import math
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.check import check
from sim.check.findings import Check
from sim.check.struts.columns import metal_stress, stability_factor, tube_area, tube_radius
from sim.model.devices.protocol import on_a_strut
from sim.model.scenario import Load, Need, Strut
from sim.model.units import INCH, PSI
from tests.builders import MM, WEIGHT, collar, crib, lift, lifter, pin, station

RISE = 50 * MM
STEEL = Strut(tube=(40 * MM, 3 * MM), material="steel", yields=235e6)
FIR = Strut(post=(3.5 * INCH, 3.5 * INCH), material="Douglas Fir-Larch No. 1")
OF_STRUTS = {each for each in Check if each.name.startswith(("STRUT_BUCKLES", "STRUT_UNSIZED", "STRUT_MATERIAL",
                                                              "STRUT_YIELD", "POST_"))}  # fmt: skip


def on(strut, *capture, **rest):
    """An upright strut 1 m long beside one lifter; with that lost it carries 1 kN."""
    return lift(RISE, lifter(collar()), station(*(capture or (collar(),)), strut=strut, **rest))


def found(scenario):
    """What is found of its struts' buckling."""
    return [finding for finding in check(scenario).findings if finding.check in OF_STRUTS]


def weakest(force):
    """A steel tube 1 m and the rise long that buckles at just this force [N], all but slender."""
    low, high = 1 * MM, 100 * MM
    for _ in range(200):
        outer = (low + high) / 2
        stress = metal_stress((1 + RISE) / tube_radius(outer, outer / 2), 200e9, 235e6)
        low, high = (outer, high) if stress * tube_area(outer, outer / 2) < force else (low, outer)
    return Strut(tube=(high, high / 2), material="steel", yields=235e6)


@pytest.mark.parametrize(
    ("strut", "finds"),
    [
        (Strut(), Check.STRUT_UNSIZED),
        (replace(STEEL, material=""), Check.STRUT_MATERIAL_UNKNOWN),
        (replace(STEEL, material="unobtainium"), Check.STRUT_MATERIAL_UNLISTED),
        (replace(STEEL, yields=None), Check.STRUT_YIELD_UNKNOWN),
        (replace(FIR, material=""), Check.STRUT_MATERIAL_UNKNOWN),
        (replace(FIR, material="Douglas Fir-Larch"), Check.STRUT_MATERIAL_UNLISTED),
        (replace(FIR, material="steel"), Check.STRUT_MATERIAL_UNLISTED),
        (replace(STEEL, material=FIR.material), Check.STRUT_MATERIAL_UNLISTED),
    ],
)
def test_what_is_not_given_is_not_known(strut, finds):
    """A caution that points to the maker's table, whatever the strut's rating; no figure, no margin."""
    (finding,) = found(on(strut, rated_load=1e6))
    assert (finding.level, finding.check, finding.subject) == ("caution", finds, "strut")
    for units in ("us", "si"):
        assert finding.what.words(units).startswith("buckling not known: maker's table for ")
    sheet = check(on(strut))
    assert sheet.struts["strut"].capacity is sheet.struts["strut"].margin is None
    assert sheet.as_json()["struts"]["strut"]["capacity_N"] is None


def test_a_strut_is_as_long_as_it_gets():
    """Upright and 1 m long it is 1.05 m long at a rise of 50 mm; of a load that turns, as its head has gone."""
    assert check(on(STEEL)).struts["strut"].length == pytest.approx(1.05)
    load = Load(8000.0, "hinged", (1.2, 0.0, 0.8), 0.3)
    leaning = station(collar(), head=(1.5, 0.6, 0.9), base=(1.6, 1.4, 0.0), strut=STEEL)
    scenario = lift(RISE, lifter(collar(), head=(2.0, 0.5, 0.5), base=(2.0, 0.5, 0.0)), leaning, load=load)
    scenario = replace(scenario, need=Need((2.4, 0.0, 0.4), RISE))
    # the needed point is 2.4 m from the pivot, 0.1 m above it: by hand, the angle at which it is up by the need
    radius, start = math.hypot(2.4, 0.1), math.atan2(0.1, 2.4)
    u = math.asin((0.1 + RISE) / radius) - start
    least = math.dist((1.5 * math.cos(u) - 0.6 * math.sin(u), 0.6, 0.3 + 1.5 * math.sin(u) + 0.6 * math.cos(u)),
                      leaning.base)  # fmt: skip
    length = check(scenario).struts["strut"].length
    assert least - 1e-9 <= length <= least + 10 * MM  # the last stroke goes past the need


def test_a_known_strut_gets_its_figures():
    """A steel tube and a timber post, worked out by hand; what they carry is what their station carries."""
    sheet = check(on(STEEL, give=2 * MM))
    tube, load = sheet.struts["strut"], sheet.stations["strut"]
    radius = math.sqrt(40**2 + 34**2) / 4 * MM
    assert tube.slenderness == pytest.approx(1.05 / radius)
    assert tube.rule == "Johnson" and tube.slenderness < math.pi * math.sqrt(2 * 200e9 / 235e6)
    stress = 235e6 * (1 - 235e6 * tube.slenderness**2 / (4 * math.pi**2 * 200e9))
    assert tube.capacity == pytest.approx(stress * math.pi / 4 * (0.040**2 - 0.034**2))
    assert (tube.static, tube.peak) == (load.static_worst, load.peak) and load.peak is not None
    assert tube.margin == pytest.approx(tube.capacity / WEIGHT)
    assert tube.margin_peak == pytest.approx(tube.capacity / load.peak)
    post = check(on(FIR)).struts["strut"]
    assert post.slenderness == pytest.approx(1.05 / (3.5 * INCH))
    bears = 1725 * PSI
    factor = stability_factor(post.slenderness, 620e3 * PSI, bears)
    assert post.capacity == pytest.approx(factor * bears * (3.5 * INCH) ** 2)
    assert post.peak is post.margin_peak is None


def test_within_what_buckles_it_nothing_is_promised():
    """No finding; its figures say by which rule, and that its ends are pinned is an assumption."""
    assert found(on(STEEL, give=2 * MM)) == found(on(FIR)) == []
    assert "Johnson, ends pinned, straight, loaded in its middle: assumed; " in check(on(STEEL)).struts["strut"].source
    assert check(on(FIR)).struts["strut"].rule == "stability factor, dry, load duration 1.0"


def test_over_what_buckles_it_is_a_stop_at_rest_and_at_the_peak():
    """The design factor is 1.5: 1.49 times what it carries at rest is a stop, 1.51 times is none; so at the peak."""
    (finding,) = found(on(weakest(1.49 * WEIGHT)))
    assert (finding.level, finding.check) == ("stop", Check.STRUT_BUCKLES_AT_REST)
    assert finding.value == pytest.approx(1.5 * WEIGHT) and finding.limit == pytest.approx(1.49 * WEIGHT, rel=1e-6)
    assert finding.what.words("si").endswith("1,050.0 mm long, buckles: a thicker or a shorter strut is needed")
    assert "ends pinned, straight, loaded in its middle: assumed" in finding.source
    assert found(on(weakest(1.51 * WEIGHT))) == []
    peak = check(on(STEEL, give=2 * MM)).stations["strut"].peak
    assert peak > 2 * WEIGHT
    (finding,) = found(on(weakest(1.49 * peak), give=2 * MM))
    assert (finding.level, finding.check) == ("stop", Check.STRUT_BUCKLES_AT_PEAK)
    assert finding.value == pytest.approx(1.5 * peak)
    assert found(on(weakest(1.51 * peak), give=2 * MM)) == []


def test_a_post_of_over_fifty_times_its_thickness_is_a_stop():
    """1.05 m over 20 mm is 52.5 times; over 22 mm it is 47.7 times, and buckles at something."""
    # NDS 2018 3.7.1.4: le/d at most 50 (V2)
    thin, thicker = (replace(FIR, post=(side, 90 * MM)) for side in (20 * MM, 22 * MM))
    (finding,) = found(on(thin))
    assert (finding.level, finding.check, finding.limit) == ("stop", Check.POST_TOO_SLENDER, 50.0)
    assert "52.50 times its thickness" in finding.what.words("si")
    assert check(on(thin)).struts["strut"].capacity is None
    assert check(on(thicker)).struts["strut"].capacity > 0


def test_a_crib_is_no_strut():
    """It stands by itself; a pinned strut with cribbing beside it is one."""
    pile = on(Strut(), crib(25 * MM))
    assert not on_a_strut(pile.stations[0].capture) and found(pile) == [] and check(pile).struts == {}
    assert set(check(on(Strut(), pin(25 * MM), crib(10 * MM))).struts) == {"strut"}


def test_what_buckles_is_among_what_goes_first():
    """A tube with the least margin of all is the weakest item."""
    scenario = on(weakest(1.6 * WEIGHT), rated_load=1e6)
    assert check(scenario).estimates.goes_first_now.what == "buckling, at rest"


@given(st.floats(5 * MM, 30 * MM), st.floats(0.05, 1.0), st.sampled_from(["steel", "aluminium"]), st.floats(1e8, 9e8))
def test_capacities_are_rounded_down_and_loads_up(outer, part, material, yields):
    """In either units what is said to buckle it is never more than what does, and what it carries never less."""
    scenario = on(Strut(tube=(outer, part * outer / 2), material=material, yields=yields), give=2 * MM)
    sheet, findings = check(scenario), found(scenario)
    strut = sheet.struts["strut"]
    json.dumps(sheet.as_json(), allow_nan=False)
    assert bool(findings) == (max(strut.static, strut.peak) * 1.5 > strut.capacity)
    for finding in findings:
        least = strut.static if finding.check is Check.STRUT_BUCKLES_AT_REST else strut.peak
        for units, unit, size in (("us", "lb", 4.4482216152605), ("si", "k?N", 1000.0)):
            said = re.findall(rf"([\d.,]+) ({unit})\b", finding.what.words(units))
            carried, most = (float(each.replace(",", "")) * (1.0 if of == "N" else size) for each, of in said)
            assert finding.level == "stop"
            assert carried >= least * (1 - 1e-9) and most <= strut.capacity * (1 + 1e-9)
