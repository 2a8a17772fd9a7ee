"""A short form written out in full: table by table, every value with where it comes from."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sim.model.units import INCH, LENGTH, TIME, read
from sim.written.keys.assumed import marks_of, steps_to
from sim.written.short.presets import Preset, kinds, the
from sim.written.short.shorthand import COLLAR, YOURS, Follower, Short
from sim.written.short.toml_page import TomlPage, toml_value


def longhand(short: Short) -> str:
    """The full form, as text."""
    page = TomlPage(short.written.units)
    page.words(
        f"Written out in full from a short form, like = {short.load.name!r}.".replace("'", '"'),
        'What stands behind a # says where a value comes from: "yours" is what the short form says, all else is ours',
        "(sim/written/short/presets.toml). Replace what you can measure.",
        "",
        "x runs from the hinge line towards the lifting end, y to the left, z up from the ground.",
    )
    page.lines.append("")
    page.key("title", short.title)
    page.key("units", short.written.units)
    _load(page, short)
    _leader(page, short)
    _stages(page, short)
    _crew(page, short)
    for side in short.sides:
        _lifter(page, short, side, short.crew.sides[side].at[-1])
    for at, follower in enumerate(short.followers):
        for side in short.sides:
            _station(page, short, follower, side, short.crew.sides[side].at[at])
    _variants(page, short)
    _assumed(page, short)
    return page.text()


def _load(page: TomlPage, short: Short) -> None:
    """[load] and [need]."""
    page.table("load")
    if "end_weight" in short.raw:
        page.key("end_weight", short.raw["end_weight"], f"{_weight_from(short)}: what the lifters carry together")
        page.key("end_at", short.raw["hinge_to_lifters"], YOURS)
    else:
        page.key("weight", short.raw["weight"], _weight_from(short))
        high, why = short.value("cg_height", short.load)
        share, from_ = short.value("cg_at", short.load)
        ahead = 0.0 if short.straight else share * short.to_point
        said = "between the lifters" if short.straight else f"{share:.1%} of the way to the point: {from_}"
        page.key("cg", [page.length(ahead), page.length(0.0), page.in_units(high)], f"{said}; height: {why}")
    page.key("motion", "straight" if short.straight else "hinged", _far_end(short))
    if not short.straight:
        page.ours("pivot_height", *short.value("hinge_height", short.load))
    page.ours("take_up", *short.value("take_up", short.load))
    if "pivot_held" in short.raw:
        page.table("pivot")
        page.key("held", short.raw["pivot_held"], YOURS)
    page.table("need")
    high, why = short.value("point_height", short.load)
    along = page.length(0.0) if short.straight else short.raw["hinge_to_point"]
    page.key("point", [along, page.length(0.0), page.in_units(high)], f"height: {why}")
    page.key("rise", short.raw["rise"], YOURS)


def _weight_from(short: Short) -> str:
    how = short.written.weight_from or "estimate"
    return f"{YOURS}, {dict(scale='from a scale', papers='from its papers', estimate='an estimate')[how]}"


def _far_end(short: Short) -> str:
    value, why = short.value("far_end", short.load)
    return f"the far end {value}: {why}"


def _leader(page: TomlPage, short: Short) -> None:
    leader = the("leader")
    page.table("leader")
    page.key("rule", "stop-until-caught", "no call while a gap is over the limit")
    page.key("strokes", *short.value("strokes", leader))
    page.ours("gap_limit", *short.value("gap", leader))
    page.key("pace", *short.value("pace", leader))
    page.key("look", *short.value("look", leader))
    if len(short.sides) == 2:
        page.ours("level_limit", *short.value("level_limit", leader))


def _stages(page: TomlPage, short: Short) -> None:
    """Up, hold and down again; a lift that is only raised has no stages."""
    hold, down = short.written.hold is not None, short.written.down_again
    if not (hold or down):
        return
    page.table("stage", listed=True, why="to the need")
    page.key("do", "raise")
    if hold:
        page.table("stage", listed=True)
        page.key("do", "hold")
        page.key("time", short.raw["hold"], YOURS)
    if down:
        page.table("stage", listed=True, why="back on what it stood on")
        page.key("do", "lower")
        if "step" in short.raw:
            page.key("leader", {"step": short.raw["step"]}, YOURS)


def _crew(page: TomlPage, short: Short) -> None:
    """[operator], [device] and [catcher]."""
    if short.written.people is not None:
        page.table("crew")
        page.key("people", short.written.people, YOURS)
    page.table("operator", short.operator.name)
    _values(page, short.operator)
    for name in devices_used(short):
        page.table("device", name)
        _values(page, kinds("device")[name])
    for name, metres in walks(short).items():
        pace, spread = the("catcher").values["metre"], the("catcher").values["spread"]
        mean = metres * read(pace, TIME)
        page.table("catcher", name, why=f"{metres:.1f} m to walk at {pace} a metre: {the('catcher').source['metre']}")
        page.key("walk", {"mean": f"{mean:.2f} s", "sd": f"{mean * spread:.2f} s"})


def _values(page: TomlPage, preset: Preset) -> None:
    for key, value in preset.values.items():
        page.ours(key, value, preset.source.get(key, ""))


def devices_used(short: Short) -> list[str]:
    """Every device that the scenario or one of its variants has somewhere."""
    others = [name for _, swap in swaps(short) for new in swap.values() for name in new]
    own = [COLLAR] if short.written.lifter_collars else []
    return list(dict.fromkeys([*own, *short.devices, *others]))


def walks(short: Short) -> dict[str, float]:
    """Who serves several places, and how far it is from one to the other [m], round the end of the load."""
    along = [each.along for each in short.followers]
    if short.crew.all_sides:
        end = max(short.to_lifters, short.to_point, *along) + read(the("catcher").values["round_the_end"], LENGTH)
        across = 2 * short.half
        return {"hand": across + (end - min(along)) + (end - min(*along, short.to_lifters))}
    along.append(short.to_lifters)
    found = {}
    for hands in short.crew.sides.values():
        if hands.walker:
            stops = [along[place] for place in hands.walks_to]
            found[hands.walker] = max(1.0, max(stops) - min(stops))
    return found


def _lifter(page: TomlPage, short: Short, side: str, catchers: tuple[str, ...]) -> None:
    high, why = short.value("lifter_height", short.load)
    along = page.length(0.0) if short.straight else short.raw["hinge_to_lifters"]
    across = page.length(_across(short, side))
    page.table("lifter", listed=True)
    page.key("name", f"{side} lifter" if len(short.sides) == 2 else "lifter")
    page.key("side", side, "" if len(short.sides) == 2 else "the only one, on the centreline")
    page.key("head", [along, across, page.in_units(high)], f"{_apart(short)}; height: {why}")
    page.key("base", [along, across, page.length(0.0)], "upright under its head")
    page.ours("travel", *short.value("travel", the("lifter")))
    page.key("travel_per_pump", *_travel_per_pump(page, short))
    page.key("operator", short.operator.name)
    if short.written.lifter_collars:
        page.key("capture", [COLLAR], YOURS)
        _catcher(page, short, catchers)


def _across(short: Short, side: str) -> float:
    return -short.half if side == "right" else short.half


def _apart(short: Short) -> str:
    if len(short.sides) == 1:
        return "on the centreline"
    return f"half of what they stand apart: {short.offered('apart')[1]}"


def _travel_per_pump(page: TomlPage, short: Short) -> tuple[str, str]:
    """Of a full stroke: what was counted are strokes as this operator delivers them."""
    by_inch = short.written.strokes_per_inch
    strokes = by_inch or short.written.strokes_per_25_mm
    assert strokes is not None, "short_table.py sees to it that one is there"
    counted, said = (INCH, "1 in") if by_inch else (0.025, "25 mm")
    fill = short.operator.values["fill"]["mean"]
    why = f"{said} / {strokes:g} strokes, as you counted, / {fill:g} of a full one that each delivers"
    size, unit = (INCH, "in") if page.units == "us" else (1e-3, "mm")
    return f"{counted / strokes / fill / size:.6g} {unit}", why


def _station(page: TomlPage, short: Short, follower: Follower, side: str, catchers: tuple[str, ...]) -> None:
    pile = follower.pile
    strut, (high, why) = the("strut"), short.value("lifter_height" if pile else "strut_height", short.load)
    along = follower.written or page.length(follower.along)
    across = page.length(_across(short, side))
    page.table("station", listed=True)
    page.key("name", _called(short, follower, side))
    page.key("side", side)
    page.key("head", [along, across, page.in_units(high)], f"as far apart as the lifters; height: {why}")
    if pile:
        page.key("base", [along, across, page.length(0.0)], "upright")
    else:
        page.key("angle", *short.value("angle", strut))
        page.key("foot", "out", "away from the load")
    page.key("capture", follower.devices, f'with = "{follower.preset.name}"')
    _catcher(page, short, catchers)
    if not pile:
        slack, why = short.value("tie_slack", strut)
        tie = {"kind": strut.values["tie"], "slack": page.in_units(slack)}
        page.key("tie", tie, f"holds its foot in; slack: {why}")
        for key in ("tube", "post", "material", "yield"):
            if key in short.raw:
                page.key(key, short.raw[key], YOURS)


def _called(short: Short, follower: Follower, side: str) -> str:
    return f"{side} {follower.called}" if len(short.sides) == 2 else follower.called


def _catcher(page: TomlPage, short: Short, names: tuple[str, ...]) -> None:
    if names:
        how = short.written.catchers
        page.key("catcher", names[0] if len(set(names)) == 1 else names, f'catchers = "{how}"' if how else "")


def swaps(short: Short) -> Iterator[tuple[str, dict[str, list[str]]]]:
    """Variants: the same lift with what else could follow it, standing the same way."""
    swapped = next((each for each in short.followers if not each.pile), short.followers[0])
    first, *rest = swapped.devices
    kept = {device for each in short.followers if each.preset is not swapped.preset for device in each.devices}
    if kept & set(rest):
        return
    for name, other in kinds("follower").items():
        new = list(other.values["devices"])
        there = any(name == each.preset.name for each in short.followers)
        if not there and other.values["stands"] == swapped.preset.values["stands"]:
            first_swap = {} if new == [first] else {first: new}
            yield name, first_swap | {device: [] for device in rest}


def _variants(page: TomlPage, short: Short) -> None:
    for name, swap in swaps(short):
        page.table("variant", listed=True)
        page.key("name", name)
        page.key("replace", swap)
    for follower in short.followers if len(short.followers) > 1 else ():
        page.table("variant", listed=True)
        page.key("name", f"without the {follower.called}")
        page.key("leave_out", [_called(short, follower, side) for side in short.sides])
    page.table("variant", listed=True)
    page.key("name", "no holds")
    page.key("leader", {"rule": "keep-pace"})
    for row in short.raw.get("variant", []):
        page.table("variant", listed=True, why=YOURS)
        for key, value in row.items():
            page.key(key, _of_the_full_form(value, short) if key == "set" else value)


def _of_the_full_form(values: dict[str, Any], short: Short) -> dict[str, Any]:
    """What a variant sets in the full form; what it sets at keys of the short form has no place there."""
    return {path: value for path, value in values.items() if not steps_to(path, short.raw)}


def _assumed(page: TomlPage, short: Short) -> None:
    """What is marked as assumed: a key of the short form is none of the full one, so its range is only said."""
    marks = marks_of(short.raw)
    if not marks:
        return
    page.table("assumed")
    for path, ends in marks.items():
        if steps_to(path, short.raw):
            page.words(f"{path} = {toml_value(ends)}: of the short form; mark what has come of it")
        else:
            page.key(path, ends)
