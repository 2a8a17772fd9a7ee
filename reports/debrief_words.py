"""What a debrief says, in words and rows, for the terminal and the page alike."""

from __future__ import annotations

from typing import Any

from reports.words import clock, count
from sim.drill.against import Predicted, Trend
from sim.drill.crew import Known
from sim.drill.debriefed import Debrief
from sim.drill.drilled import Drill, Spread
from sim.drill.times import Line
from sim.statistics import Estimate
from sim.units import Units, show, show_up

COMPUTED = (
    "Times were observed. Gaps, drops and rises are computed from them with the plan's rise a stroke; "
    "drops are upper bounds, each if the station holds."
)
SHOWN = 40  # inferred entries that a page lists


def headline(drill: Drill, units: Units) -> str:
    """One drill in a sentence or two."""
    s = drill.summary
    gap = s["largest_gap"]
    where = f" at the {gap['station']}, call {gap['call']}" if gap["station"] else ""
    holds = f"{count(s['holds'], 'hold')} of {clock(s['hold_time_s'])} in all" if s["holds"] else "no hold"
    return (
        f"{count(s['calls'], 'call')} in {clock(s['duration_s'])}, {holds}; "
        f"largest gap {show_up(gap['gap_m'], 'length', units)}{where}; "
        f"{count(s['over_limit_calls'], 'call')} over the limit."
    )


def happened(drill: Drill, units: Units) -> list[tuple[str, str]]:
    """Name and value of what only a drill has, and of the measures that matter."""
    s = drill.summary
    rows = [
        ("from call to call", spread_words(drill.between_calls, even=True)),
        ("from the last caught to the call", spread_words(drill.caught_to_call)),
        ("waited for", waited(s)),
        ("largest gap being captured", show_up(s["largest_passing_gap"]["gap_m"], "length", units)),
        ("largest gap left standing", show_up(s["largest_standing_gap"]["gap_m"], "length", units)),
        ("calls over the limit", str(s["over_limit_calls"])),
        ("largest drop, lifter lost", show_up(s["largest_drop_lifter_lost"]["drop_m"], "length", units)),
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


def spread_words(spread: Spread, even: bool = False) -> str:
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


def crew_row(known: Known) -> list[str]:
    """One fitted quantity: key, count, mean, interval, sd, interval, the plan's, words."""
    s, f = known.sample, known.fit
    unit = " /s" if s.is_rate else " s"
    plan = f"{s.plan.mean:.3g}{unit}" + (f", sd {s.plan.sd:.3g}" if s.plan.sd else "")
    if f is None:
        return [f"{s.name}: {s.quantity}", str(s.noted), "", "", "", "", plan, known.words]
    return [
        f"{s.name}: {s.quantity}",
        str(len(s.values)),
        f"{f.mean.value:.3g}{unit}",
        between(f.mean),
        f"{f.sd.value:.2g}" if not f.no_spread else "0",
        between(f.sd),
        plan,
        known.words,
    ]


def between(e: Estimate) -> str:
    """An interval."""
    high = f"{e.high:.3g}" if e.high < float("inf") else "no bound"
    return f"{e.low:.3g} to {high}"


def line_words(line: Line) -> str:
    """What slope and intercept say of a collar."""
    low, high = line.intercept[1:]
    said = (
        f"{line.device}, {line.count} captures: time from seeing it to caught begins at {line.intercept[0]:.1f} s "
        f"({low:.1f} to {high:.1f}) and grows with what is to be captured"
    )
    if not line.tells:
        return f"{said}; they are too much alike to tell the one from the other, so the plan's react and seat stay"
    if low <= line.plan_intercept <= high:
        return f"{said}; the plan's react and seat together ({line.plan_intercept:.1f} s) lie within that"
    return f"{said}; the plan's react and seat together ({line.plan_intercept:.1f} s) do not: log when work starts"


def value(number: float, dimension: str, units: Units, up: bool = False) -> str:
    """A measure as it is shown."""
    if dimension == "length":
        return show_up(number, "length", units) if up else show(number, "length", units)
    return f"{number:.1f} s" if dimension == "time" else f"{number:.3g}"


def up(key: str) -> bool:
    """Whether a measure is rounded up: gaps and drops are."""
    return "gap" in key or "drop" in key


def predicted_row(p: Predicted, units: Units) -> list[str]:
    """One measure: name, the plan's middle and range, each drill with its place among the plan's lifts."""
    cells = [p.name, value(p.median, p.dimension, units, up(p.key))]
    cells.append(f"{value(p.low, p.dimension, units, up(p.key))} to {value(p.high, p.dimension, units, up(p.key))}")
    for drill, share in zip(p.drills, p.below, strict=True):
        same = abs(p.low - p.high) < 1e-9 and abs(drill - p.median) < 1e-9
        place = "as nearly all of the plan's lifts" if same else share_words(share)
        cells.append(f"{value(drill, p.dimension, units, up(p.key))} ({place})")
    return cells


def share_words(share: float) -> str:
    """Where in the plan's distribution something lies."""
    percent = round(100 * share)
    if percent >= 98:
        return "more than nearly all of the plan's lifts"
    if percent <= 2:
        return "less than nearly all of the plan's lifts"
    return f"more than {percent} in 100 of the plan's lifts"


def trend_row(t: Trend, units: Units) -> list[str]:
    """One measure's change from drill to drill."""
    e = t.change
    shown = [("+" if x > 0 else "") + value(x, t.dimension, units) for x in (e.value, e.low, e.high)]
    if e.low > 0 or e.high < 0:
        word = "it changes"
    else:
        word = "no change can be told from chance"
    return [t.name, shown[0], f"{shown[1]} to {shown[2]}", word]


def advice(found: Debrief, units: Units) -> str:
    """What cadence would advise with the crew's own times."""
    if not found.asked_advice:
        return "Not asked: no times were fitted, or the plan was left out."
    way = found.advice
    if way is None:
        return "With the crew's own times no way to call keeps within the limits you set."
    limit = "whatever the gaps" if way.gap_limit is None else f"gap limit {show(way.gap_limit, 'length', units)}"
    pace = "as soon as all are ready" if way.pace == 0 else f"a pace of {way.pace:g} s"
    return (
        f"With the crew's own times the fastest way to call within the limits you set: {pace}, {limit}; "
        f"{clock(way.time.value)} on average. The plan has a pace of {found.scenario.leader.pace:g} s and a "
        f"gap limit of {show(found.scenario.leader.gap_limit, 'length', units)}."
    )
