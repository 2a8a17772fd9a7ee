"""The caller's seat: one page at a time sits in it, as long as it is heard; who shows its token may come back to it.

It never dies with the caller's browser: empty for `KEPT` seconds, or freed at the terminal, any watcher may take it.
"""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field

CALLER, WATCHER = "caller", "watcher"
BEAT = 0.5  # how often a page is sent the time, and answers it [s]
GONE = 1.5  # a page not heard for longer counts as gone [s]
KEPT = 10.0  # how long an empty seat is kept for who sat in it [s]


@dataclass(eq=False)
class Page:
    """One page that is open."""

    role: str
    close: Callable[[], None]
    heard: float = 0.0  # when it last said something, by the room's wall clock [s]
    seen: int = 0  # of what was sent, how much it has been sent
    own: list[str] = field(default_factory=list)  # what is for this page alone
    news: asyncio.Event = field(default_factory=asyncio.Event)


class Seat:
    """Who calls."""

    def __init__(self, wall: Callable[[], float]) -> None:
        self.wall = wall
        self.token = secrets.token_urlsafe(16)
        self.page: Page | None = None
        self.new = True  # nobody has sat here yet
        self.free = False  # a watcher may take it
        self._left = 0.0

    @property
    def is_here(self) -> bool:
        """Whether somebody sits in it, and is heard."""
        return self.page is not None and self.wall() - self.page.heard <= GONE

    @property
    def is_kept(self) -> bool:
        """Whether it is still for who sat in it."""
        since = self._left if self.page is None else self.page.heard
        return self.is_here or self.new or self.wall() - since < KEPT

    def look(self) -> None:
        """Empty for too long it may be taken; not any more once its page is heard again."""
        self.free = not self.is_here and (self.free or not self.is_kept)

    def is_for(self, token: str, again: bool) -> bool:
        """Whether a page that opens may sit down: the first, or who sat here (`again`: even if heard)."""
        is_theirs = secrets.compare_digest(token.encode(), self.token.encode())
        return self.new or (is_theirs and (again or not self.is_here))

    def sit(self, page: Page) -> None:
        """A page sits down; who sat there watches."""
        self.stand_up()
        self.page, page.role = page, CALLER
        self.new = self.free = False

    def stand_up(self) -> None:
        """Nobody sits there."""
        if self.page is not None:
            self.page.role, self._left = WATCHER, self.wall()
        self.page = None

    def give_up(self) -> None:
        """It is nobody's any more: its token is worth nothing, and a watcher may take it."""
        self.stand_up()
        self.token, self.free = secrets.token_urlsafe(16), True
