"""A drill's time. When someone calls stop, the lift's clock runs on, and the drill stands still."""

from __future__ import annotations

import simpy


class DrillTime:
    """A drill's time: the lift's, without the stops."""

    def __init__(self, env: simpy.Environment) -> None:
        self.env = env
        self.lost = 0.0  # how long the stops have lasted so far [s]

    @property
    def now(self) -> float:
        """The drill's time [s]."""
        return self.env.now - self.lost

    def until(self, time: float) -> simpy.Event:
        """The drill's time has come to this."""
        return self.env.timeout(max(0.0, time - self.now))
