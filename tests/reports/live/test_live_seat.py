"""Who calls, who is there and what is late: a room whose wall clock the test turns by hand."""

from __future__ import annotations

import json
from typing import Any

from reports.live import messages
from reports.live.room import LATE, Room
from reports.live.seat import BEAT, GONE, KEPT, Page
from sim.model.chance import Crew
from sim.rehearsal.led import Rehearsal
from sim.rehearsal.wall_clock import STALL, WallClock
from tests.reports.live.served import short_lift

BEATS = messages.Beat(type="beat")
TAKES = messages.Take(type="take")


class ByHand:
    """A room, its clock turned by hand; pages that beat, unless they are named as silent."""

    def __init__(self, speed: float = 1.0) -> None:
        self.now = 100.0
        self.room = Room(Rehearsal(short_lift(), Crew(0)), speed, lambda _: {})
        self.room.clock = WallClock(speed, lambda: self.now)
        self.got: dict[Page, list[dict[str, Any]]] = {}

    def enter(self, seat: str = "", again: bool = False, watch: bool = False) -> Page:
        """A page opens."""
        page = self.room.enter(seat, again, watch, lambda: None)
        self.got[page] = []
        return page

    def begun(self) -> tuple[Page, Page]:
        """The caller, the lift begun, and one who watches."""
        caller, watcher = self.enter(), self.enter(watch=True)
        self.room.hear(caller, messages.Start(type="start"))
        return caller, watcher

    def turn(self, seconds: float, *silent: Page) -> None:
        """Time passes, beat by beat."""
        for _ in range(round(seconds / BEAT)):
            self.now += BEAT
            for page in self.room.pages:
                if page not in silent:
                    self.room.hear(page, BEATS)
            self.room.look_after_the_seat()

    def last(self, page: Page, kind: str) -> dict[str, Any]:
        """The last message of a kind that a page was sent."""
        while frame := self.room.frame(page):
            self.got[page] += json.loads(frame)
        return next(m for m in reversed(self.got[page]) if m["type"] == kind)


# --- beats


def test_the_lift_waits_while_its_caller_is_not_heard() -> None:
    """No later than a second and a half after the last beat; heard again, it goes on where it was."""
    it = ByHand(speed=4.0)
    caller, watcher = it.begun()
    it.turn(5.0)
    assert it.room.phase == "running"
    before = it.room.clock.time()
    it.turn(10.0, caller)
    stood = it.room.clock.time()
    assert it.room.phase == "away" and stood - before <= 4.0 * (GONE + BEAT) and GONE <= 1.5
    assert it.last(watcher, "state")["phase"] == "away"
    it.room.hear(caller, BEATS)
    assert it.room.phase == "running" and it.room.clock.time() == stood
    assert it.last(watcher, "state")["phase"] == "running"


def test_a_silent_watcher_keeps_nobody_waiting() -> None:
    """A tablet that has gone to sleep in somebody's pocket."""
    it = ByHand()
    _, watcher = it.begun()
    it.turn(10.0, watcher)
    assert it.room.phase == "running" and it.room.clock.time() > 9.9


def test_what_comes_late_is_dropped_and_said() -> None:
    """A call, a stop, the end, an answer to a stop: not carried out at all once their time has passed."""
    it = ByHand()
    caller, _ = it.begun()
    it.turn(1.0)
    late: list[Any] = [
        messages.Call(type="call", id=1, by=it.now - 0.01),
        messages.StopMessage(type="stop", id=2, by=it.now - 5.0),
        messages.End(type="end", id=3, by=it.now - 0.01),
        messages.Seen(type="seen", what="gap", id=4, by=it.now - 0.01),
    ]
    for press in late:
        it.room.hear(caller, press)
        refused = it.last(caller, "refused")
        assert (refused["id"], refused["why"]) == (press.id, LATE)
    assert it.room.rehearsal.stops == [] and it.room.phase == "running" and it.room.rehearsal.lift.site.call == 0
    it.room.hear(caller, messages.Call(type="call", id=5, by=it.now + 0.01))
    assert it.last(caller, "heard")["id"] == 5 and it.room.rehearsal.lift.site.call == 1


def test_a_stall_of_the_server_is_a_pause_and_what_was_pressed_before_it_is_late() -> None:
    """Seven seconds in which it did nothing: no time of the lift, said to all, the caller not gone for it."""
    it = ByHand()
    caller, watcher = it.begun()
    it.turn(2.0)
    before, pressed = it.room.clock.time(), messages.Call(type="call", id=1, by=it.now + 0.6)
    it.now += STALL + 5.0
    it.room.look_after_the_seat()
    assert it.room.clock.time() == before and it.room.phase == "running"
    assert "stood still for 7 s" in it.last(watcher, "notice")["words"]
    it.room.hear(caller, pressed)
    assert it.last(caller, "refused")["why"] == LATE and it.room.rehearsal.lift.site.call == 0


# --- the seat


def test_a_seat_that_is_empty_for_long_can_be_taken() -> None:
    """Not before; then by one who watches, once; who sat there comes back as a watcher, whatever they show."""
    it = ByHand()
    caller, watcher = it.begun()
    token = it.room.seat.token
    it.room.leave(caller)
    it.room.hear(watcher, TAKES)
    assert "not free" in it.last(watcher, "refused")["why"]
    it.turn(KEPT)
    assert it.last(watcher, "state")["seat_is_free"]
    it.room.hear(watcher, TAKES)
    assert it.room.seat.page is watcher and it.last(watcher, "welcome")["role"] == "caller"
    assert it.room.phase == "running" and it.room.rehearsal.handed_over == [it.room.clock.time()]
    back = it.enter(token, again=True)
    assert it.last(back, "welcome")["role"] == "watcher" and it.room.seat.page is watcher
    assert "taken the caller's seat" in it.last(back, "notice")["words"]
    it.room.hear(back, TAKES)
    assert "not free" in it.last(back, "refused")["why"]


def test_whoever_comes_back_in_time_or_before_it_is_taken_calls_again() -> None:
    """Its own token, after five seconds and after a minute that nobody used; a beat of the old socket does it, too."""
    it = ByHand()
    caller, watcher = it.begun()
    token = it.room.seat.token
    for away in (5.0, 60.0):
        it.room.leave(it.room.seat.page or caller)
        it.turn(away)
        caller = it.enter(token, again=True)
        assert it.last(caller, "welcome")["role"] == "caller" and it.room.phase == "running"
        assert not it.last(watcher, "state")["seat_is_free"]
    it.turn(60.0, caller)
    assert it.last(watcher, "state")["seat_is_free"]
    it.room.hear(caller, BEATS)
    assert it.room.phase == "running" and not it.last(watcher, "state")["seat_is_free"]


def test_a_stranger_who_opens_the_page_later_sits_in_no_empty_seat() -> None:
    """The seat is taken by asking for it, never by chance."""
    it = ByHand()
    caller, _ = it.begun()
    it.room.leave(caller)
    it.turn(60.0)
    assert it.last(it.enter(), "welcome")["role"] == "watcher"


def test_freed_at_the_terminal_it_is_nobody_s_until_it_is_taken() -> None:
    """Whoever sat there watches, and sees what the instructor sees; the lift waits."""
    it = ByHand()
    caller, watcher = it.begun()
    it.turn(1.0)
    it.room.free_the_seat()
    assert it.last(caller, "welcome")["role"] == "watcher" and it.last(caller, "surprises")
    it.turn(3.0)
    assert it.room.phase == "away" and it.room.seat.free
    it.room.hear(caller, messages.Call(type="call"))
    assert it.last(caller, "refused")["why"] == "only one page calls"
    it.room.hear(watcher, TAKES)
    assert it.room.phase == "running" and it.room.seat.page is watcher
