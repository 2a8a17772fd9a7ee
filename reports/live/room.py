"""One rehearsal and the pages that are open on it: one caller, any number of watchers.

While the caller is not heard the lift holds and waits. A press is carried out at once or never: one that comes late, by
a clock that the page is sent twice a second, is dropped, and the page is told so.

All that is sent is kept in the order in which it was sent; every page has its own place in that order, so that one that
comes late gets everything, and one that is slow keeps nobody waiting.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
from collections.abc import Callable
from typing import Any

from reports.live import messages
from reports.live.asks import asked
from reports.live.rows import Rows
from reports.live.seat import CALLER, WATCHER, Page, Seat
from sim.rehearsal.led import Rehearsal
from sim.rehearsal.surprises import BY_HAND, possible
from sim.rehearsal.wall_clock import WallClock

MOST_BY_HAND = 8  # surprises that instructors may bring in
FRAME = 400  # most messages in one frame
LOOK = 0.25  # how often it is looked whether the caller is there [s]
LATE = "it came late, and is not carried out any more"


class Room:
    """A rehearsal in real time."""

    def __init__(self, rehearsal: Rehearsal, speed: float, afterwards: Callable[[Rehearsal], dict[str, Any]]) -> None:
        self.rehearsal = rehearsal
        self.clock = WallClock(speed)
        self.rows = Rows(rehearsal)
        self.afterwards = afterwards  # measures and stores; what the page shows then
        self.sent: list[tuple[str, bool]] = []  # messages, and whether they are for watchers only
        self.pages: list[Page] = []
        self.seat = Seat(lambda: self.clock.wall())
        self.started = False
        self.word = asyncio.Event()
        self.scored = asyncio.Event()
        self.last_state: dict[str, Any] = {}
        self.last_slack: dict[str, Any] = {"type": "slack", "words": ""}
        rehearsal.advance(0.0)
        self.send_rows()
        self.send_surprises()

    # --- pages come and go

    def enter(self, seat: str, again: bool, watch: bool, close: Callable[[], None]) -> Page:
        """A page opens: the first is the caller's, and so is one that shows the caller's seat."""
        page = Page(WATCHER, close, self.clock.wall())
        self.pages.append(page)
        if not watch and self.seat.is_for(seat, again):
            old = self.seat.page
            self.seat.sit(page)
            if old is not None:
                old.close()
        self.welcome(page)
        self.look_after_the_seat()
        self.send_state()
        return page

    def leave(self, page: Page) -> None:
        """A page closes."""
        self.pages.remove(page)
        if page is self.seat.page:
            self.seat.stand_up()
        self.look_after_the_seat()
        self.send_state()

    def welcome(self, page: Page) -> None:
        """Tell a page what it is; one that watches also what is going to go wrong."""
        welcome = {"type": "welcome", "role": page.role, "phase": self.phase}
        page.own.append(json.dumps(welcome | ({"seat": self.seat.token} if page.role == CALLER else {})))
        if page.seen and page.role == WATCHER:
            page.own.append(json.dumps(self.surprises()))
        page.news.set()

    def look_after_the_seat(self) -> None:
        """Without its caller the lift holds and waits; with it, it goes on. Who is gone too long loses the seat."""
        stalls = len(self.clock.stalled)
        self.send_rows()
        if len(self.clock.stalled) > stalls:
            self.after_a_stall(self.clock.stalled[-1])
        if not (self.seat.is_here or self.rehearsal.over):
            self.clock.pause()
        elif self.started and not self.rehearsal.over:
            self.clock.go()
        self.seat.look()
        if self.state() != self.last_state:
            self.send_state()
        self.word.set()

    def after_a_stall(self, seconds: float) -> None:
        """This machine stood still: nobody could be heard, and nobody is gone for that."""
        for page in self.pages:
            page.heard = self.clock.wall()
        self.notice(f"the computer that runs this stood still for {seconds:.0f} s; the lift waited")

    def free_the_seat(self) -> None:
        """Whoever calls becomes a watcher, and any watcher may take the seat."""
        old = self.seat.page
        self.seat.give_up()
        if old is not None:
            self.welcome(old)
        self.notice("the caller's seat was freed at the computer that runs this")
        self.look_after_the_seat()
        self.send_state()

    def _take(self, page: Page) -> str:
        if not self.seat.free:
            return "the caller's seat is not free"
        old = self.seat.page
        self.seat.give_up()
        self.seat.sit(page)
        for each in filter(None, (old, page)):
            self.welcome(each)
        self.rehearsal.handed_over.append(self.clock.time())
        self.notice("somebody who watched has taken the caller's seat")
        self.look_after_the_seat()
        return ""

    # --- what pages say

    def hear(self, page: Page, message: messages.FromPage) -> None:
        """A valid message of a page."""
        page.heard = self.clock.wall()
        if page is self.seat.page:
            self.look_after_the_seat()
        if isinstance(message, messages.Beat):
            return
        late = message.by is not None and page.heard > message.by
        why_not = LATE if late else self._why_not(page, message) or self._do(page, message)
        self.send_rows()
        answer: dict[str, Any] = {"type": "heard", "id": message.id}
        if why_not:
            answer |= {"type": "refused", "what": message.type, "why": why_not}
        page.own.append(json.dumps(answer))
        page.news.set()
        if not why_not:
            self.send_state()
        self.word.set()

    def _why_not(self, page: Page, message: messages.FromPage) -> str:
        if self.rehearsal.over:
            return "the lift is over"
        if isinstance(message, messages.SurpriseMessage | messages.Take) == (page.role == WATCHER):
            return ""
        return "only one page calls" if page.role == WATCHER else "that is for those who watch"

    def _do(self, page: Page, message: messages.FromPage) -> str:
        lift, time = self.rehearsal, self.clock.time()
        match message:
            case messages.Start():
                self.started = True
                self.clock.go()
                return ""
            case messages.Take():
                return self._take(page)
            case messages.SurpriseMessage(kind=kind, who=who):
                if who not in possible(lift.scenario, kind):
                    return f"that cannot happen to {who}"
                by_hand = [s for s in lift.surprises if s.by_hand]
                if len(by_hand) >= MOST_BY_HAND or any(s.kind == kind and s.who == who for s in lift.surprises):
                    return "there are enough surprises" if len(by_hand) >= MOST_BY_HAND else "that is so already"
                lift.bring_in(kind, who, time)
                self.send_surprises()
                return ""
        if not self.started:
            return "the lift has not begun"
        match message:
            case messages.Call(side=side):
                return lift.call(side, time)
            case messages.End():
                return lift.end(time)
            case messages.StopMessage():
                return lift.stop(time)
            case messages.Seen(what=what, where=where):
                return lift.seen(what, where, time)
        return ""

    # --- what pages are sent

    @property
    def phase(self) -> str:
        """What goes on, in a word."""
        if self.rehearsal.over:
            return "over"
        if not self.started:
            return "ready"
        if not self.seat.is_here:
            return "away"
        if self.rehearsal.frozen_at is not None:
            return "frozen"
        return "ending" if self.rehearsal.lift.ends else "running"

    def send(self, message: dict[str, Any], watchers_only: bool = False) -> None:
        """Send to all pages."""
        self.sent.append((json.dumps(message, separators=(",", ":"), allow_nan=False), watchers_only))
        for page in self.pages:
            page.news.set()

    def send_rows(self) -> None:
        """Let happen what is due, and send it."""
        time = self.clock.time()
        self.rehearsal.advance(time)
        rows = self.rows.new(time)
        if rows:
            self.send({"type": "rows", "rows": rows})
        slack = {"type": "slack", "words": "" if self.rehearsal.over else self.rows.slack()}
        if slack != self.last_slack:
            self.last_slack = slack
            self.send(slack)

    def send_state(self) -> None:
        """Send what goes on, and who is there."""
        self.last_state = self.state()
        self.send(self.last_state)

    def state(self) -> dict[str, Any]:
        """What goes on, and who is there."""
        watchers = sum(p.role == WATCHER for p in self.pages)
        seat = {"watchers": watchers, "seat_is_free": self.seat.free}
        return {"type": "state", "phase": self.phase, **seat, **asked(self.rehearsal)}

    def notice(self, words: str) -> None:
        """Send all what happened to the rehearsal itself."""
        self.send({"type": "notice", "time_s": self.clock.time(), "words": words})

    def send_surprises(self) -> None:
        """Send the watchers what is going to go wrong."""
        self.send(self.surprises(), watchers_only=True)

    def surprises(self) -> dict[str, Any]:
        """What is going to go wrong, and what can be made to."""
        scenario = self.rehearsal.scenario
        listed = [{"kind": s.kind, "who": s.who, "call": s.call} for s in self.rehearsal.surprises]
        by_hand = {kind: possible(scenario, kind) for kind in BY_HAND}
        return {"type": "surprises", "surprises": listed, "by_hand": by_hand}

    def frame(self, page: Page) -> str:
        """What a page has not been sent yet, with the time of the lift as it is now; empty if there is nothing."""
        page.news.clear()
        upto = min(len(self.sent), page.seen + FRAME)
        fresh = [text for text, hidden in self.sent[page.seen : upto] if not (hidden and page.role == CALLER)]
        page.seen = upto
        if upto < len(self.sent):
            page.news.set()
        own, page.own = page.own, []
        if not own and not fresh:
            return ""
        return f"[{','.join([self.time(), *own, *fresh])}]"

    def time(self) -> str:
        """The time of the lift as it is now, and by the clock that says what is late."""
        speed = self.clock.speed if self.clock.runs else 0
        return json.dumps({"type": "time", "time": self.clock.time(), "speed": speed, "at": self.clock.wall()})

    # --- time passes

    async def keep_time(self) -> None:
        """Let the lift go on as the wall clock does, until it is over; then measure and store it."""
        while True:
            self.look_after_the_seat()
            self.word.clear()
            if self.rehearsal.over:
                break
            due = self.clock.until(min(self.rehearsal.due, self.rows.due))
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(LOOK if due is None else min(due, LOOK)):
                    await self.word.wait()
        self.clock.pause()
        self.send_state()
        self.send({"type": "scored", **await asyncio.to_thread(self.afterwards, self.rehearsal)})
        self.scored.set()
