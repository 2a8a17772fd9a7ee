"""The time of a rehearsal, as a clock on the wall gives it."""

from __future__ import annotations

import time
from collections.abc import Callable
from math import inf

STALL = 2.0  # a jump of the wall clock by more than this is no time of the lift [s]


def awake_or_asleep() -> float:
    """Seconds that nobody can set, on through the sleep of this machine where it can count them [s]."""
    boot = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if boot is None else time.clock_gettime(boot)


class WallClock:
    """The lift's time as the wall clock gives it: so many times as fast, and standing still while it is paused.

    It has to be read more often than every `STALL` seconds: a longer time between two readings is a stall of the
    machine, during which nobody could call or see anything, and counts as a pause.
    """

    def __init__(self, speed: float, wall: Callable[[], float] = awake_or_asleep) -> None:
        self.speed = speed
        self.wall = wall
        self.stalled: list[float] = []  # how long each stall was [s]
        self._lift = 0.0
        self._since: float | None = None
        self._read = 0.0  # by the wall, when it was last read

    @property
    def runs(self) -> bool:
        """Whether time passes."""
        return self._since is not None

    def time(self) -> float:
        """The lift's time now [s]."""
        if self._since is None:
            return self._lift
        now = self.wall()
        jump, self._read = now - self._read, now
        if jump > STALL:
            self.stalled.append(jump)
            self._since += jump
        return self._lift + (now - self._since) * self.speed

    def go(self) -> None:
        """Time passes from now on."""
        if self._since is None:
            self._since = self._read = self.wall()

    def pause(self) -> None:
        """Time stands still from now on."""
        self._lift, self._since = self.time(), None

    def until(self, due: float) -> float | None:
        """How long by the wall until a time of the lift comes [s]; None: never, as things stand."""
        if self._since is None or due == inf:
            return None
        return max(0.0, (due - self.time()) / self.speed)
