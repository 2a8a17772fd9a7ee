"""A study, or a cadence, on the terminal: the answer first, then the figures, each with how sure it is."""

from __future__ import annotations

from rich.console import Console
from rich.table import Table
from rich.text import Text

from reports.terminal.lift import CAUTION
from reports.words import doubt as doubts
from reports.words.doubt import percent
from reports.words.plain import clock, count, limit
from sim.many.cadence import Cadence, Way
from sim.many.statistics import Estimate
from sim.many.studied import MEASURES, Help, Study
from sim.model.units import Units, show_up

SIMULATION_ONLY = (
    "Intervals are 95 %, of simulation error only; how good the figures of the people are is another matter."
)


def show_study(study: Study, console: Console, file: str) -> None:
    """Print a study."""
    console.print(Text(headline(study, study.scenario.units), style="bold"))
    if study.n < study.wanted:
        console.print(
            Text(f"Stopped early: {study.n:,} of {study.wanted:,} replications were finished and count here.")
        )
    beside = doubts.beside(study, study.scenario.units)
    console.print(Text(f"Simulated by {study.told_by}. {SIMULATION_ONLY}{beside}"))
    console.print()
    console.print(_measures(study))
    console.print()
    console.print(_answers(study))
    console.print()
    for line in doubts.sentences(study, study.scenario.units):
        console.print(Text(line))
    console.print()
    if study.doubt and study.doubt.marked and study.doubt.values:
        console.print(_assumed(study))
        console.print()
    for line in waits(study):
        console.print(Text(line))
    console.print()
    if study.helps:
        console.print(_helps(study))
        console.print()
    for named in study.named:
        gap = show_up(named.gap, "length", study.scenario.units)
        console.print(Text(f"{named.which}: {gap}, {clock(named.time)}: {study.command(named, file)}"))
    console.print(Text(f"\n{CAUTION}", style="italic"))


def headline(study: Study, units: Units) -> str:
    """The answer in one sentence."""
    gap, time = study.spreads["largest_gap_m"], study.spreads["duration_s"]
    over = study.chances[0]
    return (
        f"{study.n:,} lifts: the largest gap is {show_up(gap.quantiles[0.5].value, 'length', units)} in the middle one "
        f"and over {show_up(gap.quantiles[0.95].value, 'length', units)} in one of twenty; the chance that it is over "
        f"{limit(over.limit or 0.0, units)} is {share(over.chance)}; "
        f"a lift takes {clock(time.mean.value)} on average."
    )


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


def _measures(study: Study) -> Table:
    units = study.scenario.units
    table = Table(show_edge=False, pad_edge=False)
    for head in ("", "mean", "sd", "1 in 20 below", "middle", "1 in 20 above", "(between)"):
        table.add_column(head, justify="left" if not head else "right")
    for name, (said, dimension) in MEASURES.items():
        s = study.spreads[name]
        high = s.quantiles[0.95]
        values = (s.mean.value, s.sd, s.quantiles[0.05].value, s.quantiles[0.5].value, high.value)
        table.add_row(
            Text(said), *(figure(x, dimension, units) for x in values), between(high, dimension, units),
        )  # fmt: skip
    return table


def _answers(study: Study) -> Table:
    """Each answer with its two doubts, apart."""
    units = study.scenario.units
    table = Table(show_edge=False, pad_edge=False)
    table.add_column("")
    table.add_column("simulated (simulation error only)", justify="right")
    table.add_column(doubts.assumed_head(study.doubt), justify="right")
    crews = study.doubt is not None and bool(study.doubt.crews)
    if crews:
        table.add_column("over other crews", justify="right")
    for answer in doubts.answers(study):
        row = [doubts.called(answer, study)(units), doubts.simulated(answer, study, units)]
        row.append(doubts.over_assumed(answer, study, units))
        row += [doubts.over_crews(answer, study, units)] if crews else []
        table.add_row(*map(Text, row))
    return table


def _assumed(study: Study) -> Table:
    """What the answers hang on, the widest first."""
    units = study.scenario.units
    table = Table(
        show_edge=False,
        pad_edge=False,
        title="what the answers hang on, the widest by time first",
        title_justify="left",
    )
    for head in (
        "value",
        "low",
        "high",
        "mean time at low, high",
        "mean largest gap",
        "chance of a gap over the limit",
    ):
        table.add_column(head, justify="left" if head == "value" else "right")
    for path, low, high, cells in doubts.rows(study, units):
        table.add_row(*map(Text, (path, low, high, *cells)))
    return table


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


def _helps(study: Study) -> Table:
    table = Table(show_edge=False, pad_edge=False)
    table.add_column("what would help: one change, the same people")
    for head in ("time (between)", "largest gap (between)"):
        table.add_column(head, justify="right")
    for change in study.helps:
        table.add_row(*map(Text, (change.change, *changed(change, study.scenario.units))))
    return table


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


# --- the cadence


def show_cadence(found: Cadence, console: Console) -> None:
    """Print a cadence."""
    units = found.scenario.units
    console.print(Text(answer(found, units), style="bold"))
    for line in cadence_lines(found, units):
        console.print(Text(line))
    console.print()
    table = Table(
        show_edge=False,
        pad_edge=False,
        title="of the lifts it was chosen on: no other is both faster and closer",
        title_justify="left",
    )
    for head in ("how", "mean time", "95th percentile of the gap", "chance over, under", "drop over, under"):
        table.add_column(head, justify="left" if head == "how" else "right")
    for way in found.frontier:
        table.add_row(
            Text(way_words(way, units)), clock(way.time.value), show_up(way.gap, "length", units),
            percent(way.gap_risk), percent(way.drop_risk),
        )  # fmt: skip
    console.print(table)
    console.print(Text(f"\n{CAUTION}", style="italic"))


def way_words(way: Way, units: Units) -> str:
    """A way to call, as a leader would say it."""
    pace = (
        f"one call every {way.pace:g} s"
        if way.pace
        else f"call as soon as all are ready (about every {way.between_calls:.0f} s)"
    )
    if way.gap_limit is None:
        return f"{pace}; never hold"
    return f"{pace}; hold at {limit(way.gap_limit, units)}"


def answer(found: Cadence, units: Units) -> str:
    """The answer as words that a leader can use."""
    limits = found.scenario.limits
    gap, drop = limit(limits.gap, units), limit(limits.drop, units)
    if found.best is None:
        return (
            f"No way to call that was tried keeps the chance of a gap over {gap}, and that of a drop over {drop} with "
            f"the lifter lost, both under {percent(found.risk)}."
        )
    block = "" if found.best.gap_limit is None else ", by a gauge block, never a finger or hand"
    words = way_words(found.best, units)
    return f"{words[0].upper()}{words[1:]}{block}: {clock(found.best.time.value)} on average."


def cadence_lines(found: Cadence, units: Units) -> list[str]:
    """What stands under the answer."""
    early = f"Stopped early: {len(found.ways)} of {count(found.wanted, 'way')} to call were tried and count here."
    lines = [how_sure(found, units), *why(found), *would(found)]
    return [early, *lines] if len(found.ways) < found.wanted else lines


def how_sure(found: Cadence, units: Units) -> str:
    """How sure the answer is, or what came nearest."""
    best = found.best
    if best is None:
        nearest = min(found.ways, key=lambda w: max(w.gap_risk, w.drop_risk))
        return (
            f"Nearest: {way_words(nearest, units)}: chance of a gap over the limit under {percent(nearest.gap_risk)}, "
            f"of a drop under {percent(nearest.drop_risk)}, with 95 % confidence."
        )
    return (
        f"With 95 % confidence the chance of a gap over the limit is under {percent(best.gap_risk)}, of a drop over it "
        f"under {percent(best.drop_risk)} (wanted: {percent(found.risk)}), in {count(best.n, 'lift')} with people that "
        f"it was not chosen on; mean time {best.time.low:.1f} to {best.time.high:.1f} s. {SIMULATION_ONLY}"
    )


def why(found: Cadence) -> list[str]:
    """Who is the bottleneck, and where chasing stops keeping up."""
    if not found.busy:
        return ["Nothing is captured anywhere: nobody has to keep up."]
    first = found.busy[0]
    lines = [
        f"The operators can take a call every {found.operators:.1f} s. The bottleneck is the {first.station} "
        f"({first.device}): what one call gives takes its catcher {first.seconds:.1f} s"
        + (" once the load is at rest" if first.from_stop else "")
        + f", {100 * first.utilisation:.0f} % of that."
    ]
    if first.utilisation > 1:
        lines.append(
            f"Called faster than every {found.keeps_up_from:.1f} s without holds, it falls further behind each time."
        )
    else:
        lines.append("On average every catcher keeps up with the operators, even without holds.")
    return lines


def would(found: Cadence) -> list[str]:
    """What would make it possible, where nothing tried did."""
    if found.best is not None:
        return []
    if found.would_meet:
        return ["One of these alone would: " + "; ".join(found.would_meet) + "."]
    return [
        "No single change by a fifth would. What would: a finer spacing, a wedge or cribbing beside it, a device that "
        "holds at any height, less slack, fewer strokes a call, or a larger limit."
    ]
