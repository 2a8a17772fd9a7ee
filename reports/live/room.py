"""One rehearsal and the pages that are open on it: one caller, any number of watchers.

All that is sent is kept in the order in which it was sent; every page has its own place in that order, so that one that
comes late gets everything, and one that is slow keeps nobody waiting.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from reports.live import messages
from reports.live.rows import Rows
from sim.rehearsal.led import Rehearsal
from sim.rehearsal.surprises import BY_HAND, possible
from sim.rehearsal.wall_clock import WallClock

CALLER, WATCHER = "caller", "watcher"
MOST_BY_HAND = 8  # surprises that instructors may bring in
FRAME = 400  # most messages in one frame


@dataclass(eq=False)
class Page:
    """One page that is open."""

    role: str
    close: Callable[[], None]
    seen: int = 0  # of what was sent, how much it has been sent
    own: list[str] = field(default_factory=list)  # what is for this page alone
    news: asyncio.Event = field(default_factory=asyncio.Event)


class Room:
    """A rehearsal in real time."""

    def __init__(self, rehearsal: Rehearsal, speed: float, afterwards: Callable[[Rehearsal], dict[str, Any]]) -> None:
        self.rehearsal = rehearsal
        self.clock = WallClock(speed)
        self.rows = Rows(rehearsal)
        self.afterwards = afterwards  # measures and stores; what the page shows then
        self.sent: list[tuple[str, bool]] = []  # messages, and whether they are for watchers only
        self.pages: list[Page] = []
        self.caller: Page | None = None
        self.seat = secrets.token_urlsafe(16)  # who shows it is the caller
        self.taken = False
        self.started = False
        self.word = asyncio.Event()
        self.scored = asyncio.Event()
        rehearsal.advance(0.0)
        self.send_rows()
        self.send_surprises()

    # --- pages come and go

    def enter(self, seat: str, again: bool, watch: bool, close: Callable[[], None]) -> Page:
        """A page opens: the first is the caller's, and so is one that shows the caller's seat."""
        is_seat = secrets.compare_digest(seat.encode(), self.seat.encode())
        calls = not watch and (not self.taken or (is_seat and (self.caller is None or again)))
        if calls and self.caller is not None:
            old, self.caller = self.caller, None
            old.role = WATCHER
            old.close()
        page = Page(CALLER if calls else WATCHER, close)
        welcome = {"type": "welcome", "role": page.role, "phase": self.phase}
        if calls:
            self.taken, self.caller = True, page
            welcome["seat"] = self.seat
            if self.started and not self.rehearsal.over:
                self.clock.go()
        page.own.append(json.dumps(welcome))
        self.pages.append(page)
        self.send_state()
        self.word.set()
        return page

    def leave(self, page: Page) -> None:
        """A page closes. Without its caller the lift stands still and waits."""
        self.pages.remove(page)
        if page is self.caller:
            self.caller = None
            self.send_rows()
            self.clock.pause()
        self.send_state()
        self.word.set()

    # --- what pages say

    def hear(self, page: Page, message: messages.FromPage) -> None:
        """A valid message of a page."""
        instructs = isinstance(message, messages.Surprise)
        if self.rehearsal.over:
            why_not = "the lift is over"
        elif instructs != (page.role == WATCHER):
            why_not = "only one page calls" if page.role == WATCHER else "surprises are the instructor's"
        else:
            why_not = self._do(message)
        self.send_rows()
        if why_not:
            page.own.append(json.dumps({"type": "refused", "what": message.type, "why": why_not}))
            page.news.set()
        else:
            self.send_state()
        self.word.set()

    def _do(self, message: messages.FromPage) -> str:
        lift, time = self.rehearsal, self.clock.time()
        match message:
            case messages.Start():
                self.started = True
                self.clock.go()
                return ""
            case messages.Surprise(kind=kind, who=who):
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
            case messages.Stop():
                return lift.stop(time)
            case messages.Seen(what=what, where=where):
                return lift.seen(what, where, time)

    # --- what pages are sent

    @property
    def phase(self) -> str:
        """What goes on, in a word."""
        if self.rehearsal.over:
            return "over"
        if not self.started:
            return "ready"
        if self.caller is None:
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

    def send_state(self) -> None:
        """Send what goes on, and who is there."""
        watchers = sum(p.role == WATCHER for p in self.pages)
        self.send({"type": "state", "phase": self.phase, "watchers": watchers})

    def send_surprises(self) -> None:
        """Tell the watchers what is going to go wrong, and what can be made to."""
        scenario = self.rehearsal.scenario
        listed = [{"kind": s.kind, "who": s.who, "call": s.call} for s in self.rehearsal.surprises]
        by_hand = {kind: possible(scenario, kind) for kind in BY_HAND}
        self.send({"type": "surprises", "surprises": listed, "by_hand": by_hand}, watchers_only=True)

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
        now = {"type": "time", "time": self.clock.time(), "speed": self.clock.speed if self.clock.runs else 0}
        return f"[{','.join([json.dumps(now), *own, *fresh])}]"

    # --- time passes

    async def keep_time(self) -> None:
        """Let the lift go on as the wall clock does, until it is over; then measure and store it."""
        while True:
            self.word.clear()
            self.send_rows()
            if self.rehearsal.over:
                break
            due = min(self.rehearsal.due, self.rows.due)
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(self.word.wait(), self.clock.until(due))
        self.clock.pause()
        self.send_state()
        self.send({"type": "scored", **await asyncio.to_thread(self.afterwards, self.rehearsal)})
        self.scored.set()
