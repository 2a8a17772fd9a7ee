"""What holds the load in the simple simulator, and what is measured of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from tests.simple.physics import EXACT, moved, rise_of


@dataclass
class SimpleResult:
    """What came out, SI units. Gaps are (value, station, call, time), drops (value, side, time, energy)."""

    outcome: str = ""
    reason: str = ""
    calls: int = 0
    calls_down: int = 0  # of them
    call_times: list = field(default_factory=list)
    pumps: dict = field(default_factory=dict)  # lifter -> strokes begun
    duration: float = 0.0
    stages: list = field(default_factory=list)  # with do, outcome, calls, end, rise
    holds: int = 0
    hold_time: float = 0.0
    over_limit_calls: int = 0
    levelling_calls: int = 0
    largest_gap: tuple = (0.0, "", 0, 0.0)
    largest_passing_gap: tuple = (0.0, "", 0, 0.0)
    largest_standing_gap: tuple = (0.0, "", 0, 0.0)
    largest_made_gap: tuple = (0.0, "", 0, 0.0)
    largest_drop_pressure_lost: tuple = (0.0, "", 0.0, 0.0)
    largest_drop_lifter_lost: tuple = (0.0, "", 0.0, 0.0)
    largest_level_difference: float = 0.0
    final_level_difference: float = 0.0
    ram_travel: dict = field(default_factory=dict)  # lifter -> travel, all its runs together
    head_rise: dict = field(default_factory=dict)
    point_rise: float = 0.0
    settled_rise: float = 0.0
    captures: dict = field(default_factory=dict)  # station -> pieces of work that ended
    open_time: dict = field(default_factory=dict)
    hands_in_on_rams_alone: float = 0.0
    station_gap: dict = field(default_factory=dict)  # station -> its largest gap
    history: dict = field(default_factory=dict)  # station -> [(time, demand, captured)], if sampled


class Measures:
    """What a SimpleLift says of how it stands."""

    def gap(self, place):
        return place.demand - self.best(place)

    def best(self, place):
        """What the station holds; all open: what its devices held when they were opened."""
        works = place.works
        if len(works) == 1:
            return works[0].captured
        return max([w.captured for w in works if not w.open] or [w.captured for w in works])

    def is_open(self, place):
        return all(work.open for work in place.works)

    def held_u(self, place):
        """The u at which the station holds the load; the start if it is open."""
        if self.is_open(place):
            return 0.0
        captured = self.best(place)
        if place.cached[0] != captured:
            place.cached = (captured, place.line.held(captured))
        return place.cached[1]

    def side_stop(self, ram, own):
        return max([0.0] + [self.held_u(p) for p in self.places if p.side == ram.side and (own or not p.own)])

    def both_holds(self):
        return max([0.0] + [self.held_u(p) for p in self.places if p.side == "both"])

    def stop_after(self, ram, own):
        """Where a side would come to rest that loses its pressure, or (own=False) its lifter."""
        others = [r.u for r in self.rams if r is not ram]
        across = self.both_holds()
        turned = 2 * across - others[0] if others else across
        return min(ram.u, max(self.side_stop(ram, own), turned))

    def drop_after(self, ram, own):
        """How far a head comes down in all: the fall, and what then gives, of those that meet it at once the most."""
        others = [r for r in self.rams if r is not ram]
        other = others[0] if others else None
        stops = []
        for place in self.places:
            if place.side not in (ram.side, "both") or (place.own and not own):
                continue
            stop = self.held_u(place)
            if place.side == "both" and other is not None:
                stop = 2 * stop - other.u
            stops.append((min(stop, ram.u), place))
        highest = max([0.0] + [stop for stop, _ in stops])
        if highest <= EXACT:
            return self.head_rise(ram)
        return max(self.drop_onto(ram, other, stop, p) for stop, p in stops if stop > highest - EXACT)

    def drop_onto(self, ram, other, stop, place):
        """A spring's answer: d + sqrt(d^2 + 2 h d) along the line, brought back to the head."""
        fall = self.head_rise(ram) - self.head_rise(ram, stop)
        where, line = place.where, place.line
        if where.give is None:
            return fall
        middle = place.side == "both" and other is not None
        now, met = ((ram.u + other.u) / 2, (stop + other.u) / 2) if middle else (ram.u, stop)
        share = ram.lifter.share
        if middle:
            share = min(1.0, share / self.part_of_the_way(ram, other, where))
        force, length = line.force(share, met), line.length(met)
        x, _ = moved(self.scenario.load, (where.head[0], where.head[2]), met)
        flat = math.hypot(x - where.base[0], where.head[1] - where.base[1]) / length
        fell, tie, d = line.length(now) - length, getattr(where, "tie", None), where.give
        if tie is not None and None not in (tie.elongation, tie.length, tie.working_load_limit):
            softer = d + force * flat * flat * tie.elongation * tie.length / tie.working_load_limit
            if force * (1 + math.sqrt(1 + 2 * fell / softer)) * flat <= tie.working_load_limit:
                d = softer
        lowest = max(line.start, length - d - math.sqrt(d * d + 2 * fell * d))
        u = line.u_at(lowest)
        u = max(0.0, 2 * u - other.u if middle else u)
        return self.head_rise(ram) - self.head_rise(ram, min(u, stop))

    def part_of_the_way(self, ram, other, where):
        """How far from the lifter that stays towards the one that is lost a station on both sides stands."""
        a, b, p = ram.lifter.head, other.lifter.head, where.head
        if self.scenario.load.motion == "hinged":
            return (p[1] - b[1]) / (a[1] - b[1])
        span = (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2
        return ((p[0] - b[0]) * (a[0] - b[0]) + (p[1] - b[1]) * (a[1] - b[1])) / span

    def point_rise(self, u=None):
        u = sum(ram.u for ram in self.rams) / len(self.rams) if u is None else u
        return rise_of(self.scenario.load, self.scenario.need.point, u)

    def settled_rise(self):
        stops = [self.side_stop(ram, own=True) for ram in self.rams]
        return self.point_rise(max(sum(stops) / len(stops), self.both_holds()))

    def head_rise(self, ram, u=None):
        return rise_of(self.scenario.load, ram.lifter.head, ram.u if u is None else u)

    def measure(self):
        out, now = self.result, self.wall()
        for place in self.places:
            if self.calls:
                gap = self.gap(place)
                found = (gap, place.name, self.calls, now)
                place.largest = max(place.largest, gap)
                if gap > out.largest_gap[0]:
                    out.largest_gap = found
                if self.is_made(place):
                    if gap > out.largest_made_gap[0]:
                        out.largest_made_gap = found
                elif all(work.caught for work in place.works):
                    if gap > out.largest_standing_gap[0]:
                        out.largest_standing_gap = found
                elif gap > out.largest_passing_gap[0]:
                    out.largest_passing_gap = found
            is_open = self.is_open(place)
            if is_open and place.open_since is None:
                place.open_since = now
            elif not is_open and place.open_since is not None:
                place.open_time, place.open_since = place.open_time + now - place.open_since, None
        rises = [self.head_rise(ram) for ram in self.rams]
        out.largest_level_difference = max(out.largest_level_difference, max(rises) - min(rises))
        for ram in self.rams if self.drops else []:
            for name, own in (("largest_drop_pressure_lost", True), ("largest_drop_lifter_lost", False)):
                stop = self.stop_after(ram, own)
                drop = self.drop_after(ram, own)
                if drop > getattr(out, name)[0]:
                    load = self.scenario.load
                    fall = rise_of(load, load.cg, ram.u) - rise_of(load, load.cg, stop)
                    setattr(out, name, (drop, ram.side, now, ram.lifter.share * load.weight * fall))

    def count_hands(self):
        """Since the last look at them hands were in as they were then; and how they are now."""
        now = self.wall()
        if self.alone_since is not None:
            self.result.hands_in_on_rams_alone += now - self.alone_since
        alone = any(w.hands for w in self.works) and any(self.hands_in_alone(ram) for ram in self.rams)
        self.alone_since = now if alone else None

    def hands_in_alone(self, ram):
        """Hands are in at a place of this side, and no other place of it holds the load within the limit."""
        mine = [place for place in self.places if ram in place.rams]
        near = [p for p in mine if not self.is_open(p) and self.gap(p) <= self.scenario.limits.gap + EXACT]
        return any(work.hands and all(p is place for p in near) for place in mine for work in place.works)

    def simulate(self):
        out, now = self.result, self.wall()
        out.calls, out.duration = self.calls, now
        rises = [self.head_rise(ram) for ram in self.rams]
        out.final_level_difference = max(rises) - min(rises)
        out.point_rise, out.settled_rise = self.point_rise(), self.settled_rise()
        for ram, rise in zip(self.rams, rises, strict=True):
            name = ram.lifter.name
            out.pumps[name], out.ram_travel[name], out.head_rise[name] = ram.pumps, ram.earlier + ram.travelled, rise
        for place in self.places:
            still = now - place.open_since if place.open_since is not None else 0.0
            out.captures[place.name], out.open_time[place.name] = place.captures, place.open_time + still
            out.station_gap[place.name] = place.largest
        return out
