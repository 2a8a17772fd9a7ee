"""From a file to the model's data: what is read, resolved, mirrored, replaced and assumed."""

import math
import re
from pathlib import Path

import pytest

from sim.examples import NAMES, STARTS, example
from sim.model.draw import Draw
from sim.model.sentences import words
from sim.model.units import INCH, LBF
from sim.story.lift import simulate
from sim.written.reading import parse, read, variants

TRAILER = Path(__file__).with_name("design_trailer.toml").read_text(encoding="utf-8")
SHIPPED = (*NAMES, *STARTS.values())
ONE_LIFTER = """
[load]
weight = "10 kN"
motion = "straight"
cg = ["0 m", "0 m", "1 m"]
[need]
point = ["0 m", "0 m", "0.2 m"]
rise = "50 mm"
[leader]
gap_limit = "5 mm"
[operator.steady]
stroke = "1 s"
[[lifter]]
name = "jack"
side = "left"
head = ["0 m", "0 m", "0.2 m"]
base = ["0 m", "0 m", "0 m"]
travel = "100 mm"
travel_per_pump = "5 mm"
operator = "steady"
"""
TWO_ON_A_LINE = ONE_LIFTER.replace('side = "left"\nhead = ["0 m", "0 m", "0.2 m"]\nbase = ["0 m", "0 m", "0 m"]', "{}")


def with_pairs(text, *pairs):
    """The text with each first thing replaced by the second; each must be there."""
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return text


def places_of(scenario):
    """Every lifter and station by its name."""
    return {place.name: place for place in (*scenario.lifters, *scenario.stations)}


def test_the_trailer_is_read_as_design_md_writes_it():
    """5 in of rise, 5200 lb, two lifters, two threaded struts, three variants; SI inside."""
    trailer = parse(TRAILER, "trailer.toml")
    assert trailer.title == "Trailer nose off a kerb block"
    assert trailer.units == "us"
    assert trailer.need.rise == pytest.approx(5 * INCH)
    assert trailer.load.weight == pytest.approx(5200 * LBF)
    assert trailer.load.cg == pytest.approx((70 * INCH, 0, 38 * INCH))
    assert [x.name for x in trailer.lifters] == ["left lifter", "right lifter"]
    assert [x.name for x in trailer.stations] == ["left strut", "right strut"]
    assert trailer.lifters[0].operator.stroke == Draw(1.2, 0.2)
    assert trailer.lifters[0].operator.recover == Draw(0.5)
    assert trailer.stations[0].capture[0].rise_per_turn == pytest.approx(0.25 * INCH)
    assert trailer.stations[0].slack == pytest.approx(0.5 * INCH)
    assert trailer.limits.strut_angle == pytest.approx((math.radians(40), math.radians(60)))
    assert trailer.variants == ("pinned", "pinned with cribbing", "no holds")
    assert ["its reach not given" in str(sentence) for sentence in trailer.assumed] == [True, True], (
        "all but where its threads end it says itself"
    )


def test_the_vans_centre_of_gravity_follows_from_its_public_figures():
    """1,730 kg, 0.649 m high (NHTSA, minivan class); 53.4 % on the front axle of a 2.472 m wheelbase."""
    # both as quoted in secondary literature
    van = parse(example("van"), "van.toml")
    assert van.load.cg[0] == pytest.approx((1 - 0.534) * 2.472, abs=0.0005)
    assert van.load.cg[2] == pytest.approx(0.649)
    assert van.load.weight == pytest.approx(1730 * 9.80665)
    assert van.units == "si"


@pytest.mark.parametrize("name", SHIPPED)
def test_every_shipped_scenario_has_the_three_variants(name):
    """Pinned, pinned with cribbing, and no holds: what the training officer puts side by side."""
    scenario = parse(example(name), name)
    pinned, cribbed, unheld = variants(scenario)
    assert {device.kind for place in scenario.stations for device in place.capture} == {"collar"}
    assert [device.kind for device in pinned.stations[0].capture] == ["pin"]
    assert [device.kind for device in cribbed.stations[0].capture] == ["pin", "crib"]
    assert cribbed.stations[0].catchers == ("left strut", "left strut 2")
    assert (scenario.leader.rule, unheld.leader.rule) == ("stop-until-caught", "keep-pace")
    assert unheld.leader.gap_limit == scenario.leader.gap_limit, "the keys that are not replaced stay"
    assert unheld.stations == scenario.stations


@pytest.mark.parametrize("name", SHIPPED)
def test_reading_from_a_file_and_from_its_text_is_the_same(tmp_path, name):
    """Also with a byte order mark and Windows line ends, which editors add."""
    text = example(name)
    path = tmp_path / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    assert read(path) == parse(text, f"{name}.toml")
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert read(path).stations == parse(text, name).stations


def test_a_scenario_without_a_title_is_called_after_its_file(tmp_path):
    """And its variants too."""
    path = tmp_path / "kerb.toml"
    path.write_text(re.sub("title = .*", "", TRAILER))
    scenario = read(path)
    assert scenario.title == "kerb"
    assert {each.title for each in variants(scenario)} == {"kerb"}


def test_what_is_not_written_is_assumed_and_said():
    """A bare lift: every default that could matter is a sentence in `assumed`."""
    scenario = parse(ONE_LIFTER, "bare")
    assert scenario.units == "si"
    assert scenario.lifters[0].operator.react == Draw(0.0)
    assert scenario.lifters[0].share == 1.0
    assert scenario.leader.strokes == 1
    said = " ".join(words(each, scenario.units) for each in scenario.assumed)
    for word in ("take-up", "react and recover", "fill", "1 stroke a call", "gap 25.4 mm", "40 to 60 deg"):
        assert word in said
    assert "hinge line" not in said, "a straight lift has none"


@pytest.mark.parametrize(
    ("cg", "left"), [("0 in", 0.5), ("10 in", 40 / 60), ("-30 in", 0.0), ("30 in", 1.0), ("45 in", 1.25)]
)
def test_hinged_the_sides_share_by_the_lever_rule_on_y(cg, left):
    """Heads 30 in left and right: a centre of gravity 10 in to the left puts 40/60 on the left one."""
    text = with_pairs(TRAILER, ('cg = ["70 in", "0 in"', f'cg = ["70 in", "{cg}"'))
    lifters = parse(text, "x").lifters
    assert [x.share for x in lifters] == pytest.approx([left, 1 - left])


def test_straight_the_sides_share_along_the_line_between_the_heads():
    """Heads 3 m apart along x, 1,800 kg 1.05 m from the first: the first carries (3 - 1.05) / 3."""
    heads = '{}\nbase = ["{} m", "0 m", "0 m"]\nhead = ["{} m", "0 m", "0.2 m"]'
    one = TWO_ON_A_LINE.format(heads.format('side = "left"', 0, 0))
    lifter = TWO_ON_A_LINE[TWO_ON_A_LINE.index("[[lifter]]") :].replace("jack", "other")
    both = one + lifter.format(heads.format('side = "right"', 3, 3))
    both = with_pairs(both, ('cg = ["0 m"', 'cg = ["1.05 m"'))
    assert [x.share for x in parse(both, "x").lifters] == pytest.approx([1.95 / 3, 1.05 / 3])


def test_a_written_share_goes_before_the_lever_rule():
    """One of two written: the other has the rest."""
    text = TRAILER.replace('side = "left"\nhead = ["140 in"', 'side = "left"\nshare = 0.6\nhead = ["140 in"')
    assert [x.share for x in parse(text, "x").lifters] == pytest.approx([0.6, 0.4])


def test_one_table_for_both_sides_gives_the_record_of_two():
    """The trailer's two lifters and two struts, each pair written once: the same events, byte for byte."""
    once, places = TRAILER, re.findall(r"\[\[(?:lifter|station)\]\]\n(?:.+\n)+", TRAILER)
    assert len(places) == 4
    for left, right in (places[:2], places[2:]):
        once = once.replace(right, "").replace(left, left.replace('side = "left"', 'sides = ["left", "right"]'))
    once = once.replace('"left lifter"', '"lifter"').replace('"left strut"', '"strut"')
    for seed in (0, 1, 99):
        mirrored, written = simulate(parse(once, "x"), seed, 0), simulate(parse(TRAILER, "x"), seed, 0)
        assert mirrored.events.to_csv(index=False) == written.events.to_csv(index=False)


def test_sides_mirrors_a_place_in_the_centreline():
    """One table for both: names by side, y of head, base and anchor negated on the right."""
    tie = '[station.tie]\nkind = "rod"\nanchor = ["3 m", "-0.5 m", "0.1 m"]'
    text = example("new-si")
    text = text[: text.index("\n[station.tie]") + 1] + tie
    places = places_of(parse(text, "x"))
    left, right = places["left strut"], places["right strut"]
    assert (left.side, right.side) == ("left", "right")
    assert (left.head, left.base) == ((3, 0.9, 0.9), (3, 1.8, 0))
    assert (right.head, right.base) == ((3, -0.9, 0.9), (3, -1.8, 0))
    assert (left.tie.anchor, right.tie.anchor) == ((3, -0.5, 0.1), (3, 0.5, 0.1))
    assert (left.catchers, right.catchers) == (("left strut",), ("right strut",))


@pytest.mark.parametrize(("foot", "off"), [("ahead", (1, 0)), ("behind", (-1, 0)), ("out", (0, 1)), ("in", (0, -1))])
def test_an_angle_and_a_foot_stand_for_a_base_on_the_ground(foot, off):
    """24 in up at 60 deg, the foot is 24 / tan 60 away, ahead, behind, out or in; mirrored on the right."""
    row = 'base = ["145 in", "30 in", "0 in"]'
    text = with_pairs(TRAILER, (row, f'angle = "60 deg"\nfoot = "{foot}"'))
    text = with_pairs(text, ('base = ["145 in", "-30 in", "0 in"]', f'angle = "60 deg"\nfoot = "{foot}"'))
    left, right = parse(text, "x").lifters
    far = 24 / math.sqrt(3)
    assert left.base == pytest.approx(((140 + off[0] * far) * INCH, (30 + off[1] * far) * INCH, 0))
    assert right.base == pytest.approx(((140 + off[0] * far) * INCH, (-30 - off[1] * far) * INCH, 0))
    assert math.dist(left.base, left.head) == pytest.approx(24 * INCH / math.sin(math.radians(60)))


def test_a_scale_under_the_end_gives_the_moment():
    """2430 lb at 150 in and 5200 lb in all put the centre of gravity at 2430 x 150 / 5200 = 70.1 in."""
    scale = 'end_weight = "2430 lb"\nend_at = "150 in"'
    text = re.sub(r"cg = \[.*", scale, TRAILER)
    load = parse(text, "x").load
    assert load.cg == pytest.approx((2430 * 150 / 5200 * INCH, 0, 12 * INCH))
    assert load.weight_known
    alone = parse(text.replace('weight = "5200 lb"\n', "", 1), "x")
    assert alone.load.weight * alone.load.cg[0] == pytest.approx(load.weight * load.cg[0])
    assert not alone.load.weight_known
    assert any("not known" in words(sentence, "us") for sentence in alone.assumed)


def test_one_name_at_two_stations_is_one_person():
    """And one person works every device of a station whose catcher is named."""
    text = with_pairs(TRAILER, ('capture = ["threaded"]', 'capture = ["threaded"]\ncatcher = "rear hand"'))
    scenario = parse(text, "x", "pinned with cribbing")
    assert [place.catchers for place in scenario.stations] == [("rear hand", "rear hand")] * 2
    assert any("rear hand" in words(sentence, "us") and "0 s" in words(sentence, "us") for sentence in scenario.assumed)
    walking = parse(text + '\n[catcher."rear hand"]\nwalk = {mean = "3 s", sd = "1 s"}\n', "x")
    assert walking.walk == {"rear hand": Draw(3.0, 1.0)}
    assert not any("rear hand" in words(sentence, "us") for sentence in walking.assumed)


def test_a_pump_of_one_stage_never_shifts():
    """Without a second stage and a relief valve both are out of reach."""
    pump = '[pump.small]\nfirst_stage = "1 in^3"\n'
    text = pump + ONE_LIFTER.replace('travel_per_pump = "5 mm"', 'pump = "small"\nram_area = "2.5 in^2"')
    pump = parse(text, "x").lifters[0].pump
    assert pump.first_stage == pump.second_stage == pytest.approx(INCH**3)
    assert pump.shift_pressure == pump.relief_pressure == math.inf


def test_a_tie_is_worth_its_weakest_part():
    """49 CFR 393.108(a): the tensioner counts, and the anchor."""
    text = with_pairs(TRAILER, ('limit = "4700 lb"}', 'limit = "4700 lb", tensioner_limit = "3000 lb"}'))
    tie = parse(text, "x").stations[0].tie
    assert tie.working_load_limit == pytest.approx(3000 * LBF)
    assert "tensioner" in tie.limit_source


def test_a_layer_that_is_not_written_is_placed_at_once_and_said():
    """Two timbers where `per_layer` says so, each with a `place` of its own."""
    written = parse(example("new-us"), "x", "pinned with cribbing")
    crib = written.stations[0].capture[1]
    assert (crib.layer, crib.timber.per_layer) == (2, 2)
    assert not any("per_layer" in words(sentence, "us") for sentence in written.assumed)
    unwritten = parse(example("trailer"), "x", "pinned with cribbing")
    crib = unwritten.stations[0].capture[1]
    assert (crib.layer, crib.timber.per_layer) == (1, 2)
    assert any("per_layer not given" in words(sentence, "us") for sentence in unwritten.assumed)


@pytest.mark.parametrize(("nominal", "actual"), [("2x4", 3.5), ("4x4", 3.5), ("6x6", 5.5), ("3.5 in", 3.5)])
def test_nominal_timber_is_dressed(nominal, actual):
    """PS 20 / NDS Table 1A: a 4x4 is 3.5 in, a 6x6 5.5 in wide; of a 2x4 the wide face."""
    text = with_pairs(example("new-us"), ('timber = "4x4"', f'timber = "{nominal}"'))
    crib = parse(text, "x", "pinned with cribbing").stations[0].capture[1]
    assert crib.timber.side == pytest.approx(actual * INCH)


def test_ground_of_a_class_bears_what_the_building_code_presumes():
    """IBC 2012 Table 1806.2: gravel 3,000 psf; fill has no value."""
    assert parse(ONE_LIFTER + '[ground]\nsoil = "gravel"', "x").ground.bearing == pytest.approx(3000 * 47.88026)
    fill = parse(ONE_LIFTER + '[ground]\nsoil = "fill"', "x").ground
    assert (fill.soil, fill.bearing) == ("fill", None)


def test_mishaps_and_a_reset_are_read():
    """Every kind with the keys that are its own."""
    text = (
        TRAILER
        + """
[reset]
time = "90 s"
reseat = "0.25 in"
[[mishap]]
kind = "slow"
who = "left strut"
call = 3
factor = 2
[[mishap]]
kind = "lifter-lost"
who = "right lifter"
call = 5
after = "1 s"
[[mishap]]
kind = "stop"
call = 6
time = "20 s"
[[mishap]]
kind = "false-caught"
who = "left strut 2"
call = 7
"""
    )
    scenario = parse(text, "x")
    assert scenario.reset.time == 90
    assert [(x.kind, x.who, x.call) for x in scenario.mishaps] == [
        ("slow", "left strut", 3), ("lifter-lost", "right lifter", 5), ("stop", "", 6),
    ]  # fmt: skip
    assert any('"left strut 2"' in words(sentence, "us") for sentence in scenario.assumed), "nobody of that name here"
    assert len(parse(text, "x", "pinned with cribbing").mishaps) == 4
