"""What a debrief says, in words and rows, for the terminal and the page alike."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from reports.words.answer import answer
from reports.words.drill.observed import but_for_slack, measured
from reports.words.drops import how_far
from reports.words.plain import all_of, clock, count, limit
from sim.drill.against import Predicted, Trend
from sim.drill.crew import Known
from sim.drill.debriefed import Debrief
from sim.drill.drilled import Drill, TimesSpread
from sim.drill.times import CollarLine
from sim.many.statistics import Estimate
from sim.model.units import Units, show, show_up
from sim.record.what import Outcome

COMPUTED = (
    "Times were observed. Gaps, drops and rises are computed from them with the plan's rise a stroke; "
    "a drop is if the station holds; “at least” stands where not all that gives is known."
)
SHOWN = 40  # inferred entries that a page lists


def headline(drill: Drill, units: Units) -> str:
    """One drill in a few sentences."""
    return f"{came_of_it(drill, units)} {held(drill)}"


def came_of_it(drill: Drill, units: Units) -> str:
    """What was measured first, then what the log and the plan make of it."""
    said = (measured(drill, units), answer(drill.summary, drill.record.scenario, units), but_for_slack(drill, units))
    return " ".join(each for each in said if each)


def held(drill: Drill) -> str:
    """Its holds, and the calls made over the limit."""
    s = drill.summary
    holds = f"{count(s['holds'], 'hold')}, {clock(s['hold_time_s'])} in all" if s["holds"] else "No hold"
    over = count(s["over_limit_calls"], "call") if s["over_limit_calls"] else "no call"
    return f"{holds}; {over} over the limit."


def headlines(drills: Sequence[Drill], units: Units) -> tuple[str, str]:
    """All drills in a sentence, and their holds."""
    if len(drills) == 1:
        return came_of_it(drills[0], units), held(drills[0])
    all_of = [d.summary for d in drills]
    raised = sum(s["outcome"] == Outcome.RAISED for s in all_of)
    calls, times = _range([s["calls"] for s in all_of], str), _range([s["duration_s"] for s in all_of], clock)
    widest = max(drills, key=lambda d: float(d.summary["largest_gap"]["gap_m"]))
    gap = widest.summary["largest_gap"]
    where = f", at the {gap['station']} in call {gap['call']} of {widest.name}" if gap["station"] else ""
    largest = f"the largest gap was {show_up(gap['gap_m'], 'length', units)}{where}"
    over = sum(s["over_limit_calls"] for s in all_of)
    holds = _range([s["holds"] for s in all_of], str)
    return (
        f"{len(drills)} drills, {'all' if raised == len(drills) else raised or 'none'} raised: "
        f"{calls} calls in {times}; {largest}.",
        f"{holds} holds a drill, {_range([s['hold_time_s'] for s in all_of], clock)}; "
        f"{count(over, 'call') if over else 'no call'} over the limit in all.",
    )


def _range(values: Sequence[float], said: Callable[[float], str]) -> str:
    low, high = said(min(values)), said(max(values))
    return low if low == high else f"{low} to {high}"


def happened(drill: Drill, units: Units) -> list[tuple[str, str]]:
    """Name and value of what only a drill has, and of the measures that matter."""
    s = drill.summary
    rows = [
        ("from call to call", spread_words(drill.between_calls, even=True)),
        ("from the last caught to the call", spread_words(drill.caught_to_call)),
        ("waited for", waited(s)),
        ("largest passing gap", _or_none(s["largest_passing_gap"]["gap_m"], units)),
        ("largest gap left after capture", _or_none(s["largest_standing_gap"]["gap_m"], units)),
        ("calls over the limit", str(s["over_limit_calls"])),
        ("largest drop, lifter lost", how_far(s["largest_drop_lifter_lost"]).words(units)),
        ("largest level difference", show_up(s["largest_level_difference_m"], "length", units)),
        (
            "rise, once settled",
            f"{show(s['settled_rise_m'], 'length', units)} of {show(s['needed_rise_m'], 'length', units)} needed",
        ),
    ]
    for b in drill.beside:
        rows.append(
            (
                f"measured {b.what}, {b.where}, at {b.time:.1f} s",
                f"{show(b.measured, 'length', units)}; computed {show_up(b.computed, 'length', units)}",
            )
        )
    return rows


def _or_none(metres: float, units: Units) -> str:
    return show_up(metres, "length", units) if metres > 1e-9 else "none"


def together_by_name(drills: Sequence[Drill], units: Units) -> list[tuple[str, list[str]]]:
    """What happened, a row a name and a value a drill."""
    happenings = [dict(happened(drill, units)) for drill in drills]
    names = dict.fromkeys(name for rows in happenings for name in rows)
    return [(name, [rows.get(name, "\N{EN DASH}") for rows in happenings]) for name in names]


def spread_words(spread: TimesSpread, even: bool = False) -> str:
    """Several times in words."""
    if spread.mean is None or spread.shortest is None or spread.longest is None:
        return "not known"
    said = f"{spread.mean:.1f} s on average, {spread.shortest:.1f} to {spread.longest:.1f} s"
    if even and spread.sd is not None and spread.mean > 0:
        said += f"; uneven by {100 * spread.sd / spread.mean:.0f} % (sd over mean)"
    return said


def waited(summary: dict[str, Any]) -> str:
    """Whom the crew waited for, the longest first."""
    found = sorted(summary["waited_for_s"].items(), key=lambda item: -item[1])
    return ", ".join(f"{name} {clock(seconds)}" for name, seconds in found) or "nobody"


def called(known: Known) -> str:
    """A quantity of a kind of person: "steady: react"."""
    return f"{known.sample.name}: {known.sample.quantity}"


def crew_row(known: Known) -> list[str]:
    """One fitted quantity: name, count, mean and its interval, sd and its interval, the plan's, words."""
    s, f = known.sample, known.fit
    unit = " /s" if s.is_rate else " s"
    plan = f"{s.plan.mean:.3g}{unit}" + (f", sd {s.plan.sd:.3g}" if s.plan.sd else "")
    if f is None:
        return [called(known), str(s.noted), "", "", plan, known.words]
    spread = f"under {math.ceil(100 * f.sd.high) / 100:.2f}{unit}" if f.no_spread else between(f.sd, unit)
    return [called(known), str(len(s.values)), between(f.mean, unit), spread, plan, known.words]


def between(e: Estimate, unit: str) -> str:
    """A value and its interval, to the digits that the interval leaves."""
    wide = (e.high if math.isfinite(e.high) else 2 * e.value) - e.low
    most = 3 if unit == " /s" else 2
    places = min(most, max(1, 1 - math.floor(math.log10(wide / 2)))) if wide > 0 else most
    high = f"{e.high:.{places}f}" if math.isfinite(e.high) else "no bound"
    return f"{e.value:.{places}f}{unit} ({e.low:.{places}f} to {high})"


def kept_words(keys: Sequence[str]) -> str:
    """Keys that keep the plan's values, by kind of person or device: "threaded: react, turns; ..."."""
    by_name: dict[str, list[str]] = {}
    for key in keys:
        _, name, quantity = key.split(".", 2) if key.count(".") > 1 else ("", *key.rpartition(".")[::2])
        by_name.setdefault(name, []).append(quantity)
    return "; ".join(f"{name}: {', '.join(quantities)}" for name, quantities in by_name.items())


def line_words(line: CollarLine) -> str:
    """What slope and intercept say of a collar."""
    low, high = line.intercept[1:]
    said = (
        f"{line.device}, {line.count} captures: time from seeing it to caught begins at {line.intercept[0]:.1f} s "
        f"({low:.1f} to {high:.1f}) and grows with what is to be captured"
    )
    if not line.apart:
        return f"{said}; they are too much alike to tell the one from the other, so the plan's react and seat stay"
    if low <= line.plan_intercept <= high:
        return f"{said}; the plan's react and seat together ({line.plan_intercept:.1f} s) lie within that"
    return f"{said}; the plan's react and seat together ({line.plan_intercept:.1f} s) do not: log when work starts"


def value(number: float, dimension: str, units: Units, up: bool = False) -> str:
    """A measure as it is shown."""
    if dimension == "length":
        return show_up(number, "length", units) if up else show(number, "length", units)
    return clock(number) if dimension == "time" else f"{number:.1f}".removesuffix(".0")


def up(key: str) -> bool:
    """Whether a measure is rounded up: gaps and drops are."""
    return "gap" in key or "drop" in key


def predicted_row(p: Predicted, units: Units) -> list[str]:
    """One measure: name, the plan's middle and range, each drill with its place among the plan's lifts."""
    name, middle, reach, *drills = predicted_cells(p, units)
    return [name[0], middle[0], reach[0], *(f"{figure} ({place} of the plan's lifts)" for figure, place in drills)]


def predicted_cells(p: Predicted, units: Units) -> list[tuple[str, str]]:
    """The same as a figure each, and what stands small under it."""

    def said(number: float) -> str:
        return value(number, p.dimension, units, up(p.key))

    low, high = said(p.low), said(p.high)
    cells = [(p.name, ""), (said(p.median), ""), (low if low == high else f"{low} to {high}", "")]
    for drill, share in zip(p.drills, p.below, strict=True):
        same = abs(p.low - p.high) < 1e-9 and abs(drill - p.median) < 1e-9
        cells.append((said(drill), "as nearly all" if same else share_words(share)))
    return cells


def share_words(share: float) -> str:
    """Where in the plan's distribution something lies."""
    percent = round(100 * share)
    if percent >= 98:
        return "more than nearly all"
    if percent <= 2:
        return "less than nearly all"
    return f"more than {percent} in 100"


def trend_row(t: Trend, units: Units) -> list[str]:
    """One measure's change from drill to drill."""
    e = t.change
    shown = [_signed(x, t.dimension, units) for x in (e.value, e.low, e.high)]
    word = "it grows" if e.low > 0 else "it gets less" if e.high < 0 else "no change can be told from chance"
    return [t.name, shown[0], f"{shown[1]} to {shown[2]}", word]


def _signed(change: float, dimension: str, units: Units) -> str:
    if dimension == "length":
        said = show(abs(change), "length", units)
    else:
        said = f"{abs(change):.1f}{' s' if dimension == 'time' else ''}"
    return f"{'-' if change < 0 else '+'}{said}" if any(digit in "123456789" for digit in said) else said


def advice(found: Debrief, units: Units) -> str:
    """What cadence would advise with the crew's own times."""
    if not found.asked_advice:
        return "Not asked: no times were fitted, or the plan was left out."
    way, limits = found.advice, all_of(found.scenario.limits, "gap", "drop")
    if way is None:
        return f"With the crew's own times no way to call keeps within {limits}."
    gaps = "whatever the gaps" if way.gap_limit is None else f"gap limit {limit(way.gap_limit, units)}"
    pace = "as soon as all are ready" if way.pace == 0 else f"a pace of {way.pace:g} s"
    return (
        f"With the crew's own times the fastest way to call within {limits}: {pace}, {gaps}; "
        f"{clock(way.time.value)} on average. The plan has a pace of {found.scenario.leader.pace:g} s and a "
        f"gap limit of {limit(found.scenario.leader.gap_limit, units)}."
    )
