"""Scenarios broken by hand, as in `broken_places.py`: stages that cannot be, or cannot follow on each other."""

import re

from tests.sim.written.broken_places import changed

UP, DOWN, HOLD = ('[[stage]]\ndo = "raise"\n', '[[stage]]\ndo = "lower"\n', '[[stage]]\ndo = "hold"\ntime = "1 min"\n')
LEFT_STRUT = r'\[\[station\]\]\nname = "left.*?\n\n'
MISHAP = '[[mishap]]\nkind = "{}"\nwho = "{}"\ncall = 2\n'

BROKEN_STAGES = {
    "a stage of no kind": (changed(add='[[stage]]\ndo = "rise"\n'), "stage #1 > do", '"raise", "hold" or "lower"'),
    "a stage that does nothing": (changed(add="[[stage]]\n"), "stage #1 > do", "is missing"),
    "a stage in single brackets": (changed(add='[stage]\ndo = "raise"\n'), "stage", "double brackets"),
    "a start in double brackets": (changed(add='[[start]]\nrise = "1 in"\n'), "start", "single brackets"),
    "an unknown key of a stage": (
        changed(add=UP + "leder = {strokes = 1}\n"), "stage #1 > leder", 'did you mean "leader"?',
    ),
    "an unknown key of its leader": (
        changed(add=UP + "leader = {strocks = 1}\n"), "stage #1 > leader.strocks", 'did you mean "strokes"?',
    ),
    "a lowering before anything was raised": (changed(add=DOWN), "stage #1", "a raise stage before it is missing"),
    "a hold before anything was raised": (changed(add=HOLD), "stage #1", "a raise stage before it is missing"),
    "a hold after all has come down": (changed(add=UP + DOWN + HOLD), "stage #3", "a raise stage before it is missing"),
    "a raise to where the load is": (
        changed(add=UP + 'to = "2 in"\n' + UP + 'to = "2 in"\n'), "stage #2 > to", "2.00 in already",
    ),
    "a raise to below where the load is": (
        changed(add=UP + 'to = "2 in"\n' + HOLD + UP + 'to = "1 in"\n'), "stage #3 > to", "is at 2.00 in already",
    ),
    "a raise to the need, which is reached": (changed(add=UP + UP), "stage #2 > to", "it is need.rise"),
    "a raise of nothing": (changed(add=UP + 'to = "0 in"\n'), "stage #1 > to", "is at 0.00 in already"),
    "a lowering to where the load is": (
        changed(add=UP + 'to = "2 in"\n' + DOWN + 'to = "2 in"\n'), "stage #2 > to", "only at 2.00 in",
    ),
    "a lowering to above where the load is": (
        changed(add=UP + 'to = "2 in"\n' + DOWN + 'to = "3 in"\n'), "stage #2 > to", "lowers to 3.00 in",
    ),
    "a lowering into the ground": (changed(add=UP + DOWN + 'to = "-1 in"\n'), "stage #2 > to", "less than 0 mm"),
    "a raise beyond every lift": (changed(add=UP + 'to = "11 m"\n'), "stage #1 > to", "more than 10 m"),
    "a raise that the load cannot make": (
        changed(add=UP + 'to = "150 in"\n'), "stage #1 > to", "cannot rise by 150.00 in",
    ),
    "a strut that stops lengthening above the need": (
        changed(('base = ["120 in", "70 in", "0 in"]', 'base = ["-160 in", "70 in", "-55 in"]'),
                add=UP + 'to = "60 in"\n'),
        'station "left strut" > base', "stops getting longer",
    ),
    "a load that topples above the need": (
        changed(('"0 in", "38 in"]', '"0 in", "900 in"]'), add=UP + 'to = "60 in"\n'),
        "load.cg[0]", "passes over the pivot",
    ),
    "a hold for no time": (changed(add=UP + '[[stage]]\ndo = "hold"\n'), "stage #2 > time", "is missing"),
    "a hold to a height": (changed(add=UP + HOLD + 'to = "1 in"\n'), "stage #2 > to", "does not belong"),
    "a hold that is led": (changed(add=UP + HOLD + "leader = {strokes = 1}\n"), "stage #2 > leader", "not belong"),
    "a raise for a time": (changed(add=UP + 'time = "1 min"\n'), "stage #1 > time", "does not belong"),
    "a hold on one side only": (
        re.sub(LEFT_STRUT, "", changed(('["ram-collar"]', "[]"), add=UP + HOLD), flags=re.DOTALL),
        "stage #2", "nothing can hold the left side",
    ),
    "a variant in which a side is not held": (
        changed(add=UP + HOLD + '[[variant]]\nname = "bare"\nleave_out = ["left strut"]\nreplace.ram-collar = []\n'),
        'variant "bare"', "stage #2: nothing can hold the left side",
    ),
    "no room to come down into": (
        changed(add=UP + DOWN + 'leader = {step = "0 in"}\n'), "stage #2 > leader.step", "no room to come down into",
    ),
    "no room in any stage": (changed(("strokes = 3", 'strokes = 3\nstep = "0 mm"')), "leader.step", "no room"),
    "a gap limit that leaves no room": (
        changed(('gap_limit = "0.25 in"', 'gap_limit = "0.05 mm"'), add=UP + DOWN), "leader.step", "is missing",
    ),
    "calls counted by the stage": (
        changed(add=UP + "leader = {max_calls = 9}\n"), "stage #1 > leader.max_calls", "under [leader]",
    ),
    "a stage that needs a gap limit": (
        changed(('gap_limit = "0.25 in"\n', ""), ('rule = "stop-until-caught"', 'rule = "keep-pace"'),
                add=UP + 'leader = {rule = "stop-until-caught"}\n'),
        "stage #1 > leader.gap_limit", "is missing",
    ),
    "a start at the need": (changed(add='[start]\nrise = "5 in"\n'), "start.rise", "not below 5.00 in"),
    "a start above the first stage": (
        changed(add='[start]\nrise = "2 in"\n' + UP + 'to = "1 in"\n' + DOWN), "start.rise", "the first stage",
    ),
    "a start below what is lowered to": (
        changed(add='[start]\nrise = "1 in"\n' + DOWN + 'to = "2 in"\n'), "stage #1 > to", "only at 1.00 in",
    ),
    "a start past the ram's travel": (
        changed(add='[start]\nrise = "11 in"\n' + DOWN), "start.rise", "can move 10.00 in",
    ),
    "a start beyond what the load can do": (
        changed(add='[start]\nrise = "150 in"\n' + DOWN), "start.rise", "cannot rise by",
    ),
    "a start without a rise": (changed(add="[start]\n"), "start.rise", "is missing"),
    "an unknown key of the start": (changed(add='[start]\nrize = "1 in"\n'), "start.rize", 'did you mean "rise"?'),
    "a ram that does not come down": (
        changed(('recover = "0.5 s"', 'recover = "0.5 s"\nlowering = "0 in/s"')),
        "operator.steady.lowering", "less than 0.1 mm/s",
    ),
    "a ram that comes down by a length": (
        changed(('recover = "0.5 s"', 'recover = "0.5 s"\nlowering = "5 mm"')),
        "operator.steady.lowering", "is a length, and a speed is wanted",
    ),
    "a ram that comes down at a bare number": (
        changed(('recover = "0.5 s"', 'recover = "0.5 s"\nlowering = {mean = 5}')),
        "operator.steady.lowering.mean", '"5 mm/s"',
    ),
    "a ram that is dropped": (
        changed(('recover = "0.5 s"', 'recover = "0.5 s"\nlowering = "11 m/s"')), "operator.steady.lowering", "10 m/s",
    ),
    "a part of no lowering call": (
        changed(add=MISHAP.format("lifter-lost", "left lifter") + 'phase = "lower"\n'),
        "mishap #1 > phase", "a stage that lowers is missing",
    ),
    "a part that there is not": (
        changed(add=UP + DOWN + MISHAP.format("lifter-lost", "left lifter") + 'phase = "land"\n'),
        "mishap #1 > phase", '"free", "room" or "lower"',
    ),
    "a part of what has none": (
        changed(add=UP + DOWN + MISHAP.format("missed", "left lifter") + 'phase = "lower"\n'),
        "mishap #1 > phase", "does not belong",
    ),
    "stages without end": (changed(add=UP * 51), "stage", "at most 50 are allowed"),
}  # fmt: skip
