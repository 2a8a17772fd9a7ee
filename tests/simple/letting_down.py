"""A catcher of the simple simulator lets devices down, in the room phase of a lowering call."""

from __future__ import annotations

from tests.simple.physics import EXACT, plan_down


class LetsDown:
    """The part of a Catcher that makes room. `work.low`: how far down a device has to come; None: it need not."""

    def goes_to_let_down(self):
        """To what has the least to come down first; of several that have as much, to the first in file order."""
        best = None
        for work in self.works:
            if work.low is not None:
                less = best is None or work.captured - work.low < best.captured - best.low - EXACT
                best = work if less else best
        if best is None:
            return False
        self.at = best
        self.goes_there()
        return True

    def starts_to_let_down(self):
        work = self.at
        if work.kind == "collar":
            turns = self.lift.value(self.name, "turns", work.device.turns) / self.slowness()
            self.state, self.climb = "turn back", turns * work.device.rise_per_turn
            return
        self.state, self.steps = "let down", plan_down(work.device, work, work.low)
        work.hands = work.kind != "strap"
        self.next_step_down()

    def next_step_down(self):
        """What has been touched holds what it will hold, and a pin or a chain that is out nothing."""
        work = self.at
        if not self.steps:
            self.has_let_down()
            return
        quantity, takes, times, work.captured, self.then_held, work.open, work.stack = self.steps.pop(0)
        self.due = self.lift.k + self.lift.steps(self.lift.value(self.name, quantity, takes) * self.slowness() * times)

    def turns_back(self):
        """A collar being turned back, one step of time further down."""
        self.at.captured = max(self.at.low, self.at.captured - self.climb * self.lift.dt)

    def has_let_down(self):
        work = self.at
        work.low, work.open, work.hands = None, False, False
        self.state, self.at = "idle", None

    def lets_down(self):
        """One change in it, if there is one at this instant."""
        if self.state == "turn back":
            if self.at.captured > self.at.low + EXACT:
                return False
            self.has_let_down()
        else:
            if self.lift.k < self.due:
                return False
            self.at.captured = self.then_held
            self.next_step_down()
        return True
