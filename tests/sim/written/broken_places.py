"""Scenarios broken by hand: text, the place that is refused, and words of why. Geometry, names, sides, devices."""

import re
from pathlib import Path

TRAILER = Path(__file__).with_name("design_trailer.toml").read_text(encoding="utf-8")


def changed(*pairs, add=""):
    """The trailer with each first thing replaced by the second, once, and something added at its end."""
    text = TRAILER
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text + add


BROKEN_PLACES = {
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
}  # fmt: skip
