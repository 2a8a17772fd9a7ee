"""A cadence in words: the answer as a leader can use it, how sure it is, and who cannot be called any faster."""

from __future__ import annotations

from reports.words.doubt import percent
from reports.words.plain import all_of, clock, count, limit
from reports.words.study import SIMULATION_ONLY
from sim.many.cadence import Cadence, Way, is_looser
from sim.model.units import Units


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
        tried = "No way to call that was tried" + (
            "" if found.looser else ", and that is no looser than your own gap limit,"
        )
        return (
            f"{tried} keeps the chance of a gap over {gap}, and that of a drop over {drop} with the lifter lost, both "
            f"under {percent(found.risk)}."
        )
    block = "" if found.best.gap_limit is None else ", by a gauge block, never a finger or hand"
    words = way_words(found.best, units)
    held = all_of(limits, "gap", "drop").replace("the limits you set", "your limits", 1)
    than = "" if found.looser else ", no looser than your own gap limit"
    return (
        f"The fastest that stayed within {held} in this model{than}: {words}{block}; "
        f"{clock(found.best.time.value)} on average."
    )


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


def _against(utilisation: float) -> str:
    """How a catcher's time stands to the operators'."""
    apart = 100 * abs(utilisation - 1)
    if apart < 0.5:
        return "as long as the operators take"
    return f"{apart:.0f} % {'slower' if utilisation > 1 else 'quicker'} than the operators"


def why(found: Cadence) -> list[str]:
    """Who is the bottleneck, and where chasing stops keeping up."""
    if not found.busy:
        return ["Nothing is captured anywhere: nobody has to keep up."]
    first = found.busy[0]
    lines = [
        f"The operators can take a call every {found.operators:.1f} s. The bottleneck is the {first.station} "
        f"({first.device}): what one call gives takes its catcher {first.seconds:.1f} s"
        + (" once the load is at rest" if first.from_stop else "")
        + f", {_against(first.utilisation)}."
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
    beyond = [way for way in found.ways if way.within(found.risk) and is_looser(way, found.scenario)]
    if beyond and not found.looser:
        fastest = min(beyond, key=lambda way: way.time.value)
        return [
            f"Looser than your own gap limit, and within the risk: {way_words(fastest, found.scenario.units)}. "
            "Advice never loosens: it is no answer unless you ask for it with --looser."
        ]
    if found.would_meet:
        return ["One of these alone would: " + "; ".join(found.would_meet) + "."]
    return [
        "No single change by a fifth would. What would: a finer spacing, a wedge or cribbing beside it, a device that "
        "holds at any height, less slack, fewer strokes a call, or a larger limit."
    ]
