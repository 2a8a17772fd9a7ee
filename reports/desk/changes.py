"""Changes to a plan that are more than one field: what follows the load added or taken out, heads and feet moved."""

from __future__ import annotations

import tomllib
from typing import Any

from reports.desk.cards.fields import Field, opposite
from reports.desk.cards.followers import placed
from reports.desk.cards.full import full_cards
from reports.desk.document import Steps, changed, with_row, with_table, without_row
from reports.desk.look.drawing import Pull
from reports.desk.texts import put
from sim.model.errors import Problem, Refused, ScenarioError
from sim.model.scenario import Lifter, Point, Scenario, Station
from sim.model.units import INCH, LENGTH, Units, read
from sim.written.keys.places import Raw, rows
from sim.written.reading import parse
from sim.written.short.presets import kinds, the
from sim.written.short.short import expand
from sim.written.short.table import is_short
from sim.written.short.toml_page import TomlPage

DEVICES = {
    "strut": "threaded collar",
    "pinned strut": "pin and holes",
    "crib": "cribbing",
    "chain": "chain and hook",
    "strap": "ratchet strap",
}
STAGES: dict[str, dict[str, Any]] = {"raise": {}, "hold": {"time": "10 min"}, "lower": {}}
APART = 0.3  # of what is added from what stands there already, along the load [m]
STEP: dict[Units, tuple[float, str]] = {"us": (0.5 * INCH, "in"), "si": (0.01, "mm")}  # what a drag rounds to
FINE: dict[Units, float] = {"us": 0.125 * INCH, "si": 0.001}


def write_out(text: str, name: str) -> str:
    """A short plan in full form, so that every part can be moved by itself."""
    return expand(text, name)


def add(text: str, name: str, what: str) -> str:
    """A strut, a crib, a chain or a strap more, on each side that has a lifter; or a stage more, at the end.

    Raises
    ------
    Refused
        It is none of these.
    """
    if what in STAGES:
        return _add_stage(write_out(text, name), name, what)
    if what not in DEVICES:
        raise Refused("that cannot be added", "a strut, a crib, a chain or a strap")
    text = write_out(text, name)
    scenario = parse(text, name)
    page, device = TomlPage(scenario.units), kinds("device")[DEVICES[what]]
    values = {key: page.in_units(value) for key, value in device.values.items()}
    text = with_table(text, "device", device.name, values)
    return with_row(text, "station", _row(scenario, what, device.name, page))


def _add_stage(text: str, name: str, what: str) -> str:
    """A stage after the others; the first of all leads up, unless the lift begins half-way."""
    scenario = parse(text, name)
    at = scenario.stages[-1].to if scenario.stages and scenario.stages[-1].do != "hold" else None
    if what == "raise" and at is not None and not at < scenario.need.rise:
        raise Refused("it is all the way up by then", "say first how far the stage before it leads")
    if what != "raise" and not scenario.stages and not scenario.start:
        text = with_row(text, "stage", {"do": "raise"})
    return with_row(text, "stage", {"do": what, **STAGES[what]})


def _row(scenario: Scenario, what: str, device: str, page: TomlPage) -> dict[str, Any]:
    """Where it stands at first: inwards of what stands there, as high as the load is there."""
    lifter = scenario.lifters[0]
    straight = scenario.load.motion == "straight"
    x = min(each.head[0] for each in places(scenario)) - APART
    x = x if straight else max(x, 0.3 * lifter.head[0])
    struts = [s for s in scenario.stations if s.base[:2] != s.head[:2]]
    high = lifter.head[2] if what == "crib" or not struts else struts[0].head[2]
    place: dict[str, Any] = {"name": _free(scenario, what)}
    both = {each.side for each in scenario.lifters} == {"left", "right"}
    place |= {"sides": ["left", "right"]} if both else {"side": lifter.side}
    across = abs(lifter.head[1])
    place["head"] = [page.length(_round(v, page.units)) for v in (x, across, high)]
    if what == "crib":
        place["base"] = [*place["head"][:2], page.length(0.0)]
    else:
        place |= {"angle": the("strut").values["angle"], "foot": "out"}
    place["capture"] = [device]
    if what != "crib":
        place["tie"] = {"kind": the("strut").values["tie"], "slack": page.in_units(the("strut").values["tie_slack"])}
    return place


def _free(scenario: Scenario, what: str) -> str:
    taken = {each.name for each in places(scenario)}
    for n in range(1, 1000):
        name = what if n == 1 else f"{what} {n}"
        if not {name, f"left {name}", f"right {name}"} & taken:
            return name
    raise Refused("there are too many of these", "take some out")


def take_out(text: str, group: str) -> tuple[str, str]:
    """The plan without what a group of its card stands for; and what that was called.

    Raises
    ------
    Refused
        There is no such group, or nothing would follow the load.
    """
    raw = tomllib.loads(text)
    found = next((g for card in full_cards(raw) for g in card.groups if g.removes and g.id == group), None)
    if found is None:
        raise Refused("that is not in this plan any more", "look at it again")
    taken = {(str(steps[0]), int(steps[1])) for field in found.fields for steps in field.steps}
    for kind, at in sorted(taken, reverse=True):
        text = without_row(text, kind, at)
    return _tidied(text), found.title


def _tidied(text: str) -> str:
    """Without what named something that is gone: a variant's devices, a person's walk."""
    raw = tomllib.loads(text)
    used = {name for kind in ("lifter", "station") for _, row in rows(raw, kind) for name in row.get("capture", ())}
    stations = {str(row.get("name")) for _, row in rows(raw, "station")}
    stations |= {f"{side} {name}" for side in ("left", "right") for name in stations}
    gone: list[int] = []
    values: list[tuple[Steps, Any]] = []
    for at, (_, row) in enumerate(rows(raw, "variant")):
        lost = [device for device in row.get("replace", {}) if device not in used]
        left = [name for name in row.get("leave_out", ()) if name in stations]
        if lost and len(lost) == len(row["replace"]) and set(row) <= {"name", "title", "replace"}:
            gone.append(at)
            continue
        values += [(("variant", at, "replace", device), None) for device in lost]
        if left != list(row.get("leave_out", ())):
            values.append((("variant", at, "leave_out"), left))
    text = changed(text, values)
    for at in reversed(gone):
        text = without_row(text, "variant", at)
    return changed(text, [(("catcher", name), None) for name in _idle(tomllib.loads(text))])


def _idle(raw: Raw) -> list[str]:
    """People who are described and work nowhere any more."""
    named: set[str] = set()
    for kind in ("lifter", "station"):
        for _, row in rows(raw, kind):
            who = row.get("catcher", row.get("name"))
            named |= set(who) if isinstance(who, list) else {str(who)}
    return [name for name in raw.get("catcher", {}) if name not in named]


# --- heads and feet


def movable(scenario: Scenario, short: bool) -> frozenset[tuple[str, str]]:
    """What can be taken hold of in the drawing."""
    ends = ("head",) if short else ("head", "base")
    return frozenset((each.name, end) for each in places(scenario) for end in ends)


def move(text: str, name: str, pull: Pull) -> tuple[str, str]:
    """The plan with a head or a foot moved; and what was done.

    Raises
    ------
    Refused
        There is no such place.
    """
    scenario = parse(text, name)
    found = next((each for each in places(scenario) if each.name == pull.place), None)
    if found is None or pull.end not in ("head", "base") or pull.view not in ("side", "end", "above"):
        raise Refused("that is not in this plan any more", "look at it again")
    before: Point = found.head if pull.end == "head" else found.base
    after, units = pull.moved(before), scenario.units
    axes = [axis for axis in range(3) if abs(after[axis] - before[axis]) > 1e-6]
    wanted = {axis: TomlPage(units).length(_round(after[axis], units, pull.fine)) for axis in axes}
    raw = tomllib.loads(text)
    if is_short(raw):
        text = _short_moved(text, raw, scenario, found, wanted)
    else:
        text = _full_moved(text, raw, found, pull.end, before, wanted, units)
    said = ", ".join(wanted.values())
    return text, f"{pull.place}: {'head' if pull.end == 'head' else 'foot'} moved to {said}"


def places(scenario: Scenario) -> list[Lifter | Station]:
    """Lifters and stations."""
    return [*scenario.lifters, *scenario.stations]


def _round(metres: float, units: Units, fine: bool = False) -> float:
    step = FINE[units] if fine else STEP[units][0]
    return round(metres / step) * step


def _short_moved(text: str, raw: Raw, scenario: Scenario, found: Lifter | Station, wanted: dict[int, str]) -> str:
    """In a short plan a head moves along its distance from the hinge line, and its height."""
    pile = isinstance(found, Station) and found.base[:2] == found.head[:2]
    lifter = isinstance(found, Lifter) or pile
    keys = {2: "lifter_height" if lifter else "strut_height"}
    if isinstance(found, Lifter):
        keys[0] = "hinge_to_lifters"
    values: list[tuple[Steps, Any]] = [((keys[axis],), said) for axis, said in wanted.items() if axis in keys]
    if 0 in wanted and isinstance(found, Station):
        at = scenario.stations.index(found) // len(scenario.lifters)
        values += placed(raw, scenario.units, at, wanted[0])
    if 1 in wanted and isinstance(found, Lifter):
        units: Units = "us" if raw.get("units") == "us" else "si"
        page = TomlPage(units)
        values.append((("apart",), page.length(2 * abs(_metres(wanted[1])))))
    if not values:
        raise Refused("a short plan has that from its preset", "write it out in full to move it by itself")
    return changed(text, values)


def _metres(said: str) -> float:
    return read(said, LENGTH)


def _full_moved(
    text: str, raw: Raw, found: Lifter | Station, end: str, before: Point, wanted: dict[int, str], units: Units
) -> str:  # fmt: skip
    """In a full plan any head or foot moves; one that stood at an angle then stands where it was put."""
    kind = "lifter" if isinstance(found, Lifter) else "station"
    cards = full_cards(raw)
    group = next(g for c in cards for g in c.groups if found.name in g.names and g.id.startswith(f"{kind}:"))
    row = next(row for _, row in rows(raw, kind) if row.get("name") in (group.id.partition(":")[2],))
    second = found.side == "right" and row.get("side") != "right"
    if end == "base" and "base" not in row:
        page = TomlPage(units)
        foot = [wanted.get(axis) or page.length(before[axis]) for axis in range(3)]
        rows_of = sorted({field.steps[n][:2] for field in group.fields for n in range(len(field.steps))}, key=str)
        values: list[tuple[Steps, Any]] = []
        for n, at in enumerate(rows_of):
            turned = second != (n == 1)
            values += [((*at, "angle"), None), ((*at, "foot"), None), ((*at, "base"), _turned(foot, turned))]
        return changed(text, values)
    for axis, said in wanted.items():
        field = _field(group.fields, f"{end}.{axis}", found.side)
        own = len(field.steps) == 1 and "sides" not in row
        text = put(text, field, said if axis != 1 or not second or own else opposite(said))
    return text


def _turned(point: list[str], turned: bool) -> list[str]:
    return [point[0], opposite(point[1]), point[2]] if turned else list(point)


def _field(fields: tuple[Field, ...], key: str, side: str) -> Field:
    for field in fields:
        if field.id.endswith((f":{key}", f":{key}:{side}")):
            return field
    raise ScenarioError([Problem(key, "cannot be moved by itself", "write where it stands")])
