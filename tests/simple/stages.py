"""The stages of the simple simulator: one after another, each called in its own way; the hold; the lift half-way on."""

from __future__ import annotations

from types import SimpleNamespace

from tests.simple.physics import EXACT, brought_up, rise_of


class Stages:
    """The part of a SimpleLift that goes from stage to stage."""

    def stands_at_start(self):
        """Half-way on: the load stands there, the rams have come as far and the devices are up with it."""
        start = self.scenario.start
        if not start:
            return
        for ram in self.rams:
            ram.u = self.u_of_rise(start)
            ram.travelled = ram.to_spend + ram.line.length(ram.u) - ram.contact
        self.draw_lines()
        for work in self.works:
            work.captured, work.stack = brought_up(work.device, work, work.place.demand)
            work.before = work.captured

    def u_of_rise(self, rise):
        """Where a side is when the needed point has risen so far: half the range, again and again."""
        load, point = self.scenario.load, self.scenario.need.point
        low, high = 0.0, 1.5 if load.motion == "hinged" else rise
        if rise == 0 or load.motion == "straight":
            return rise
        for _ in range(80):
            middle = (low + high) / 2
            low, high = (middle, high) if rise_of(load, point, middle) < rise else (low, middle)
        return high

    @property
    def on_the_way_down(self):
        """Whether this is a stage of the way down."""
        return self.stage.do == "lower"

    def begin_stage(self):
        """It is looked for the first call at the stage's own pace, counted from the last call; a hold needs none."""
        self.stage = self.job[self.stages_done]
        self.leader = self.stage.led(self.scenario.leader)
        self.stage_calls = self.calls
        self.state = "pace"
        self.next_look = self.last_call + self.steps(self.leader.pace) if self.calls else 0
        if self.stage.do == "hold":
            self.when_caught(self.stand)

    def stand(self):
        """The load settles, the rams carry nothing."""
        self.measure()  # what stood open until now
        self.settle()
        self.spend(self.stage.time, lambda: self.end_stage("held"))

    def end_stage(self, outcome):
        """What ends with a stage is waited for without its being a hold; the last one ends the lift."""
        self.refused_at = None
        self.note_stage(outcome)
        self.stages_done += 1
        if outcome != "held":
            self.reached = outcome
        if self.stages_done == len(self.job):
            self.end(self.reached or outcome, "")
        else:
            self.begin_stage()

    def note_stage(self, outcome):
        calls = self.calls - self.stage_calls
        stage = SimpleNamespace(do=self.stage.do, outcome=outcome, calls=calls, end=self.wall(), rise=self.point_rise())
        self.result.stages.append(stage)

    def settle(self):
        """Both sides come down by the same, until each meets its stop, or the mean what holds it across both."""
        stops = {ram.side: min(ram.u, self.side_stop(ram, own=True)) for ram in self.rams}
        across = self.both_holds()
        to_go = list(self.rams)
        while to_go:
            mean = sum(ram.u for ram in self.rams) / len(self.rams)
            by_stop = min(ram.u - stops[ram.side] for ram in to_go)
            by_mean = max(0.0, mean - across) * len(self.rams) / len(to_go)
            for ram in to_go:
                self.bring_down(ram, ram.u - min(by_stop, by_mean))
            if by_mean <= by_stop:
                break
            to_go = [ram for ram in to_go if ram.u - stops[ram.side] > EXACT]
        self.draw_lines()

    def bring_down(self, ram, u):
        """A ram stays in contact; what has once been spent of it is not spent again."""
        before, length = ram.line.length(ram.u), ram.line.length(u)
        ram.u, ram.travelled = u, ram.travelled - (before - length)
        if length < ram.contact:
            ram.to_spend -= ram.contact - length
            ram.contact = length
