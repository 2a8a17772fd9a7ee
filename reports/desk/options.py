"""Another way to make the same lift, tried with sliders and kept as a variant with a title."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from reports.desk.document import with_row
from reports.desk.look.figures import FiguresNow, reckon
from reports.desk.plan import State
from reports.lift.run_page import write_run_page
from reports.words.sheet_sides import gathered
from sim.model.devices import Chain, Collar, Device, Pin
from sim.model.errors import Problem, Refused, ScenarioError
from sim.model.scenario import Scenario
from sim.model.units import INCH, Units
from sim.stored.store import slug
from sim.written.keys.places import Raw, rows
from sim.written.keys.quantities import LONGEST_TITLE
from sim.written.reading import parse

MOST_SET = 20


@dataclass(frozen=True)
class Slider:
    """A value that people try other values of."""

    path: str  # as [assumed] has it
    label: str
    values: tuple[str, ...]  # as they would be written, from low to high; the file's own among them
    at: int  # which of them the file has


def sliders(state: State) -> list[Slider]:
    """What can be tried of a plan: strokes a call, gap limit, people, spacing and turning."""
    scenario = state.scenario
    if scenario is None:
        return []
    return [each for each in _all(scenario, state.raw, state.short) if len(each.values) > 1]


def _all(scenario: Scenario, raw: Raw, short: bool) -> Iterator[Slider]:
    leader = {} if short else raw.get("leader", {})
    strokes = "strokes" if short else "leader.strokes"
    if "strokes" in (raw if short else leader):
        yield _whole(strokes, "Strokes a call", scenario.leader.strokes, 1, 10)
    gap = "gap" if short else "leader.gap_limit"
    if short or "gap_limit" in leader:
        yield _length(
            gap,
            "Gap limit",
            scenario.leader.gap_limit,
            scenario.units,
            raw.get("gap") if short else leader.get("gap_limit"),
        )
    if short and raw.get("people") is not None:
        least = 2 + len(scenario.lifters)
        yield _whole("people", "People", int(raw["people"]), least, max(least + 6, int(raw["people"])))
    seen: dict[str, Device] = {device.name: device for place in scenario.places for device in place.capture}
    for name, device in seen.items():
        if isinstance(device, Pin | Chain):
            yield _length(f"device.{name}.spacing", f"Spacing of the {name}", device.spacing, scenario.units)
        if isinstance(device, Collar):
            yield _turns(f"device.{name}.turns", f"Turns of the {name}", device.turns.mean)


def _whole(path: str, label: str, now: int, least: int, most: int) -> Slider:
    values = sorted({*range(least, most + 1), now})
    return Slider(path, label, tuple(str(n) for n in values), values.index(now))


def _length(path: str, label: str, now: float, units: Units, typed: object = None) -> Slider:
    """From a quarter to three times of it, in steps that a rule has."""
    step, unit = (INCH / 16, "in") if units == "us" else (1e-3, "mm")
    size = INCH if units == "us" else 1e-3
    most = max(3 * now, 8 * step)
    every = max(1, math.ceil(most / step / 24))
    numbers = [n * every * step for n in range(1, math.ceil(most / step / every) + 1)]
    numbers = sorted({round(n, 9) for n in numbers if abs(n - now) > step / 4} | {now})
    said = [str(typed) if n == now and isinstance(typed, str) else f"{round(n / size, 5):g} {unit}" for n in numbers]
    return Slider(path, label, tuple(said), numbers.index(now))


def _turns(path: str, label: str, now: float) -> Slider:
    """Turns a minute, in twos."""
    own = round(now * 60, 3)
    numbers = sorted({own, *range(4, max(62, math.ceil(2 * own)), 4)})
    return Slider(path, label, tuple(f"{n:g} /min" for n in numbers), numbers.index(own))


def tried(state: State, asked: Mapping[str, str]) -> dict[str, str]:
    """Of what a page asks for, the values that are not the file's own; only sliders that are there count.

    Raises
    ------
    Refused
        It is no value of a slider.
    """
    values = {}
    for slider in sliders(state):
        said = asked.get(slider.path)
        if said is None or said == slider.values[slider.at]:
            continue
        if said not in slider.values:
            raise Refused("that is none of the values that can be tried", "move the sliders again")
        values[slider.path] = said
    return values


def lift_of(name: str, state: State, asked: Mapping[str, str]) -> FiguresNow:
    """The lift with what the sliders say, everyone at mean times.

    Raises
    ------
    Refused
        It is no whole plan, or cannot be lifted like that.
    """
    whole = state.whole(name)
    values = tuple((path, _number(said)) for path, said in tried(state, asked).items())
    try:
        return reckon(whole.text, name, values)
    except ScenarioError as wrong:
        first = wrong.problems[0]
        what = f"it cannot be lifted like that: {first.place} {first.what}"
        raise Refused(what, first.hint or "move a slider") from None


def lift_page(name: str, state: State, asked: Mapping[str, str]) -> str:
    """The page of that lift."""
    lift = lift_of(name, state, asked)
    return write_run_page(lift.record, lift.summary, gathered(lift.sheet.findings))


def _number(said: str) -> float | str:
    return int(said) if said.isdecimal() else said


def keep(text: str, name: str, title: str, asked: Mapping[str, str]) -> str:
    """The plan with what is tried as a variant of it.

    Raises
    ------
    Refused
        It has no title, or is no other way.
    ScenarioError
        It cannot be read like that.
    """
    title = " ".join(title.split())[:LONGEST_TITLE]
    if not title:
        raise Refused("an option needs a title", "write what it is, such as: two strokes a call")
    if not asked:
        raise Refused("nothing is different from the plan", "move a slider first")
    raw = tomllib.loads(text)
    taken = {str(row.get("name")) for _, row in rows(raw, "variant")} | set(parse(text, name).variants)
    names = (f"{slug(title)}{'' if n == 1 else f' {n}'}" for n in range(1, 1000))
    named = next(each for each in names if each not in taken)
    if any(str(row.get("title")) == title for _, row in rows(raw, "variant")):
        raise ScenarioError([Problem("title", f'there is an option "{title}" already', "call this one otherwise")])
    values = {path: _number(said) for path, said in list(asked.items())[:MOST_SET]}
    return with_row(text, "variant", {"name": named, "title": title, "set": values})


def kept(raw: Raw) -> list[str]:
    """The titles of the options that a file has."""
    return [str(row.get("title") or row.get("name")) for _, row in rows(raw, "variant")]
