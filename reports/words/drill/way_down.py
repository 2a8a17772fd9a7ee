"""What was heard of a drill's way down, in words: a row a call, and the means beside the plan's."""

from __future__ import annotations

from reports.words.plain import count
from sim.drill.way_down import PARTS, DrilledDown, HeardDown

HEAD = ("call", *PARTS, "to be asked about")


def rows(down: DrilledDown) -> list[list[str]]:
    """A row a call; then the drill's means, and the plan's."""
    found = [
        [str(n), *(_seconds(call.part(name)) for name in PARTS), asks(call)] for n, call in enumerate(down.calls, 1)
    ]
    found.append(["mean, as heard", *(_seconds(down.mean(name)) for name in PARTS), ""])
    if down.plan:
        found.append(["mean, in the plan", *(_seconds(down.plan.get(name)) for name in PARTS), ""])
    return found


def asks(call: HeardDown) -> str:
    """What the log gives reason to ask about; what it does not have is said."""
    lacks = [name for name in PARTS if call.part(name) is None]
    said = [*call.remarks, *([f"not noted: {', '.join(lacks)}"] if lacks else [])]
    return "; ".join(said)


def sentence(down: DrilledDown) -> str:
    """The way down in short."""
    asked = sum(bool(call.remarks) for call in down.calls)
    found = f"The way down, as heard: {count(len(down.calls), 'call')}"
    return f"{found}; to be asked about in {count(asked, 'call')}." if asked else f"{found}."


def _seconds(time: float | None) -> str:
    return "not noted" if time is None else f"{time:.1f} s"
