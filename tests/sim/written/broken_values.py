"""Scenarios broken by hand, as in `broken_places.py`: words and figures that a key does not take, and no file."""

import re

from tests.sim.written.broken_places import TRAILER, changed

BROKEN_VALUES = {
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
    "a pivot of a straight load": (
        changed(('motion = "hinged"', 'motion = "straight"'), add='[pivot]\nheld = "chocked"\n'),
        "pivot", "leave it out",
    ),
    "a pivot held by a word": (changed(add='[pivot]\nheld = "chock"\n'), "pivot.held", '"chocked-ahead"'),
    "nothing that holds": (
        changed(add='[pivot]\nheld = "nothing"\nholds = "8 kN"\n'), "pivot.holds", "leave it out",
    ),
    "a hold of nothing": (changed(add='[pivot]\nholds = "8 kN"\n'), "pivot.held", "is missing"),
    "friction the wrong way round": (
        changed(add="[pivot]\nfriction = [0.4, 0.3]\n"), "pivot.friction", "the lower one first",
    ),
    "a tie made fast to the sky": (
        changed(('kind = "chain", ', 'kind = "chain", to = "sky", ')), 'station "left strut" > tie.to', '"pivot"',
    ),
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
