"""The figures that are always in sight, and what the check finds, each finding tied to the field that it is about."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from reports.desk.cards.fields import Card, Field, Group
from reports.desk.texts import good
from reports.words.drops import how_far
from reports.words.plain import NOT_KNOWN, clock, count
from reports.words.sheet_sides import Said, gathered
from reports.words.stages import kind_of_largest
from sim.check import Sheet, check
from sim.check.findings import Check, Finding
from sim.check.people import people_needed
from sim.model.scenario import Scenario
from sim.model.sentences import Sentence, up
from sim.model.units import show_up
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.record.record import Record
from sim.record.what import DONE
from sim.story.lift import simulate_fixed
from sim.written.reading import with_values


@dataclass(frozen=True)
class FiguresNow:
    """A plan, simulated at mean times and checked."""

    scenario: Scenario
    record: Record
    summary: dict[str, Any]
    sheet: Sheet


@dataclass(frozen=True)
class Figure:
    """One figure of the strip, and what stands below it; each in either units."""

    name: str
    us: str
    si: str
    below: Sentence | str = ""
    stops: bool = False


@dataclass(frozen=True)
class Tied:
    """A finding, and the field or card that it is about; "" for neither."""

    said: Said
    field: str
    card: str


@lru_cache(maxsize=24)
def reckon(text: str, name: str, values: tuple[tuple[str, str | float], ...] = ()) -> FiguresNow:
    """Simulate and check a plan, with other values in some places; the same is not reckoned again."""
    scenario = good(text, name)
    return reckoned(with_values(scenario, dict(values)) if values else scenario)


def reckoned(scenario: Scenario) -> FiguresNow:
    """A lift at mean times and what the check says of it, from one record where no mishap is in it."""
    record = simulate_fixed(scenario)
    apart = Measured(record)
    checked = check(scenario) if scenario.mishaps else check(scenario, record, apart)
    return FiguresNow(scenario, record, measure(record, apart), checked)


def strip(reckoned: FiguresNow) -> list[Figure]:
    """People, calls, strokes, gap, drop, time, stops."""
    summary, scenario = reckoned.summary, reckoned.scenario
    found = [each.level for each in gathered(reckoned.sheet.findings)]
    stops, cautions = found.count("stop"), found.count("caution")
    calls = f"{summary['calls']:,}"
    return [
        _people(scenario),
        Figure("Calls", calls, calls, "" if summary["outcome"] in DONE else f"result: {summary['outcome']}"),
        _strokes(summary["pumps"]),
        _gap(reckoned),
        _drop(summary),
        Figure("Time", clock(summary["duration_s"]), clock(summary["duration_s"]), _holds(summary)),
        Figure("Stops", str(stops), str(stops), count(cautions, "caution"), stops > 0),
    ]


def _people(scenario: Scenario) -> Figure:
    here = NOT_KNOWN if scenario.people is None else str(scenario.people)
    needed = people_needed(scenario)
    return Figure("People needed", str(needed), str(needed), f"there are: {here}",
                  scenario.people is not None and scenario.people < needed)  # fmt: skip


def _strokes(pumps: dict[str, int]) -> Figure:
    each = list(pumps.values())
    alike = len(set(each)) == 1
    said = f"{each[0]:,}" if alike else " + ".join(f"{n:,}" for n in each)
    return Figure("Strokes", said, said, "at each lifter" if alike and len(each) > 1 else "")


def _gap(reckoned: FiguresNow) -> Figure:
    """The largest from the first call on; what the ties leave at the start is told apart."""
    gap, scenario = reckoned.summary["largest_gap"], reckoned.scenario
    slack = max((station.slack for station in scenario.stations), default=0.0)
    start = Sentence("at the start: {slack} of slack", slack=up(slack, "length")) if slack > 0 else ""
    if gap["station"] is None:
        return Figure("Largest gap", "none", "none", start or "at any station")
    us, si = (show_up(gap["gap_m"], "length", units) for units in ("us", "si"))
    kind = kind_of_largest(reckoned.summary)
    where = f"{f'{kind}, ' if kind else ''}{gap['station']}, call {gap['call']}"
    below = Sentence("{where}; {start}", where=where, start=start) if start else where
    return Figure("Largest gap", us, si, below)


def _drop(summary: dict[str, Any]) -> Figure:
    drops = [summary["largest_drop_pressure_lost"], summary["largest_drop_lifter_lost"]]
    worst = max(drops, key=lambda drop: drop["drop_m"])
    far = how_far(worst)
    return Figure("Largest drop", far.words("us"), far.words("si"), _onto(worst, worst is drops[1]))


def _onto(drop: dict[str, Any], lifter: bool) -> Sentence | str:
    if drop["call"] is None:
        return ""
    lost = "lifter lost" if lifter else "pressure lost"
    onto = f"onto the {drop['onto']}, if it holds" if drop["onto"] else "to the start: no capture above it"
    return f"{lost}, {onto}"


def _holds(summary: dict[str, Any]) -> str:
    return (
        f"{clock(summary['hold_time_s'])} of it in {count(summary['holds'], 'hold')}"
        if summary["holds"]
        else "no holds"
    )


# --- findings and their fields

KEYS: dict[Check, tuple[str, ...]] = {
    Check.LIFTER_UNRATED: ("rated_load",), Check.LIFTER_OVER: ("rated_load",),
    Check.LIFTER_OVER_AT_PEAK: ("rated_load",), Check.LIFTER_OVER_ALONE: ("rated_load",),
    Check.LIFTER_GIVE_UNKNOWN: ("give",), Check.LIFTER_LEANS: ("base.0", "angle"),
    Check.LIFTER_RESETS: ("travel",), Check.LIFTER_SHORT: ("travel",), Check.PUMP_RELIEVES: ("pump",),
    Check.STATION_UNRATED: ("rated_load",), Check.STATION_OVER_AT_REST: ("rated_load",),
    Check.STATION_OVER_AT_PEAK: ("rated_load",), Check.STATION_GIVE_UNKNOWN: ("give",),
    Check.STATION_NEVER_FIRST: ("capture",), Check.STRUT_LEANS: ("angle", "base.1"),
    Check.STRUT_UNSIZED: ("tube",), Check.STRUT_MATERIAL_UNKNOWN: ("material",),
    Check.STRUT_MATERIAL_UNLISTED: ("material",), Check.STRUT_YIELD_UNKNOWN: ("yield",),
    Check.STRUT_BUCKLES_AT_REST: ("tube", "post"),
    Check.STRUT_BUCKLES_AT_PEAK: ("tube", "post"), Check.POST_TOO_SLENDER: ("post",),
    Check.TIE_MISSING: ("tie.kind",), Check.TIE_UNRATED: ("tie.working_load_limit",),
    Check.TIE_OVER_AT_REST: ("tie.working_load_limit",), Check.TIE_OVER_AT_PEAK: ("tie.working_load_limit",),
    Check.TIE_PEAK_UNKNOWN: ("give",), Check.TIE_STRETCHES: ("tie.elongation",),
    Check.CRIB_UNSIZED: ("timber",), Check.CRIB_WIDTH_UNKNOWN: ("timber_length",), Check.CRIB_TALL: ("timber_length",),
    Check.CRIB_SPECIES_UNKNOWN: ("species",), Check.CRIB_SPECIES_UNLISTED: ("species",),
    Check.GROUND_UNKNOWN: ("soil",), Check.GROUND_UNCLASSED: ("soil",), Check.GROUND_BEARS_NOTHING: ("soil",),
    Check.GROUND_EDGE: ("edge",), Check.FOOT_UNSIZED: ("base_area",), Check.FOOT_UNSIZED_NEEDS: ("base_area",),
    Check.FOOT_OVER: ("base_area",), Check.FOOT_OVER_AT_PEAK: ("base_area",), Check.FOOT_UNCLASSED: ("soil",),
    Check.SHARE_GIVEN: ("share",), Check.PEOPLE_FEW: ("people",), Check.PUMPS_FAST: ("stroke.mean", "stroke"),
    Check.PUMPS_SLOWLY: ("stroke.mean", "stroke"), Check.TURNS_FAST: ("turns.mean", "turns"),
    Check.REACTS_FAST: ("react.mean", "react"), Check.HANDLE_WORK: ("travel_per_pump",),
    Check.HANDLE_WORK_ASSUMED: ("travel_per_pump",), Check.HANDLE_EFFORT: ("handle_stroke",),
    Check.GAP_OVER: ("gap_limit", "gap"), Check.DROP_OVER: ("gap_limit", "gap"),
    Check.CG_OUTSIDE: ("cg.1",), Check.CG_BESIDE: ("cg.1",), Check.HALF_WEIGHT: ("cg.0", "weight", "end_weight"),
    Check.CG_FURTHER_OUT: ("cg.0",), Check.CG_FURTHER_OUT_BEFORE: ("cg.0",),
    Check.LIFTER_FOOT_SLIDES: ("tie.kind", "friction"), Check.FOOT_KICKS_OUT: ("friction", "tie.kind"),
    Check.LIFTER_TIED_TO_PIVOT: ("tie.to",), Check.LOAD_PUSHED: ("base.0",),
    Check.PIVOT_HELD_BY_NOTHING: ("held", "pivot_held"), Check.PIVOT_CHOCKED_WRONG: ("held", "pivot_held"),
    Check.PIVOT_UNHELD_AT_PEAK: ("held", "pivot_held"), Check.PIVOT_PUSHED: ("held", "holds", "track", "pivot_held"),
    Check.PIVOT_PUSHED_AT_PEAK: ("held", "holds", "track", "pivot_held"), Check.PIVOT_OVER: ("holds",),
    Check.PIVOT_OVER_AT_PEAK: ("holds",), Check.PIVOT_PUSHED_GRIP: ("friction", "pivot_held"),
}  # fmt: skip
NOT_KNOWN_OF_PIVOT = {Check.PIVOT_PUSHED, Check.PIVOT_PUSHED_AT_PEAK}  # of these the field that is empty is meant
CARDS = {
    "STATION": "follows",
    "STRUT": "follows",
    "POST": "follows",
    "TIE": "follows",
    "TIES": "follows",
    "SIDE": "follows",
    "CRIB": "worked",
    "STATIONS": "follows",
    "LIFTER": "lifters",
    "LIFT": "leader",
    "STAGE": "stages",
    "STAGES": "stages",
    "PUMP": "lifters",
    "PUMPS": "people",
    "HANDLE": "lifters",
    "FOOT": "limits",
    "GROUND": "limits",
    "PEOPLE": "people",
    "CG": "load",
    "HALF": "load",
    "PIVOT": "lifters",
    "LOAD": "lifters",
    "HEADS": "lifters",
    "SHARE": "lifters",
    "DROP": "leader",
    "GAP": "leader",
    "TURNS": "worked",
    "REACTS": "people",
}  # by the first word of a check: the card that it is about
SHORT = {"limits": "follows", "worked": "follows", "stages": "leader"}  # cards that a short plan does not have


def tied(sheet: Sheet, cards: tuple[Card, ...]) -> list[Tied]:
    """The findings, left and right as one, each with its field."""
    findings = list(sheet.findings)
    found = []
    for said in gathered(findings):
        first = next((f for f in findings if f.level == said.level and _same(f, said)), None)
        field, card = _spot(first, cards) if first is not None else ("", "")
        found.append(Tied(said, field, card))
    return found


def _same(finding: Finding, said: Said) -> bool:
    """Whether this is the finding that is said, or the left one of the two."""
    subject = said.subject.replace("left and right", "left")
    return (
        finding.source == said.source
        and finding.what.form == said.what.form
        and subject.startswith(finding.subject[:4])
    )


def _spot(finding: Finding, cards: tuple[Card, ...]) -> tuple[str, str]:
    groups = [(card, group) for card in cards for group in card.groups]
    owner = finding.subject.removesuffix(" tie").removesuffix(" foot")
    own = [(card, group) for card, group in groups if owner in group.names or finding.subject in group.names]
    keys = KEYS.get(finding.check, ())
    there = [(f, c.id) for key in keys for c, group in [*own, *groups] if (f := _keyed(group, key)) is not None]
    if there:
        lacking = [each for each in there if not each[0].value] if finding.check in NOT_KNOWN_OF_PIVOT else []
        field, card = (lacking or there)[0]
        return field.id, card
    if own:
        return "", own[0][0].id
    name = CARDS.get(finding.check.name.split("_")[0], "")
    return "", name if name in {card.id for card in cards} else SHORT.get(name, "")


def _keyed(group: Group, key: str) -> Field | None:
    return next((f for f in group.fields if f.id == key or f.id.rpartition(":")[2] == key), None)
