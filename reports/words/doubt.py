"""The second doubt of a study in words and rows: what its answers hang on, beside how sure the simulation is."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from reports.words.plain import count, limit
from sim.many.doubt import STAND_IN
from sim.many.doubted import Answers, Assumption, Doubt
from sim.many.judged import gap_measure, measures_of
from sim.many.studied import Study
from sim.model.units import Units, show_up

TIME, GAP, OVER = "duration_s", "largest_gap_m", "a gap over the limit"
NAMES = {TIME: "mean time", GAP: "mean largest gap"}  # the answers that are no chances
ENDS = {  # all at once: the ends that the values are at, by what each does alone; together they may do less
    "slowest": "each at its slow end",
    "fastest": "each at its fast end",
    "largest gap": "each at its end of larger gaps",
    "smallest gap": "each at its end of smaller gaps",
}
NOT_ASKED = "not asked"
NOTHING_MARKED = "Nothing is marked as assumed: everyone a fifth slower, a fifth faster stands in"


def percent(value: float) -> str:
    """A share in percent, to the figures that say something at its ends."""
    near = min(value, 1 - value) if value <= 1 else 1.0
    places = 0 if near in (0, 1) else 1 if near >= 0.01 else 2 if near >= 0.0005 else 4
    return f"{100 * value:.{places}f} %"


def said(answer: str, value: float, units: Units) -> str:
    """An answer as people read it."""
    if answer == GAP:
        return show_up(value, "length", units)
    return f"{value:.1f} s" if answer == TIME else percent(value)


def called(answer: str, study: Study) -> Callable[[Units], str]:
    """What an answer is called, with the limit of a chance."""
    if answer == GAP:
        name = f"mean {measures_of(study.scenario)[gap_measure(study.scenario)][0]}"
        return lambda units: name
    if answer in NAMES:
        return lambda units: NAMES[answer]
    length = next(c.limit for c in study.chances if c.name == answer)
    return lambda units: f"chance of {answer}" + ("" if length is None else f" ({limit(length, units)})")


def answers(study: Study) -> list[str]:
    """Those that have ranges, in the order in which they are shown."""
    return [*NAMES, *(c.name for c in study.chances)]


def simulated(answer: str, study: Study, units: Units) -> str:
    """An answer with the interval of its simulation error."""
    chance = next((c.chance for c in study.chances if c.name == answer), None)
    estimate = chance or study.spreads[gap_measure(study.scenario) if answer == GAP else answer].mean
    value, low, high = (said(answer, each, units) for each in (estimate.value, estimate.low, estimate.high))
    return f"{value} ({low} to {high})"


def ranged(ends: tuple[float, float] | None, answer: str, units: Units) -> str:
    """The range of an answer."""
    if ends is None:
        return NOT_ASKED
    low, high = (said(answer, each, units) for each in ends)
    return low if low == high else f"{low} to {high}"


def over_assumed(answer: str, study: Study, units: Units) -> str:
    """The range of an answer over what is assumed."""
    return ranged(study.doubt.over_assumed(answer) if study.doubt else None, answer, units)


def over_crews(answer: str, study: Study, units: Units) -> str:
    """The range of an answer over other crews."""
    return ranged(study.doubt.over_crews(answer) if study.doubt else None, answer, units)


def assumed_head(doubt: Doubt | None) -> str:
    """What the column of these ranges is called."""
    return "over what is assumed" if doubt is None or doubt.marked else "everyone a fifth faster to slower"


def beside(study: Study, units: Units) -> str:
    """The second doubt in one sentence, to stand beside the first."""
    doubt = study.doubt
    if doubt is None or not doubt.values:
        return ""
    where = "Over what is assumed" if doubt.marked else "With everyone a fifth faster to a fifth slower"
    time, gap = (over_assumed(answer, study, units) for answer in (TIME, GAP))
    return f" {where} the mean time is {time}, the mean largest gap {gap}."


def sentences(study: Study, units: Units) -> list[str]:
    """What was simulated for the second doubt, and what matters most."""
    doubt = study.doubt
    if doubt is None:
        return ["What the answers hang on was not asked."]
    return [_simulated(doubt), *_matters(study, doubt, units), *_left_out(doubt)]


def _simulated(doubt: Doubt) -> str:
    lifts = count(doubt.n, "lift")
    if not doubt.marked:
        return f"{NOTHING_MARKED}, {lifts} each. A table [assumed] in the file marks what nobody measured."
    if not doubt.values:
        return "None of the values that are marked as assumed has been simulated in this lift."
    at_once = ", and all at once" if doubt.at_once else ""
    many = count(len(doubt.values), "value")
    is_marked = "is marked as assumed: simulated" if len(doubt.values) == 1 else "are marked as assumed: each simulated"
    return f"{many} {is_marked} at its low and at its high{at_once}, {lifts} each, on the same people."


def _matters(study: Study, doubt: Doubt, units: Units) -> Iterator[str]:
    """For the time, for the gap, and for the chance of one over the limit."""
    if not doubt.marked or not doubt.values:
        return
    for answer in (TIME, GAP, OVER):
        first = doubt.widest(answer)[0]
        name = called(answer, study)(units)
        low, high = (said(answer, ends[answer], units) for ends in (first.at_low, first.at_high))
        here = said(answer, doubt.as_written[answer], units)
        if low == high == here:
            yield f"For the {name} none of them alone makes a difference that shows."
        else:
            yield (
                f"For the {name} {first.path} matters most: {low} at {first.low}, {high} at {first.high}, "
                f"{here} as written."
            )


def _left_out(doubt: Doubt) -> Iterator[str]:
    if doubt.idle:
        yield f"Marked, and no part of this lift: {', '.join(doubt.idle)}."
    if doubt.left_out:
        yield f"Stopped before these were simulated at both ends: {', '.join(doubt.left_out)}."
    if doubt.not_at_once:
        yield f"Not simulated, all at once: {doubt.not_at_once}."


def title_of(bar: Assumption) -> str:
    """A value with its range."""
    return bar.path if bar.path == STAND_IN.path else f"{bar.path}: {bar.low} to {bar.high}"


def rows(study: Study, units: Units) -> Iterator[tuple[str, str, str, list[str]]]:
    """What the answers hang on, the widest by time first: value, low, high, the answers at the one and at the other."""
    doubt = study.doubt
    if doubt is None:
        return
    for bar in doubt.widest(TIME):
        yield bar.path, bar.low, bar.high, [_both(a, bar.at_low, bar.at_high, units) for a in (TIME, GAP, OVER)]
    for each in doubt.at_once:
        yield f"all at once, {ENDS[each.what]}", "", "", [said(a, each.answers[a], units) for a in (TIME, GAP, OVER)]


def _both(answer: str, at_low: Answers, at_high: Answers, units: Units) -> str:
    return f"{said(answer, at_low[answer], units)}, {said(answer, at_high[answer], units)}"
