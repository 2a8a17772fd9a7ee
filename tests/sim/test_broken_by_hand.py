"""Scenarios broken by hand: what no single line shows. Every one is refused with its place."""

import re
from pathlib import Path

import pytest

from sim.errors import ScenarioError
from sim.reading import parse, read

TRAILER = Path(__file__).with_name("design_trailer.toml").read_text(encoding="utf-8")


def changed(*pairs, add=""):
    """The trailer with each first thing replaced by the second, once, and something added at its end."""
    text = TRAILER
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text + add


BY_HAND = {
    "straight down: the base above the head": (
        changed(('base = ["145 in", "30 in", "0 in"]', 'base = ["145 in", "30 in", "60 in"]')),
        'lifter "left lifter" > base', "does not get longer",
    ),
    "a lifter that pulls the load back over its pivot": (
        changed(('base = ["145 in", "30 in", "0 in"]', 'base = ["-1450 in", "30 in", "0 in"]')),
        'lifter "left lifter" > base', "does not get longer",
    ),
    "a strut that would have to shorten": (
        changed(('base = ["120 in", "70 in", "0 in"]', 'base = ["120 in", "70 in", "99 in"]')),
        'station "left strut" > base', "does not get longer",
    ),
    "a strut that stops lengthening on the way": (
        changed(('base = ["120 in", "70 in", "0 in"]', 'base = ["-160 in", "70 in", "-23 in"]')),
        'station "left strut" > base', "stops getting longer",
    ),
    "head and base in one place": (
        changed(('base = ["120 in", "70 in", "0 in"]', 'base = ["120 in", "35 in", "36 in"]')),
        'station "left strut" > base', "is where the head is",
    ),
    "a need that the geometry cannot reach": (
        changed(('rise = "5 in"', 'rise = "150 in"')), "need.rise", "cannot rise by 150.00 in",
    ),
    "a need beyond every lift": (changed(('rise = "5 in"', 'rise = "11 m"')), "need.rise", "more than 10 m"),
    "no need at all": (changed(('rise = "5 in"', 'rise = "0 in"')), "need.rise", "less than 1 mm"),
    "a point behind the pivot": (changed(('point = ["150 in"', 'point = ["-1 in"')), "need.point[0]", "not ahead"),
    "a lifter behind the pivot": (
        changed(('head = ["140 in", "30 in", "24 in"]', 'head = ["-140 in", "30 in", "24 in"]')),
        'lifter "left lifter" >', "",
    ),
    "a load that hangs over its pivot": (changed(('cg = ["70 in"', 'cg = ["-1 in"')), "load.cg[0]", "not ahead"),
    "a load that topples on the way": (
        changed(('"0 in", "38 in"]', '"0 in", "9000 in"]')), "load.cg[0]", "passes over the pivot",
    ),
    "two stations of one name": (
        changed(('name = "right strut"', 'name = "left strut"')), 'station "left strut" > name', "is taken",
    ),
    "a station called like a lifter": (
        changed(('name = "right strut"', 'name = "left lifter"')), 'station "left lifter" > name', "is taken",
    ),
    "two variants of one name": (changed(('name = "no holds"', 'name = "pinned"')), 'variant "pinned" > name', "taken"),
    "a variant without a name": (changed(('name = "no holds"', 'name = ""')), "variant #3 > name", "something in it"),
    "two lifters on one side": (
        changed(('side = "right"', 'side = "left"')), 'lifter "right lifter" > side', "a lifter on the left already",
    ),
    "a station on a side without a lifter": (
        re.sub(r'\[\[lifter\]\]\nname = "right.*?\n\n', "", TRAILER, flags=re.S),
        'station "right strut" > side', "no lifter on the right",
    ),
    "no lifter at all": (re.sub(r"\[\[lifter\]\].*?\n\n", "", TRAILER, flags=re.S), "lifter", "is missing"),
    "an empty list of lifters": (
        "lifter = []\n" + re.sub(r"\[\[lifter\]\].*?\n\n", "", TRAILER, flags=re.S), "lifter", "0 entries",
    ),
    "an unknown operator": (
        changed(('operator = "steady"', 'operator = "stedy"')), 'lifter "left lifter" > operator',
        'did you mean "steady"?',
    ),
    "an unknown device at a station": (
        changed(('capture = ["threaded"]', 'capture = ["threded"]')), 'station "left strut" > capture[0]',
        'did you mean "threaded"?',
    ),
    "an unknown device at a lifter": (
        changed(('capture = ["ram-collar"]', 'capture = ["nothing like it"]')), 'lifter "left lifter" > capture[0]',
        "known here",
    ),
    "the same device twice": (
        changed(('capture = ["threaded"]', 'capture = ["threaded", "threaded"]')),
        'station "left strut" > capture[1]', "twice",
    ),
    "a station without a device": (
        changed(('capture = ["threaded"]', "capture = []")), 'station "left strut" > capture', "0 entries",
    ),
    "a device where a list of them is meant": (
        changed(('capture = ["threaded"]', 'capture = "threaded"')), 'station "left strut" > capture', "a list",
    ),
    "an unknown pump": (
        changed(('travel_per_pump = "0.15 in"', 'pump = "two-speed"\nram_area = "2 in^2"')),
        'lifter "left lifter" > pump', 'there is no pump "two-speed"',
    ),
    "a pump without the ram's area": (
        changed(('travel_per_pump = "0.15 in"', 'pump = "p"'), add='[pump.p]\nfirst_stage = "1 in^3"\n'),
        'lifter "left lifter" > ram_area', "is missing",
    ),
    "a pump and a travel": (
        changed(('operator = "steady"', 'operator = "steady"\npump = "p"\nram_area = "1 in^2"')),
        'lifter "left lifter"', "has both travel_per_pump and pump",
    ),
    "neither pump nor travel": (
        changed(('travel_per_pump = "0.15 in"', "")), 'lifter "left lifter" > travel_per_pump', "is missing",
    ),
    "a second stage that is never reached": (
        changed(add='[pump.p]\nfirst_stage = "1 in^3"\nsecond_stage = "1 in^3"\n'), "pump.p.shift_pressure", "missing",
    ),
    "an unknown catcher": (
        changed(add='[catcher."rear hnd"]\nwalk = "1 s"\n'), 'catcher."rear hnd"', "nobody is called",
    ),
    "a catcher who is at a pump": (
        changed(('rated_load = "6000 lb"', 'rated_load = "6000 lb"\ncatcher = "left lifter"')),
        'station "left strut" > catcher', "at a pump handle",
    ),
    "more catchers than devices": (
        changed(('rated_load = "6000 lb"', 'rated_load = "6000 lb"\ncatcher = ["a", "b"]')),
        'station "left strut" > catcher', "2 names for 1 devices",
    ),
    "a catcher that is a number": (
        changed(('rated_load = "6000 lb"', 'rated_load = "6000 lb"\ncatcher = 3')),
        'station "left strut" > catcher', "a name is wanted",
    ),
    "a second catcher who turns out to be another station": (
        changed(('name = "right strut"', 'name = "left strut 2"')), 'station "left strut" > catcher', "another place",
    ),
    "a variant that replaces an unknown device": (
        changed(("replace = {threaded = [\"pinned\"]}", 'replace = {threeded = ["pinned"]}')),
        'variant "pinned" > replace.threeded', 'did you mean "threaded"?',
    ),
    "a variant that puts an unknown device in place": (
        changed(("replace = {threaded = [\"pinned\"]}", 'replace = {threaded = ["pined"]}')),
        'variant "pinned" > replace.threaded[0]', 'did you mean "pinned"?',
    ),
    "a variant that replaces what nobody uses": (
        changed(("replace = {threaded = [\"pinned\"]}", 'replace = {cribbing = ["pinned"]}')),
        'variant "pinned" > replace.cribbing', 'no lifter or station uses "cribbing"',
    ),
    "a variant that leaves a station without a device": (
        changed(("replace = {threaded = [\"pinned\"]}", "replace = {threaded = []}")),
        'variant "pinned" > replace', 'leaves station "left strut" without',
    ),
    "a variant with an unknown key of the leader": (
        changed(('leader = {rule = "keep-pace"}', "leader = {strocks = 2}")),
        'variant "no holds" > leader.strocks', 'did you mean "strokes"?',
    ),
    "a variant that needs a gap limit": (
        changed(('gap_limit = "0.25 in"\n', ""), ('rule = "stop-until-caught"', 'rule = "keep-pace"'),
                ('leader = {rule = "keep-pace"}', 'leader = {rule = "stop-until-caught"}')),
        'variant "no holds" > leader.gap_limit', "is missing",
    ),
    "shares that do not sum to 1": (
        TRAILER.replace('operator = "steady"', 'operator = "steady"\nshare = 0.6'),
        'lifter "right lifter" > share', "sum to 1.2",
    ),
    "a share beyond all of it": (
        changed(('operator = "steady"', 'operator = "steady"\nshare = 1.5')), 'lifter "left lifter" > share', "up to 1",
    ),
    "a share that is not a number": (
        changed(('operator = "steady"', 'operator = "steady"\nshare = nan')), 'lifter "left lifter" > share', "",
    ),
    "two heads in one line": (
        changed(('head = ["140 in", "-30 in"', 'head = ["140 in", "30 in"')),
        'lifter "right lifter" > head[1]', "share",
    ),
    "left and right mixed up": (
        changed(('"30 in", "24 in"', '"-31 in", "24 in"')), 'lifter "right lifter" > head[1]', "wrong side",
    ),
    "side and sides": (
        changed(('side = "left"', 'side = "left"\nsides = ["left", "right"]')), 'lifter "left lifter"', "both side",
    ),
    "sides that are one side": (
        changed(('side = "left"', 'sides = ["left", "left"]')), 'lifter "left lifter" > sides', "both sides",
    ),
    "a lifter on both sides": (
        changed(('side = "left"', 'side = "both"')), 'lifter "left lifter" > side', '"both" is not allowed',
    ),
    "base and angle": (
        changed(('travel = "10 in"', 'travel = "10 in"\nangle = "78 deg"')),
        'lifter "left lifter"', "both base and angle",
    ),
    "an angle without a foot": (
        changed(('base = ["145 in", "30 in", "0 in"]', 'angle = "78 deg"')), 'lifter "left lifter" > foot', "missing",
    ),
    "two coordinates": (
        changed(('base = ["145 in", "30 in", "0 in"]', 'base = ["145 in", "30 in"]')), 'lifter "left lifter" > base',
        "2 entries",
    ),
    "four coordinates": (
        changed(('point = ["150 in", "0 in", "20 in"]', 'point = ["1 in", "1 in", "1 in", "1 in"]')), "need.point", "",
    ),
    "a centre of gravity and a scale": (
        changed(('motion = "hinged"', 'motion = "hinged"\nend_weight = "2430 lb"\nend_at = "150 in"')),
        "load", "has both cg and end_weight",
    ),
    "a scale under a straight load": (
        re.sub("cg = .*", 'end_weight = "1 t"\nend_at = "1 m"', changed(('motion = "hinged"', 'motion = "straight"'))),
        "load.end_weight", "hinged",
    ),
    "a scale without its place": (re.sub("cg = .*", 'end_weight = "1 t"', TRAILER), "load.end_at", "is missing"),
    "an unknown motion": (changed(('"hinged"', '"hinge"')), "load.motion", 'allowed: "hinged" or "straight"'),
    "an unknown rule": (changed(('"stop-until-caught"', '"stop"')), "leader.rule", '"keep-pace"'),
    "unknown units": (changed(('units = "us"', 'units = "imperial"')), "units", '"us" or "si"'),
    "an unknown table": (changed(add='[weather]\nwind = "5 m"\n'), "weather", "not a key"),
    "strokes by halves": (changed(("strokes = 3", "strokes = 2.5")), "leader.strokes", "whole number"),
    "strokes in quotes": (changed(("strokes = 3", 'strokes = "3"')), "leader.strokes", "whole number"),
    "no strokes": (changed(("strokes = 3", "strokes = 0")), "leader.strokes", "from 1"),
    "strokes that are true": (changed(("strokes = 3", "strokes = true")), "leader.strokes", "whole number"),
    "calls without end": (changed(("max_calls = 500", "max_calls = 1000000000")), "leader.max_calls", "up to 100000"),
    "a design factor below 1": (changed(("design_factor = 1.5", "design_factor = 0.5")), "limits.design_factor", "1"),
    "a design factor without bound": (
        changed(("design_factor = 1.5", "design_factor = inf")), "limits.design_factor", "",
    ),
    "a band upside down": (
        changed(('["40 deg", "60 deg"]', '["60 deg", "40 deg"]')), "limits.strut_angle", "lower to a higher",
    ),
    "an unknown kind of device": (changed(('kind = "crib"', 'kind = "cribb"')), "device.cribbing.kind", '"crib"?'),
    "a device of no kind": (changed(('kind = "crib"\n', "")), "device.cribbing.kind", 'kind = "collar"'),
    "a key of another kind of device": (
        changed(('spacing = "2 in"', 'spacing = "2 in"\nturns = "1 /s"')), "device.pinned.turns", "not a key",
    ),
    "a collar that does not climb": (
        changed(('rise_per_turn = "0.25 in"', 'rise_per_turn = "0 in"')), "device.ram-collar.rise_per_turn", "0.1 mm",
    ),
    "a collar that nobody turns": (
        changed(('turns = {mean = "1 /s", sd = "0.3 /s"}', 'turns = "0 /s"')), "device.ram-collar.turns", "0.01 /s",
    ),
    "holes that would hang the program": (
        changed(('spacing = "2 in"', 'spacing = "1e-12 in"')), "device.pinned.spacing", "less than 0.1 mm",
    ),
    "pieces that would hang the program": (
        changed(('pieces = ["3.5 in", "1.5 in"', 'pieces = ["3.5 in", "1e-9 in"')), "device.cribbing.pieces[1]", "1 mm",
    ),
    "no pieces": (changed(('pieces = ["3.5 in", "1.5 in", "0.75 in"]', "pieces = []")), "device.cribbing.pieces", "0"),
    "a first hole beyond the second": (
        changed(('spacing = "2 in"', 'spacing = "2 in"\nfirst_hole = "3 in"')),
        "device.pinned.first_hole", "one spacing",
    ),
    "a stroke in no time": (
        changed(('stroke = {mean = "1.2 s", sd = "0.2 s"}', 'stroke = "0 s"')), "operator.steady.stroke", "0.01 s",
    ),
    "a spread of nothing": (
        changed(('react = {mean = "0.6 s", sd = "0.15 s"}', 'react = {mean = "0 s", sd = "0.15 s"}')),
        "operator.steady.react.sd", "nothing to spread",
    ),
    "a spread without a mean": (
        changed(('react = {mean = "0.6 s", sd = "0.15 s"}', 'react = {sd = "0.15 s"}')),
        "operator.steady.react.mean", "is missing",
    ),
    "an unknown word for the spread": (
        changed(('react = {mean = "0.6 s", sd = "0.15 s"}', 'react = {mean = "0.6 s", std = "0.15 s"}')),
        "operator.steady.react.std", 'did you mean "sd"?',
    ),
    "a negative spread": (changed(('sd = "0.15 s"', 'sd = "-0.15 s"')), "operator.steady.react.sd", "less than 0 s"),
    "a fill over the brim": (changed(("mean = 0.97", "mean = 1.1")), "operator.steady.fill.mean", "up to 1"),
    "an empty fill": (changed(("mean = 0.97", "mean = 0.0")), "operator.steady.fill.mean", "from 0.01"),
    "a fill that no beta has": (changed(("sd = 0.02", "sd = 0.2")), "operator.steady.fill.sd", "below 0.171"),
    "a fill in per cent": (
        changed(("fill = {mean = 0.97, sd = 0.02}", 'fill = "97 %"')),
        "operator.steady.fill", "a number without quotes",
    ),
    "a chance beyond certainty": (
        changed(('recover = "0.5 s"', 'recover = "0.5 s"\nmiss = 2.0')), "operator.steady.miss", "1",
    ),
    "a tie of string": (changed(('kind = "chain"', 'kind = "string"')), 'station "left strut" > tie.kind', '"rope"'),
    "an unknown key of a tie": (
        changed(("slack =", "slak =")), 'station "left strut" > tie.slak', 'did you mean "slack"?',
    ),
    "a tie in one word": (
        re.sub("tie = .*", 'tie = "chain"', TRAILER, count=1), 'station "left strut" > tie', "a table is wanted",
    ),
    "a chain of no grade": (
        changed(('kind = "chain", ', 'kind = "chain", grade = 75, ')), 'station "left strut" > tie.grade', "80",
    ),
    "a load in double brackets": (changed(("[load]", "[[load]]")), "load", "single brackets"),
    "a lifter in single brackets": (
        re.sub(r'\[\[lifter\]\]\nname = "right.*?\n\n', "", TRAILER, flags=re.S).replace("[[lifter]]", "[lifter]"),
        "lifter", "double brackets",
    ),
    "a name with a line break": (
        changed(('name = "left strut"', 'name = "left\\nstrut"')), "> name", "in one line",
    ),
    "a name that is a number": (changed(('name = "left strut"', "name = 7")), "station #1 > name", "a text in quotes"),
    "ground known twice over": (
        changed(add='[ground]\nsoil = "clay"\nbearing = "1500 psf"\n'), "ground", "both bearing and soil",
    ),
    "ground of an unknown class": (changed(add='[ground]\nsoil = "cheese"\n'), "ground.soil", '"gravel"'),
    "an edge of no depth": (changed(add='[ground]\nedge = "1 m"\n'), "ground.depth", "is missing"),
    "a re-set in no time": (changed(add="[reset]\n"), "reset.time", "is missing"),
    "a mishap to nobody": (
        changed(add='[[mishap]]\nkind = "slow"\nwho = "left strt"\ncall = 1\nfactor = 2\n'), "mishap #1 > who",
        'did you mean "left strut"?',
    ),
    "a catcher who cannot be lost": (
        changed(add='[[mishap]]\nkind = "lifter-lost"\nwho = "left strut"\ncall = 1\n'),
        "mishap #1 > who", "not a lifter",
    ),
    "an operator who cannot call caught": (
        changed(add='[[mishap]]\nkind = "false-caught"\nwho = "left lifter"\ncall = 1\n'),
        "mishap #1 > who", "a catcher",
    ),
    "a mishap after the last call": (
        changed(add='[[mishap]]\nkind = "missed"\nwho = "left lifter"\ncall = 501\n'), "mishap #1 > call", "max_calls",
    ),
    "a mishap before the first call": (
        changed(add='[[mishap]]\nkind = "missed"\nwho = "left lifter"\ncall = 0\n'), "mishap #1 > call", "from 1",
    ),
    "a mishap with a key of another": (
        changed(add='[[mishap]]\nkind = "stop"\ncall = 1\ntime = "5 s"\nfactor = 2\n'), "mishap #1 > factor", "belong",
    ),
    "a stop for no time": (changed(add='[[mishap]]\nkind = "stop"\ncall = 1\n'), "mishap #1 > time", "is missing"),
    "a mishap that helps": (
        changed(add='[[mishap]]\nkind = "slow"\nwho = "left strut"\ncall = 1\nfactor = 0.5\n'),
        "mishap #1 > factor", "1",
    ),
    "nothing in it": ("", "load", "is missing"),
    "not TOML at all": ("We lifted the nose, by eye.", "broken.toml, line 1, column 4", "We lifted the nose, by eye."),
    "a key twice": (changed(('rise = "5 in"', 'rise = "5 in"\nrise = "6 in"')), "broken.toml, line", "rise"),
    "an open quote": (changed(('rise = "5 in"', 'rise = "5 in')), "broken.toml, line", "rise ="),
    "a number too long to be one": (changed(("strokes = 3", "strokes = " + "9" * 5000)), "broken.toml", "too long"),
    "brackets without end": ("a = " + "[" * 100_000, "broken.toml", "too deep"),
    "a file too long to be one": ("#" * 1_000_001, "broken.toml", "is longer than"),
}  # fmt: skip


@pytest.mark.parametrize(("text", "place", "says"), BY_HAND.values(), ids=BY_HAND.keys())
def test_a_scenario_that_cannot_be_is_refused_with_its_place(text, place, says):
    """What no single line shows: names, keys that go together, geometry, figures out of reach."""
    with pytest.raises(ScenarioError) as refused:
        parse(text, "broken.toml")
    assert any(
        place in problem.place and says in f"{problem.what} {problem.hint}" for problem in refused.value.problems
    )


def test_everything_that_is_wrong_is_said_at_once():
    """A bare number, a wrong name and a missing key in three tables are three problems of one error."""
    text = changed(
        ('pace = "4 s"', "pace = 4"), ('operator = "steady"', 'operator = "stedy"'), ("swap = {", "swop = {")
    )
    with pytest.raises(ScenarioError) as refused:
        parse(text, "x")
    assert [problem.place for problem in refused.value.problems] == [
        "leader.pace", "device.pinned.swap", "device.pinned.swop", 'lifter "left lifter" > operator',
    ]  # fmt: skip


def test_all_that_the_geometry_forbids_is_said_at_once():
    """Two lines that do not lengthen and a need out of reach."""
    text = changed(
        ('base = ["145 in", "30 in", "0 in"]', 'base = ["145 in", "30 in", "60 in"]'),
        ('base = ["120 in", "70 in", "0 in"]', 'base = ["120 in", "70 in", "99 in"]'),
        ('rise = "5 in"', 'rise = "4 m"'),
    )
    with pytest.raises(ScenarioError) as refused:
        parse(text, "x")
    places = [problem.place for problem in refused.value.problems]
    assert places == ["need.rise", 'lifter "left lifter" > base', 'station "left strut" > base']


def test_an_error_reads_as_the_style_guide_has_it():
    """Place, what was got; a blank line; the hint."""
    with pytest.raises(ScenarioError) as refused:
        parse(changed(('rise_per_turn = "0.25 in"', 'rise_per_turn = "0.25"')), "x")
    assert str(refused.value) == (
        'error: device.ram-collar.rise_per_turn: "0.25" has no unit\n\n'
        'hint: write a length, such as "4 1/2 in" or "127 mm"'
    )


def test_an_error_survives_being_made_again_from_its_arguments():
    """SimPy rebuilds an error that leaves a process as type(e)(*e.args)."""
    with pytest.raises(ScenarioError) as refused:
        parse("", "x")
    again = type(refused.value)(*refused.value.args)
    assert str(again) == str(refused.value)


def test_an_unknown_variant_is_refused_with_the_nearest():
    """`--variant pind` asks for "pinned"."""
    with pytest.raises(ScenarioError, match='did you mean "pinned"') as refused:
        parse(TRAILER, "x", "pind")
    assert refused.value.problems[0].place == "variant"


@pytest.mark.parametrize(
    ("written", "says"),
    [(None, "cannot be read: no such file"), (b'title = "\xff"', "line 1 is not UTF-8"), ("folder", "cannot be read")],
)
def test_a_file_that_cannot_be_read_is_a_problem_like_any_other(tmp_path, written, says):
    """Not there, a folder, not UTF-8: no traceback."""
    path = tmp_path / "lift.toml"
    if written == "folder":
        path.mkdir()
    elif written is not None:
        path.write_bytes(written)
    with pytest.raises(ScenarioError) as refused:
        read(path)
    assert says in str(refused.value)
    assert "lift.toml" in refused.value.problems[0].place
