"""What a drop would do: the largest ones of the lift, with what then gives, against the limits set."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from operator import itemgetter

from sim.check.course import Course
from sim.check.figures import of
from sim.check.findings import Check, Finding, finding
from sim.model.devices import EXACT
from sim.model.sentences import Part, Sentence, down, up
from sim.record.gaps import largest_gaps
from sim.record.measures import worst_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Drop:
    """The largest drop of a lift, for one kind of loss: if the station holds."""

    drop: float = of("m")  # to the lowest point: the fall, and what then gives
    fall: float = of("m")
    rest: float = of("m")
    peak: float | None = of("N")
    give_known: bool  # False: the drop is at least that much
    total: float = of("m")  # the drop, under the name that it had before
    side: str
    call: int | None
    energy: float = of("J")
    onto: str | None
    limit: float = of("m")
    next_drop: float = of("m")  # the largest one if the station did not hold
    next_onto: str | None


def drops(course: Course) -> dict[str, Drop]:
    """The largest drop if the pressure, or the whole lifter, were lost."""
    found = {}
    for loss, sides in (("pressure_lost", course.pressure_drops), ("lifter_lost", course.drops)):
        worst = worst_of(course.measured, list(sides.values()))
        found[loss] = Drop(
            drop=worst["drop_m"],
            fall=worst["fall_m"],
            rest=worst["rest_m"],
            peak=worst["peak_N"],
            give_known=worst["give_known"],
            total=worst["drop_m"],
            side=worst["side"],
            call=worst["call"],
            energy=worst["energy_J"],
            onto=worst["onto"],
            limit=course.scenario.limits.drop,
            next_drop=worst["next_drop_m"],
            next_onto=worst["next_onto"],
        )
    return found


def at_least(drop: float, known: bool) -> Sentence:
    """A drop as it is said [m]; where not all that gives is known, it is at least that much."""
    return Sentence("{far}" if known else "at least {far}", far=up(drop, "length"))


def drop_findings(course: Course, found: dict[str, Drop]) -> Iterator[Finding]:
    """Drops and gaps of the lift over the limits set."""
    limits = course.scenario.limits
    for loss, worst in found.items():
        if not worst.drop <= limits.drop + EXACT:
            yield finding(
                "caution",
                Check.DROP_OVER,
                f"{worst.side} side",
                worst.drop,
                limits.drop,
                "m",
                limits.source("drop"),
                far=at_least(worst.drop, worst.give_known),
                loss={"pressure_lost": "the pressure", "lifter_lost": "the whole lifter"}[loss],
                call=str(worst.call),
                onto=f"onto {worst.onto}, if it holds" if worst.onto else "with no capture above the start",
                whose=limits.word("drop"),
                most=down(limits.drop, "length"),
            )
    gaps = largest_gaps(course.measured)  # made ones are made on purpose
    largest = max((gaps["largest_passing_gap"], gaps["largest_standing_gap"]), key=itemgetter("gap_m"))
    if not largest["gap_m"] <= limits.gap + EXACT:
        gap = largest["gap_m"]
        said: dict[str, Part] = {
            "wide": up(gap, "length"), "call": str(largest["call"]), "most": down(limits.gap, "length"),
            "whose": limits.word("gap"),
        }  # fmt: skip
        source = limits.source("gap")
        yield finding("caution", Check.GAP_OVER, largest["station"], gap, limits.gap, "m", source, **said)
