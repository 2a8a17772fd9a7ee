"""How a lift comes out."""

from __future__ import annotations

from sim.record.what import Outcome


class Ended(Exception):
    """The lift is over: how it came out, and why, in plain words."""

    def __init__(self, outcome: Outcome, reason: str) -> None:
        super().__init__(outcome, reason)

    @property
    def outcome(self) -> Outcome:
        """How it came out."""
        return Outcome(self.args[0])

    @property
    def reason(self) -> str:
        """Why, in plain words."""
        return str(self.args[1])


def stuck(stations: list[str]) -> str:
    """Why a lift with an uncapturable gap was stopped, and what would cure it."""
    return (
        f"{', '.join(stations)}: all that can be caught is caught and the gap is still over the limit; "
        "a finer spacing, a longer one, a wedge or cribbing beside it, a device that holds at any height, less slack, "
        "or a larger gap limit would cure it"
    )
