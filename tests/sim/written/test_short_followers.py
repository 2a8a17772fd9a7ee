"""The short form with several that follow the load, and with people a place: who stands where, who works what."""

from __future__ import annotations

import pytest

from sim.check import check
from sim.check.findings import Check
from sim.check.people import people_needed
from sim.model.errors import ScenarioError
from sim.model.scenario import Scenario
from sim.model.sentences import words as worded
from sim.model.units import INCH
from sim.story.lift import simulate_fixed
from sim.written.reading import parse, variants
from sim.written.short.hands import CATCHERS
from sim.written.short.short import expand
from tests.short_forms import MACHINE, NOSE

BOTH = 'with = ["threaded strut", "cribbing"]\n'
PAIRS = 'with = ["threaded strut", "pinned strut and cribbing", "threaded strut"]\n'


def lift(more: str, base: str = NOSE) -> Scenario:
    """The scenario that it stands for."""
    return parse(base + more, "a.toml")


def works(scenario: Scenario) -> dict[str, tuple[str, ...]]:
    """Who works what on the left."""
    return {place.name: place.catchers for place in scenario.places if place.side == "left" and place.capture}


def problems(more: str, base: str = NOSE) -> dict[str, str]:
    """What is wrong with it, by key."""
    with pytest.raises(ScenarioError) as wrong:
        lift(more, base)
    return {problem.place: f"{problem.what}; {problem.hint}" for problem in wrong.value.problems}


def test_a_strut_and_a_crib_stand_at_each_side_one_behind_the_other():
    """The crib a foot inwards of the strut, upright under the load, without a tie."""
    scenario = lift(BOTH)
    heads = {station.name: (station.head[0] / INCH, station.tie is not None) for station in scenario.stations}
    assert heads == {
        "left strut": (pytest.approx(119), True), "right strut": (pytest.approx(119), True),
        "left crib": (pytest.approx(107), False), "right crib": (pytest.approx(107), False),
    }  # fmt: skip
    assert simulate_fixed(scenario).outcome == "raised"


def test_one_in_a_list_is_that_one():
    assert expand(NOSE + 'with = ["cribbing"]\n', "a.toml") == expand(NOSE + 'with = "cribbing"\n', "a.toml")
    one = 'hinge_to_struts = ["110 in"]\n'
    assert expand(NOSE + one, "a.toml") == expand(NOSE + 'hinge_to_struts = "110 in"\n', "a.toml")


def test_several_pairs_have_names_of_their_own_and_places_as_written():
    """Where fewer are written than follow, the others stand inwards of the last."""
    scenario = lift(PAIRS + 'hinge_to_struts = ["110 in", "125 in"]\n')
    heads = [
        (station.name, round(station.head[0] / INCH, 6)) for station in scenario.stations if station.side == "left"
    ]
    assert heads == [("left strut", 110), ("left second strut", 125), ("left third strut", 113)]
    said = " ".join(worded(each, "us") for each in scenario.assumed)
    assert "One more strut a lifter" in said and "113 in from the hinge line" in said and "125 in" not in said


def test_straight_up_they_stand_on_both_sides_of_the_lifters():
    """By turns behind and ahead of them: 20 in, 20 in, 32 in."""
    scenario = lift(PAIRS, MACHINE)
    assert [s.head[0] / INCH for s in scenario.stations if s.side == "left"] == pytest.approx([-20, 20, -32])


def test_a_lone_lifter_has_them_too():
    assert [station.name for station in lift(BOTH + "lifters = 1\n").stations] == ["strut", "crib"]


def test_what_is_left_out_is_a_variant():
    """Beside what else the strut could be."""
    found = {variant.variant: [station.name for station in variant.stations] for variant in variants(lift(BOTH))}
    assert found["without the crib"] == ["left strut", "right strut"]
    assert found["without the strut"] == ["left crib", "right crib"]
    assert set(found) == {
        "pinned strut", "pinned strut and cribbing", "without the strut", "without the crib", "no holds"
    }  # fmt: skip
    assert "without the strut" not in {variant.variant for variant in variants(lift(""))}


def test_a_variant_empties_no_place():
    """Were the cribbing beside the pin taken away, the crib would have nothing."""
    names = {x.variant for x in variants(lift('with = ["pinned strut and cribbing", "cribbing"]\n'))}
    assert names == {"without the strut", "without the crib", "no holds"}


@pytest.mark.parametrize(
    ("how", "strut", "second", "crib", "needed"),
    [
        ("one a device", ("left strut",), ("left second strut", "left second strut 2"), ("left crib",), 11),
        ("one a place", ("left hand 1",), ("left hand 2", "left hand 2"), ("left hand 3",), 9),
        ("one a side", ("left hand",), ("left hand", "left hand"), ("left hand",), 5),
        ("one for all", ("hand",), ("hand", "hand"), ("hand",), 4),
    ],
)
def test_who_works_what(how, strut, second, crib, needed):
    """Of a strut, a strut with two devices and a crib on each side."""
    follows = 'with = ["threaded strut", "pinned strut and cribbing", "cribbing"]\n'
    scenario = lift(f'{follows}catchers = "{how}"\n')
    assert works(scenario) == {"left strut": strut, "left second strut": second, "left crib": crib}
    assert people_needed(scenario) == needed
    assert f'catchers = "{how}"' in expand(scenario.text, "a.toml") or how == "one a device"


@pytest.mark.parametrize(("how", "needed"), [("one a place", 7), ("one a side", 5), ("one for all", 4)])
def test_a_variant_with_more_devices_at_a_place_takes_no_more_people(how, needed):
    """A pin and cribbing where the threaded collar was: whoever works the place works both."""
    found = {x.variant: people_needed(x) for x in variants(lift(f'{BOTH}catchers = "{how}"\n'))}
    assert found["pinned strut and cribbing"] == needed


def test_the_collar_of_a_ram_is_a_place_too():
    scenario = lift(BOTH + 'lifter_collars = true\ncatchers = "one a place"\n')
    assert len({name for place in scenario.places for name in place.catchers}) == 6


@pytest.mark.parametrize("how", CATCHERS)
def test_people_are_held_against_who_works_what(how):
    """One fewer than it takes is a stop, as many is none; so few that nobody follows the load is no lift at all."""
    needed = people_needed(lift(f'{BOTH}catchers = "{how}"\n'))
    enough = check(lift(f'{BOTH}catchers = "{how}"\npeople = {needed}\n'))
    assert not [each for each in enough.findings if each.check is Check.PEOPLE_FEW]
    if needed == 4:
        assert "somebody must follow" in problems(f'{BOTH}catchers = "{how}"\npeople = 3\n')["people"]
        return
    few = lift(f'{BOTH}catchers = "{how}"\npeople = {needed - 1}\n')
    (stop,) = [each for each in check(few).findings if each.check is Check.PEOPLE_FEW]
    assert (stop.level, stop.value, stop.limit) == ("stop", needed - 1, needed)
    assert any(f'"{how}" takes 1 more' in worded(each, "us") for each in few.assumed)


def test_without_a_word_people_are_shared_out_as_they_are():
    """Five at a strut and a crib on each side: one a side, who walks the foot between them and no less than a metre."""
    scenario = lift(BOTH + "people = 5\n")
    assert works(scenario) == {"left strut": ("left hand",), "left crib": ("left hand",)}
    assert scenario.walk["left hand"].mean == pytest.approx(1.0 * 0.8)
    assert people_needed(lift(BOTH + "people = 6\n")) == 6


def test_one_for_all_walks_round_the_end_from_the_innermost():
    """60 in across, and twice from the crib at 107 in to 1 m past the point at 150 in, at 0.8 s a metre."""
    scenario = lift(BOTH + 'catchers = "one for all"\n')
    assert scenario.walk["hand"].mean == pytest.approx((60 + 2 * (150 - 107)) * INCH * 0.8 + 2 * 0.8, abs=0.005)


def test_who_has_places_far_apart_walks_as_far():
    """A crib at 60 in and a strut at 140 in: 80 in."""
    scenario = lift(BOTH + 'hinge_to_struts = ["140 in", "60 in"]\ncatchers = "one a side"\n')
    assert scenario.walk["right hand"].mean == pytest.approx(80 * INCH * 0.8, abs=0.005)


def test_what_is_wrong_with_a_list_is_said_at_its_place():
    assert 'did you mean "cribbing"' in problems('with = ["threaded strut", "cribing"]\n')["with"]
    assert "2 lengths for 1 that follows the load" in problems('hinge_to_struts = ["1 m", "2 m"]\n')["hinge_to_struts"]
    assert "has no unit" in problems(BOTH + 'hinge_to_struts = ["100 in", "90"]\n')["hinge_to_struts[1]"]
    assert set(problems("with = []\n")) == {"with"}
    assert set(problems("with = [" + '"cribbing", ' * 7 + "]\n")) == {"with"}
    assert '"one a side" or "one for all"' in problems('catchers = "one a syde"\n')["catchers"]
    assert set(problems(BOTH + 'hinge_to_struts = ["100 in", "0.001 mm"]\n')) == {"hinge_to_struts[1]"}


def test_six_a_side_and_ten_variants_are_a_scenario():
    """The most that may be written."""
    rows = "".join(f'[[variant]]\nname = "v{n}"\nleader = {{strokes = {n + 1}}}\n' for n in range(10))
    follows = ['"threaded strut"', *['"cribbing"'] * 5]
    places = [f'"{20 * n} in"' for n in range(6, 0, -1)]
    text = f"with = [{', '.join(follows)}]\nhinge_to_struts = [{', '.join(places)}]\n{rows}"
    assert len(variants(lift(text))) == 19 and len(lift(text).stations) == 12


def test_a_place_in_the_list_can_be_a_guess():
    """By its number, as in any list."""
    text = BOTH + 'hinge_to_struts = ["119 in", "100 in"]\n[assumed]\n"hinge_to_struts[1]" = ["90 in", "105 in"]\n'
    assert [mark.path for mark in lift(text).ranges] == ["hinge_to_struts[1]"]
