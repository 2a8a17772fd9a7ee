"""A second simulator of the lift, as simple as can be: small steps of time, no events, plain if/else.

It is written from the design and shares nothing with `sim/` but the frozen data classes, which it only reads.
Times are whole steps of `dt` (every duration is rounded to the nearest whole number of them), positions come
from how far a stroke has got, so that against an exact simulator times differ by a few dt for each piece of work in
a row, and lengths by that times the speeds.

One step: rams and turning collars are put where they are by now; strokes, pauses and pieces of work end and catchers
start on new ones; mishaps; the leader looks and calls; strokes start; everything is measured.
"""

from __future__ import annotations

from types import SimpleNamespace

from tests.simple.catcher import Catcher
from tests.simple.down import Lowers
from tests.simple.leader import Leads
from tests.simple.measures import Measures, SimpleResult
from tests.simple.physics import EXACT, Line, after_stroke
from tests.simple.stages import Stages


def simulate(scenario, dt=0.001, draw=None, sample=0.0, longest=7200.0, drops=True):
    """One lift. All draws at their means, or as draw(person, quantity, call) says; sample: seconds from point to point;
    drops: whether to work out what would drop at every step.

    Persons: catchers by their names, operators by their lifters' names. Quantities of an operator: react, stroke,
    recover, fill, miss (0 to 1; missed if under his chance), lowering, close; of a catcher: react, walk, turns, seat,
    swap, rehook, click, place, drive.
    """
    lift = SimpleLift(scenario, dt, draw, sample, drops)
    while not lift.over:
        lift.step()
        if lift.wall() > longest:
            raise RuntimeError(f"the simple lift has not ended after {longest} s")
    return lift.simulate()


class SimpleLift(Stages, Leads, Lowers, Measures):
    """Everything that changes, and one step of it."""

    def __init__(self, scenario, dt, draw=None, sample=0.0, drops=True):
        self.scenario, self.job, self.dt, self.draw = scenario, scenario.job, dt, draw
        self.k = 0  # steps of the lift's own clock, which stands still while all is frozen
        self.frozen = 0  # steps frozen so far
        self.calls, self.last_call, self.due = 0, 0, 0
        self.stages_done, self.reached = 0, ""  # what the last stage that moved the load came to
        self.then = None  # what the leader does when all are caught, or when his time is spent
        self.refused_at = None  # since when a look has been refused
        self.call_end = {}  # call -> step in which its last stroke ended
        self.still_to_stop = 0
        self.last_settled = -1.0
        self.over, self.changed = False, True
        self.alone_since = None  # since when hands are in on the rams alone, as counted so far
        self.mishaps = list(scenario.mishaps)
        self.result = SimpleResult()
        self.sample, self.next_sample, self.drops = sample, 0.0, drops

        self.rams = [self.ram(x) for x in scenario.lifters]
        self.people = {}  # catchers by name
        own = [(x, True) for x in scenario.lifters if x.capture]
        self.places = [self.place(*x) for x in own + [(x, False) for x in scenario.stations]]
        self.works = [w for place in self.places for w in place.works]
        self.stands_at_start()
        self.begin_stage()

    def ram(self, lifter):
        ram = SimpleNamespace(lifter=lifter, side=lifter.side, state="ready", moving=False, pumps=0, u=0.0)
        ram.line = Line(self.scenario.load, lifter.head, lifter.base)
        ram.travelled, ram.earlier = 0.0, 0.0  # in this run, and in the runs before it
        ram.runs = []  # what the runs before it began with
        ram.down, ram.was_run_out = False, False  # called down and not landed; its packing has been taken out
        ram.to_spend, ram.contact = self.scenario.load.take_up, ram.line.start  # of this run
        return ram

    def place(self, x, own):
        """A lifter's own capture, or a station, with one `work` a device: what it holds and how it stands."""
        place = SimpleNamespace(name=x.name, side=x.side, own=own, moving=False, works=[])
        place.where, place.line = x, Line(self.scenario.load, x.head, x.base)
        place.rams = [ram for ram in self.rams if x.side in ("both", ram.side)]
        place.demand = place.d0 = place.d1 = 0.0  # now, and at the ends k0, k1 of the present stroke
        place.k0 = place.k1 = 0
        place.captures, place.largest, place.open_since, place.open_time = 0, 0.0, None, 0.0
        place.cached = (0.0, 0.0)  # captured, and the u held by it
        slack = 0.0 if own or x.tie is None else x.tie.slack
        for device, name in zip(x.capture, x.catchers, strict=True):
            work = SimpleNamespace(device=device, kind=device.kind, place=place, caught=False, open=False, hands=False)
            work.low = None
            work.captured = 0.0 if device.kind == "crib" else -slack
            work.before = work.captured  # when the side last began to move
            work.slack, work.pile, work.origin = slack, 0.0, 0.0  # holes and links count from `origin`
            work.stack = []  # the timber of a crib on its `pile`, the lowest first
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
        self.rams_come_down()
        self.valves()
        self.let_catchers_act()
        self.let_mishaps_happen()
        while not self.over and self.leader_acts():
            self.changed = True
            self.let_catchers_act()
        self.valves()
        if not self.over and self.start_strokes():
            self.let_catchers_act()
        self.count_hands()
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
            if person.state == "turn back":
                person.turns_back()
                self.changed = True

    # Operators

    def end_strokes(self):
        k, ended = self.k, False
        for ram in self.rams:
            if ram.state == "ready":
                continue
            if ram.state == "stroke" and k >= ram.due:
                ram.u, ram.travelled, ram.left, ended = ram.u1, ram.after, ram.left - 1, True
                if ram.down and self.rests(ram):  # not free yet
                    ram.left = 1
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
        for place in hit:  # from now on, not from when somebody else does something next
            if self.is_open(place) and place.open_since is None:
                place.open_since = self.wall()
        self.finish("dropped", f"{m.kind}: {m.who}")

    def own_works(self, rams):
        return [w for p in self.places if p.own and p.rams[0] in rams for w in p.works]

    def finish(self, outcome, reason):
        self.when_caught(lambda: self.end(outcome, reason))

    def end(self, outcome, reason):
        if self.stages_done < len(self.job):  # in the middle of one
            self.note_stage(outcome)
        self.result.outcome, self.result.reason, self.over = outcome, reason, True
