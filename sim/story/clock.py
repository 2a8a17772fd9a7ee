"""The lift's clock: SimPy's, on a grid, with an order for those who act at one instant."""

from __future__ import annotations

from collections.abc import Generator
from heapq import heapify, heappush
from typing import Any

import simpy

Process = Generator[simpy.Event, Any, Any]  # what someone does, from event to event
PEOPLE, LOOKS, MOVES = 1, 2, 3  # at one instant: what ends and what people begin; the leader looks; loads begin to move


class Clock(simpy.Environment):
    """SimPy's environment on a grid of one nanosecond, so that two things due at once do happen at once."""

    def schedule(self, event: simpy.Event, priority: Any = PEOPLE, delay: float = 0) -> None:
        """As SimPy's, the time rounded to the grid."""
        heappush(self._queue, (round((self._now + delay) * 1e9) / 1e9, priority, next(self._eid), event))

    def freeze(self, seconds: float) -> None:
        """Put off everything that is due by so many seconds."""
        self._queue = [(on_grid(at + seconds), *rest) for at, *rest in self._queue]  # type: ignore[misc]

    def stretch(self, event: simpy.Event, factor: float) -> None:
        """What is left until an event takes so many times as long; one that is not due yet by itself is let be."""
        for n, (at, *rest) in enumerate(self._queue):
            if rest[-1] is event:
                self._queue[n] = (on_grid(self._now + (at - self._now) * factor), *rest)  # type: ignore[assignment]
        heapify(self._queue)


class Turn(simpy.Event):
    """This instant's turn for those who act after the others (`LOOKS`, `MOVES`)."""

    def __init__(self, env: simpy.Environment, priority: int) -> None:
        super().__init__(env)
        self._ok, self._value = True, None
        env.schedule(self, priority)  # type: ignore[arg-type]


def on_grid(time: float) -> float:
    """The nearest whole nanosecond [s]."""
    return round(time * 1e9) / 1e9
