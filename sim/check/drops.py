"""What a drop would do: the largest ones of the lift, with what the ties' stretch adds, against the limits set."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sim.check.course import Course
from sim.check.figures import of
from sim.check.findings import Check, Finding, finding
from sim.check.ties import TieLoad
from sim.model.devices import EXACT
from sim.model.sentences import Part, Sentence, down, up
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


def stretched(more: float) -> Sentence:
    """How much of a drop is for the stretch of a tie [m], in brackets behind the drop; nothing where there is none."""
    return Sentence(" ({more} of it for a tie's stretch)", more=up(more, "length")) if more > 0 else Sentence("")


def drop_findings(course: Course, found: dict[str, Drop]) -> Iterator[Finding]:
    """Drops and gaps of the lift over the limits set."""
    limits = course.scenario.limits
    for loss, worst in found.items():
        if not worst.total <= limits.drop + EXACT:
            yield finding(
                "caution",
                Check.DROP_OVER,
                f"{worst.side} side",
                worst.total,
                limits.drop,
                "m",
                DROP_SOURCE,
                far=up(worst.total, "length"),
                stretched=stretched(worst.stretch_drop),
                loss={"pressure_lost": "the pressure", "lifter_lost": "the whole lifter"}[loss],
                call=str(worst.call),
                onto=f"onto {worst.onto}, if it holds" if worst.onto else "with nothing above the start to stop it",
                most=down(limits.drop, "length"),
            )
    largest = largest_gaps(course.measured)["largest_gap"]
    if not largest["gap_m"] <= limits.gap + EXACT:
        gap = largest["gap_m"]
        said: dict[str, Part] = {
            "wide": up(gap, "length"), "call": str(largest["call"]), "most": down(limits.gap, "length")
        }  # fmt: skip
        yield finding("caution", Check.GAP_OVER, largest["station"], gap, limits.gap, "m", GAP_SOURCE, **said)
