"""The catchers of a lift, each a process: see the load move or stop, react, take up what was given, look again."""

from __future__ import annotations

from collections.abc import Generator, Iterable, Iterator
from typing import Any

import simpy

from sim.model.devices import EXACT, Collar, Held, Step
from sim.model.devices.collar import climbed
from sim.model.draw import Draw
from sim.model.stops import first_largest
from sim.record.what import What
from sim.story.at_work import AtWork
from sim.story.clock import Process
from sim.story.mishaps import Mishaps
from sim.story.now import DeviceNow, SideNow
from sim.story.site import Site


class Catchers:
    """Everybody who keeps a device up with the load."""

    def __init__(self, site: Site, people: AtWork, mishaps: Mishaps) -> None:
        self.site = site
        self.env = site.env
        self.people = people
        self.mishaps = mishaps

    def set_going(self) -> None:
        """Everyone takes up their work."""
        for catcher in dict.fromkeys(d.catcher for d in self.site.devices):
            self.people.catchers[catcher] = self.env.process(self.catch(catcher))

    def let_be(self, side: SideNow) -> None:
        """Who was still reacting to a move that gave nothing to capture has nothing to react to any more."""
        for catcher, job in self.people.at_side(side):
            if job.caught and not job.working:
                catcher.interrupt()

    def catch(self, catcher: str) -> Process:
        """One catcher's lift: see that there is something to do, go there, react, work, and look again."""
        site = self.site
        mine = [d for d in site.devices if d.catcher == catcher]
        at = None
        while True:
            job = self.nearest_to_its_level(mine) or self.widest(mine)
            self.people.jobs[catcher] = job
            try:
                if job is None:
                    site.says_caught(mine)
                    yield self.wait_for_work(catcher)
                    continue
                if at is not None and at is not job.place and catcher in site.scenario.walk:
                    site.book_place(job.place, catcher, What.WALKS, job.device.name)
                    yield self.env.timeout(self.time(job, "walk", site.scenario.walk[catcher]))
                at = job.place
                site.book_place(job.place, catcher, What.REACTS, job.device.name)
                yield self.env.timeout(self.time(job, "react", job.device.react))
                if job.goes_down_to is not None:
                    yield from self.let_down(job, job.goes_down_to)
                elif isinstance(job.device, Collar):
                    yield from self.chase(job, job.device)
                elif job.can_be_worked:
                    yield from self.work_in_steps(job)
            except simpy.Interrupt:
                continue  # nothing to be done there any more: caught as it stands, or the load has come down on it

    def widest(self, mine: list[DeviceNow]) -> DeviceNow | None:
        """Where this catcher goes now: the device furthest behind, at the place with the widest gap; or nowhere.

        Of those alike the first in the file's order.
        """
        for d in mine:
            self.site.bring_up(d.place)
        jobs = [d for d in mine if d.can_be_worked and d.catcher not in self.site.false_reports]
        if not jobs:
            return None
        place = first_largest(jobs, lambda d: d.place.gap).place
        return first_largest([d for d in jobs if d.place is place], lambda d: d.gap)

    def nearest_to_its_level(self, mine: list[DeviceNow]) -> DeviceNow | None:
        """Of those that are to be let down the one with least to go; of those alike the first in the file's order."""
        jobs = [(d, d.held.captured - d.goes_down_to) for d in mine if d.goes_down_to is not None]
        return first_largest(jobs, lambda job: -job[1])[0] if jobs else None

    def wait_for_work(self, catcher: str) -> simpy.Event:
        """For word that a load this catcher follows has begun to move, or stopped."""
        self.site.waiting[catcher] = self.env.event()
        return self.site.waiting[catcher]

    def chase(self, job: DeviceNow, collar: Collar) -> Process:
        """Turn a collar up to the load, stay with it until the side is at rest, seat it."""
        site, place = self.site, job.place
        site.bring_up(place)
        start = job.held.captured
        job.working = True
        turns = site.chance.draw(job.catcher, "turns", collar.turns, site.call)
        job.climb = climbed(turns / self.mishaps.slowness(job.catcher), collar.rise_per_turn)
        site.book_place(place, job.catcher, What.TURNS, collar.name)
        yield from self.turn_up(job)
        if job.held.captured <= start + EXACT:
            job.working = False
            site.caught(job, What.NOTHING_TO_CAPTURE)
            return
        site.book_place(place, job.catcher, What.SEATS, collar.name)
        yield self.env.timeout(self.time(job, "seat", collar.seat))
        self.look_again(job)

    def turn_up(self, job: DeviceNow) -> Process:
        """Go on turning, at the climb set, until the side is at rest and the load is met, or the thread at its end."""
        while job.place.moving or job.left > EXACT:
            if job.place.moving:
                yield self.wait_for_work(job.catcher)
            else:
                yield self.env.timeout(job.left / job.climb)
                self.meets_under_way(job)
            self.site.bring_up(job.place)
        job.climb, job.held = 0.0, Held(job.reach)

    def meets_under_way(self, job: DeviceNow) -> None:
        """Write down that a collar meets a load that began to move meanwhile: the line of what it holds bends."""
        if job.place.moving:
            self.site.bring_up(job.place)
            what = What.MEETS if job.climb else What.ENDS
            self.site.book_place(job.place, job.catcher, what, job.device.name)

    def work_in_steps(self, job: DeviceNow) -> Process:
        """Do what the demand asks for, one step after another."""
        job.working = True
        before = yield from self.do_steps(job, self.planned(job))
        self.look_again(job, before)

    def do_steps(self, job: DeviceNow, steps: Iterable[Step]) -> Generator[simpy.Event, Any, float]:
        """One step after another; what the place held just before the last was done [m]."""
        site, place = self.site, job.place
        site.bring_up(place)
        before = place.captured
        for step in steps:
            site.step_begins(job, step, before)
            yield self.env.timeout(self.time(job, step.doing, step.takes) * step.times)
            site.bring_up(place)
            before = place.captured
            job.held = step.then
        job.open = job.hands = False
        return before

    def let_down(self, job: DeviceNow, to: float) -> Process:
        """Bring a device down to a level, so that there is room under the load."""
        site, place = self.site, job.place
        job.working = True
        if isinstance(job.device, Collar):
            before = yield from self.turn_back(job, job.device, to)
        else:
            before = yield from self.do_steps(job, job.device.let_down(job.held, to))
        job.working, job.goes_down_to = False, None
        site.book_place(place, job.catcher, What.LET_DOWN, job.device.name, before)
        site.wake_leader()

    def turn_back(self, job: DeviceNow, collar: Collar, to: float) -> Generator[simpy.Event, Any, float]:
        """Turn a collar back to a level; what its place held just before it was there [m]."""
        site, place = self.site, job.place
        site.bring_up(place)
        turns = site.chance.draw(job.catcher, "turns", collar.turns, site.call)
        job.climb = -climbed(turns / self.mishaps.slowness(job.catcher), collar.rise_per_turn)
        site.book_place(place, job.catcher, What.TURNS_BACK, collar.name)
        yield self.env.timeout((job.held.captured - to) / -job.climb)
        site.bring_up(place)
        before = place.captured
        job.climb, job.held = 0.0, Held(to)
        return before

    def planned(self, job: DeviceNow) -> Iterator[Step]:
        """The steps of one piece of work, as the demand at its start asks for them; or each chosen anew, while at rest.

        What is held when the next one is asked for is what is held once the one before is done.
        """
        steps = job.steps()
        while steps:
            step, steps = steps[0], steps[1:]
            yield step
            if step.anew:
                steps = job.steps() if job.can_be_worked else ()

    def look_again(self, job: DeviceNow, before: float | None = None) -> None:
        """The work is done: the device is caught, unless there is more to capture."""
        site, place = self.site, job.place
        site.bring_up(place)
        job.working = False
        job.caught = not (place.moving or job.can_be_worked)
        what = What.CAUGHT if job.caught else What.CAPTURES
        site.book_place(place, job.catcher, what, job.device.name, before)
        site.wake_leader()

    def time(self, job: DeviceNow, quantity: str, of: Draw) -> float:
        """How long this catcher takes over something in this call [s]."""
        return self.mishaps.slowness(job.catcher) * self.site.chance.draw(job.catcher, quantity, of, self.site.call)
