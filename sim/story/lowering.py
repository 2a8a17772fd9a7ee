"""The way down, call by call: free, room, hands out, lower, land. And a hold, with the load standing on its captures.

No device can be moved while the load rests on it. So a lowering call first raises the load clear, then has every device
let down a step below where the load stood, waits until all hands are out, and only then opens the valves.
"""

from __future__ import annotations

from functools import partial
from math import inf

import simpy

from sim.model.devices import EXACT
from sim.model.scenario import FREE, LOWER, ROOM, Stage
from sim.record.what import Outcome, What
from sim.story.clock import Process
from sim.story.ending import Ended
from sim.story.leading import Leading
from sim.story.now import PlaceNow, SideNow, mean_u, names_of
from sim.story.resets import let_go, pack_up, refusal, run_out
from sim.story.site import Site


class Lowering(Leading):
    """The people of one lift, on its way down and while it is held."""

    def __init__(self, site: Site) -> None:
        super().__init__(site)
        self.cannot_free: list[SideNow] = []  # pumped, and nothing moved
        self.coming_down = self.env.event()  # a side begins to come down, or lands

    def hold(self, stage: Stage) -> Process:
        """The load settles onto its captures and stands on them for a time."""
        self.site.settle()
        yield self.env.timeout(stage.time)

    # --- the leader

    def go_down(self, stage: Stage) -> Process:
        """Call after call, until the load is where the stage goes to.

        Raises
        ------
        Ended
            It is there, or cannot be brought there.
        """
        to = self.site.motion.u_for_rise(self.site.scenario.need.point, stage.to)
        self.nothing_is_moved_up(True)
        while (yield from self.is_above(to)):
            yield from self.call_down(to)
        self.nothing_is_moved_up(False)
        raise Ended(Outcome.LOWERED, "the load has been let down to what was to hold it there")

    def nothing_is_moved_up(self, holds: bool) -> None:
        """On the way down collars are turned up, straps clicked and wedges driven; pins, links and pieces stay."""
        for d in self.site.devices:
            d.only_tightened = holds

    def is_above(self, to: float) -> Process:
        """One look, once all is caught: whether the load is still above where it is to go."""
        yield from self.takes_a_look()
        above = mean_u(self.site.sides, self.env.now) > to + EXACT
        held = above and not self.site.all_caught
        if held:
            self.say(What.HOLDS, self.not_caught)
        yield from self.until_all_caught()
        if above:
            yield from self.before_calling_down(held)
        return above

    def before_calling_down(self, held: bool) -> Process:
        """All is caught: the call goes out at once, or after a hold one look later."""
        if held:
            yield from self.one_look()

    def call_down(self, to: float) -> Process:
        """Have the load brought down one step, if it can be; then wait for the next look.

        Raises
        ------
        Ended
            No call can be made any more, or what the load rests on cannot be freed.
        """
        sides = self.sides_to_call_down(to)
        self.end_at_the_last_call()
        if at_their_end := [s for s in sides if s.u <= self.site.bottom(s) + EXACT]:
            yield from self.run_out_or_end(at_their_end)
            return
        resting = [s for s in sides if self.site.rests(s)]
        if spent := [s for s in resting if s.left < EXACT]:
            yield from self.pack_up_or_end(spent)
            return
        if blocked := [s for s in resting if not self.can_move(s)]:
            raise Ended(Outcome.STUCK, f"{names_of(blocked)}: at its relief pressure, the pump cannot free the load")
        yield from self.free_and_lower(sides, to)
        yield from self.until_the_next_look()

    def sides_to_call_down(self, to: float) -> list[SideNow]:
        """All that are above it; of sides further apart than the level limit the high one alone."""
        apart = self.low_and_high
        return [s for s in (apart[1:] if apart else self.site.sides) if s.u > to + EXACT]

    def free_and_lower(self, sides: list[SideNow], to: float) -> Process:
        """One turn of the cycle: free, room, hands out, lower.

        Raises
        ------
        Ended
            The pump could not raise the load clear.
        """
        site, call = self.site, self.site.call + 1
        stood = {place: place.demand for side in sides for place in side.places}
        for side in sides:
            side.made = True
        self.makes_a_call(What.CALLS_DOWN, sides, self.free)
        yield from self.until_ready()
        if self.cannot_free:
            raise Ended(Outcome.STUCK, f"{names_of(self.cannot_free)}: the pump could not free the load")
        self.mishaps.has_ended(call, FREE)
        yield from self.before_room()
        self.say(What.ROOM, names_of(sides))
        self.make_room(stood, to)
        while any(d.goes_down_to is not None for d in site.devices):
            yield self.wait()
        self.mishaps.has_ended(call, ROOM)
        yield from self.before_lowering()
        self.say(What.LOWERS, names_of(sides))
        self.tell(sides, partial(self.come_down, to))

    def before_room(self) -> Process:
        """All sides are clear: the devices are let down at once."""
        yield from ()

    def before_lowering(self) -> Process:
        """All hands are out: one look."""
        yield from self.one_look()

    def make_room(self, stood: dict[PlaceNow, float], to: float) -> None:
        """Whatever holds more is to be let down a step below where the load stood, and no further than `to`."""
        for place, demand in stood.items():
            level = max(demand - self.rule.room, place.line.demand(to)) - place.origin
            for d in place.devices:
                lowest = max(level, d.device.at_start(place.where.slack).captured)
                if d.held.captured > lowest + EXACT and d.catcher not in self.site.false_reports:
                    d.goes_down_to = lowest
                    self.site.wake(d.catcher)

    def run_out_or_end(self, at_their_end: list[SideNow]) -> Process:
        """Take the packing out from under rams that have no way left to come down, and run them out to contact.

        Raises
        ------
        Ended
            Nothing is packed up under them, or nothing else would hold the load meanwhile.
        """
        names = names_of(at_their_end)
        if not all(side.runs for side in at_their_end):
            raise Ended(Outcome.STUCK, f"{names}: no way left to come down, and no packing under it to take out")
        self.end_if(refusal(at_their_end))
        yield from run_out(self.site, at_their_end)

    def pack_up_or_end(self, spent: list[SideNow]) -> Process:
        """Re-set lifters that have no travel left to free the load, where there is a re-set.

        Raises
        ------
        Ended
            There is none, or it is not possible, or the packing has just been taken out.
        """
        on = [p.name for s in spent for p in self.site.holds(s)]
        why = f"{names_of(spent)}: no ram travel left to free the load from {' and '.join(dict.fromkeys(on))}"
        if any(side.run_out for side in spent):
            self.end_if(f"{why}; a re-set a stroke earlier on the way up would cure it")
        if self.site.scenario.reset is None:
            self.end_if(f"{why}; a [reset], more travel, or a stroke less on the way up would cure it")
        self.end_if(refusal(spent))
        let_go(self.site, spent)
        yield from pack_up(self.site, spent)

    def end_if(self, why: str) -> None:
        """The load cannot be brought down, if there is a reason.

        Raises
        ------
        Ended
            There is one.
        """
        if why:
            raise Ended(Outcome.STUCK, why)

    # --- the operators

    def free(self, side: SideNow, call: int) -> Process:
        """Raise a side clear of what it rests on, by whole strokes, one at a time."""
        self.site.book_side(side, What.FREES)
        if not self.site.rests(side):
            return
        yield from self.reacts(side, call)
        stroke, recover, fill = self.strokes_of(side, call)
        resting = True
        while resting:
            travel = side.travel
            yield from self.one_stroke(side, stroke, fill)
            resting = self.site.rests(side)
            yield self.env.timeout(recover)
            if resting and side.travel <= travel + EXACT:
                self.cannot_free.append(side)
                return
        self.site.book_side(side, What.CLEAR)

    def come_down(self, to: float, side: SideNow, call: int) -> Process:
        """Open the valve, let the side down onto what holds it, shut the valve."""
        site, person, name = self.site, side.lifter.operator, side.lifter.name
        if self.misses(side, call):
            self.mishaps.side_has_stopped(call, LOWER)
            return
        speed = site.chance.draw(name, "lowering", person.lowering, call)
        close = site.chance.draw(name, "close", person.close, call)
        yield from self.reacts(side, call)
        if all(place.open for place in side.places):
            yield from self.run_down(side, max(to, site.lowest(side)), speed)
            told = self.env.now
            runs_on = side.line.u_at(max(0.0, side.line.demand(side.u) - speed * close))
            yield from self.run_down(side, max(runs_on, site.lowest(side)), speed)
            close = max(0.0, told + close - self.env.now)
        else:
            yield from self.run_down(side, site.lowest(side), speed)
        site.is_let_down(side)
        site.book_side(side, What.LET_DOWN)
        self.mishaps.side_has_stopped(call, LOWER)
        yield self.env.timeout(close)
        site.book_side(side, What.READY)

    def run_down(self, side: SideNow, to: float, speed: float) -> Process:
        """The ram shortens until the side is at `to`, or the mean of the sides meets what a place on both holds."""
        site = self.site
        site.opens(side, to, speed)
        site.book_side(side, What.OPENS)
        self.word_of_coming_down()
        while side.end < inf:
            until = min(side.end, site.meets_both())
            if until > self.env.now:
                yield self.env.timeout(until - self.env.now) | self.coming_down
            if self.env.now >= side.end:
                self.land([side])
            elif self.env.now >= site.meets_both():
                self.land([s for s in site.sides if s.end < inf])

    def land(self, sides: list[SideNow]) -> None:
        """These sides are at rest where they are."""
        for side in sides:
            self.site.lands(side)
            held = side.u <= EXACT or self.site.rests(side)
            self.site.book_side(side, What.LANDS if held else What.RESTS)
        self.word_of_coming_down()

    def word_of_coming_down(self) -> None:
        """Let every operator at an open valve see that something has changed."""
        changes: simpy.Event = self.coming_down
        self.coming_down = self.env.event()
        changes.succeed()
