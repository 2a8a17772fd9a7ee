"""The long stands of a lift, and how much shorter each is shown: on a time axis, by a slider, in motion.

Nothing happens in what is pressed together, so that what is drawn over it stays one straight line.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from reports.words.plain import clock
from sim.record.record import Record
from sim.record.stages import StageSpan, stages_of

SHARE = 0.08  # how much of the rest of the lift a stand is shown as, at the most
LEAST = 2.0  # times as long as that it has to be, for it to be pressed


@dataclass(frozen=True)
class PressedTime:
    """Stretches of time and how long each is shown: [(from, to, shown), ...] in order, none overlapping [s]."""

    stretches: tuple[tuple[float, float, float], ...] = ()

    def at(self, time: float) -> float:
        """Where on the axis a time stands [s]."""
        moved = time
        for start, end, shown in self.stretches:
            if time > start:
                moved -= (min(time, end) - start) * (1 - shown / (end - start))
        return moved

    def said(self) -> str:
        """What a reader is told; "" where nothing is pressed."""
        if not self.stretches:
            return ""
        times = " and ".join(clock(end - start) for start, end, _ in self.stretches)
        return f"The time axis is cut: {times} in which nothing moves, while the load stands, drawn shorter."


def pressed_time(record: Record) -> PressedTime:
    """The long stands of a lift: in a stage that holds, the longest time in which nothing happens."""
    times = np.unique(record.columns.time_s)
    stands = [_longest(times, span) for span in stages_of(record.columns, float(times[-1]))]
    still = [(start, end) for start, end in stands if end > start]
    shown = SHARE * (float(times[-1]) - sum(end - start for start, end in still))
    return PressedTime(tuple((start, end, shown) for start, end in still if end - start > LEAST * shown > 0))


def _longest(times: Any, span: StageSpan) -> tuple[float, float]:
    """From when to when nothing happens in a hold; (0, 0) in another stage."""
    inside = times[(times >= span.start) & (times <= span.end)]
    if span.do != "hold" or len(inside) < 2:
        return 0.0, 0.0
    longest = int(np.argmax(np.diff(inside)))
    return float(inside[longest]), float(inside[longest + 1])
