"""Simulate a rescue crew's lift cycle: call, stroke, gap, capture.

    import sim

    scenario = sim.load("trailer")                # or a file of your own; sim.load(path, variant="pinned")
    record = sim.run(scenario)                    # one lift; record.events is a DataFrame
    sim.measure(record)["largest_gap"]
    sim.compare(scenario)                         # a row a variant, the same people
    sim.study(scenario, n=200)                    # a row a replication
    sim.lesson("between-the-pins").tables["gap"]  # the numbers of a lesson

Everything in SI; columns end in their unit. What is named here is imported when it is first asked for, so that
`import sim` costs nothing.
"""

from __future__ import annotations

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sim.lift import tell_fixed
    from sim.measures import measure
    from sim.notebook import compare, lesson, load, run, study

_FOUND_IN = {
    "load": "sim.notebook",
    "run": "sim.notebook",
    "compare": "sim.notebook",
    "study": "sim.notebook",
    "lesson": "sim.notebook",
    "measure": "sim.measures",
    "tell_fixed": "sim.lift",
}

__all__ = ["compare", "lesson", "load", "measure", "run", "study", "tell_fixed"]


def __getattr__(name: str) -> Any:
    """A public name, imported now."""
    if name not in _FOUND_IN:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(import_module(_FOUND_IN[name]), name)
    globals()[name] = found
    return found


class _Package(ModuleType):
    """Keeps `sim.study` the function: importing the file `sim/study.py` would put its module there."""

    def __setattr__(self, name: str, value: Any) -> None:
        if not (name in _FOUND_IN and isinstance(value, ModuleType)):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Package


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
