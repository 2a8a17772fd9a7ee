"""Simulate a rescue crew's lift cycle: call, stroke, gap, capture.

    import sim

    scenario = sim.load("trailer")                # or a file of your own; sim.load(path, variant="pinned")
    record = sim.run(scenario)                    # one lift; record.events is a DataFrame
    sim.measure(record)["largest_gap"]
    sim.compare(scenario)                         # a row a variant, the same people
    sim.study(scenario, n=200).table              # many lifts, a row a replication
    sim.lesson("between-the-pins").tables["gap"]  # the numbers of a lesson

Everything in SI; columns end in their unit. What is named here is imported when it is first asked for, so that
`import sim` costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sim.many.study import study
    from sim.notebook import compare, lesson, load, run
    from sim.record.measures import measure
    from sim.story.lift import simulate_fixed

_FOUND_IN = {
    "load": "sim.notebook",
    "run": "sim.notebook",
    "compare": "sim.notebook",
    "study": "sim.many.study",
    "lesson": "sim.notebook",
    "measure": "sim.record.measures",
    "simulate_fixed": "sim.story.lift",
}

__all__ = ["compare", "lesson", "load", "measure", "run", "simulate_fixed", "study"]


def __getattr__(name: str) -> Any:
    """A public name, imported now."""
    if name not in _FOUND_IN:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_FOUND_IN[name]), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
