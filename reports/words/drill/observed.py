"""What an observer measured is the answer, the plan's figure beside it; what is far from the plan is asked again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reports.words.plain import clock
from sim.drill.crew import Known
from sim.drill.drilled import Beside, Drill
from sim.model.units import Units, show, show_up

FAR = 3.0  # times the plan's figure
SEEN = 1e-3  # [m]; nobody measures less


def measured(drill: Drill, units: Units) -> str:
    """The last rise and the widest gap that were measured, each with what the plan makes of it; "" of none."""
    rises, gaps = ([b for b in drill.beside if b.what == what] for what in ("rise", "gap"))
    said = []
    if rises:
        last = max(rises, key=lambda b: b.time)
        said.append(f"{show(last.measured, 'length', units)} of rise {_where(last, units)}")
    if gaps:
        widest = max(gaps, key=lambda b: b.measured)
        said.append(f"a gap of {show_up(widest.measured, 'length', units)} {_where(widest, units)}")
    return f"Measured: {'; '.join(said)}." if said else ""


def _where(b: Beside, units: Units) -> str:
    computed = (show_up if b.what == "gap" else show)(b.computed, "length", units)
    where = b.where if b.where.startswith("the ") else f"the {b.where}"
    return f"at {where} after {clock(b.time)} (computed: {computed})"


def but_for_slack(drill: Drill, units: Units) -> str:
    """The largest gap without the slack that was there at the start, where that makes a difference; else ""."""
    largest = drill.summary["largest_gap"]["gap_m"]
    if drill.gap_but_for_slack > largest - 1e-5:
        return ""
    return f"But for the slack at the start the largest gap was {show_up(drill.gap_but_for_slack, 'length', units)}."


def asked_again(drills: Sequence[Drill], known: Sequence[Known], units: Units) -> list[str]:
    """What was observed at over three times the plan's figure, or measured so, as questions to who observed it."""
    return [*_times(known), *(question for drill in drills for question in _sizes(drill, units))]


def _times(known: Sequence[Known]) -> Iterator[str]:
    """Of a rate, as long as it takes: three times as slow."""
    for k in known:
        sample = k.sample
        seen = [(low + high) / 2 for low, high, _ in sample.values if high < float("inf")]
        mean = sum(seen) / len(seen) if seen else 0.0
        if not (mean > 0 and sample.plan.mean > 0):
            continue
        longer = sample.plan.mean / mean if sample.is_rate else mean / sample.plan.mean
        if longer <= FAR:
            continue
        unit = " /s" if sample.is_rate else " s"
        asked = "was that the whole call's pumping?" if sample.quantity == "stroke" else "is that what was timed?"
        plan = f"{sample.plan.mean:.2g}{unit} in the plan"
        yield f"{sample.name}, {sample.quantity}: {mean:.2g}{unit} observed, {plan}: {asked}"


def _sizes(drill: Drill, units: Units) -> Iterator[str]:
    for b in drill.beside:
        if b.measured > SEEN and b.measured > FAR * b.computed:
            yield (
                f"{drill.name}: a {b.what} of {show(b.measured, 'length', units)} {_where(b, units)}: "
                "is the plan's rise a stroke this crew's, and is every stroke in the log?"
            )
