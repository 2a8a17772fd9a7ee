"""The leader of the simple simulator: looks, waits, calls, re-sets. The way down is in `down.py`."""

from __future__ import annotations

from tests.simple.physics import EXACT


class Leads:
    """The leader's part of a SimpleLift."""

    def leader_acts(self):
        k, state = self.k, self.state
        if state == "pace":
            if k < self.next_look or any(ram.state != "ready" for ram in self.rams):
                return False
            self.look(waited=False)
        elif state == "free":
            return self.free_ends()
        elif state == "room":
            return self.room_ends()
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
        if self.on_the_way_down:
            self.look_down(waited)
            return
        lead, need = self.leader, self.stage.to - EXACT
        refused = self.point_rise() >= need
        if refused and self.all_caught():
            refused = False
            if self.settled_rise() >= need:
                self.end_stage("raised")
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
        if self.out_of_level():
            called = [min(self.rams, key=self.head_rise)]
        spent = [ram for ram in called if ram.lifter.travel - ram.travelled < EXACT]
        if self.calls >= lead.max_calls:
            self.finish("not-reached", "max_calls")
        elif spent and self.scenario.reset is None:
            self.finish("not-reached", f"{spent[0].lifter.name} has no travel left")
        elif spent:
            self.when_caught(lambda: self.let_go(spent, self.pack_up))
        elif all(self.stroke_from(ram, 1.0) - ram.travelled < EXACT for ram in called):
            self.finish("not-reached", "relief pressure")
        else:
            self.call(called)

    def call(self, called):
        out, lead = self.result, self.leader
        self.count_call()
        out.over_limit_calls += any(self.gap(place) > lead.gap_limit + EXACT for place in self.places)
        out.levelling_calls += len(called) < len(self.rams)
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

    def count_call(self):
        out = self.result
        self.calls += 1
        self.last_call = self.k
        out.call_times.append(self.wall())
        for m in self.scenario.mishaps:
            if m.kind == "slow" and m.call == self.calls:
                self.people[m.who].slows(m.factor)
        if self.refused_at is not None:
            out.holds += 1
            out.hold_time += self.wall() - self.refused_at
            self.refused_at = None

    def let_go(self, spent, then):
        """A re-set: the load settles on what stands beside the spent lifters; `then` they are in contact again."""
        if any(not any(p.side in ("both", ram.side) and not p.own for p in self.places) for ram in spent):
            self.finish(
                "stuck" if self.on_the_way_down else "not-reached",
                "a re-set needs a station on the side that is let go",
            )
            return
        self.measure()  # what stood open until now
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
        self.draw_lines()
        if not self.on_the_way_down:
            if self.point_rise() <= self.last_settled + EXACT:
                self.finish("not-reached", "the re-set gained nothing")
                return
            self.last_settled = self.point_rise()
        self.spend(self.scenario.reset.time, lambda: then(spent))

    def pack_up(self, spent):
        """They stand higher, for another run."""
        for ram in spent:
            origins = [work.origin for work in self.own_works([ram])]
            ram.runs.append((ram.contact, ram.to_spend, ram.earlier, origins))
            ram.earlier, ram.travelled = ram.earlier + ram.travelled, 0.0
            ram.to_spend, ram.contact = self.scenario.reset.reseat, ram.line.length(ram.u)
        for work in self.own_works(spent):
            work.captured = work.pile = work.origin = work.place.demand
            work.stack = []
            work.open = False
        self.look(waited=False)
