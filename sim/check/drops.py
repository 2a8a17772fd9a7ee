"""What a drop would do: the largest ones of the lift, with what the ties' stretch adds, against the limits set."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sim.check.course import Course
from sim.check.figures import Finding, of
from sim.check.ties import TieLoad
from sim.model.devices import EXACT
from sim.model.units import Units, show_down, show_up
from sim.record.measures import largest_drops, largest_gaps

DROP_SOURCE = "limits.drop (common practice where it is not written)"
GAP_SOURCE = "limits.gap (common practice where it is not written)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drop:
    """The largest drop of a lift, for one kind of loss: if the station holds."""

    drop: float = of("m")
    stretch_drop: float = of("m")  # what the stretch of the tie that holds the station's foot adds
    total: float = of("m")
    side: str
    call: int | None
    energy: float = of("J")
    onto: str | None
    limit: float = of("m")


def drops(course: Course, ties: dict[str, TieLoad]) -> dict[str, Drop]:
    """The largest drop if the pressure, or the whole lifter, were lost."""
    found = {}
    for loss, worst in largest_drops(course.measured).items():
        tie = ties.get(worst["onto"] or "")
        more = tie.stretch_drop or 0.0 if tie and worst["drop_m"] > 0 else 0.0
        more = min(more, worst["rise_m"] - worst["drop_m"])  # the load cannot come down below where it started
        found[loss.removeprefix("largest_drop_")] = Drop(
            drop=worst["drop_m"],
            stretch_drop=more,
            total=worst["drop_m"] + more,
            side=worst["side"],
            call=worst["call"],
            energy=worst["energy_J"],
            onto=worst["onto"],
            limit=course.scenario.limits.drop,
        )
    return found


def stretched(more: float, units: Units) -> str:
    """How much of a drop is for the stretch of a tie [m], in brackets behind the drop; nothing where there is none."""
    return f" ({show_up(more, 'length', units)} of it for a tie's stretch)" if more > 0 else ""


def drop_findings(course: Course, found: dict[str, Drop]) -> Iterator[Finding]:
    """Drops and gaps of the lift over the limits set."""
    units, limits = course.scenario.units, course.scenario.limits
    for loss, worst in found.items():
        if not worst.total <= limits.drop + EXACT:
            far = show_up(worst.total, "length", units) + stretched(worst.stretch_drop, units)
            most = show_down(limits.drop, "length", units)
            said = {"pressure_lost": "the pressure", "lifter_lost": "the whole lifter"}[loss]
            onto = f"onto {worst.onto}, if it holds" if worst.onto else "with nothing above the start to stop it"
            what = f"would drop by {far} if {said} were lost at call {worst.call}, {onto}; the limit is {most}"
            yield Finding("caution", f"{worst.side} side", what, worst.total, limits.drop, "m", DROP_SOURCE)
    largest = largest_gaps(course.measured)["largest_gap"]
    if not largest["gap_m"] <= limits.gap + EXACT:
        wide, most = show_up(largest["gap_m"], "length", units), show_down(limits.gap, "length", units)
        what = f"its gap would reach {wide} at call {largest['call']}; the limit is {most}"
        yield Finding("caution", largest["station"], what, largest["gap_m"], limits.gap, "m", GAP_SOURCE)
