"""What is found of a load that wants to move sideways: never a note, and nothing that reads as if it held."""

import math
from dataclasses import replace

import pytest

from sim.check import check
from sim.model.scenario import Load, Need, Pivot, Tie
from sim.model.units import INCH, LBF
from tests.builders import MM, collar, lift, lifter, pin, station, two_lifters

SIDEWAYS = ("PIVOT_", "LIFTER_FOOT", "FOOT_KICKS", "LIFTER_TIED", "LOAD_", "STRUT_PUSHES")


def hinged(*more, left=(0.0, 0.0), right=(0.0, 0.0), pivot=None, **of_left):
    """8 kN that turn, 2 m from pivot to lifters, whose feet stand off their heads by this, ahead and left."""
    feet = {"left": (2.0 + left[0], 0.5 + left[1], 0.0), "right": (2.0 + right[0], -0.5 + right[1], 0.0)}
    at = {side: {"head": (2.0, y, 0.6), "base": feet[side]} for side, y in (("left", 0.5), ("right", -0.5))}
    at["left"] |= of_left
    load = Load(8000.0, "hinged", (1.2, 0.0, 0.8), 0.3)
    scenario = lift(100 * MM, *two_lifters(collar(), **at), *more, load=load, pivot=pivot or Pivot())
    return replace(scenario, need=Need((2.4, 0.0, 0.4), 100 * MM))


def gripped(scenario, friction):
    """The same with this under both lifters' feet."""
    return replace(scenario, lifters=tuple(replace(x, friction=friction) for x in scenario.lifters))


def found(scenario):
    """What is found sideways: the check's name and its finding."""
    return {f.check.name: f for f in check(scenario).findings if f.check.name.startswith(SIDEWAYS)}


AHEAD = {"left": (0.1, 0.0), "right": (0.1, 0.0)}  # both feet ahead: the load is pushed back
HELD = Pivot("chocked", 1e5, (0.3, 0.4), 1.6)


def test_a_pushed_pivot_is_a_caution_and_never_a_note_that_reads_like_a_pass():
    """What holds it is not written: that is said, with the push."""
    one = found(hinged(**AHEAD))["PIVOT_PUSHED"]
    words = one.what.words("si")
    assert one.level == "caution" and "not known" in words and "would hold" not in words and one.value > 500


@pytest.mark.parametrize(
    ("pivot", "known", "lacking", "advised"),
    [
        (Pivot("chocked"), "chocked both ways, how much that holds", "`holds`", False),
        (Pivot("chocked-behind"), "chocked behind only, how much that holds", "`holds`", True),
        (Pivot("brakes"), "brakes alone hold it, how much that holds", "`holds`", True),
        (Pivot("chocked", 1e6), "chocked both ways, by the file up to 1,000.00 kN at each", "`track`", False),
    ],
)
def test_what_the_file_says_of_the_pivot_is_said_and_only_the_rest_is_not_known(pivot, known, lacking, advised):
    """A caution still, its source what would have to be written next; who has chocked both ways is not told to."""
    one = found(hinged(**AHEAD, pivot=pivot))["PIVOT_PUSHED"]
    words = one.what.words("si")
    assert one.level == "caution" and known in words and "not known" in words
    assert one.source == f"statics; {lacking} is not in the file"
    assert ("Chock it both ways" in words) == advised


@pytest.mark.parametrize(
    ("pivot", "name"),
    [
        (Pivot("nothing"), "PIVOT_HELD_BY_NOTHING"),
        (Pivot("chocked-ahead", 1e5), "PIVOT_CHOCKED_WRONG"),
        (Pivot("chocked", 200.0), "PIVOT_OVER"),
        (Pivot("brakes", 1e5, (0.05, 0.06), 1.6), "PIVOT_PUSHED_GRIP"),
    ],
)
def test_what_is_over_what_holds_it_is_a_stop(pivot, name):
    """A wheel that can roll, a chock on the other side, a chock too weak, brakes on ice."""
    assert found(hinged(**AHEAD, pivot=pivot))[name].level == "stop"


def test_held_and_known_leaves_nothing_to_find_and_unknown_friction_stays_a_caution():
    """Chocked both ways with enough; without a track, or friction for what brakes must hold, it is not known."""
    lean = hinged(**AHEAD, pivot=HELD)
    assert found(gripped(lean, (0.3, 0.4))) == {} and set(found(lean)) == {"LIFTER_FOOT_SLIDES"}
    assert found(hinged(**AHEAD, pivot=replace(HELD, track=None)))["PIVOT_PUSHED"].level == "caution"
    grip = found(hinged(**AHEAD, pivot=replace(HELD, held="brakes", friction=None)))["PIVOT_PUSHED_GRIP"]
    assert grip.level == "caution" and "not known" in grip.what.words("si")


def test_the_grip_is_the_sums_where_both_sides_are_alike():
    """Between low and high of the file it is a caution, and the figure is that of the sheet."""
    pivot = replace(HELD, held="brakes", friction=(0.01, 2.0))
    sheet = check(hinged(**AHEAD, pivot=pivot))
    (grip,) = [f for f in sheet.findings if f.check.name == "PIVOT_PUSHED_GRIP"]
    assert (grip.level, grip.value) == ("caution", pytest.approx(sheet.pivot.grip_needed))


def test_a_lifter_at_60_degrees_needs_058_at_its_plate():
    """The cotangent of 60 deg, unless a tie is written; tied to the pivot is a stop."""
    lean = 0.6 / math.tan(math.radians(60))
    leaning = hinged(left=(0.0, lean), right=(0.0, -lean))
    foot = found(leaning)["LIFTER_FOOT_SLIDES"]
    assert (foot.level, foot.value) == ("caution", pytest.approx(0.58, abs=0.005)) and "EN 12812" in foot.source
    tied = found(hinged(left=(0.0, lean), tie=Tie("rope", to="ground")))
    assert "LIFTER_FOOT_SLIDES" not in tied and "LIFTER_TIED_TO_PIVOT" not in tied
    wrong = found(hinged(left=(0.0, lean), tie=Tie("rope", to="pivot")))["LIFTER_TIED_TO_PIVOT"]
    assert (wrong.level, wrong.subject) == ("stop", "left lifter")


@pytest.mark.parametrize(
    ("friction", "level"),
    [((0.6, 0.8), None), ((0.5, 0.6), "caution"), ((0.5, 0.57), "stop"), ((0.0, 0.0), "stop"), (None, "caution")],
)
def test_what_is_under_a_lifters_foot_is_held_against_what_it_needs(friction, level):
    """0.58 at 60 deg: over the high one a stop, between low and high a caution, not known a caution with the bounds."""
    lean = 0.6 / math.tan(math.radians(60))
    feet = found(gripped(hinged(left=(0.0, lean), right=(0.0, -lean)), friction))
    name = "LIFTER_FOOT_SLIDES" if friction is None else "FOOT_KICKS_OUT"
    assert {key: each.level for key, each in feet.items() if "FOOT" in key} == ({name: level} if level else {})
    if level:
        said = feet[name].what.words("si")
        has = "published, steel on concrete: 0.3 to 0.4" if friction is None else f"it has: {friction[0]:g} to"
        assert "0.58" in said and has in said


@pytest.mark.parametrize(("degrees", "asked"), [(84.5, True), (86.0, False)])
def test_a_lifter_that_hardly_leans_asks_nothing_where_its_plate_is_not_known(degrees, asked):
    """As a strut does not: five degrees off plumb need 0.09, and less than 0.1 was never measured of steel on concrete
    (Pallett et al. 2002). What the file says is under it is judged all the same."""
    lean = 0.6 / math.tan(math.radians(degrees))
    leaning = hinged(left=(0.0, lean), right=(0.0, -lean))
    assert ("LIFTER_FOOT_SLIDES" in found(leaning)) == asked
    assert found(gripped(leaning, (0.01, 0.02)))["FOOT_KICKS_OUT"].level == "stop"


def test_a_tied_foot_needs_no_friction():
    """Its tie is held against the thrust instead."""
    tied = hinged(left=(0.3, 0.0), right=(0.3, 0.0), tie=Tie("rope"))
    (foot,) = (f for f in check(gripped(tied, (0.0, 0.0))).findings if f.check.name == "FOOT_KICKS_OUT")
    assert foot.subject == "right lifter"


def test_sides_that_lean_unalike_turn_the_load():
    """As a couple at the heads; mirrored leans, however large, are alike."""
    assert "LOAD_TURNED" not in found(hinged(left=(0.1, 0.2), right=(0.1, -0.2)))
    turned = found(hinged(left=(0.1, 0.0), right=(-0.1, 0.0)))["LOAD_TURNED"]
    assert turned.level == "caution" and turned.value > 100


def test_a_strut_at_its_peak_pushes_the_load_sideways():
    """A heavy mixer: its peak times the cosine of the strut's angle; tied to the load, none of it."""
    strut = station(collar(), head=(2.0, 1.0, 0.9), base=(2.0, 1.9, 0.0), give=2 * MM)
    scenario = hinged(strut)
    peak = check(scenario).stations["strut"].peak
    one = found(scenario)["STRUT_PUSHES"]
    assert one.level == "caution" and one.value == pytest.approx(peak * math.cos(math.pi / 4), rel=0.06)
    assert found(hinged(replace(strut, give=None)))["STRUT_PUSHES_UNKNOWN"].level == "caution"
    assert not {"STRUT_PUSHES", "STRUT_PUSHES_UNKNOWN"} & set(found(hinged(replace(strut, tie=Tie("rod", to="load")))))


@pytest.mark.parametrize("jacks", [1, 2])
def test_a_high_load_on_one_or_two_jacks_can_roll(jacks):
    """12,000 lb, its centre of gravity 60 in up: a stop, until stations stand off the jacks' line all round."""
    load = Load(12000 * LBF, "straight", (0.0, 0.0, 60 * INCH))
    on = two_lifters(collar()) if jacks == 2 else (lifter(collar(), head=(0, 0, 1.0), base=(0, 0, 0.0)),)
    spots = [(0.7, 0.0), (-0.7, 0.5), (-0.7, -0.5)]
    beside = [station(collar(), name=f"{n}", head=(x, y, 1.0), base=(x, y, 0.0)) for n, (x, y) in enumerate(spots)]
    assert found(lift(15 * MM, *on, load=load))["LOAD_ROLLS"].level == "stop"
    assert found(lift(15 * MM, *on, beside[0], load=load))["LOAD_ROLLS"].level == "stop"
    assert found(lift(15 * MM, *on, *beside, load=load))["LOAD_CAN_ROLL"].level == "caution"
    low = replace(load, cg=(0.0, 0.0, 0.9))
    assert not found(lift(15 * MM, *on, load=low))


def test_a_load_rolls_where_stations_beside_it_are_far_behind_when_the_next_call_is_made():
    """Pins 10 mm apart under a limit of 6 mm: 7 mm at the call after the seventh stroke."""
    load = Load(12000 * LBF, "straight", (0.0, 0.0, 60 * INCH))
    on = lifter(collar(), head=(0, 0, 1.0), base=(0, 0, 0.0), travel_per_pump=1 * MM)
    spots = [(0.7, 0.0), (-0.7, 0.5), (-0.7, -0.5)]

    def pinned(spacing):
        beside = [
            station(pin(spacing), name=f"{n}", head=(x, y, 1.0), base=(x, y, 0.0)) for n, (x, y) in enumerate(spots)
        ]
        scenario = lift(9 * MM, on, *beside, load=load)
        return found(replace(scenario, limits=replace(scenario.limits, gap=6 * MM)))

    free = pinned(10 * MM)["LOAD_ROLLS_FREE"]
    assert (free.level, free.value) == ("stop", pytest.approx(7 * MM))
    assert "when call 8 is made" in free.what.words("si") and "7.0 mm behind" in free.what.words("si")
    assert pinned(5 * MM)["LOAD_CAN_ROLL"].level == "caution"


@pytest.mark.parametrize(
    ("tie", "name", "level"),
    [
        (Tie("chain"), "TIE_UNRATED", "caution"),
        (Tie("chain", working_load_limit=10.0), "TIE_OVER_AT_REST", "stop"),
        (Tie("chain", working_load_limit=1e5), "TIE_PEAK_UNKNOWN", "caution"),
        (Tie("chain", working_load_limit=1e5, anchor=(2.0, 3.0, 0.0)), "TIE_PULLS_WRONG", "stop"),
    ],
)
def test_a_lifters_tie_is_held_against_what_its_foot_pushes_with(tie, name, level):
    """Not known, too weak, strong enough at rest (its collar has no give written), and fast on the wrong side."""
    leaning = hinged(left=(0.0, 0.3), right=(0.0, -0.3), tie=tie)
    of_tie = [f for f in check(leaning).findings if f.subject == "left lifter tie"]
    assert [(f.check.name, f.level) for f in of_tie] == ([(name, level)] if name else [])


def test_a_lifters_tie_out_of_line_holds_more_than_the_thrust():
    """By the cosine between the two: 60 degrees off is twice the thrust."""
    at = math.radians(60)
    foot = (2.0, 0.8, 0.0)
    anchor = (foot[0] + math.sin(at), foot[1] - math.cos(at), 0.0)
    straight, off = (
        next(f.value for f in check(hinged(left=(0.0, 0.3), right=(0.0, -0.3), tie=tie)).findings
             if f.check.name == "TIE_UNRATED")
        for tie in (Tie("chain"), Tie("chain", anchor=anchor))
    )  # fmt: skip
    assert off == pytest.approx(2 * straight)
