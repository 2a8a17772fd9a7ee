"""The short form: written out in full it is the same lift, and what is wrong with it is said at its own keys."""

import re
import tomllib
from importlib.resources import files

import pytest

from sim.model.errors import ScenarioError
from sim.model.scenario import Strut
from sim.model.sentences import words as worded
from sim.model.units import INCH, LBF, RATE, TIME, read
from sim.story.lift import simulate, simulate_fixed
from sim.written.reading import parse, variants
from sim.written.short.presets import kinds, the
from sim.written.short.short import expand
from tests.short_forms import MACHINE as FOUR_TONNES
from tests.short_forms import NOSE
from tests.staged import SHORT as DOWN

MACHINE = f"""{FOUR_TONNES}with = "pinned strut and cribbing"
lifter_collars = true
people = 6
"""
SLAB = NOSE.replace("trailer nose", "slab edge") + 'with = "cribbing"\nlifters = 1\npeople = 3\n'
FEW = NOSE + 'people = 4\nwith = "pinned strut"\noperators = "brisk"\n'
ALL = {"nose": NOSE, "machine": MACHINE, "slab": SLAB, "few": FEW, "down": DOWN}


def problems(text):
    """Place -> what, of everything that is wrong."""
    with pytest.raises(ScenarioError) as wrong:
        parse(text, "short.toml")
    return {problem.place: f"{problem.what} | {problem.hint}" for problem in wrong.value.problems}


# --- the same lift


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("seed", [0, 1, 7, 2**40])
def test_short_and_expanded_give_the_same_record(name, seed):
    short, full = parse(ALL[name], "a.toml"), parse(expand(ALL[name], "a.toml"), "a.toml")
    one, other = simulate(short, seed, 0), simulate(full, seed, 0)
    assert one.events.to_csv(index=False) == other.events.to_csv(index=False)
    assert (one.outcome, one.reason) == (other.outcome, other.reason)


@pytest.mark.parametrize("name", ALL)
def test_so_do_their_variants(name):
    short, full = parse(ALL[name], "a.toml"), parse(expand(ALL[name], "a.toml"), "a.toml")
    assert short.variants == full.variants and "no holds" in short.variants
    for one, other in zip(variants(short), variants(full), strict=True):
        assert simulate_fixed(one).events.equals(simulate_fixed(other).events)


def test_a_full_form_is_its_own_expansion():
    full = expand(NOSE, "a.toml")
    assert expand(full, "a.toml") == full


def test_what_a_person_wrote_stands_in_the_expansion_and_the_rest_says_where_it_comes_from():
    full = expand(NOSE, "nose.toml")
    table = tomllib.loads(full)
    assert table["title"] == "nose"
    assert table["load"]["end_weight"] == "2400 lb" and table["load"]["end_at"] == "140 in"
    assert table["need"]["point"] == ["150 in", "0 in", "20 in"]
    assert table["station"][0]["capture"] == ["threaded collar"]
    valued = [line for line in full.splitlines() if re.match(r'[a-z_]+ = ["\[{0-9]', line) and "2400" not in line]
    silent = {line.split(" = ")[0] for line in valued if "#" not in line}
    assert silent <= {"title", "units", "kind", "name", "side", "operator", "catcher", "walk", "replace", "leader"}


def test_strokes_counted_are_strokes_delivered():
    """7 strokes at 0.97 of a full one make one inch (computed here)."""
    lifter = parse(NOSE, "a.toml").lifters[0]
    assert 7 * 0.97 * lifter.travel_per_pump == pytest.approx(INCH, rel=1e-5)


def test_the_short_text_is_kept_so_that_a_stored_run_reads_as_it_was_written():
    assert parse(NOSE, "a.toml").text == NOSE


# --- what is assumed


def test_everything_assumed_is_a_sentence_each():
    said = [worded(each, "us") for each in parse(NOSE, "a.toml").assumed]
    assert all(re.fullmatch(r"[A-Z].*\.", sentence, re.DOTALL) for sentence in said)
    for words in ("12 in above ground", "estimate", "two lifters", "no ram has a collar", "45 deg", "0.25 in a turn"):
        assert any(words.lower() in sentence.lower() for sentence in said), words
    assert any(sentence.startswith("Limits that are not written") for sentence in said)


def test_what_is_written_is_not_said_to_be_assumed():
    less = NOSE + 'hinge_height = "12 in"\nweight_from = "scale"\nlifters = 2\nlifter_collars = true\ngap = "1/2 in"\n'
    said = " ".join(worded(each, "us") for each in parse(less, "a.toml").assumed)
    for words in ("12 in above ground", "estimate", "two lifters", "has a collar", "no call over"):
        assert words not in said, words


# --- people


def catchers(text):
    """Who works what, place by place."""
    return {place.name: place.catchers for place in parse(text, "a.toml").places}


def test_one_hand_a_side_where_there_are_enough():
    assert catchers(NOSE) == {"left strut": ("left hand",), "right strut": ("right hand",)}


def test_one_hand_for_both_sides_walks_round_the_end():
    """60 in across, and twice from the struts at 119 in to 1 m past the point at 150 in: 4.10 m, at 0.8 s a metre."""
    scenario = parse(NOSE + "people = 4\n", "a.toml")
    assert catchers(NOSE + "people = 4\n") == {"left strut": ("hand",), "right strut": ("hand",)}
    assert scenario.walk["hand"].mean == pytest.approx((60 + 2 * (150 - 119)) * INCH * 0.8 + 2 * 0.8, abs=0.005)


def test_three_hands_for_six_devices():
    assert catchers(MACHINE) == {
        "left lifter": ("left hand 2",),
        "right lifter": ("right hand",),
        "left strut": ("left hand 1", "left hand 2"),
        "right strut": ("right hand", "right hand"),
    }


def test_too_few_people_and_too_many():
    assert "one leads, 2 pump, and somebody must" in problems(NOSE + "people = 3\n")["people"]
    assert any(
        "3 of the people have nothing to do" in worded(x, "us") for x in parse(NOSE + "people = 8\n", "a.toml").assumed
    )


def test_variants_have_the_same_people():
    """Whoever follows a strut follows it in every variant that needs one person there."""
    for variant in variants(parse(NOSE, "a.toml")):
        assert {place.catchers[0] for place in variant.places} == {"left hand", "right hand"}


# --- what is wrong


def test_errors_point_at_the_keys_of_the_short_form():
    assert 'did you mean "trailer nose"' in problems(NOSE.replace("trailer nose", "trailer nse"))["like"]
    assert "has no unit" in problems(NOSE.replace("2400 lb", "2400"))["end_weight"]
    assert "cannot rise by" in problems(NOSE.replace("5 in", "148 in"))["rise"]
    assert "known: " not in problems(NOSE + 'risse = "3 in"\n')["risse"]
    assert 'did you mean "rise"' in problems(NOSE + 'risse = "3 in"\n')["risse"]
    assert 'did you mean "with"' in problems(NOSE + 'wth = "pinned strut"\n')["wth"]
    assert "up to 200" in problems(NOSE.replace("= 7", "= 700"))["strokes_per_inch"]
    assert "in one line" in problems(NOSE.replace('"us"', '"si"') + 'apart = "1 mm"\n')["apart"]


def test_a_preset_that_cannot_be_is_said_to_be_one():
    """With a hinge line far above it, the preset's straight strut stops getting longer before the need is reached."""
    assert "is where the head is" in problems(NOSE + 'lifter_height = "0 in"\n')["lifter_height"]
    found = problems(MACHINE.replace('"100 mm"', '"9 m"').replace("[", "") + 'strut_height = "0 in"\n')
    assert set(found) == {"strut_height"}
    silent = problems(NOSE.replace('"150 in"', '"4 in"').replace('"5 in"', '"6 in"'))
    assert set(silent) <= {"rise", "hinge_to_point"}


def test_what_is_wrong_with_the_way_down_is_said_at_its_keys():
    assert "has no unit" in problems(NOSE + 'hold = "10"\n')["hold"]
    assert "true or false" in problems(NOSE + 'down_again = "yes"\n')["down_again"]
    assert "down_again = true" in problems(NOSE + 'step = "1/2 in"\n')["step"]
    assert "no room" in problems(DOWN.replace('"1/2 in"', '"0 in"'))["step"]
    assert "gap_limit" in problems(NOSE + 'gap = "0.01 mm"\ndown_again = true\n')["gap"]
    bare = '[[variant]]\nname = "bare"\nleave_out = ["left strut"]\n'
    assert "hold: nothing can hold the left side" in problems(DOWN + bare)['variant "bare"']


def test_a_lift_that_stays_up_has_no_stages_and_one_that_holds_ends_there():
    assert parse(NOSE, "a.toml").stages == ()
    assert [stage.do for stage in parse(NOSE + 'hold = "1 h"\n', "a.toml").stages] == ["raise", "hold"]
    assert [stage.do for stage in parse(NOSE + "down_again = true\n", "a.toml").stages] == ["raise", "lower"]


def test_what_is_missing_is_said_all_at_once():
    found = problems('rise = "5 in"\nstrokes_per_inch = 7\n')
    assert set(found) == {"like", "end_weight", "hinge_to_lifters", "hinge_to_point"}


def test_one_weight_one_count():
    found = problems(NOSE + 'weight = "5200 lb"\nstrokes_per_25_mm = 7\n')
    assert "beside weight" in found["end_weight"] and "beside strokes_per_25_mm" in found["strokes_per_inch"]


def test_the_weight_of_an_end_means_nothing_straight_up():
    assert "far end stays down" in problems(NOSE + 'far_end = "goes up too"\n')["end_weight"]


def test_tables_of_the_full_form_are_simulated_from_typing_errors():
    assert "--expand" in problems(NOSE + "[[mishap]]\n")["mishap"]


# --- other keys


def test_the_lone_lifter_stands_on_the_centreline():
    slab = parse(SLAB, "a.toml")
    assert [x.head[1] for x in slab.lifters] == [0] and slab.lifters[0].share == 1
    assert slab.stations[0].base[:2] == slab.stations[0].head[:2]
    assert slab.leader.level_limit is None


def test_the_whole_weight_lies_where_the_preset_says():
    nose = parse(NOSE.replace("end_weight", "weight"), "a.toml")
    assert nose.load.weight == pytest.approx(2400 * LBF)
    assert nose.load.cg == pytest.approx((0.47 * 150 * INCH, 0, 38 * INCH))


# --- the presets (check-values.md part 9)

FASTEST_TURNING = 30.0  # a minute: cranking under load, 25 to 30 at most (design handbook)
PUMPING = (30.0, 50.0)  # a minute preferred (field study)
LONG_WORK = 20.0  # a minute at most: lever pumps for long work (design handbook)
SOUND, LIGHT = 0.122, 0.231  # s: simple reactions (Cattell 1886; Woods et al. 2015)
WALKING = (1.07, 1.6)  # m/s: MUTCD; ISO 13855


def mean(value, dimension):
    """The mean of a preset's quantity."""
    return read(value["mean"] if isinstance(value, dict) else value, dimension)


@pytest.mark.parametrize("device", kinds("device").values(), ids=lambda preset: preset.name)
def test_devices_lie_within_the_published_bounds(device):
    if device.outside:
        return
    assert mean(device.values["react"], TIME) >= LIGHT
    if "turns" in device.values:
        assert mean(device.values["turns"], RATE) * 60 <= FASTEST_TURNING


@pytest.mark.parametrize("operator", kinds("operator").values(), ids=lambda preset: preset.name)
def test_operators_lie_within_the_published_bounds(operator):
    if operator.outside:
        return
    rate = 60 / (mean(operator.values["stroke"], TIME) + mean(operator.values["recover"], TIME))
    assert PUMPING[0] <= rate <= PUMPING[1] or (operator.name == "long work" and rate <= LONG_WORK + 1e-9)
    assert f"{rate:.0f} a minute" in operator.source["stroke"]
    assert mean(operator.values["react"], TIME) >= SOUND


def test_catchers_walk_as_people_do():
    assert WALKING[0] <= 1 / read(the("catcher").values["metre"], TIME) <= WALKING[1]


def test_every_value_has_its_source():
    everything = [preset for kind in ("load", "device", "operator") for preset in kinds(kind).values()]
    everything += [the(kind) for kind in ("lifter", "strut", "leader", "catcher")]
    for preset in everything:
        assert set(preset.values) - {"kind"} == set(preset.source), preset.name
        assert all(preset.source.values())


def test_presets_are_one_file_and_none_of_the_words_that_mean_a_product():
    text = (files("sim.written.short") / "presets.toml").read_text(encoding="utf-8")
    assert not re.search(r"®|™|\b(model|brand) ", text)


@pytest.mark.parametrize("units", ["us", "si"])
@pytest.mark.parametrize("follower", kinds("follower"))
@pytest.mark.parametrize("like", kinds("load"))
def test_every_load_with_everything_that_may_follow_it_is_raised(like, follower, units):
    offered = kinds("load")[like].suggest[units]
    weight, key = re.sub(r" (at the end|whole)$", "", offered["weight"]), "weight"
    if offered["weight"].endswith("end"):
        key = "end_weight"
    text = f'units = "{units}"\nlike = "{like}"\nwith = "{follower}"\n{key} = "{weight}"\nstrokes_per_inch = 7\n'
    text += "".join(f'{key} = "{offered[key]}"\n' for key in ("hinge_to_lifters", "hinge_to_point", "rise", "apart"))
    assert simulate_fixed(parse(text, "a.toml")).outcome == "raised"


def test_how_the_pivot_is_held_goes_into_the_full_form():
    """As written; not written, not known, and what is assumed says so; a load that goes straight up has no pivot."""
    held = parse(NOSE + 'pivot_held = "chocked-ahead"\n', "a.toml")
    assert held.pivot.held == "chocked-ahead" and not [x for x in held.assumed if "far end from moving" in str(x)]
    silent = parse(NOSE, "a.toml")
    assert silent.pivot.held is None and [
        x for x in silent.assumed if "far end from moving along is not known" in str(x)
    ]
    assert "pivot_held" in problems(NOSE + 'pivot_held = "rope"\n')
    assert "stays down" in problems(MACHINE + 'pivot_held = "brakes"\n')["pivot_held"]


def test_what_the_struts_are_made_of_goes_into_the_full_form():
    """On each strut, as it was written; what does not go together is said at the keys of the short form."""
    made = '\ntube = ["3 in", "0.25 in"]\nmaterial = "steel"\nyield = "36 ksi"\n'
    scenario = parse(NOSE + made, "nose")
    assert len(scenario.stations) == 2
    for station in scenario.stations:
        assert station.strut.tube == pytest.approx((3 * INCH, 0.25 * INCH)) and station.strut.material == "steel"
    assert expand(NOSE + made, "nose").count('tube = ["3 in", "0.25 in"]') == 2
    assert {x.strut for x in parse(NOSE, "nose").stations} == {Strut()}
    for lines, place in (('post = "4x4"\nyield = "36 ksi"', "yield"), ('material = "steel"', "material"),
                         ('tube = ["3 in", "2 in"]', "tube")):  # fmt: skip
        with pytest.raises(ScenarioError) as refused:
            parse(f"{NOSE}\n{lines}\n", "nose")
        assert {problem.place for problem in refused.value.problems} == {place}
