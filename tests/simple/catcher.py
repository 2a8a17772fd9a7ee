"""A catcher of the simple simulator: a person with one device or several, advanced by plain if/else."""

from __future__ import annotations

from tests.simple.letting_down import LetsDown
from tests.simple.physics import EXACT, crib_reaches, next_at_crib, plan, wedged


class Catcher(LetsDown):
    """Idle, or at one device: walking to it, reacting, turning or seating a collar, steps of work, letting it down."""

    def __init__(self, lift, name):
        self.lift, self.name = lift, name
        self.works = []  # his devices, in file order
        self.state, self.at, self.due = "idle", None, 0
        self.place = None  # where he is

    def acts(self):
        """One change in what he does, if there is one at this instant."""
        work, state = self.at, self.state
        if state == "idle" and all(w.caught and w.low is None for w in self.works):
            return False
        if self.catches():
            return True
        if state == "idle":
            return self.goes_to_let_down() or self.chooses()
        if state in ("turn back", "let down"):
            return self.lets_down()
        if state == "turn":
            if work.place.moving or self.goes_to(work) - work.captured > EXACT:
                return False
            self.state, self.due = "seat", self.lift.k + self.takes("seat", work.device.seat)
            return True
        if self.lift.k < self.due:
            return False
        if state == "walk":
            self.reacts()
        elif state == "react":
            self.starts()
        elif state == "seat":
            self.ends()
        else:
            self.step_ends()
        return True

    def catches(self):
        """A device at rest that can capture nothing, and is not being worked at, is caught."""
        for work in self.works:
            if work.caught or work.place.moving or self.lift.is_made(work.place):
                continue
            worked_at = self.state in ("seat", "step") or work.kind != "collar" or work.captured != work.before
            if work is self.at and worked_at:  # of those he is at, only a collar that has not been turned is let be
                continue
            if not self.can_capture(work) or (work is not self.at and self.is_false()):
                work.caught = True
                if work is self.at:
                    self.state, self.at = "idle", None
                return True
        return False

    def chooses(self):
        """Idle, he goes to the widest gap that he can work at now, and there to what is furthest behind."""
        if self.is_false():
            return False
        best, widest = None, None
        for work in self.works:
            if not work.caught and self.can_work(work):
                gap = self.lift.gap(work.place)
                same = best is not None and work.place is best.place
                further = same and work.place.demand - work.captured > best.place.demand - best.captured + EXACT
                if best is None or (further if same else gap > widest + EXACT):
                    best, widest = work, gap
        if best is None:
            return False
        self.at = best
        self.goes_there()
        return True

    def goes_there(self):
        walk = self.lift.scenario.walk.get(self.name)
        if walk and self.place not in (None, self.at.place):
            self.state, self.due = "walk", self.lift.k + self.takes("walk", walk)
        else:
            self.reacts()

    def reacts(self):
        self.place = self.at.place
        self.state, self.due = "react", self.lift.k + self.takes("react", self.at.device.react)

    def starts(self):
        """The reaction is over: the work starts, unless the side moves."""
        work = self.at
        if work.low is not None:
            self.starts_to_let_down()
        elif work.kind == "collar":
            turns = self.lift.value(self.name, "turns", work.device.turns) / self.slowness()
            self.state, self.climb = "turn", turns * work.device.rise_per_turn
        elif work.place.moving:
            self.state, self.at = "idle", None
        elif work.kind == "crib":
            self.state, work.hands = "step", True
            if work.device.wedge_out == "open":
                work.captured = work.pile + sum(work.stack)
            self.starts_at_crib()
        else:
            self.state = "step"
            self.steps, _ = plan(work.device, work, work.place.demand)
            work.hands = work.kind != "strap"
            work.open = work.kind == "chain" or (work.kind == "pin" and work.device.pin_out == "open")
            self.starts_step()

    def starts_step(self):
        quantity, takes, during, _ = self.steps[0]
        self.at.captured = during
        self.due = self.lift.k + self.takes(quantity, takes)

    def starts_at_crib(self):
        """Timber is moved, or wedges are: chosen by the demand just now."""
        work = self.at
        builds = wedged if self.lift.on_the_way_down else next_at_crib
        self.built = builds(work.device, work.pile, work.stack, work.captured, work.place.demand)
        self.steps = list(self.built[0])
        self.starts_part()

    def starts_part(self):
        quantity, takes, times, during, is_open = self.steps[0]
        self.at.captured, self.at.open = during, is_open
        self.due = self.lift.k + self.lift.steps(self.lift.value(self.name, quantity, takes) * self.slowness() * times)

    def step_ends(self):
        work, step = self.at, self.steps.pop(0)
        if work.kind != "crib":
            work.captured = step[3]
            if self.steps:
                self.starts_step()
                return
        elif self.steps:
            self.starts_part()
            return
        else:
            _, work.stack, work.captured, goes_on = self.built
            work.open = False
            if goes_on and not work.place.moving and self.can_capture(work):
                self.starts_at_crib()
                return
        work.open, work.hands = False, False
        self.ends()

    def ends(self):
        self.at.place.captures += 1
        self.state, self.at = "idle", None

    def turns(self):
        """A collar being turned, one step of time further up."""
        work = self.at
        work.captured = max(work.captured, min(self.goes_to(work), work.captured + self.climb * self.lift.dt))

    def goes_to(self, work):
        """How far a collar could be turned up now: to the load, or to the end of its thread."""
        return min(work.place.demand, work.origin + work.device.reach_limit)

    def can_work(self, work):
        if self.lift.is_made(work.place):  # from the call down until it has landed nobody captures
            return False
        if work.kind == "collar" and work.device.chases == "with":
            if work.place.moving:
                return work.captured < work.origin + work.device.reach_limit - EXACT
            return self.can_capture(work)
        return not work.place.moving and self.can_capture(work)

    def can_capture(self, work):
        demand = work.place.demand
        if work.kind == "collar":
            return self.goes_to(work) > work.captured + EXACT
        if self.lift.on_the_way_down and work.kind in ("pin", "chain"):
            return False
        if self.lift.on_the_way_down and work.kind == "crib":
            return wedged(work.device, work.pile, work.stack, work.captured, demand) is not None
        if work.kind == "crib":
            return crib_reaches(work.device, work.pile, work.stack, work.captured, demand) > work.captured + EXACT
        return demand > work.captured + EXACT and bool(plan(work.device, work, demand)[0])

    # His time, and what mishaps do to it

    def takes(self, quantity, draw):
        """Steps of time that he needs."""
        return self.lift.steps(self.lift.value(self.name, quantity, draw) * self.slowness())

    def slowness(self):
        factor = 1.0
        for m in self.lift.scenario.mishaps:
            if m.kind == "slow" and m.who == self.name and self.lift.calls >= m.call:
                factor *= m.factor
        return factor

    def slows(self, factor):
        """From now on he is slower: in what he is at too."""
        if self.state == "turn":
            self.climb /= factor
        elif self.state != "idle":
            self.due = self.lift.k + int((self.due - self.lift.k) * factor + 0.5)

    def is_false(self):
        """In this call he reports caught at once, having done nothing."""
        mishaps = self.lift.scenario.mishaps
        return any(m.kind == "false-caught" and m.who == self.name and m.call == self.lift.calls for m in mishaps)
