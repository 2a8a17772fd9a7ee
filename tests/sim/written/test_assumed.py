"""[assumed]: values that nobody measured, each with how low and how high it may be; whatever is wrong is said there."""

import tomllib
from pathlib import Path

import pytest

from sim.examples import NAMES, STARTS, example
from sim.model.errors import ScenarioError
from sim.model.scenario import Range
from sim.model.units import INCH, LBF
from sim.written.reading import parse, variants, with_values
from sim.written.short.short import expand
from tests.sim.written.broken_places import TRAILER
from tests.sim.written.test_short import FEW, NOSE


def marked(*lines, of=TRAILER):
    """A file with these lines under [assumed]."""
    return f"{of}\n[assumed]\n" + "\n".join(lines) + "\n"


def problems(*lines, of=TRAILER):
    """What is wrong with the marks: place -> what and hint."""
    with pytest.raises(ScenarioError) as refused:
        parse(marked(*lines, of=of), "file.toml")
    return {problem.place: f"{problem.what} | {problem.hint}" for problem in refused.value.problems}


def only(*lines, of=TRAILER):
    """The one thing that is wrong, at the mark itself."""
    found = problems(*lines, of=of)
    assert len(found) == 1
    place, said = found.popitem()
    assert place.startswith("assumed.")
    return said


GOOD = {  # a mark, and what reading then finds at its low and at its high
    '"device.threaded.turns" = ["0.4 /s", "0.9 /s"]': (
        lambda s: s.stations[0].capture[0].turns.mean, 0.4, 0.9,
    ),
    '"operator.steady.react" = ["0.4 s", "1 s"]': (lambda s: s.lifters[1].operator.react.mean, 0.4, 1.0),
    '"operator.steady.recover" = ["0.4 s", "700 ms"]': (lambda s: s.lifters[1].operator.recover.mean, 0.4, 0.7),
    '"operator.steady.fill" = [0.9, 0.98]': (lambda s: s.lifters[0].operator.fill.mean, 0.9, 0.98),
    '"load.weight" = ["4800 lb", "2.5 t"]': (lambda s: s.load.weight / LBF, 4800, 2500 / 0.45359237),
    '"load.cg[2]" = ["30 in", "44 in"]': (lambda s: s.load.cg[2] / INCH, 30, 44),
    '"leader.strokes" = [2, 4]': (lambda s: s.leader.strokes, 2, 4),
    '"leader.level_limit" = ["1/4 in", "3/4 in"]': (lambda s: s.leader.level_limit / INCH, 0.25, 0.75),
    '"lifter.left lifter.travel_per_pump" = ["0.14 in", "0.17 in"]': (
        lambda s: s.lifters[0].travel_per_pump / INCH, 0.14, 0.17,
    ),
    '"lifter[1].travel_per_pump" = ["0.14 in", "0.17 in"]': (lambda s: s.lifters[1].travel_per_pump / INCH, 0.14, 0.17),
    '"station.left strut.tie.slack" = ["1/4 in", "1 in"]': (lambda s: s.stations[0].tie.slack / INCH, 0.25, 1.0),
    'station."left strut".tie.slack = ["1/4 in", "1 in"]': (lambda s: s.stations[0].tie.slack / INCH, 0.25, 1.0),
    '"device.cribbing.pieces[1]" = ["1.4 in", "1.6 in"]': (lambda s: s.stations[0].tie.slack / INCH, 0.5, 0.5),
}  # fmt: skip


@pytest.mark.parametrize("mark", GOOD)
def test_a_mark_is_the_path_of_a_value_and_its_ends_are_read_as_if_they_stood_there(mark):
    """Tables, keys, items of a list, tables of a list by name or by number; quoted as one, or as TOML has paths."""
    at, low, high = GOOD[mark]
    scenario = parse(marked(mark), "file.toml")
    (found,) = scenario.ranges
    assert at(scenario) == at(parse(TRAILER, "file.toml"))
    assert at(with_values(scenario, {found.path: found.low})) == pytest.approx(low, rel=1e-12)
    assert at(with_values(scenario, {found.path: found.high})) == pytest.approx(high, rel=1e-12)


def test_a_range_replaces_the_mean_and_the_sd_keeps_its_share_of_it():
    """Turned half as fast again, the spread is half as large again."""
    scenario = parse(
        marked('"device.threaded.turns" = ["0.3 /s", "0.9 /s"]', '"operator.steady.fill" = [0.9, 0.98]'), "f"
    )
    before = scenario.stations[0].capture[0].turns
    turns = with_values(scenario, {"device.threaded.turns": "54 /min"}).stations[0].capture[0].turns
    assert (before.mean, before.sd) == (0.6, 0.12)
    assert (turns.mean, turns.sd) == (pytest.approx(0.9), pytest.approx(0.18))
    fill = with_values(scenario, {"operator.steady.fill": 0.9}).lifters[0].operator.fill
    assert (fill.mean, fill.sd) == (0.9, pytest.approx(0.02 * 0.9 / 0.97))


def test_several_values_change_together_and_everything_else_stays():
    """As if both had been written; read again without any change, the scenario is itself."""
    scenario = parse(marked('"load.weight" = ["4800 lb", "5600 lb"]', '"leader.pace" = ["3 s", "5 s"]'), "f")
    assert with_values(scenario, {}) == scenario
    both = with_values(scenario, {"load.weight": "5600 lb", "leader.pace": "3 s"})
    written = parse(
        scenario.text.replace('weight = "5200 lb"', 'weight = "5600 lb"').replace('pace = "4 s"', 'pace = "3 s"'), "f"
    )
    assert (both.load, both.leader, both.lifters, both.stations) == (
        written.load, written.leader, written.lifters, written.stations,
    )  # fmt: skip


def test_a_mark_is_said_as_it_was_written():
    """Path, value, low and high; and a sentence among what was assumed."""
    scenario = parse(marked('"operator.steady.react" = ["0.4 s", "1 s"]'), "f")
    assert scenario.ranges == (Range("operator.steady.react", "0.4 s", "1 s", "0.6 s"),)
    assert any("operator.steady.react (0.4 s to 1 s)" in str(said) for said in scenario.assumed)
    assert parse(TRAILER, "f").ranges == ()


# --- what is wrong


@pytest.mark.parametrize(
    ("path", "nearest"),
    [
        ("device.threded.turns", "device.threaded.turns"),
        ("device.threaded.turn", "device.threaded.turns"),
        ("station.left strutt.tie.slack", "station.left strut.tie.slack"),
        ("load.cgg[2]", "load.cg[2]"),
        ("operator.steady.reacts", "operator.steady.react"),
    ],
)
def test_a_path_that_leads_nowhere_is_simulated_the_nearest_one(path, nearest):
    """Which of the file's own values was meant."""
    said = only(f'"{path}" = ["1 s", "2 s"]')
    assert "is not a value that is written in this file" in said
    assert f'did you mean "{nearest}"?' in said


def test_one_that_is_near_to_none_is_simulated_what_a_path_looks_like():
    """Not a list of everything there is."""
    said = only('"xyzzy" = ["1 s", "2 s"]')
    assert "such as" in said and len(said) < 300


WRONG = {
    "low above high": ('"operator.steady.react" = ["1 s", "0.4 s"]', '"1 s" is more than "0.4 s"'),
    "low above high in other units": ('"load.weight" = ["2.5 t", "5000 lb"]', '"2.5 t" is more than "5000 lb"'),
    "no range": ('"operator.steady.react" = ["0.6 s", "600 ms"]', "low and high are the same"),
    "another unit": ('"operator.steady.react" = ["0.4 in", "1 in"]', "is a length, and a time is wanted"),
    "no unit": ('"operator.steady.react" = ["0.4", "1 s"]', "has no unit"),
    "bare": ('"operator.steady.react" = [0.4, 1.0]', "0.4 has no unit"),
    "a quantity for a number": ('"operator.steady.fill" = ["0.9 s", "1 s"]', "a number without quotes is wanted"),
    "a truth": ('"operator.steady.fill" = [true, 0.98]', "a number without quotes is wanted"),
    "not a number": ('"operator.steady.fill" = [nan, 0.98]', "is no range of numbers"),
    "the file's own value above it": ('"load.weight" = ["4000 lb", "5000 lb"]', 'has "5200 lb", which is not between'),
    "the file's own value below it": ('"device.threaded.turns" = ["0.7 /s", "0.9 /s"]', 'has "0.6 /s", which is not'),
    "less than what the key allows": ('"device.threaded.turns" = ["0 /s", "0.9 /s"]', '"0 /s" is less than 0.01 /s'),
    "more than what the key allows": ('"need.rise" = ["4 in", "11 m"]', '"11 m" is more than 10 m'),
    "a share above one": ('"operator.steady.fill" = [0.9, 1.2]', "write a number up to 1"),
    "a share that no beta has": ('"operator.steady.fill" = [0.9, 1.0]', "no share from 0 to 1 has the mean 1"),
    "half a stroke": ('"leader.strokes" = [2.5, 4]', "a whole number without quotes is wanted"),
    "a table": ('"device.threaded" = ["1 s", "2 s"]', "is a table"),
    "a list": ('"load.cg" = ["1 in", "2 in"]', "is a list"),
    "a word": ('"leader.rule" = ["keep-pace", "stop-until-caught"]', 'is "stop-until-caught"'),
    "one end": ('"load.weight" = ["4800 lb"]', "has 1 entries"),
    "three ends": ('"load.weight" = ["4800 lb", "5200 lb", "5600 lb"]', "at most 2"),
    "no list": ('"load.weight" = "5600 lb"', "a list in [brackets] is wanted"),
}  # fmt: skip


@pytest.mark.parametrize("wrong", WRONG)
def test_a_wrong_range_is_refused_with_its_place(wrong):
    """Order, units, what the key allows, the value in the file: all judged as the value itself would be."""
    line, said = WRONG[wrong]
    assert said in only(line)


def test_what_only_shows_in_the_geometry_is_found_too():
    """A value that each table would take, and that no lift can be made with."""
    said = only('"station.left strut.base[2]" = ["0 in", "99 in"]')
    assert 'with "99 in"' in said and 'station "left strut" > base' in said and "does not get longer" in said


def test_a_value_is_marked_once():
    """Not as a whole and in part, nor in two spellings."""
    part = problems(
        '"device.threaded.turns" = ["0.5 /s", "0.7 /s"]', '"device.threaded.turns.sd" = ["0.1 /s", "0.2 /s"]'
    )
    assert any("marked too" in said for said in part.values())
    twice = problems('"lifter[0].travel" = ["9 in", "11 in"]', '"lifter.left lifter.travel" = ["9 in", "11 in"]')
    assert any("marked too" in said for said in twice.values())


def test_marks_are_said_together_with_everything_else_that_is_wrong():
    """All at once, each with its place."""
    text = marked('"device.threded.turns" = ["0.4 /s", "0.9 /s"]').replace('pace = "4 s"', 'pace = "4"')
    with pytest.raises(ScenarioError) as refused:
        parse(text, "f")
    assert {problem.place for problem in refused.value.problems} == {"leader.pace", 'assumed."device.threded.turns"'}


# --- variants and the short form


def test_a_variant_keeps_the_marks_and_may_have_marks_of_its_own():
    """A value of a variant counts where that variant is read."""
    text = marked('"device.pinned.swap" = ["6 s", "12 s"]', '"variant.slow.leader.pace" = ["5 s", "9 s"]') + (
        '[[variant]]\nname = "slow"\nleader = {pace = "6 s"}\n'
    )
    scenario = parse(text, "f")
    assert all(each.ranges == scenario.ranges for each in variants(scenario))
    slow = parse(text, "f", "slow")
    assert slow.leader.pace == 6.0
    assert with_values(slow, {"variant.slow.leader.pace": "9 s"}).leader.pace == 9.0
    assert with_values(scenario, {"variant.slow.leader.pace": "9 s"}).leader.pace == scenario.leader.pace


@pytest.mark.parametrize("form", [NOSE, FEW])
def test_a_short_form_marks_its_own_keys_and_those_of_the_full_form_that_it_stands_for(form):
    """Strokes an inch are the short form's; the rate of turning only stands in what it is read as."""
    full = tomllib.loads(expand(form, "f"))
    device = next(iter(full["device"]))
    (key,) = {"turns", "swap"} & set(full["device"][device])
    ends = '["0.1 /s", "2 /s"]' if key == "turns" else '["2 s", "20 s"]'
    scenario = parse(marked('"strokes_per_inch" = [6, 8]', f'"device.{device}.{key}" = {ends}', of=form), "f")
    assert [r.path for r in scenario.ranges] == ["strokes_per_inch", f"device.{device}.{key}"]
    fewer = with_values(scenario, {"strokes_per_inch": 6})
    assert fewer.lifters[0].travel_per_pump == pytest.approx(scenario.lifters[0].travel_per_pump * 7 / 6, rel=1e-5)
    high = scenario.ranges[1].high
    changed = getattr(with_values(scenario, {f"device.{device}.{key}": high}).stations[0].capture[0], key)
    assert changed.mean == float(high.split()[0])
    assert with_values(scenario, {}) == scenario


def test_a_key_of_the_short_form_that_is_not_written_is_to_be_written_first():
    """What a preset says may be marked at its place in the full form."""
    assert "is not a value that is written in this file" in only('"travel" = ["8 in", "12 in"]', of=NOSE)
    assert 'did you mean "strokes_per_inch"?' in only('"strokes_per_inche" = [6, 8]', of=NOSE)
    assert "write a number up to 200" in only('"strokes_per_inch" = [6, 400]', of=NOSE)


def test_written_out_in_full_a_short_form_keeps_its_marks():
    """Those of the full form as they are; those of its own keys as a comment that says so."""
    text = marked('"strokes_per_inch" = [6, 8]', '"leader.pace" = ["3 s", "9 s"]', of=NOSE)
    full = expand(text, "f")
    assert tomllib.loads(full)["assumed"] == {"leader.pace": ["3 s", "9 s"]}
    assert "# strokes_per_inch = [6, 8]" in full
    assert parse(full, "f").ranges == (Range("leader.pace", "3 s", "9 s", parse(full, "f").ranges[0].value),)


def test_the_shipped_ranges_are_marked_as_invented():
    """The van and the files that `new` writes have some; the trailer, which is measured for speed, has none."""
    for name in ("van", *STARTS.values()):
        scenario = parse(example(name), name)
        assert len(scenario.ranges) >= 3, name
        assert "invented" in example(name).partition("[assumed]")[2].splitlines()[0]
    assert "van" in NAMES and parse(example("trailer"), "trailer").ranges == ()


def test_the_readmes_example_is_a_good_one():
    """Put in the place of the marks of the file that `new` writes."""
    readme = (Path(__file__).parents[3] / "README.md").read_text(encoding="utf-8")
    marks = readme.partition("```toml\n[assumed]")[2].partition("```")[0]
    before, _, rest = example("new-us").partition("[assumed]")
    scenario = parse(before + "[assumed]" + marks + rest[rest.index("\n#") :], "new")
    assert [each.path for each in scenario.ranges] == [
        "device.threaded.turns", "load.cg[2]", "station.strut.tie.slack",
    ]  # fmt: skip
