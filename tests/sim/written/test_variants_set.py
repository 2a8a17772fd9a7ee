"""A variant that sets values, leaves stations out and has a title; people counted against the places that need one."""

from __future__ import annotations

import pytest

from sim.check import check
from sim.examples import example
from sim.model.errors import ScenarioError
from sim.written.reading import parse, variants, with_values
from sim.written.short.short import expand
from tests.short_forms import NOSE

WAY = """
[[variant]]
name = "way"
title = "Turned half as fast"
set = {"device.threaded.turns" = "0.09 /s", "leader.strokes" = 2}
leave_out = ["right strut"]
"""
FIVE = f"""{NOSE}people = 5
[[variant]]
name = "way"
title = "Fewer people"
set = {{people = 4, "device.threaded collar.turns" = "0.3 /s"}}
leave_out = ["left strut"]
"""


def the_way(text):
    return next(each for each in variants(parse(text, "a.toml")) if each.variant == "way")


def test_a_variant_sets_values_and_leaves_stations_out():
    """The rest stays: the sd keeps its share of the mean, the scenario itself is as it was."""
    text = example("trailer") + WAY
    way, written = the_way(text), parse(text, "a.toml")
    assert way.variant_title == "Turned half as fast" and way.leader.strokes == 2
    assert [x.name for x in way.stations] == ["left strut"]
    turns = way.stations[0].capture[0].turns
    assert (turns.mean, turns.sd) == (0.09, 0.02)
    assert written.leader.strokes == 3 and len(written.stations) == 2


def test_of_a_short_form_it_sets_its_keys_and_those_that_they_stand_for():
    """With a person fewer one hand serves both sides."""
    way = the_way(FIVE)
    assert way.people == 4 and way.stations[0].catchers == ("hand",)
    assert way.stations[0].capture[0].turns.mean == 0.3
    assert "way" in parse(expand(FIVE, "a.toml"), "a.toml").variants


def test_a_value_asked_for_goes_over_what_the_variant_sets():
    """As over any other value."""
    assert with_values(the_way(example("trailer") + WAY), {"leader.strokes": 5}).leader.strokes == 5


def test_what_a_variant_sets_is_not_assumed_in_it():
    """Its range is of the scenario as written."""
    text = example("trailer") + WAY + '\n[assumed]\n"device.threaded.turns" = ["0.1 /s", "0.3 /s"]\n'
    assert len(parse(text, "a.toml").ranges) == 1 and the_way(text).ranges == ()


@pytest.mark.parametrize(
    ("keys", "place", "what"),
    [
        ('set = {"nope" = 3}', 'variant "b" > set.nope', "is not a value"),
        ('set = {"load" = 3}', 'variant "b" > set.load', "is not one value"),
        ('set = {"device.threaded.turns" = "3"}', 'variant "b" > set."device.threaded.turns"', "no unit"),
        ('set = {"leader.strokes" = 0}', 'variant "b"', "leader.strokes: 0 is not allowed"),
        ('leave_out = ["strut"]', 'variant "b" > leave_out[0]', "no station"),
    ],
)
def test_what_is_wrong_with_it_is_said_when_the_file_is_read(keys, place, what):
    """Not only when the variant is simulated."""
    with pytest.raises(ScenarioError) as wrong:
        parse(f'{example("trailer")}\n[[variant]]\nname = "b"\n{keys}\n', "a.toml")
    assert any(p.place == place and what in p.what for p in wrong.value.problems), wrong.value.problems


def test_too_few_people_are_a_stop_and_nobody_counted_is_none():
    """One leads, two pump, four work a device: seven; the file does not say how many there are until it does."""

    def said(people):
        text = example("trailer") + (f"\n[crew]\npeople = {people}\n" if people else "")
        return [f for f in check(parse(text, "a.toml")).findings if f.subject == "people"]

    assert said(0) == [] and said(7) == []
    (found,) = said(6)
    assert (found.level, found.value, found.limit) == ("stop", 6.0, 7.0)
