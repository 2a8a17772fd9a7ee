"""Where the load and its captures will be until the next event: what a live drawing moves along.

Reads the site and changes nothing in it, not even by bringing it up to now, so that a rehearsal that is watched gives
the record of one that is not.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf

from sim.model.devices import EXACT
from sim.model.devices.collar import chase
from sim.model.scenario import Station
from sim.model.stops import about_the_other, highest
from sim.story.now import DeviceNow, PlaceNow, SideNow
from sim.story.site import Site

LOSSES = {"pressure": True, "lifter": False}  # loss -> whether the lifter's own capture still holds


@dataclass(frozen=True, slots=True)
class Aim:
    """What a place's demand and captured run evenly to."""

    time: float
    demand: float
    captured: float
    bends: bool  # there, and not because a stroke ends: what is captured goes on otherwise


@dataclass(frozen=True, slots=True)
class Fall:
    """Where a side would be stopped now if its pressure, or its lifter, were lost."""

    side: str
    loss: str
    stop: float  # [rad or m]
    drop: float  # of its head [m]
    onto: str | None


def side_aim(side: SideNow) -> tuple[float, float] | None:
    """When the stroke under way ends, and where [rad or m]; None at rest."""
    return (side.end, side.u_end) if side.end < inf else None


def strokes_of_slack(side: SideNow, strokes: int) -> int | None:
    """About how many strokes spend the slack of this run, going by those made; None once the load moves, or before."""
    if not strokes or side.travel > side.free - EXACT:
        return None
    return max(strokes, ceil(side.free * strokes / side.travel_end - EXACT)) if side.travel_end else None


def place_aim(place: PlaceNow, now: float) -> Aim | None:
    """What a place's demand and captured run to; None where both stand."""
    demand, captured = seen(place, now)
    until = min(s.end for s in place.sides) if place.rate else inf
    turns = min((t for d in place.devices if d.climb for t in _turns(place, d, now, captured)), default=inf)
    end = min(until, now + turns)
    if end == inf or end <= now:
        return None
    at_end = demand + place.rate * (end - now)
    _, held = seen(place, end)
    return Aim(end, at_end, at_end if abs(at_end - held) < EXACT else held, bends=end < until)


def _turns(place: PlaceNow, d: DeviceNow, now: float, captured: float) -> list[float]:
    """In how many seconds a collar being turned meets the load, its end or level, or another device's."""
    ends = place.since + d.ends_in - now
    if ends <= 0:
        return []
    demand, _ = seen(place, now)
    own = _captured(d, demand, max(0.0, now - place.since))
    if d.climb < 0:
        lower = [x.captured for x in place.devices if x is not d and x.captured < own - EXACT]
        return [(own - level) / -d.climb for level in (*lower, place.origin + (d.goes_down_to or 0.0))]
    found = [(demand - own) / (d.climb - place.rate)] if d.climb > place.rate and demand - own > EXACT else []
    return [*found, *([(captured - own) / d.climb] if captured - own > EXACT else []), ends]


def seen(place: PlaceNow, now: float) -> tuple[float, float]:
    """Demand and captured at a place, no later than the next end of a stroke [m]."""
    seconds = max(0.0, now - place.since)
    demand = place.demand + place.rate * seconds
    held = [(d, _captured(d, demand, seconds)) for d in place.devices]
    return demand, max([c for d, c in held if not d.open] or [c for _, c in held])


def falls(site: Site, now: float) -> list[Fall]:
    """Where each side would be stopped, now."""
    found = []
    for side in site.sides:
        u = side.u_at(min(now, side.end))
        other = next((s.u_at(min(now, s.end)) for s in site.sides if s is not side), None)
        for loss, lifter_holds in LOSSES.items():
            held = {
                p.name: min(u, about_the_other(_u_held(p, now), other) if p.where.side == "both" else _u_held(p, now))
                for p in side.places
                if lifter_holds or isinstance(p.where, Station)
            }
            stop = min(u, float(highest(held.values())))
            rises = [site.motion.rise(side.lifter.head, x) for x in (u, stop)]
            onto = next((name for name, at in held.items() if at >= stop > 0), None)
            found.append(Fall(side.lifter.name, loss, stop, max(0.0, rises[0] - rises[1]), onto))
    return found


def moves(site: Site) -> bool:
    """Whether anything is on its way: a side, or a collar being turned."""
    return any(s.end < inf for s in site.sides) or any(d.climb for d in site.devices)


def _captured(d: DeviceNow, demand: float, seconds: float) -> float:
    if not d.climb or not seconds:
        return d.captured
    gap, _ = chase(max(0.0, d.place.demand - d.captured), d.place.rate, d.climb, seconds)
    return min(demand - gap, d.place.origin + d.device.ends_at)


def _u_held(place: PlaceNow, now: float) -> float:
    return 0.0 if place.open else float(place.line.u_at(max(0.0, seen(place, now)[1])))
