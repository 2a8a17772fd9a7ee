"""The whole lift as it stands: moves the load, brings up what is being captured, keeps the book.

The people of `lift.py` and `catchers.py` act on it. Demand runs evenly between the ends of strokes, and a collar being
turned climbs evenly, so what lies between two events is known in closed form and nothing is stepped through time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from math import inf

import numpy as np
import simpy

from sim.model.chance import Chance
from sim.model.devices import EXACT, Held, Step
from sim.model.devices.collar import chase
from sim.model.devices.protocol import brought_up
from sim.model.loads import lifter_force
from sim.model.motion import motion_of
from sim.model.pump import ram_travel
from sim.model.scenario import Lifter, Scenario, Station
from sim.model.stops import about_the_other, highest, settled, settled_mean
from sim.record.record import Book
from sim.record.what import What
from sim.story.climb import Climb, Kink, kinks
from sim.story.clock import Clock, on_grid
from sim.story.now import DeviceNow, PlaceNow, SideNow, mean_u


class Site:
    """The whole lift as it stands now."""

    def __init__(self, scenario: Scenario, chance: Chance, book: Book) -> None:
        self.scenario, self.chance, self.book = scenario, chance, book
        self.env = Clock()
        self.motion = motion_of(scenario.load)
        self.call = 0
        self.waiting: dict[str, simpy.Event] = {}  # catchers with nothing to do, and what wakes them
        self.leader_waits: simpy.Event | None = None
        self.false_reports: set[str] = set()  # catchers who say caught in this call and do nothing
        self.sides = [self._side(lifter) for lifter in scenario.lifters]
        self.places = [self._place(where) for where in scenario.places]
        self.devices = [d for place in self.places for d in place.devices]
        if scenario.start:
            self._stand_at(self.motion.u_for_rise(scenario.need.point, scenario.start))
        self.book_all(What.STARTS)
        if scenario.start:
            for side in self.sides:
                self.book_side(side, What.SETTLED)

    def _stand_at(self, u: float) -> None:
        """The load has been raised to u, and everything is caught there."""
        for side in self.sides:
            side.travel = side.travel_end = min(side.free + side.line.demand(u), side.lifter.travel)
            side.contact = side.line.demand(u) + side.free - side.travel  # packed up, where the ram would not reach
            self.put(side, u)
        for place in self.places:
            for d in place.devices:
                d.held, d.caught = brought_up(d.device, place.where.slack, place.demand), True

    def _side(self, lifter: Lifter) -> SideNow:
        load, line = self.scenario.load, self.motion.line(lifter.head, lifter.base)
        lines = [self.motion.line(w.head, w.base) for w in self.scenario.places if w.side in (lifter.side, "both")]
        last = min(x.last_u for x in [line, *lines]) - EXACT  # past it a line would shorten again
        if last < inf:
            lifter = replace(lifter, travel=min(lifter.travel, line.demand(last) + load.take_up))
        return SideNow(lifter, line, load.take_up, self.env.event())

    def _place(self, where: Lifter | Station) -> PlaceNow:
        sides = [s for s in self.sides if where.side in (s.lifter.side, "both")]
        place = PlaceNow(where, where.name, self.motion.line(where.head, where.base), sides)
        place.devices = [
            DeviceNow(d, place, c, Held(0.0), True) for d, c in zip(where.capture, where.catchers, strict=True)
        ]
        place.set_up(place.where.slack)
        for side in sides:
            side.places.append(place)
        return place

    # --- the load moves

    def stroke(self, side: SideNow, seconds: float, fill: float) -> None:
        """A stroke starts: from here the side runs evenly to where the stroke will leave it."""
        lifter = side.lifter
        force = 0.0 if lifter.pump is None else lifter_force(lifter, self.scenario.load, self.motion, side.u)
        side.travel_end = side.travel + ram_travel(lifter, side.free, force, side.travel, fill)
        if side.travel_end > side.free:
            side.u_end = max(side.u, side.line.u_at(side.contact + side.travel_end - side.free))
        side.pumps += 1
        side.since, side.end = self.env.now, on_grid(self.env.now + seconds)  # when the clock will have it end
        side.rate = (side.u_end - side.u) / (side.end - side.since or seconds)
        self.aim(side.places, side.lifter.name, What.MOVES)

    def stroke_ends(self, side: SideNow) -> None:
        """The stroke is over: the side is where it was to go."""
        side.u, side.rate, side.since, side.end = side.u_end, 0.0, self.env.now, inf
        side.travel, side.rise = side.travel_end, self.motion.rise(side.lifter.head, side.u_end)
        self.aim(side.places, side.lifter.name, What.RESTS)

    def aim(self, places: Iterable[PlaceNow], who: str, what: What) -> None:
        """Set each line's demand running to its value at the next end of a stroke."""
        now = self.env.now
        for place in places:
            self.bring_up(place)
            sides = place.sides
            knot = sides[0].end if len(sides) == 1 else min(sides[0].end, sides[1].end)
            if knot == inf:
                place.demand, place.rate = place.line.demand(mean_u(sides, now)), 0.0
            elif knot > now:
                place.rate = (place.line.demand(mean_u(sides, knot)) - place.demand) / (knot - now)
            self.book_place(place, who, what)

    def bring_up(self, place: PlaceNow) -> None:
        """Bring demand, and every collar that is being turned, up to now: as far as its thread goes."""
        now = self.env.now
        while place.since < now:
            since = place.since
            ends = [(since + d.ends_in, d) for d in place.devices if d.climb]
            self._run_on(place, min([now, *(end for end, _ in ends)]))
            for end, d in ends:
                if end <= place.since:
                    d.climb, d.held = 0.0, Held(d.device.ends_at)
                    self._book_kinks(place, since, [Kink(end - since, d, What.ENDS, place.demand, place.captured)])

    def _run_on(self, place: PlaceNow, now: float) -> None:
        """Bring them up to a time before which no thread comes to its end."""
        since, start, rate, climbs = place.since, place.demand, place.rate, list[Climb]()
        place.since = now
        place.demand = demand = start + rate * (now - since)
        for d in place.devices:
            if d.climb:
                held = d.captured
                gap, met = chase(max(0.0, start - held), rate, d.climb, now - since)
                d.held = Held(demand - gap - place.origin)
                if 0 < met < now - since or len(place.devices) > 1:
                    climbs.append(Climb(d, held, d.climb, met))
        if climbs:
            self._book_kinks(place, since, kinks(place, climbs, start, rate))

    def _book_kinks(self, place: PlaceNow, since: float, found: Iterable[Kink]) -> None:
        """Write down where the line of what a place holds has bent since."""
        now = self.env.now
        for after, d, what, demand, level in found:
            if since + after > now + 1.0:  # later, or never
                continue
            time = on_grid(since + after)
            # what happens now is written down as it is; that a collar comes past another device just now is no event
            if since < time < now or (time == now and what is What.OVERTAKES):
                _, *flags = place.state()
                self.book.place(
                    time, self.call, d.catcher, what, place.name, d.device.name, demand, level, level, *flags
                )

    def begins_to_move(self, side: SideNow) -> None:
        """The lifter's first stroke of the call starts."""
        side.moving = True
        for place in side.places:
            place.moving += 1
            if place.moving == 1:
                for d in place.devices:
                    d.caught = False
                    self.wake(d.catcher)

    def stops(self, side: SideNow) -> None:
        """The lifter's last stroke of the call has ended."""
        side.moving = False
        for place in side.places:
            place.moving -= 1
            if place.moving == 0:
                self.at_rest(place)

    def at_rest(self, place: PlaceNow) -> None:
        """The place has come to rest: whoever has something to capture there sees it."""
        for d in place.devices:
            if d.catcher in self.false_reports and not d.working:
                self.caught(d, What.SAYS_CAUGHT)
            elif d.working or d.can_be_worked:
                self.wake(d.catcher)
            else:
                self.caught(d, What.NOTHING_TO_CAPTURE)

    def cut_short(self, side: SideNow) -> None:
        """The stroke under way goes no further."""
        if side.end < inf:
            side.travel += (side.travel_end - side.travel) * (self.env.now - side.since) / (side.end - side.since)
        self.put(side, side.u_at(self.env.now))

    def put(self, side: SideNow, u: float) -> None:
        """The side is at u from now on, at rest, and its lines with it."""
        side.u = side.u_end = u
        side.rate, side.since, side.end = 0.0, self.env.now, inf
        side.rise = self.motion.rise(side.lifter.head, u)
        for place in side.places:
            self.bring_up(place)
            place.demand, place.rate = place.line.demand(mean_u(place.sides, self.env.now)), 0.0

    # --- the way down

    def holds(self, side: SideNow) -> list[PlaceNow]:
        """The places, not open, that hold the side where it is."""
        u = side.u_at(self.env.now)
        return [p for p, stop in self._stops(side) if not p.open and stop > u - EXACT]

    def rests(self, side: SideNow) -> bool:
        """Whether something that is not open holds the side where it is."""
        return bool(self.holds(side))

    def lowest(self, side: SideNow) -> float:
        """Where it lands, but for the mean of the sides: on its own places, the start or its ram's end [rad or m]."""
        at_its_end = side.line.u_at(max(0.0, side.contact - side.free))
        return max(self.own_stop(side), min(side.u, at_its_end))

    def bottom(self, side: SideNow) -> float:
        """How far this run of the ram, and what captures there, could let the side down at all [rad or m]."""
        own = [p.origin for p in side.places if isinstance(p.where, Lifter)]
        return side.line.u_at(max(0.0, side.contact - side.free, *own))

    def opens(self, side: SideNow, to: float, speed: float) -> None:
        """The valve is opened: from here the side comes down evenly to `to`, its ram shortening at a speed."""
        now = self.env.now
        side.u, side.u_end = side.u_at(now), to
        away = side.line.demand(side.u) - side.line.demand(to)
        side.travel_end = side.travel - away
        side.since, side.end = now, on_grid(now + away / speed)
        side.rate = (to - side.u) / (side.end - now) if side.end > now else 0.0
        self.aim(side.places, side.lifter.name, What.MOVES)

    def meets_both(self) -> float:
        """When the mean of the sides, as they come down now, meets what a place on both holds; infinite: never [s]."""
        now, rate = self.env.now, sum(s.rate for s in self.sides)
        both = [p.u_held for p in self.places if p.where.side == "both" and not p.open]
        if not both or rate >= 0:
            return inf
        over = sum(s.u_at(now) for s in self.sides) - len(self.sides) * max(both)
        return max(now, on_grid(now + over / -rate))

    def lands(self, side: SideNow) -> None:
        """The side is at rest where it is now."""
        now = self.env.now
        self.put(side, side.u_end if now >= side.end else side.u_at(now))
        side.stays_in_contact()
        self.aim(side.places, side.lifter.name, What.LANDS)

    def is_let_down(self, side: SideNow) -> None:
        """The side has come down as far as it was to: what is left open under it is caught."""
        side.made = False
        for place in side.places:
            if not any(s.made for s in place.sides):
                for d in place.devices:
                    d.caught = False
                if any(d.can_be_worked for d in place.devices):
                    self.book_place(place, side.lifter.name, What.RESTS)
                self.at_rest(place)

    def settle(self) -> None:
        """The load comes down onto its captures, the rams staying in contact."""
        self.book_all(What.SETTLES)
        both = [p.u_held for p in self.places if p.where.side == "both"]
        us, stops = (np.array(each) for each in zip(*((s.u, self.own_stop(s)) for s in self.sides), strict=True))
        for side, u in zip(self.sides, settled(us, stops, both).tolist(), strict=True):
            self.put(side, u)
            if side.travel > side.free:
                side.stays_in_contact()
        self.book_all(What.SETTLED)

    # --- what would stop it

    def holding(self, side: SideNow, lifter_holds: bool) -> dict[str, float]:
        """Where each place would stop this side if its pressure, or (`lifter_holds` false) lifter, were lost now."""
        return {p.name: u for p, u in self._stops(side) if lifter_holds or isinstance(p.where, Station)}

    def _stops(self, side: SideNow) -> Iterator[tuple[PlaceNow, float]]:
        """Each place of a side, and where it would stop it [rad or m]."""
        other = next((s.u_at(self.env.now) for s in self.sides if s is not side), None)
        for p in side.places:
            self.bring_up(p)
            yield p, about_the_other(p.u_held, other) if p.where.side == "both" else p.u_held

    def own_stop(self, side: SideNow) -> float:
        """Where this side's own places hold it, those on both sides apart [rad or m]."""
        return min(side.u, float(highest(p.u_held for p in side.places if p.where.side != "both")))

    @property
    def settled_u(self) -> float:
        """Mean u of the sides if the load came down onto its captures now [rad or m]."""
        both = [p.u_held for p in self.places if p.where.side == "both"]
        settled = float(settled_mean([self.own_stop(s) for s in self.sides], both))
        return min(settled, mean_u(self.sides, self.env.now))

    # --- who knows what

    def wake(self, catcher: str) -> None:
        """Let a catcher who is waiting see that something has changed."""
        waiting = self.waiting.pop(catcher, None)
        if waiting is not None:
            waiting.succeed()

    def caught(self, d: DeviceNow, what: What = What.CAUGHT) -> None:
        """The device can capture no more of what it has been given."""
        d.caught = True
        self.book_place(d.place, d.catcher, what, d.device.name)
        self.wake_leader()

    def says_caught(self, mine: list[DeviceNow]) -> None:
        """A catcher with nothing to do who reports falsely in this call: says so of all that is at rest."""
        for d in mine:
            if d.catcher in self.false_reports and not (d.caught or d.place.moving):
                self.caught(d, What.SAYS_CAUGHT)

    def wake_leader(self) -> None:
        """Let the leader, if waiting, see that something has changed."""
        if self.leader_waits is not None:
            waits, self.leader_waits = self.leader_waits, None
            waits.succeed()

    @property
    def all_caught(self) -> bool:
        """Whether nothing is still being captured."""
        return all(d.caught for d in self.devices)

    # --- the book

    def book_all(self, what: What) -> None:
        """Write down where everything is."""
        for side in self.sides:
            self.book_side(side, what)
        for place in self.places:
            self.book_place(place, "", what)

    def book_side(self, side: SideNow, what: What) -> None:
        """Write down where a side stands."""
        now, name = self.env.now, side.lifter.name
        u = side.u_at(now)
        rise = side.rise if u == side.u else self.motion.rise(side.lifter.head, u)
        self.book.lifter(now, self.call, name, what, name, u, side.earlier_travel + side.travel, rise)

    def book_place(self, place: PlaceNow, who: str, what: What, device: str = "", before: float | None = None) -> None:
        """Write down what a place holds, and held just before where that differs."""
        now = self.env.now
        if now > place.since:
            self.bring_up(place)
        captured, is_open, hands, caught = place.state()
        before = captured if before is None else before
        self.book.place(
            now, self.call, who, what, place.name, device, place.demand, before, captured, is_open, hands, caught
        )

    def step_begins(self, d: DeviceNow, step: Step, before: float) -> None:
        """A step of work at a device begins: do what it does meanwhile, and write that down in the device's word."""
        place = d.place
        d.open, d.hands, d.held = step.open, step.hands, step.meanwhile
        self.bring_up(place)
        captured, is_open, hands, caught = place.state()
        self.book.place(
            self.env.now, self.call, d.catcher, step.doing, place.name, d.device.name, place.demand, before, captured,
            is_open, hands, caught,
        )  # fmt: skip
