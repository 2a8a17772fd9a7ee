"""What the ties must hold so that the feet stay where they are: at rest, and at the peak of a drop."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from sim.check.course import Course
from sim.check.figures import margin, of
from sim.check.findings import Check, Finding, finding
from sim.check.stations import StationLoad, falls_onto, static_force
from sim.model.scenario import Lifter, Point, Station, Tie
from sim.model.sentences import Part, down, up
from sim.record.series import Array

AGGREGATE = "49 CFR 393.106(d): half the weight; a road-transport rule, borrowed"
NOTHING = 1.0  # [N] what an upright strut asks of its tie
SAME = 1e-3  # [m] a tie's end this near to a foot is made fast to it
SIDEWAYS = 0.1  # share of the thrust that a tie out of line leaves to the foot, worth a word


@dataclass(frozen=True, slots=True, kw_only=True)
class TieLoad:
    """One tie, with its side's lifter lost and its station carrying what that did."""

    kind: str
    in_line: float  # cosine between the tie and the thrust that it holds, at the start; 0 or less: it holds nothing
    tension_static: float = of("N")
    tension_peak: float | None = of("N")  # None: not known
    working_load_limit: float | None = of("N")
    limit_source: str
    margin: float | None
    margin_peak: float | None
    stretch: float | None = of("m")  # under the peak, or at rest where that is not known; None past its limit


def stretch(tie: Tie, tension: float) -> float | None:
    """How much longer a tie gets [m]: elongation x length x tension / limit; None where one is not known."""
    if tie.elongation is None or tie.length is None or tie.working_load_limit is None:
        return None
    return tie.elongation * tie.length * tension / tie.working_load_limit


def held_within(tie: Tie, force: float) -> bool:
    """Whether a tie is pulled within its limit, where its stretch is in proportion; past it no figure is given."""
    return tie.working_load_limit is not None and force <= tie.working_load_limit


def tension(course: Course, station: Lifter | Station, tie: Tie, force: Array, u: Array) -> Array:
    """Tension that holds the foot in, in the tie's line, for an axial force at u: arrays of shape (n,) [N].

    The thrust is the force times its horizontal part. A tie made fast level with the foot, in the strut's plane, takes
    just that; another one more, by the cosine between it and the thrust. Infinite where it pulls the wrong way.
    """
    along, across, _ = course.direction(station.head, station.base, u)
    thrust = force * np.hypot(along, across)
    cosine = in_line(tie, station.base, along, across)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(thrust < 1e-9, 0.0, np.where(cosine > 1e-6, thrust / cosine, np.inf))


def in_line(tie: Tie, foot: Point, along: Array, across: Array) -> Array:
    """Cosine, -1 to 1, between a tie and the pull that its foot needs, towards below the head: shape (n,)."""
    flat = np.hypot(along, across)
    if tie.anchor is None:
        return np.ones_like(flat)
    x, y, _ = (there - here for there, here in zip(tie.anchor, foot, strict=True))
    length = math.dist(tie.anchor, foot)
    if not length > 0:
        return np.zeros_like(flat)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(flat > 0, (x * along + y * across) / (flat * length), 0.0)


def tie_load(course: Course, station: Station, load: StationLoad) -> TieLoad:
    """What the tie of one station must hold."""
    tie = station.tie
    assert tie is not None
    lost = next(x for x in course.scenario.lifters if x.name == load.lost)
    u = course.sweep(lost)
    along, across, _ = course.direction(station.head, station.base, u)
    static = float(tension(course, station, tie, static_force(course, station, load.share, u), u).max())
    peak = peak_tension(course, station, tie, lost)
    under = static if peak is None else peak
    within = held_within(tie, under)
    longer = stretch(tie, under) if within else None
    return TieLoad(
        kind=tie.kind,
        in_line=float(in_line(tie, station.base, along, across)[0]),
        tension_static=static,
        tension_peak=peak,
        working_load_limit=tie.working_load_limit,
        limit_source=tie.limit_source,
        margin=margin(tie.working_load_limit, static),
        margin_peak=margin(tie.working_load_limit, peak),
        stretch=longer,
    )


def peak_tension(course: Course, station: Station, tie: Tie, lost: Lifter) -> float | None:
    """The most tension at the peak of a drop [N]; None where the station's give is not known, or no drop meets it."""
    falls = falls_onto(course, station, lost)
    if falls is None:
        return None
    pulled = tension(course, station, tie, falls.peak, falls.rest)
    return float(np.nanmax(pulled)) if np.isfinite(falls.peak).any() else None


def tie_findings(course: Course, station: Station, load: StationLoad, held: TieLoad | None) -> Iterator[Finding]:
    """A limit that is not known, or not enough; a tie that pulls the wrong way."""
    name, pushes = station.name, math.hypot(load.thrust_along, load.thrust_across)
    thrust = up(pushes, "force")
    if held is None or load.static_worst < 0:
        return  # nothing ties it; or it would have to pull: its station says so
    subject = f"{name} tie"
    if not held.in_line > 1e-6 or not math.isfinite(held.tension_static):
        yield finding("stop", Check.TIE_PULLS_WRONG, subject, source="statics", thrust=thrust)
        return
    if held.in_line < 1 - SIDEWAYS:
        cosine = f"{held.in_line:.2f}"
        yield finding("note", Check.TIE_OUT_OF_LINE, subject, held.in_line, 1.0, "", "statics", cosine=cosine)
    assert station.tie is not None
    yield from limit_findings(course, subject, station.tie, held.tension_static, held.tension_peak)
    yield from _stretches(subject, station.tie, held)


def limit_findings(course: Course, subject: str, tie: Tie, rest: float, peak: float | None) -> Iterator[Finding]:
    """Tension times the design factor against a tie's working load limit.

    Parameters
    ----------
    course : Course
        The lift, swept.
    subject : str
        Whose tie it is, in words.
    tie : Tie
        With its limit, or none.
    rest, peak : float
        The most tension at rest and at the peak of a drop [N]; None where the peak is not known.
    """
    factor, limit, source = course.scenario.limits.design_factor, tie.working_load_limit, tie.limit_source
    if rest < NOTHING:
        return
    static = up(rest, "force")
    if limit is None:
        yield finding("caution", Check.TIE_UNRATED, subject, rest, None, "N", "not given in the file", static=static)
        return
    over: dict[str, Part] = {"factor": course.scenario.limits.factor_said, "most": down(limit, "force")}
    if not rest * factor <= limit:
        yield finding("stop", Check.TIE_OVER_AT_REST, subject, rest * factor, limit, "N", source, static=static, **over)
    elif peak is None:
        yield finding("caution", Check.TIE_PEAK_UNKNOWN, subject, rest, limit, "N", source, static=static)
    elif not peak * factor <= limit:
        over |= {"peak": up(peak, "force")}
        yield finding("stop", Check.TIE_OVER_AT_PEAK, subject, peak * factor, limit, "N", source, **over)


def _stretches(subject: str, tie: Tie, held: TieLoad) -> Iterator[Finding]:
    """How much longer it gets, where that is a figure."""
    if held.tension_static < NOTHING or tie.working_load_limit is None:
        return
    if held.stretch is not None:
        source = "elongation given in the file"
        longer = up(held.stretch, "length")
        yield finding("note", Check.TIE_STRETCHES, subject, held.stretch, None, "m", source, longer=longer)
    elif tie.elongation is not None:
        yield finding("caution", Check.TIE_STRETCH_NO_FIGURE, subject, source="elongation given in the file")


def aggregate_findings(course: Course, ties: dict[str, TieLoad]) -> Iterator[Finding]:
    """All the ties together against half the weight; one from foot to foot is written at both, and is one."""
    load = course.scenario.load
    if not ties:
        return
    limits = [ties[station.name].working_load_limit for station in _once(course.scenario.stations)]
    known = [limit for limit in limits if limit is not None]
    if len(known) < len(limits) or not load.weight_known:
        lacking = "the whole weight" if not load.weight_known else "a tie's working load limit"
        yield finding("caution", Check.TIES_TOGETHER_UNKNOWN, "ties", source=AGGREGATE, lacking=lacking)
    elif not sum(known) >= load.weight / 2:
        all_of_them, half = sum(known), load.weight / 2
        said = {"together": down(all_of_them, "force"), "half": up(half, "force")}
        yield finding("caution", Check.TIES_TOGETHER_UNDER, "ties", all_of_them, half, "N", AGGREGATE, **said)


def _once(stations: Iterable[Station]) -> Iterator[Station]:
    """Those with a tie, but of two whose ties are made fast to each other's feet only the first."""
    seen: list[tuple[Point, Point]] = []
    for station in stations:
        if station.tie is None:
            continue
        ends = station.base, station.tie.anchor or station.base
        if not any(math.dist(ends[0], far) < SAME and math.dist(ends[1], near) < SAME for near, far in seen):
            yield station
        if station.tie.anchor is not None:
            seen.append(ends)
