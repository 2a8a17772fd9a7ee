"""What a caught drop does to the pivot, what heads need against the turning load, what a lifter's tie must hold."""

import math
from dataclasses import replace

import numpy as np
import pytest

from sim.check import check
from sim.check.course import course_of
from sim.check.lifters import lifter_load
from sim.check.sideways.at_peak import pivot_at_peak
from sim.check.stations import falls_onto
from sim.model.motion import motion_of
from sim.model.scenario import Pivot, Tie
from tests.builders import MM, collar, station
from tests.sim.check.test_check_sideways import hinged

NEW = ("PIVOT_PUSHED_AT", "PIVOT_OVER_AT", "PIVOT_UNHELD", "LIFTER_HEAD", "STRUT_HEADS", "TIE_")
BACK = {"head": (2.0, 1.0, 0.9), "base": (2.6, 1.0, 0.0)}  # its foot stands ahead: it pushes the load back


def found(scenario):
    """What is found at the peak, at heads and of ties: the check's name and its finding."""
    return {f.check.name: f for f in check(scenario).findings if f.check.name.startswith(NEW)}


def braced(pivot=None, **more):
    """Two upright lifters, and a strut on the left whose foot stands ahead."""
    return hinged(station(collar(), give=2 * MM, **(BACK | more)), pivot=pivot)


def test_the_push_at_the_peak_is_the_struts_and_the_other_lifters():
    """Written apart: forces along their lines, moments about the vertical, parted by half the track."""
    scenario = braced(Pivot(track=1.6))
    course = course_of(scenario)
    left, right = scenario.lifters
    strut = scenario.stations[0]
    falls = falls_onto(course, strut, left)
    motion, most = motion_of(scenario.load), 0.0
    for u, peak in zip(falls.rest, falls.peak, strict=True):
        at, up_to = (np.array(motion.moved(x.head, float(u))) for x in (strut, right))
        line, other = at - np.array(strut.base), up_to - np.array(right.base)
        line, other = line / np.linalg.norm(line), other / np.linalg.norm(other)
        about = np.array([0.0, 0.0, scenario.load.pivot_height])
        weight = scenario.load.weight * motion.moved(scenario.load.cg, float(u))[0] * right.share
        force = weight / -np.cross(up_to - about, other)[1]
        sides = peak * line, force * other
        yaw = sum(np.cross(p - about, f)[2] for p, f in zip((at, up_to), sides, strict=True))
        along = sides[0][0] + sides[1][0]
        most = max(most, abs(along / 2 - yaw / 1.6), abs(along / 2 + yaw / 1.6))
    worst = pivot_at_peak(course)
    assert worst.strut == "strut" and worst.parted and worst.along < 0
    assert abs(worst.along) == pytest.approx(most, rel=1e-9) and most > 1000


@pytest.mark.parametrize(
    ("pivot", "name", "level"),
    [
        (Pivot(), "PIVOT_PUSHED_AT_PEAK", "caution"),
        (Pivot("chocked", 1e6), "PIVOT_PUSHED_AT_PEAK", "caution"),  # the track is not known
        (Pivot("chocked", track=1.6), "PIVOT_PUSHED_AT_PEAK", "caution"),
        (Pivot("chocked", 100.0, track=1.6), "PIVOT_OVER_AT_PEAK", "stop"),
        (Pivot("nothing", 1e6, track=1.6), "PIVOT_UNHELD_AT_PEAK", "stop"),
        (Pivot("chocked-ahead", 1e6, track=1.6), "PIVOT_UNHELD_AT_PEAK", "stop"),
    ],
)
def test_the_peak_is_held_against_what_holds_the_pivot(pivot, name, level):
    """Over it, or on a side without a chock, a stop; not known, a caution."""
    seen = found(braced(pivot))
    assert seen[name].level == level
    assert ("or more" in seen[name].what.words("si")) == (pivot.track is None)
    assert sum(each.startswith("PIVOT") for each in seen) == 1


@pytest.mark.parametrize(
    ("pivot", "known", "lacking"),
    [
        (Pivot(), "what holds the pivot against it", "what holds it"),
        (Pivot("chocked"), "chocked both ways, how much that holds", "`holds`"),
        (Pivot("chocked-behind"), "chocked behind only, how much that holds", "`holds`"),
        (Pivot("brakes"), "brakes alone hold it, how much that holds", "`holds`"),
        (Pivot("chocked", 1e6), "chocked both ways, by the file up to 1,000.00 kN at each", "`track`"),
    ],
)
def test_at_the_peak_too_only_what_the_file_leaves_open_is_not_known(pivot, known, lacking):
    """What holds the pivot is named, and so is the key that is missing."""
    one = found(braced(pivot))["PIVOT_PUSHED_AT_PEAK"]
    assert known in one.what.words("si") and "not known" in one.what.words("si")
    assert one.source == f"statics; {lacking} is not in the file"


def test_nothing_is_found_of_a_pivot_that_is_not_pushed_or_held_with_enough():
    """Chocked on the side it goes to; or a tie to the load, which leaves the pivot the upright lifters' lean alone."""
    for pivot in (Pivot("chocked", 1e6, track=1.6), Pivot("chocked-behind", 1e6, track=1.6)):
        assert not [name for name in found(braced(pivot)) if name.startswith("PIVOT")]
    ground = pivot_at_peak(course_of(braced(tie=Tie("chain"))))
    load = pivot_at_peak(course_of(braced(tie=Tie("chain", to="load"))))
    assert abs(load.along) < abs(ground.along) / 10
    assert pivot_at_peak(course_of(hinged(station(collar(), **BACK)))) is None  # its give is not known


def test_heads_need_what_the_turned_face_asks():
    """A lifter at 60 deg needs 0.58 at its head too; an upright one next to nothing; struts are said together."""
    lean = 0.6 / math.tan(math.radians(60))
    head = found(hinged(left=(0.0, lean), right=(0.0, -lean)))["LIFTER_HEAD_SLIDES"]
    assert head.level == "caution" and head.value == pytest.approx(0.58, abs=0.01) and "CTU Code" in head.source
    assert "LIFTER_HEAD_SLIDES" not in found(hinged())
    struts = found(braced())["STRUT_HEADS_SLIDE"]
    assert struts.level == "caution" and struts.value == pytest.approx(0.6 / 0.9, abs=0.06)


def tied(**tie):
    """The left lifter leans out by 60 deg, tied at its foot."""
    return hinged(left=(0.0, 0.35), tie=Tie("rope", **tie))


def test_a_lifters_tie_is_held_against_its_thrust():
    """Thrust times the design factor over its working load limit; no limit; a tie that pulls the wrong way."""
    scenario = tied(working_load_limit=1e6)
    thrust = lifter_load(course_of(scenario), scenario.lifters[0]).thrust_across
    for limit, name in ((thrust * 1.49, "TIE_OVER_AT_REST"), (thrust * 1.6, ""), (None, "TIE_UNRATED")):
        seen = [each for each in found(tied(working_load_limit=limit)) if each in ("TIE_OVER_AT_REST", "TIE_UNRATED")]
        assert seen == [name] * bool(name)
    over = found(tied(working_load_limit=thrust))["TIE_OVER_AT_REST"]
    assert over.level == "stop" and over.subject == "left lifter tie" and over.value == pytest.approx(thrust * 1.5)
    outward = tied(working_load_limit=1e6, anchor=(2.0, 3.0, 0.0))
    assert found(outward)["TIE_PULLS_WRONG"].level == "stop"


def test_a_lifters_tie_at_the_peak_of_a_drop_onto_its_own_collar():
    """Peak over rest is what its thrust grows by; without a give the peak is not known, and that is said."""
    scenario = tied(working_load_limit=1e6)
    unknown = found(scenario)
    assert unknown["TIE_PEAK_UNKNOWN"].level == "caution"
    gives = replace(scenario, lifters=tuple(replace(x, give=2 * MM) for x in scenario.lifters))
    load = lifter_load(course_of(gives), gives.lifters[0])
    assert load.peak > load.axial_worst and not [name for name in found(gives) if name.startswith("TIE_")]
    limit = 1.55 * load.thrust_across
    weak = replace(gives.lifters[0], tie=Tie("rope", working_load_limit=limit))
    seen = found(replace(gives, lifters=(weak, gives.lifters[1])))
    assert seen["TIE_OVER_AT_PEAK"].level == "stop"
