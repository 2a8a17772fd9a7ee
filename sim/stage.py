"""Where everything stands at this moment of the lift: the sides, the places that hold the load, what each device holds.

The people of `lift.py` act on it; it keeps the book. Demand runs evenly between the ends of strokes, and a collar being
turned climbs evenly, so what lies between two events is known in closed form and nothing is stepped through time.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from math import inf

import simpy

from sim.chance import Chance
from sim.clock import Clock, on_grid
from sim.devices import EXACT, Device, Held
from sim.devices.collar import chase
from sim.devices.protocol import can_capture
from sim.loads import lifter_force
from sim.motion import Line, motion_of
from sim.pump import ram_travel
from sim.record import Book
from sim.scenario import Lifter, Scenario, Station
from sim.stops import about_the_other, highest, settled_mean


@dataclass(slots=True, eq=False)
class SideNow:
    """One side of the load and the lifter that drives it."""

    lifter: Lifter
    line: Line
    free: float  # ram travel that raises nothing [m]
    called: simpy.Event  # the next call that this lifter is called in
    places: list[PlaceNow] = field(default_factory=list)
    u: float = 0.0  # where it is at `since`,
    since: float = 0.0
    rate: float = 0.0  # how fast it goes,
    u_end: float = 0.0  # and where the stroke under way will leave it,
    end: float = inf  # at this time
    rise: float = 0.0  # of the head at u [m]
    travel: float = 0.0  # of this run of the ram, before the stroke under way [m],
    travel_end: float = 0.0  # and after it
    earlier_travel: float = 0.0  # of the runs before a re-set [m]
    contact: float = 0.0  # demand of the lifter's line at the start of this run [m]
    pumps: int = 0
    moving: bool = False
    ready: bool = True

    def u_at(self, time: float) -> float:
        """Where the side is at a time within the stroke under way."""
        return self.u + self.rate * (time - self.since)

    @property
    def left(self) -> float:
        """Ram travel left [m]."""
        return self.lifter.travel - self.travel


@dataclass(slots=True, eq=False)
class DeviceNow:
    """One device at one place, and who keeps it up."""

    device: Device
    place: PlaceNow
    catcher: str
    held: Held
    caught: bool
    open: bool = False
    hands: bool = False
    working: bool = False
    climb: float = 0.0  # how fast a collar is being turned up [m/s]

    @property
    def captured(self) -> float:
        """What it holds of the line [m]."""
        return self.place.origin + self.held.captured

    @property
    def demand(self) -> float:
        """The demand as the device sees it, since it was last set up [m]."""
        return self.place.demand - self.place.origin

    @property
    def gap(self) -> float:
        """What it does not hold of the demand [m]."""
        return self.demand - self.held.captured

    @property
    def can_be_worked(self) -> bool:
        """Whether its catcher could begin on it now."""
        if self.caught:
            return False
        if self.device.chases == "with":
            return self.place.moving > 0 or self.gap > EXACT
        return self.place.moving == 0 and can_capture(self.device, self.held, self.demand)


@dataclass(slots=True, eq=False)
class PlaceNow:
    """A station, or a lifter's own capture: a line with its demand, and what its devices hold of it."""

    where: Lifter | Station
    name: str
    line: Line
    sides: list[SideNow]
    devices: list[DeviceNow] = field(default_factory=list)
    demand: float = 0.0  # at `since` [m],
    since: float = 0.0
    rate: float = 0.0  # and how fast it grows [m/s]
    origin: float = 0.0  # the demand at which the devices were last set up [m]
    moving: int = 0  # how many of its sides are

    def state(self) -> tuple[float, bool, bool, bool]:
        """What the best device not open holds (of an open place, what the best one held) [m]; open, hands, caught."""
        if len(self.devices) == 1:
            d = self.devices[0]
            return self.origin + d.held.captured, d.open, d.hands, d.caught
        holding = [d.captured for d in self.devices if not d.open]
        captured = max(holding or [d.captured for d in self.devices])
        return captured, not holding, any(d.hands for d in self.devices), all(d.caught for d in self.devices)

    @property
    def captured(self) -> float:
        """What is held here [m]."""
        return self.state()[0]

    @property
    def open(self) -> bool:
        """Nothing here holds just now."""
        return self.state()[1]

    @property
    def hands(self) -> bool:
        """Hands are in here."""
        return self.state()[2]

    @property
    def caught(self) -> bool:
        """Whether every device here is."""
        return self.state()[3]

    @property
    def gap(self) -> float:
        """What nothing here holds of the demand [m]."""
        return self.demand - self.captured

    @property
    def u_held(self) -> float:
        """The u at which this place would stop the load."""
        return 0.0 if self.open else self.line.u_at(max(0.0, self.captured))

    def set_up(self, slack: float) -> None:
        """Put every device at contact, or as far behind it as the tie's slack."""
        self.origin = self.demand
        for d in self.devices:
            d.held, d.climb, d.open, d.hands = d.device.at_start(slack), 0.0, False, False
            d.caught = not can_capture(d.device, d.held, 0.0)


@dataclass(frozen=True, slots=True)
class Climb:
    """How what a device holds grew between two events: from a level at a rate, until it met the load."""

    d: DeviceNow
    level: float  # at the start [m]
    rate: float  # [m/s]
    met: float  # [s] after the start; from then on it stays with the load

    def at(self, after: float) -> float:
        """What it held so many seconds after the start, before it met the load [m]."""
        return self.level + self.rate * after

    def overtakes(self, other: Climb) -> float:
        """When it came to hold more than the other [s]; infinite if it did not before either met the load."""
        if not (self.level < other.level and self.rate > other.rate):
            return inf
        after = (other.level - self.level) / (self.rate - other.rate)
        return after if after < min(self.met, other.met) else inf


class Stage:
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
        for side in self.sides:
            self.book_side(side, "starts")
        for place in self.places:
            self.book_place(place, "", "starts")

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
        place.set_up(where.slack if isinstance(where, Station) else 0.0)
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
        side.since, side.end = self.env.now, self.env.now + seconds
        side.rate = (side.u_end - side.u) / seconds
        self.aim(side.places, side.lifter.name, "moves")

    def stroke_ends(self, side: SideNow) -> None:
        """The stroke is over: the side is where it was to go."""
        side.u, side.rate, side.since, side.end = side.u_end, 0.0, self.env.now, inf
        side.travel, side.rise = side.travel_end, self.motion.rise(side.lifter.head, side.u_end)
        self.aim(side.places, side.lifter.name, "rests")

    def aim(self, places: Iterable[PlaceNow], who: str, what: str) -> None:
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
        """Bring demand, and every collar that is being turned, up to now."""
        now, since = self.env.now, place.since
        if now <= since:
            return
        start, rate, climbs = place.demand, place.rate, []
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
            self._book_kinks(place, climbs, since, start, rate)

    def _book_kinks(self, place: PlaceNow, climbs: list[Climb], since: float, start: float, rate: float) -> None:
        """Write down where a collar met the load on its way, and where it overtook what another device here holds."""
        now = self.env.now
        kinks = [(c.met, c, "meets") for c in climbs if c.met > 0 and place.captured <= c.d.captured]
        if len(place.devices) > 1:
            still = [Climb(d, d.captured, 0.0, inf) for d in place.devices if not d.climb and not d.open]
            holding = [*climbs, *still]
            pairs = [(a.overtakes(b), a) for a in climbs for b in holding if a is not b]
            kinks += [
                (t, a, "overtakes") for t, a in pairs if t < inf and a.at(t) > max(x.at(t) for x in holding) - EXACT
            ]
        for after, climb, what in kinks:
            time = on_grid(since + after) if after < now - since else now
            if since < time < now:  # what happens now is written down as it is
                demand = start + rate * after
                level = demand if what == "meets" else climb.at(after)
                _, *flags = place.state()
                self.book.place(
                    time,
                    self.call,
                    climb.d.catcher,
                    what,
                    place.name,
                    climb.d.device.name,
                    demand,
                    level,
                    level,
                    *flags,
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
                for d in place.devices:
                    if d.catcher in self.false_reports and not d.working:
                        self.caught(d, "says caught")
                    elif d.working or d.can_be_worked:
                        self.wake(d.catcher)
                    else:
                        self.caught(d, "nothing to capture")

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

    # --- what would stop it

    def holding(self, side: SideNow, lifter_holds: bool) -> dict[str, float]:
        """Where each place would stop this side if its pressure, or (`lifter_holds` false) lifter, were lost now."""
        other = next((s.u_at(self.env.now) for s in self.sides if s is not side), None)
        for p in side.places:
            self.bring_up(p)
        return {
            p.name: about_the_other(p.u_held, other) if p.where.side == "both" else p.u_held
            for p in side.places
            if lifter_holds or isinstance(p.where, Station)
        }

    def own_stop(self, side: SideNow) -> float:
        """Where this side's own places hold it, those on both sides apart."""
        return min(side.u, float(highest(p.u_held for p in side.places if p.where.side != "both")))

    @property
    def settled_u(self) -> float:
        """Mean u of the sides if the load came down onto its captures now."""
        both = [p.u_held for p in self.places if p.where.side == "both"]
        settled = float(settled_mean([self.own_stop(s) for s in self.sides], both))
        return min(settled, mean_u(self.sides, self.env.now))

    # --- who knows what

    def wake(self, catcher: str) -> None:
        """Let a catcher who is waiting see that something has changed."""
        waiting = self.waiting.pop(catcher, None)
        if waiting is not None:
            waiting.succeed()

    def caught(self, d: DeviceNow, what: str = "caught") -> None:
        """The device can capture no more of what it has been given."""
        d.caught = True
        self.book_place(d.place, d.catcher, what, d.device.name)
        self.tell_leader()

    def says_caught(self, mine: list[DeviceNow]) -> None:
        """A catcher with nothing to do who reports falsely in this call: says so of all that is at rest."""
        for d in mine:
            if d.catcher in self.false_reports and not (d.caught or d.place.moving):
                self.caught(d, "says caught")

    def tell_leader(self) -> None:
        """Let the leader, if waiting, see that something has changed."""
        if self.leader_waits is not None:
            waits, self.leader_waits = self.leader_waits, None
            waits.succeed()

    @property
    def all_caught(self) -> bool:
        """Whether nothing is still being captured."""
        return all(d.caught for d in self.devices)

    # --- the book

    def book_side(self, side: SideNow, what: str) -> None:
        """Write down where a side stands."""
        now, name = self.env.now, side.lifter.name
        u = side.u_at(now)
        rise = side.rise if u == side.u else self.motion.rise(side.lifter.head, u)
        self.book.lifter(now, self.call, name, what, name, u, side.earlier_travel + side.travel, rise)

    def book_place(self, place: PlaceNow, who: str, what: str, device: str = "", before: float | None = None) -> None:
        """Write down what a place holds, and held just before where that differs."""
        now = self.env.now
        if now > place.since:
            self.bring_up(place)
        captured, is_open, hands, caught = place.state()
        before = captured if before is None else before
        self.book.place(
            now, self.call, who, what, place.name, device, place.demand, before, captured, is_open, hands, caught
        )


def mean_u(sides: list[SideNow], time: float) -> float:
    """The mean of the sides' u at a time."""
    return sides[0].u_at(time) if len(sides) == 1 else (sides[0].u_at(time) + sides[1].u_at(time)) / 2
