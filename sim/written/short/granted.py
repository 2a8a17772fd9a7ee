"""What a short form takes for granted, a sentence each: everything that nobody wrote and that the lift rests on."""

from __future__ import annotations

from collections.abc import Iterator

from sim.model.units import RATE, TIME, read
from sim.written.short.hands import enough
from sim.written.short.presets import Values, kinds, the
from sim.written.short.shorthand import COLLAR, Follower, Short
from sim.written.short.toml_page import TomlPage

HEIGHTS = {
    "hinge_height": "the hinge line {} above ground",
    "point_height": "the point {}",
    "lifter_height": "the lifters' heads {}",
    "strut_height": "the struts' heads {}",
    "take_up": "{} of ram travel before it moves",
}


def granted(short: Short) -> tuple[str, ...]:
    """The sentences, in the order of the lift: the load, the lifters, what follows it, the people, the calls."""
    page = TomlPage(short.written.units)
    parts = (_load(short, page), _lifters(short, page), _struts(short, page), _people(short), _calls(short, page))
    return tuple(sentence for part in parts for sentence in part)


def _load(short: Short, page: TomlPage) -> Iterator[str]:
    load, raw = short.load, short.raw
    keys = [key for key in HEIGHTS if key not in raw and not (short.straight and key == "hinge_height")]
    if all(each.pile for each in short.followers):
        keys = [key for key in keys if key != "strut_height"]
    if keys:
        said = ", ".join(HEIGHTS[key].format(page.in_units(load.values[key])) for key in keys)
        yield f'As for a "{load.name}", unmeasured: {said}.'
    if "far_end" not in raw:
        yield f'The far end {load.values["far_end"]}, as that of a "{load.name}".'
    if "pivot_held" not in raw and not short.straight:
        yield "What keeps the far end from moving along is not known."
    if "weight" in raw and short.straight:
        yield "The centre of gravity is taken to lie midway between the lifters."
    elif "weight" in raw:
        yield (
            f"The centre of gravity is taken to lie {load.values['cg_at']:.1%} of the way from the hinge line to the "
            f"point, on the centreline, {page.in_units(load.values['cg_height'])} up."
        )
    if short.written.weight_from in (None, "estimate"):
        yield "The weight is an estimate: no figure that follows from it is better than that."


def _lifters(short: Short, page: TomlPage) -> Iterator[str]:
    raw, one = short.raw, len(short.sides) == 1
    if "lifters" not in raw:
        yield "There are two lifters, one a side."
    stand = "The lifter stands" if one else "The lifters stand"
    apart = "" if "apart" in raw or one else f", {short.offered('apart')[0]} apart"
    travel = page.in_units(the("lifter").values["travel"])
    can = "" if "travel" in raw else f"; {'its' if one else 'each'} ram can move {travel}"
    yield f"{stand} upright{apart}{can}."
    if short.written.lifter_collars:
        yield from _device(COLLAR, page)
    else:
        yield "No ram has a collar of its own (lifter_collars = true, where they have)."
    who = short.operator.values
    yield (
        f'Who pumps is "{short.operator.name}": reacts in {who["react"]["mean"]}, {_pumps(who)} strokes a minute, '
        f"{who['fill']['mean']:.0%} of a full stroke each."
    )


def _pumps(who: Values) -> str:
    return f"{60 / (read(who['stroke']['mean'], TIME) + read(who['recover'], TIME)):.0f}"


def _struts(short: Short, page: TomlPage) -> Iterator[str]:
    if "with" not in short.raw:
        (only,) = short.followers
        yield f'What follows the load is a "{only.preset.name}", as offered for a "{short.load.name}".'
    for follower in short.followers:
        yield _stands(short, follower, page)
    for name in short.devices:
        yield from _device(name, page)


def _stands(short: Short, follower: Follower, page: TomlPage) -> str:
    """How one of those that follow the load stands, and where."""
    strut, pile = the("strut"), follower.pile
    one = "One" if follower.called in ("strut", "crib") else "One more"
    stands = "crib a lifter, upright" if pile else f"strut a lifter, at {strut.values['angle']}, its foot outwards"
    where = ""
    if follower.written is None and short.straight:
        ahead = " on its other side" if follower.along > 0 else ""
        where = f", {page.length(abs(follower.along))} beside it{ahead}"
    elif follower.written is None:
        where = f", {page.length(follower.along)} from the hinge line"
    tie = "" if pile else f"; its tie is {strut.values['tie']}"
    if not pile and "tie_slack" not in short.raw:
        tie += f" with {page.in_units(strut.values['tie_slack'])} of slack"
    return f"{one} {stands}{where}{tie}."


def _device(name: str, page: TomlPage) -> Iterator[str]:
    """The figures that the gaps hang on."""
    values = kinds("device")[name].values
    if values["kind"] == "collar":
        lead, turns = page.in_units(values["rise_per_turn"]), read(values["turns"]["mean"], RATE) * 60
        yield f'The "{name}" gains {lead} a turn and is turned {turns:.0f} times a minute.'
    elif values["kind"] == "pin":
        yield f'The "{name}": every {page.in_units(values["spacing"])}, {values["swap"]["mean"]} to move the pin.'
    else:
        pieces = ", ".join(page.in_units(values["pieces"]))
        yield (
            f'The "{name}": pieces of {pieces}, wedges up to {page.in_units(values["wedge"])}; '
            f"{values['place']['mean']} a piece, {values['drive']['mean']} to drive the wedges."
        )


def _people(short: Short) -> Iterator[str]:
    crew, pumps = short.crew, len(short.sides)
    jobs = pumps * sum(short.devices_at)
    if short.written.people is None:
        needed = enough(pumps, short.devices_at, short.written.catchers)
        yield f"There are people for all that has to be done: {needed}."
    if 0 < crew.catchers < jobs:
        who = "one person serves" if crew.catchers == 1 else f"{crew.catchers} people serve"
        yield f"One leads, {pumps} pump, and {who} {jobs} devices; who changes place walks round the end of the load."
    if crew.missing:
        yield (
            f'"{short.written.catchers}" takes {crew.missing} more than the {short.written.people} people that are '
            "there: it is reckoned as if they were."
        )
    if crew.spare:
        yield f"{crew.spare} of the people {'has' if crew.spare == 1 else 'have'} nothing to do in this lift."


def _calls(short: Short, page: TomlPage) -> Iterator[str]:
    leader = the("leader")
    said = {
        "strokes": f"{leader.values['strokes']} strokes a call",
        "gap": f"no call over a gap of {page.in_units(leader.values['gap'])}",
        "pace": f"{leader.values['pace']} from call to call at the least",
        "look": f"{leader.values['look']} to look after a hold",
        "level_limit": f"the low side alone where they differ by {page.in_units(leader.values['level_limit'])}",
    }
    keys = [key for key in said if key not in short.raw and not (key == "level_limit" and len(short.sides) == 1)]
    yield f"The leader: {', '.join(said[key] for key in keys)}."
