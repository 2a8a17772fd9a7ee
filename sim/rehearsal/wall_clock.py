"""The time of a rehearsal, as a clock on the wall gives it."""

from __future__ import annotations

import time
from collections.abc import Callable
from math import inf


class WallClock:
    """The lift's time as the wall clock gives it: so many times as fast, and standing still while it is paused."""

    def __init__(self, speed: float, wall: Callable[[], float] = time.monotonic) -> None:
        self.speed = speed
        self.wall = wall
        self._lift = 0.0
        self._since: float | None = None

    @property
    def runs(self) -> bool:
        """Whether time passes."""
        return self._since is not None

    def time(self) -> float:
        """The lift's time now [s]."""
        return self._lift if self._since is None else self._lift + (self.wall() - self._since) * self.speed

    def go(self) -> None:
        """Time passes from now on."""
        if self._since is None:
            self._since = self.wall()

    def pause(self) -> None:
        """Time stands still from now on."""
        self._lift, self._since = self.time(), None

    def until(self, due: float) -> float | None:
        """How long by the wall until a time of the lift comes [s]; None: never, as things stand."""
        if self._since is None or due == inf:
            return None
        return max(0.0, (due - self.time()) / self.speed)
