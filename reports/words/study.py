"""What a study found, in words: the answer in a sentence, the figures of a measure, each with how sure it is."""

from __future__ import annotations

from reports.words.doubt import percent
from reports.words.plain import clock, limit
from sim.many.judged import gap_measure
from sim.many.statistics import Estimate
from sim.many.studied import Help, Study
from sim.model.scenario import Scenario
from sim.model.units import Units, show_up

SIMULATION_ONLY = (
    "Intervals are 95 %, of simulation error only; how good the figures of the people are is another matter."
)


def headline(study: Study, units: Units) -> str:
    """The answer in one sentence."""
    gap, time = study.spreads[gap_measure(study.scenario)], study.spreads["duration_s"]
    over = study.chances[0]
    return (
        f"{study.n:,} lifts: {largest_gap(study.scenario)} median "
        f"{show_up(gap.quantiles[0.5].value, 'length', units)}; 1 lift in 20 has "
        f"more than {show_up(gap.quantiles[0.95].value, 'length', units)}; the chance that it is over "
        f"{limit(over.limit or 0.0, units)} is {share(over.chance)}; "
        f"a lift takes {clock(time.mean.value)} on average{_made(study, units)}."
    )


def largest_gap(scenario: Scenario) -> str:
    """The gap that is held against the limit: of a lift with stages, which kinds that is of."""
    return "largest gap, passing or standing," if scenario.stages else "largest gap"


def _made(study: Study, units: Units) -> str:
    """What is made on purpose on the way down, which no limit is held against."""
    made = study.spreads.get("largest_made_gap_m")
    if made is None or not made.largest:
        return ""
    one_in_twenty = show_up(made.quantiles[0.95].value, "length", units)
    return f"; largest gap made on the way down: 1 lift in 20 has more than {one_in_twenty}"


def share(chance: Estimate) -> str:
    """A chance with its interval."""
    return f"{percent(chance.value)} ({percent(chance.low)} to {percent(chance.high)})"


def figure(value: float, dimension: str, units: Units) -> str:
    """A measure as people read it; lengths of gaps and drops rounded up."""
    if value in (float("inf"), float("-inf")):
        return "not known"
    if dimension == "length":
        return show_up(value, "length", units)
    return f"{value:.1f} s" if dimension == "time" else f"{value:.2f}".rstrip("0").rstrip(".")


def between(estimate: Estimate, dimension: str, units: Units) -> str:
    """The ends of an interval; one that too few lifts leave open is said to be so."""
    low, high = (figure(x, dimension, units) for x in (estimate.low, estimate.high))
    if estimate.high == float("inf"):
        return f"from {low} up" if estimate.low > float("-inf") else "not known"
    return f"up to {high}" if estimate.low == float("-inf") else f"{low} to {high}"


def waits(study: Study) -> list[str]:
    """Whom the crew waits for, the critical catcher first."""
    found = [w for w in study.waited if w.holds > 0]
    if not found:
        return ["The crew waits for nobody: no call was held."]
    return [
        f"{'waits for' if n == 0 else 'then for'} the {w.station}: {percent(w.hold_time)} of the time in holds, "
        f"{percent(w.holds)} of the holds, after {percent(w.calls)} of the calls"
        for n, w in enumerate(found[:4])
    ]


def changed(change: Help, units: Units) -> tuple[str, str]:
    """What a change does to the time and to the largest gap, each with its interval."""
    t, g = change.time, change.gap
    time = f"{tenth(t.value)} s ({tenth(t.low)} to {tenth(t.high)} s)"
    return time, f"{signed(g.value, units)} ({signed_interval(g, units)})"


def tenth(seconds: float) -> str:
    """A difference of times [s], to the tenth; what rounds to nothing has no minus."""
    return f"{round(seconds, 1) + 0.0:+.1f}"


def signed_interval(estimate: Estimate, units: Units) -> str:
    """The interval of a difference of lengths."""
    return f"{signed(estimate.low, units)} to {signed(estimate.high, units)}"


def signed(value: float, units: Units) -> str:
    """A difference of lengths."""
    size, unit, places = (0.0254, "in", 3) if units == "us" else (0.001, "mm", 2)
    return f"{round(value / size, places) + 0.0:+.{places}f} {unit}"
