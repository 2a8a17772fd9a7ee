"""What each station would carry if its side's lifter were lost: static, and at the peak of the drop it would take then.

The assumption throughout: the first station to stop the load takes all of what that side carried.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sim.check.course import Course
from sim.check.figures import margin, of
from sim.check.findings import MAKER, Check, Finding, Level, finding
from sim.check.lifters import largest
from sim.model.devices import EXACT
from sim.model.devices.protocol import leaves_past_its_end, on_a_strut
from sim.model.loads import axial_force, effort, share_met
from sim.model.scenario import Lifter, Station
from sim.model.sentences import Part, down, up
from sim.record.series import Array

IMPACT = "impact factor 1 + sqrt(1 + 2h/d) (Akin, Rice University)"
ENDS_SOURCE = "what the file says of the device"


@dataclass(frozen=True, slots=True, kw_only=True)
class StationLoad:
    """One station with its side's lifter lost. Thrusts are what its foot pushes with: ahead and left positive."""

    side: str
    lost: str  # the lifter whose loss is the worst for it
    share: float  # of all that the lifters carry, which the station takes then
    others: tuple[str, ...]  # stations on its side, which are taken to carry nothing
    static_start: float = of("N")
    static_worst: float = of("N")  # axial, at rest
    rise_at_worst: float = of("m")  # of its head
    angle_start: float = of("deg")
    angle_end: float = of("deg")
    thrust_along: float = of("N")
    thrust_across: float = of("N")
    foot_force: float = of("N")  # straight down, the most, at rest
    rated_load: float | None = of("N")
    margin: float | None
    stops_first: bool  # whether there is an instant at which it would be the one to stop a load that falls
    drop: float | None = of("m")  # the largest onto it, of the lifter's head; None where it never is the first
    drop_along: float | None = of("m")  # the same, along its own line
    give: float | None = of("m")
    impact_factor: float | None  # at the worst peak
    peak: float | None = of("N")  # axial; None: not known
    margin_peak: float | None

    @property
    def foot_peak(self) -> float | None:
        """Straight down on its foot at the peak of a drop [N]; None: not known, or no drop meets it."""
        if self.peak is None or not self.static_worst > 0:
            return None
        return self.foot_force * self.peak / self.static_worst


def station_load(course: Course, station: Station) -> StationLoad:
    """What one station would carry, for the loss that is the worst for it."""
    return max((_met(course, station, lost) for lost in course.lifters_of(station)), key=_worst)


def _worst(load: StationLoad) -> tuple[float, float]:
    return load.peak or 0.0, load.static_worst


def _met(course: Course, station: Station, lost: Lifter) -> StationLoad:
    """The loss of one lifter, met by one station."""
    motion, u = course.motion, course.sweep(lost)
    share = share_met(course.scenario.load, lost, course.measured.stays(lost), station)
    force = static_force(course, station, share, u)
    along, across, up = course.direction(station.head, station.base, u)
    worst = int(np.argmax(np.abs(force)))  # a pull where its side's part of the load is below 0
    fall = falls_onto(course, station, lost)
    factor = peak = None
    if fall is not None and share >= 0 and np.isfinite(fall.peak).any():
        at = int(np.nanargmax(fall.peak))
        peak = float(fall.peak[at])
        rest = float(static_force(course, station, share, fall.rest[at : at + 1])[0])
        factor = peak / rest if rest > 0 else None
    return StationLoad(
        side=station.side,
        lost=lost.name,
        share=share,
        others=tuple(x.name for x in course.scenario.stations if x is not station and lost in course.lifters_of(x)),
        static_start=float(force[0]),
        static_worst=float(force[worst]),
        rise_at_worst=motion.rise(station.head, float(u[worst])),
        angle_start=math.asin(up[0]),
        angle_end=math.asin(up[-1]),
        thrust_along=largest(-force * along),
        thrust_across=largest(-force * across),
        foot_force=largest(force * up),
        rated_load=station.rated_load,
        margin=margin(station.rated_load, float(force[worst])),
        stops_first=fall is not None,
        drop=None if fall is None else float(fall.drop.max()),
        drop_along=None if fall is None else float(fall.along.max()),
        give=station.give,
        impact_factor=factor,
        peak=peak,
        margin_peak=margin(station.rated_load, peak),
    )


def static_force(course: Course, station: Station, share: float, u: Array) -> Array:
    """Axial force on a station that takes this share of the effort, at rest at u, shape (n,) [N]."""
    load, motion = course.scenario.load, course.motion
    return axial_force(effort(load, motion, u), share, motion.arm(station.head, station.base, u))


@dataclass(frozen=True)
class Falls:
    """The instants of a lift at which one station would be the first to stop a side: each of shape (n,)."""

    drop: Array  # of the lifter's head, with what gives [m]
    along: Array  # along the station's own line, until it is met [m]
    rest: Array  # u of the station's line at first contact [rad or m]
    peak: Array  # axial [N]; nan: not known


def falls_onto(course: Course, station: Station, lost: Lifter) -> Falls | None:
    """What would come down onto a station with this lifter lost, and how; None if nothing ever would."""
    drops = course.drops[lost.name]
    at = np.flatnonzero(np.array([drops.name(n) == station.name for n in drops.first.who]))
    if not len(at):
        return None
    u, stop, other = drops.first.u[at], drops.first.stop[at], drops.first.other
    if station.side == "both" and other is not None:
        u, stop = (u + other[at]) / 2, (stop + other[at]) / 2
    line = course.motion.line(station.head, station.base)
    along = np.maximum(0.0, line.demand(u) - line.demand(stop))
    return Falls(drops.first.drop[at], along, stop, drops.first.peak[at])


def unstopped(course: Course, lost: Lifter) -> float:
    """The most that a side is up with nothing above the start to stop it, were its lifter lost [m]."""
    drops = course.drops[lost.name]
    return float(np.max(np.where(drops.first.who < 0, drops.first.rise, 0.0)))


def station_findings(course: Course, station: Station, load: StationLoad) -> Iterator[Finding]:
    """Rating at rest and at the peak, angle, and what is not known."""
    name, factor, lost = station.name, course.scenario.limits.design_factor, load.lost
    if load.static_worst < 0:
        pull = up(-load.static_worst, "force")
        yield finding(
            "caution", Check.STATION_WOULD_PULL, name, load.static_worst, 0.0, "N", "statics", pull=pull, lost=lost
        )
        return
    worst, static = load.static_worst, up(load.static_worst, "force")
    if station.rated_load is None:
        source = "not given in the file"
        yield finding("caution", Check.STATION_UNRATED, name, worst, None, "N", source, static=static, lost=lost)
    else:
        limit, rated = station.rated_load, down(station.rated_load, "force")
        over: dict[str, Part] = {"lost": lost, "factor": course.scenario.limits.factor_said, "rated": rated}
        if not worst * factor <= limit:
            yield finding(
                "stop", Check.STATION_OVER_AT_REST, name, worst * factor, limit, "N", MAKER, static=static, **over
            )
        elif load.peak is not None and not load.peak * factor <= limit:
            over |= {"peak": up(load.peak, "force"), "drop": up(load.drop_along or 0.0, "length")}
            source = f"{MAKER}; {IMPACT}"
            yield finding("stop", Check.STATION_OVER_AT_PEAK, name, load.peak * factor, limit, "N", source, **over)
    if not load.stops_first:
        yield finding("note", Check.STATION_NEVER_FIRST, name, lost=lost)
    elif load.peak is None:
        yield finding("caution", Check.STATION_GIVE_UNKNOWN, name, worst, None, "N", IMPACT, static=static)
    if on_a_strut(station.capture):
        yield from _angle(course, station, load)


def sharing_findings(stations: dict[str, StationLoad]) -> Iterator[Finding]:
    """How several stations on a side share what is lost: they do not, and the sheet says so, once."""
    if any(load.others for load in stations.values()):
        yield finding("note", Check.STATIONS_SHARE_NOTHING, "stations")


def _angle(course: Course, station: Station, load: StationLoad) -> Iterator[Finding]:
    """The strut's angle against the band, at the start and at the end."""
    low, high = course.scenario.limits.strut_angle
    for when, angle in (("at the start", load.angle_start), ("at the end", load.angle_end)):
        if not low - EXACT <= angle <= high + EXACT:
            limit, off = math.degrees(low if angle < low else high), math.degrees(angle)
            shown = (down if angle < low else up)(angle, "angle")
            source = course.scenario.limits.source("strut_angle")
            yield finding("caution", Check.STRUT_LEANS, station.name, off, limit, "deg", source, angle=shown, when=when)
            return


def reach_findings(course: Course) -> Iterator[Finding]:
    """Devices that end before the rise is reached; where another one of the place goes on, that is a caution."""
    for place in course.scenario.places:
        asked = _asked(course, place)
        short = [device for device in place.capture if leaves_past_its_end(device, asked) > 0]
        level: Level = "stop" if len(short) == len(place.capture) else "caution"
        for device in short:
            ends, needs = down(device.ends_at, "length"), up(asked, "length")
            yield finding(
                level, Check.DEVICE_ENDS, place.name, asked, device.ends_at, "m", ENDS_SOURCE,
                device=device.name, ends=ends, needs=needs,
            )  # fmt: skip


def _asked(course: Course, place: Lifter | Station) -> float:
    """How much longer a place's line gets as high as is asked for; of a lifter that can be re-set, in one run [m]."""
    asked = course.motion.line(place.head, place.base).demand(course.highest)
    if isinstance(place, Lifter) and course.scenario.reset is not None:
        return min(asked, place.travel)
    return asked


def unstopped_findings(course: Course) -> Iterator[Finding]:
    """A side that nothing would stop at some instant, were its lifter lost, further up than the drop wanted."""
    for lifter in course.scenario.lifters:
        rise, limit = unstopped(course, lifter), course.scenario.limits.drop
        if rise > limit + EXACT:
            source = "29 CFR 1910.244(a)(2)(iii): secured at once"
            yield finding(
                "caution", Check.SIDE_UNSTOPPED, lifter.name, rise, limit, "m", source, rise=up(rise, "length")
            )
