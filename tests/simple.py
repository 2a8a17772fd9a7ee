"""A second simulator of the lift, as simple as can be: small steps of time, no events, plain if/else.

It is written from the design and shares nothing with `sim/` but the frozen data classes, which it only reads.
Times are whole steps of `dt` (every duration is rounded to the nearest whole number of them), positions come
from how far a stroke has got, so that against an exact simulator times differ by a few dt for each piece of work in
a row, and lengths by that times the speeds.

One step: rams and turning collars are put where they are by now; strokes, pauses and pieces of work end and catchers
start on new ones; mishaps; the leader looks and calls; strokes start; everything is measured.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from types import SimpleNamespace

from tests.simple_catcher import Catcher
from tests.simple_physics import EXACT, Line, after_stroke, rise_of


@dataclass
class SimpleResult:
    """What came out, SI units. Gaps are (value, station, call, time), drops (value, side, time, energy)."""

    outcome: str = ""
    reason: str = ""
    calls: int = 0
    call_times: list = field(default_factory=list)
    pumps: dict = field(default_factory=dict)  # lifter -> strokes begun
    duration: float = 0.0
    holds: int = 0
    hold_time: float = 0.0
    over_limit_calls: int = 0
    levelling_calls: int = 0
    largest_gap: tuple = (0.0, "", 0, 0.0)
    largest_passing_gap: tuple = (0.0, "", 0, 0.0)
    largest_standing_gap: tuple = (0.0, "", 0, 0.0)
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
    station_gap: dict = field(default_factory=dict)  # station -> its largest gap
    history: dict = field(default_factory=dict)  # station -> [(time, demand, captured)], if sampled


def simulate(scenario, dt=0.001, draw=None, sample=0.0, longest=7200.0):
    """One lift. All draws at their means, or as draw(person, quantity, call) says; sample: seconds from point to point.

    Persons: catchers by their names, operators by their lifters' names. Quantities of an operator: react, stroke,
    recover, fill, miss (0 to 1; missed if under his chance); of a catcher: react, walk, turns, seat, swap, rehook,
    click, place, drive.
    """
    lift = SimpleLift(scenario, dt, draw, sample)
    while not lift.over:
        lift.step()
        if lift.wall() > longest:
            raise RuntimeError(f"the simple lift has not ended after {longest} s")
    return lift.tell()


class SimpleLift:
    """Everything that changes, and one step of it."""

    def __init__(self, scenario, dt, draw, sample):
        self.scenario, self.leader, self.dt, self.draw = scenario, scenario.leader, dt, draw
        self.k = 0  # steps of the lift's own clock, which stands still while all is frozen
        self.frozen = 0  # steps frozen so far
        self.calls, self.next_look, self.state, self.due = 0, 0, "pace", 0
        self.then = None  # what the leader does when all are caught, or when his time is spent
        self.refused_at = None  # since when a look has been refused
        self.call_end = {}  # call -> step in which its last stroke ended
        self.still_to_stop = 0
        self.last_settled = -1.0
        self.over, self.changed = False, True
        self.mishaps = list(scenario.mishaps)
        self.result = SimpleResult()
        self.sample, self.next_sample = sample, 0.0

        self.rams = [self.ram(x) for x in scenario.lifters]
        self.people = {}  # catchers by name
        own = [(x, True) for x in scenario.lifters if x.capture]
        self.places = [self.place(*x) for x in own + [(x, False) for x in scenario.stations]]
        self.works = [w for place in self.places for w in place.works]

    def ram(self, lifter):
        ram = SimpleNamespace(lifter=lifter, side=lifter.side, state="ready", moving=False, pumps=0, u=0.0)
        ram.line = Line(self.scenario.load, lifter.head, lifter.base)
        ram.travelled, ram.earlier = 0.0, 0.0  # in this run, and in the runs before it
        ram.to_spend, ram.contact = self.scenario.load.take_up, ram.line.start  # of this run
        return ram

    def place(self, x, own):
        """A lifter's own capture, or a station, with one `work` a device: what it holds and how it stands."""
        place = SimpleNamespace(name=x.name, side=x.side, own=own, moving=False, works=[])
        place.line = Line(self.scenario.load, x.head, x.base)
        place.rams = [ram for ram in self.rams if x.side in ("both", ram.side)]
        place.demand = place.d0 = place.d1 = 0.0  # now, and at the ends k0, k1 of the present stroke
        place.k0 = place.k1 = 0
        place.captures, place.largest, place.open_since, place.open_time = 0, 0.0, None, 0.0
        place.cached = (0.0, 0.0)  # captured, and the u held by it
        slack = 0.0 if own or x.tie is None else x.tie.slack
        for device, name in zip(x.capture, x.catchers, strict=True):
            work = SimpleNamespace(device=device, kind=device.kind, place=place, caught=False, open=False, hands=False)
            work.captured = 0.0 if device.kind == "crib" else -slack
            work.before = work.captured  # when the side last began to move
            work.slack, work.pile, work.origin = slack, 0.0, 0.0  # holes and links count from `origin`
            place.works.append(work)
            self.people.setdefault(name, Catcher(self, name)).works.append(work)
        return place

    # Time and chance

    def wall(self):
        return (self.k + self.frozen) * self.dt

    def steps(self, seconds):
        return int(seconds / self.dt + 0.5)

    def value(self, person, quantity, draw):
        return draw.mean if self.draw is None else self.draw(person, quantity, self.calls)

    # One step

    def step(self):
        self.advance()
        self.end_strokes()
        self.let_catchers_act()
        self.let_mishaps_happen()
        while not self.over and self.leader_acts():
            self.changed = True
        if not self.over and self.start_strokes():
            self.let_catchers_act()
        if self.changed:
            self.measure()
            self.changed = False
        if self.sample and self.wall() >= self.next_sample - EXACT:
            self.next_sample += self.sample
            for place in self.places:
                held = self.best(place)
                self.result.history.setdefault(place.name, []).append((self.wall(), place.demand, held))
        if not self.over:
            self.k += 1

    def advance(self):
        """Rams, lines and turning collars to where they are by now."""
        k = self.k
        for ram in self.rams:
            if ram.state == "stroke":
                ram.u = ram.u0 + (ram.u1 - ram.u0) * (k - ram.k0) / (ram.due - ram.k0)
                self.changed = True
        for place in self.places:
            if place.k0 < k <= place.k1:
                place.demand = place.d0 + (place.d1 - place.d0) * (k - place.k0) / (place.k1 - place.k0)
        for person in self.people.values():
            if person.state == "turn":
                person.turns()
                self.changed = True

    # Operators

    def end_strokes(self):
        k, ended = self.k, False
        for ram in self.rams:
            if ram.state == "ready":
                continue
            if ram.state == "stroke" and k >= ram.due:
                ram.u, ram.travelled, ram.left, ended = ram.u1, ram.after, ram.left - 1, True
                ram.state = "recover"
                ram.due = k + self.steps(self.value(ram.lifter.name, "recover", ram.lifter.operator.recover))
                if ram.left == 0:
                    ram.moving = False
                    self.still_to_stop -= 1
                    if self.still_to_stop == 0:
                        self.call_end[self.calls] = k
            if ram.state == "react" and k >= ram.due:
                ram.state = "go"
            if ram.state == "recover" and k >= ram.due:
                ram.state = "go" if ram.left else "ready"
        if ended:
            self.changed = True
            self.draw_lines()

    def start_strokes(self):
        k, started = self.k, False
        for ram in self.rams:
            if ram.state == "react" and k >= ram.due:  # an operator who needs no time to react
                ram.state = "go"
            if ram.state == "go":
                name, operator = ram.lifter.name, ram.lifter.operator
                ram.after = self.stroke_from(ram, self.value(name, "fill", operator.fill))
                ram.u0, ram.u1 = ram.u, self.u_of(ram, ram.after)
                ram.k0, ram.due = k, k + max(1, self.steps(self.value(name, "stroke", operator.stroke)))
                ram.state, ram.moving, started = "stroke", True, True
                ram.pumps += 1
        if started:
            self.changed = True
            self.draw_lines()
        return started

    def stroke_from(self, ram, fill):
        return after_stroke(ram.lifter, ram.travelled, ram.to_spend, ram.line.force(ram.lifter.share, ram.u), fill)

    def u_of(self, ram, travelled):
        lifts = travelled - ram.to_spend
        return ram.line.u_at(ram.contact + lifts) if lifts > 0 else ram.u

    def draw_lines(self):
        """At the start or end of any stroke: every line runs on linearly to the next end of a stroke on its sides."""
        for place in self.places:
            ends = [r.due for r in place.rams if r.state == "stroke"]
            place.k0 = place.k1 = self.k
            if ends:
                place.k1 = min(ends)
                then = [r.u0 + (r.u1 - r.u0) * (place.k1 - r.k0) / (r.due - r.k0) if r.state == "stroke" else r.u
                        for r in place.rams]  # fmt: skip
                place.d0 = place.demand
                place.d1 = place.line.length(sum(then) / len(then)) - place.line.start
            else:
                place.demand = place.line.length(sum(r.u for r in place.rams) / len(place.rams)) - place.line.start
            moving = any(r.moving for r in place.rams)
            if moving and not place.moving:
                for work in place.works:
                    work.caught, work.before = False, work.captured
            place.moving = moving

    def let_catchers_act(self):
        for person in self.people.values():
            while person.acts():
                self.changed = True

    # Mishaps

    def let_mishaps_happen(self):
        for m in list(self.mishaps):
            if m.kind in ("stop", "pressure-lost", "lifter-lost") and m.call in self.call_end:
                if self.k < self.call_end[m.call] + self.steps(m.after):
                    continue
                self.mishaps.remove(m)
                self.measure()
                if m.kind == "stop":
                    self.frozen += self.steps(m.time)
                else:
                    ram = next(r for r in self.rams if r.lifter.name == m.who)
                    self.lose(ram, m)
                    return

    def lose(self, lost, m):
        """One side comes down to its stop; nobody pumps any more; the other side is still caught."""
        stop = self.stop_after(lost, own=m.kind == "pressure-lost")
        for ram in self.rams:
            if ram.state == "stroke":
                ram.travelled += (ram.after - ram.travelled) * (self.k - ram.k0) / (ram.due - ram.k0)
            ram.state, ram.moving = "ready", False
        lost.u = stop
        hit = [p for p in self.places if lost in p.rams]
        for person in self.people.values():
            if person.at is not None and person.at.place in hit:
                person.state, person.at = "idle", None
        self.draw_lines()
        for work in [w for p in hit for w in p.works]:
            work.caught, work.hands = True, False
            work.open = work.open or (m.kind == "lifter-lost" and work.place.own)
        self.finish("dropped", f"{m.kind}: {m.who}")

    # The leader

    def leader_acts(self):
        k, state = self.k, self.state
        if state == "pace":
            if k < self.next_look or any(ram.state != "ready" for ram in self.rams):
                return False
            self.look(waited=False)
        elif state == "wait":
            if not self.all_caught():
                return False
            self.then()
        else:
            if k < self.due:
                return False
            self.then()
        return True

    def all_caught(self):
        return all(work.caught for work in self.works)

    def when_caught(self, then):
        self.state, self.then = "wait", then

    def spend(self, seconds, then):
        self.state, self.due, self.then = "spend", self.k + self.steps(seconds), then

    def look(self, waited):
        """Call, wait or end; `waited`: all have been waited for since the look."""
        lead, need = self.leader, self.scenario.need.rise - EXACT
        refused = self.point_rise() >= need
        if refused and self.all_caught():
            refused = False
            if self.settled_rise() >= need:
                self.end("raised", "")
                return
        over = [place for place in self.places if self.gap(place) > lead.gap_limit + EXACT]
        if lead.rule == "stop-until-caught":
            refused = (
                refused or bool(over) or any(self.is_open(p) for p in self.places) or any(w.hands for w in self.works)
            )
        if refused and not self.all_caught():
            self.refused_at = self.wall() if self.refused_at is None else self.refused_at
            self.when_caught(lambda: self.look(waited=True))
        elif refused and lead.if_uncapturable == "stop":
            self.spend(lead.look, lambda: self.finish("stopped", f"uncapturable gap at {over[0].name}"))
        elif refused or waited:
            self.spend(lead.look, self.about_to_call)
        else:
            self.about_to_call()

    def about_to_call(self):
        called, lead = self.rams, self.leader
        rises = [self.head_rise(ram) for ram in self.rams]
        if lead.level_limit is not None and max(rises) - min(rises) > lead.level_limit + EXACT:
            called = [self.rams[rises.index(min(rises))]]
        spent = [ram for ram in called if ram.lifter.travel - ram.travelled < EXACT]
        if self.calls >= lead.max_calls:
            self.finish("not-reached", "max_calls")
        elif spent and self.scenario.reset is None:
            self.finish("not-reached", f"{spent[0].lifter.name} has no travel left")
        elif spent:
            self.when_caught(lambda: self.let_go(spent))
        elif all(self.stroke_from(ram, 1.0) - ram.travelled < EXACT for ram in called):
            self.finish("not-reached", "relief pressure")
        else:
            self.call(called)

    def call(self, called):
        out, lead = self.result, self.leader
        self.calls += 1
        out.call_times.append(self.wall())
        out.over_limit_calls += any(self.gap(place) > lead.gap_limit + EXACT for place in self.places)
        out.levelling_calls += len(called) < len(self.rams)
        if self.refused_at is not None:
            out.holds += 1
            out.hold_time += self.wall() - self.refused_at
            self.refused_at = None
        self.state, self.next_look = "pace", self.k + self.steps(lead.pace)
        for ram in called:
            name, operator = ram.lifter.name, ram.lifter.operator
            missed = any(m.kind == "missed" and m.call == self.calls and m.who == name for m in self.scenario.mishaps)
            if self.draw is not None and self.draw(name, "miss", self.calls) < operator.miss:
                missed = True
            if not missed:
                ram.state, ram.left = "react", lead.strokes
                ram.due = self.k + self.steps(self.value(name, "react", operator.react))
                self.still_to_stop += 1
        if self.still_to_stop == 0:
            self.call_end[self.calls] = self.k

    def let_go(self, spent):
        """A re-set: the load settles, the spent lifters are packed up for another run."""
        if any(not any(p.side in ("both", ram.side) and not p.own for p in self.places) for ram in spent):
            self.finish("not-reached", "a re-set needs a station on the side that is let go")
            return
        for work in self.own_works(spent):
            work.open = True
        kept = [ram for ram in self.rams if ram not in spent]
        stops = {ram.side: ram.u if ram in kept else self.side_stop(ram, own=False) for ram in self.rams}
        across = self.both_holds()
        if kept:
            for ram in spent:
                stops[ram.side] = max(stops[ram.side], 2 * across - kept[0].u)
        else:
            lacks = across - sum(stops.values()) / len(stops)
            stops = {side: u + max(0.0, lacks) for side, u in stops.items()}
            total = sum(stops.values())
            for ram in spent:  # what one side is too low for, the other keeps
                stops[ram.side] = max(stops[ram.side], total - sum(other.u for other in spent if other is not ram))
        for ram in spent:
            ram.u = min(ram.u, stops[ram.side])
            ram.earlier, ram.travelled = ram.earlier + ram.travelled, 0.0
            ram.to_spend, ram.contact = self.scenario.reset.reseat, ram.line.length(ram.u)
        self.draw_lines()
        if self.point_rise() <= self.last_settled + EXACT:
            self.finish("not-reached", "the re-set gained nothing")
            return
        self.last_settled = self.point_rise()
        self.spend(self.scenario.reset.time, lambda: self.back_in_contact(spent))

    def back_in_contact(self, spent):
        for work in self.own_works(spent):
            work.captured = work.pile = work.origin = work.place.demand
            work.open = False
        self.look(waited=False)

    def own_works(self, rams):
        return [w for p in self.places if p.own and p.rams[0] in rams for w in p.works]

    def finish(self, outcome, reason):
        self.when_caught(lambda: self.end(outcome, reason))

    def end(self, outcome, reason):
        self.result.outcome, self.result.reason, self.over = outcome, reason, True

    # What holds, and what is measured

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
                if all(work.caught for work in place.works):
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
        for ram, rise in zip(self.rams, rises, strict=True):
            for name, own in (("largest_drop_pressure_lost", True), ("largest_drop_lifter_lost", False)):
                stop = self.stop_after(ram, own)
                drop = rise - self.head_rise(ram, stop)
                if drop > getattr(out, name)[0]:
                    load = self.scenario.load
                    fall = rise_of(load, load.cg, ram.u) - rise_of(load, load.cg, stop)
                    setattr(out, name, (drop, ram.side, now, ram.lifter.share * load.weight * fall))

    def tell(self):
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
