"""The way down in the simple simulator: a lowering call frees, makes room, waits for all hands, lowers and lands.

Written from part 3 of the design ("Lowering") alone. What it leaves out: mishaps on the way down.
"""

from __future__ import annotations

from tests.simple.physics import EXACT, brought_up


class Lowers:
    """The part of a SimpleLift that comes down."""

    def look_down(self, waited):
        """Whatever the gaps: all is caught, then the stage has ended, or the load comes down a step."""
        down = self.point_rise() <= self.stage.to + EXACT
        if not self.all_caught():
            if not down and self.refused_at is None:
                self.refused_at = self.wall()
            self.when_caught(lambda: self.look_down(waited=True))
        elif down:
            self.end_stage("lowered")
        elif waited:
            self.spend(self.leader.look, self.about_to_call_down)
        else:
            self.about_to_call_down()

    def about_to_call_down(self):
        called = [ram for ram in self.rams if self.point_rise(ram.u) > self.stage.to + EXACT]
        if len(called) > 1 and self.out_of_level():
            called = [max(called, key=self.head_rise)]
        resting = [ram for ram in called if self.rests(ram)]
        spent = [ram for ram in resting if ram.lifter.travel - ram.travelled < EXACT]
        at_bottom = [ram for ram in called if ram.runs and self.is_at_bottom(ram)]
        if self.calls >= self.leader.max_calls:
            self.finish("not-reached", "max_calls")
        elif at_bottom:
            self.let_go(at_bottom, self.run_out)
        elif spent and (self.scenario.reset is None or any(ram.was_run_out for ram in spent)):
            self.finish("stuck", f"{spent[0].lifter.name} has no travel left")
        elif spent:
            self.let_go(spent, self.pack_up)
        elif any(self.stroke_from(ram, 1.0) - ram.travelled < EXACT for ram in resting):
            self.finish("stuck", "relief pressure")
        else:
            self.call_down(called)

    def out_of_level(self):
        rises = [self.head_rise(ram) for ram in self.rams]
        limit = self.leader.level_limit
        return limit is not None and max(rises) - min(rises) > limit + EXACT

    def rests(self, ram):
        """A closed device holds the side where it is."""
        return any(
            not self.is_open(place) and self.demand_now(place) - self.best(place) <= EXACT
            for place in self.places
            if ram in place.rams
        )

    def is_at_bottom(self, ram):
        """It has no way left to come down in this run: it is all in, or stands on a capture of its own that is."""
        if ram.to_spend > ram.travelled + EXACT and self.rests(ram):  # just packed up: it will sink in as it is freed
            return False
        own = [work for work in self.own_works([ram]) if work.captured <= work.origin + EXACT]
        return ram.travelled < EXACT or any(self.demand_now(w.place) - w.captured <= EXACT for w in own)

    def demand_now(self, place):
        return place.line.length(sum(ram.u for ram in place.rams) / len(place.rams)) - place.line.start

    # One call: free, room, lower

    def call_down(self, called):
        self.count_call()
        self.measure()  # what stood just before the call is not made yet
        self.result.calls_down += 1
        self.called = called
        for ram in called:
            ram.down = True
            if self.rests(ram):
                ram.state, ram.left = "react", 1
                operator = ram.lifter.operator
                ram.due = self.k + self.steps(self.value(ram.lifter.name, "react", operator.react))
        to = self.u_of_rise(self.stage.to)
        for place in self.places:
            if self.is_made(place):
                place.room = max(self.demand_now(place) - self.leader.room, place.line.length(to) - place.line.start)
                for work in place.works:
                    work.caught = False
        self.state = "free"

    def is_made(self, place):
        """Whether a gap here is being made: a side of it has been called down, and has not landed."""
        return any(ram.down for ram in place.rams)

    def free_ends(self):
        """All called sides are clear, and their operators have recovered."""
        if any(ram.state != "ready" for ram in self.rams):
            return False
        for work in self.works:
            low = max(work.place.room, work.origin - work.slack) if self.is_made(work.place) else work.captured
            if work.captured > low + EXACT:
                work.low = low
        self.state = "room"
        return True

    def room_ends(self):
        """All hands are out."""
        if any(work.low is not None for work in self.works):
            return False
        self.spend(self.leader.look, self.open_valves)
        return True

    def open_valves(self):
        for ram in self.called:
            name, operator = ram.lifter.name, ram.lifter.operator
            ram.state = "react to lower"
            ram.due = self.k + self.steps(self.value(name, "react", operator.react))
            ram.speed = self.value(name, "lowering", operator.lowering)
            ram.told = False
        self.state, self.next_look = "pace", self.last_call + self.steps(self.leader.pace)

    # Rams that shorten

    def rams_come_down(self):
        """One step of time further down for every open valve; and who lands."""
        lowering = [ram for ram in self.rams if ram.state == "valve open"]
        for ram in lowering:
            length = ram.line.length(ram.u) - min(ram.speed * self.dt, ram.travelled)
            self.bring_down(ram, max(0.0, ram.line.u_at(length)))
        for ram in lowering:
            stop, others = self.side_stop(ram, own=True), [r for r in self.rams if r is not ram]
            across = self.both_holds()
            stop = max(stop, 2 * across - others[0].u if others else across)
            if ram.u <= stop + EXACT:
                self.bring_down(ram, stop)
                self.lands(ram)
            elif ram.travelled < EXACT:
                self.lands(ram)
        if lowering:
            self.changed = True
            self.draw_lines()

    def lands(self, ram):
        ram.down, ram.was_run_out = False, False
        ram.state = "close"
        if not ram.told:
            ram.due = self.k + self.steps(self.close_time(ram))
        for place in self.places:
            for work in place.works if ram in place.rams else []:
                work.before = work.captured

    def close_time(self, ram):
        return self.value(ram.lifter.name, "close", ram.lifter.operator.close)

    def valves(self):
        """Valves are opened; a side that nothing could hold is told to stop; valves are shut."""
        acted = False
        for ram in self.rams:
            if ram.state == "react to lower" and self.k >= ram.due:
                ram.state, acted = "valve open", True
            if ram.state == "valve open" and not any(ram in place.rams for place in self.places):
                if not ram.told and self.point_rise(ram.u) <= self.stage.to + EXACT:
                    ram.told, ram.due = True, self.k + self.steps(self.close_time(ram))
                if ram.told and self.k >= ram.due:
                    self.lands(ram)
            if ram.state == "close" and self.k >= ram.due:
                ram.state, acted = "ready", True
        self.changed = self.changed or acted

    # A ram that was packed up comes down by its packing

    def run_out(self, rams):
        """Its packing has been taken out: it stands where it stood before that re-set."""
        for ram in rams:
            ram.contact, ram.to_spend, ram.earlier, origins = ram.runs.pop()
            ram.travelled = ram.to_spend + ram.line.length(ram.u) - ram.contact
            ram.was_run_out = True
            for work, origin in zip(self.own_works([ram]), origins, strict=True):
                work.origin = work.pile = work.captured = origin
                work.captured, work.stack = brought_up(work.device, work, work.place.demand)
                work.open = False
        self.look_down(waited=False)
