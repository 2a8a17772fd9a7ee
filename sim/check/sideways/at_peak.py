"""What the pivot is pushed with when a strut catches a drop: strut and lifters that stay, summed at the peak.

A strut whose foot is held by the ground pushes the load, and the load its pivot. One that is tied to the load does not.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from sim.check.course import Course
from sim.check.findings import Check, Finding, finding
from sim.check.sideways.equilibrium import SLIGHT, Equilibrium, Push, equilibrium, push
from sim.check.sideways.held import held_so_far, what_is_not_given
from sim.check.stations import falls_onto
from sim.model.loads import lifter_force
from sim.model.scenario import Lifter, Pivot, Station
from sim.model.sentences import Part, down, up
from sim.record.series import Array


@dataclass(frozen=True, slots=True)
class PeakPush:
    """The hardest push fore and aft at one contact of the pivot, the push on it: ahead is positive."""

    strut: str  # that catches the drop
    along: float  # [N]
    parted: bool  # False: the track is not known, and this is half of the sum: the busier contact has more


def pivot_at_peak(course: Course) -> PeakPush | None:
    """The hardest push on the pivot over every loss that a strut catches; None where no peak is known."""
    scenario = course.scenario
    found = [
        each
        for lost in scenario.lifters
        for station in scenario.stations
        if lost in course.lifters_of(station) and (each := _caught(course, station, lost))
    ]
    return max(found, key=lambda each: abs(each.along), default=None)


def _caught(course: Course, station: Station, lost: Lifter) -> PeakPush | None:
    """One lifter lost, and the strut that catches what it carried: at the worst instant of the lift."""
    falls = falls_onto(course, station, lost)
    if falls is None or not (known := np.isfinite(falls.peak)).any():
        return None
    load, motion, u, peak = course.scenario.load, course.motion, falls.rest[known], falls.peak[known]
    caught = push(motion, station.head, station.base, peak, u)
    if station.tie is not None and station.tie.to == "load":
        caught = _closed(caught)
    stay = [x for x in course.scenario.lifters if x is not lost]
    pushes = [caught, *(push(motion, x.head, x.base, lifter_force(x, load, motion, u), u) for x in stay)]
    alongs = on_the_contacts(equilibrium(load, motion, pushes, u, course.scenario.pivot.track))
    worst = max((float(part[np.argmax(np.abs(part))]) for part in alongs), key=abs)
    return PeakPush(station.name, worst, len(alongs) > 1)


def on_the_contacts(found: Equilibrium) -> list[Array]:
    """What pushes each contact fore and aft, ahead positive: shape (n,) [N]; without a track half the sum, once."""
    if found.left is not None and found.right is not None:
        return [-np.asarray(x.force[0]) for x in (found.left, found.right)]
    return [np.asarray(found.pushed[0]) / 2]


def _closed(caught: Push) -> Push:
    """A strut whose thrust its tie brings back into the load: it pushes it straight up."""
    return replace(caught, force=(0 * caught.force[0], 0 * caught.force[1], caught.force[2]))


def chock_lacking(pivot: Pivot, along: float) -> bool:
    """Whether nothing holds the pivot on the side that it is pushed to, as far as the file says."""
    return pivot.held == "nothing" or pivot.held == ("chocked-behind" if along > 0 else "chocked-ahead")


def pivot_at_peak_findings(course: Course) -> Iterator[Finding]:
    """The push at the peak of a drop against what holds the pivot."""
    scenario, pivot = course.scenario, course.scenario.pivot
    worst = pivot_at_peak(course) if scenario.load.motion == "hinged" else None
    if worst is None or abs(worst.along) <= SLIGHT * scenario.load.weight:
        return
    each, way = abs(worst.along), "ahead" if worst.along > 0 else "back"
    said: dict[str, Part] = {
        "strut": worst.strut,
        "way": way,
        "each": up(each, "force"),
        "least": "" if worst.parted else " or more",
    }
    if chock_lacking(pivot, worst.along):
        yield finding("stop", Check.PIVOT_UNHELD_AT_PEAK, "pivot", each, 0.0, "N", "statics; the file", **said)
    elif pivot.holds is not None and each > pivot.holds:
        said |= {"most": down(pivot.holds, "force")}
        yield finding("stop", Check.PIVOT_OVER_AT_PEAK, "pivot", each, pivot.holds, "N", "statics; the file", **said)
    elif pivot.holds is None or not worst.parted:
        source, held = what_is_not_given(pivot), held_so_far(pivot)
        yield finding("caution", Check.PIVOT_PUSHED_AT_PEAK, "pivot", each, None, "N", source, held=held, **said)
