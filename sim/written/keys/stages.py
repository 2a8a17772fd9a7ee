"""What a person writes about how the lift is called, stage by stage, and where it starts.

Each key's description is the README's too.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from sim.model.scenario import Stage
from sim.written.keys.places import MOST_CALLS
from sim.written.keys.quantities import Height, Length, Rise, Room, Seconds, Table, optional


class WrittenLeaderKeys(Table):
    """[leader]: how the lift is called; a variant may replace any of it."""

    rule: Literal["stop-until-caught", "keep-pace"] | None = optional(
        '"stop-until-caught" (the default) holds the calls for an open gap; "keep-pace" never does.'
    )
    strokes: Annotated[int, Field(strict=True, ge=1, le=100)] | None = optional("Strokes a call (default 1).")
    gap_limit: Length | None = optional("The largest gap at which the next call is made (default 0).")
    pace: Seconds | None = optional("Shortest time from call to call (default 0 s).")
    look: Seconds | None = optional("To look and decide after a hold (default 0 s).")
    level_limit: Length | None = optional("Sides further apart: only the low one is called (default: none).")
    if_uncapturable: Literal["go-on", "stop"] | None = optional(
        'All caught and a gap over the limit: "go-on" calls (the default), "stop" ends the lift.'
    )
    step: Room | None = optional(
        "How far one lowering call lets a device down (default gap_limit, 1/2 in where that is 0)."
    )
    max_calls: Annotated[int, Field(strict=True, ge=1, le=MOST_CALLS)] | None = optional(
        "The lift ends after so many calls (default 500)."
    )


class WrittenStage(Table):
    """[[stage]]: a part of the job, in the order written; without any the lift is raised to the need, and ends."""

    do: Literal["raise", "hold", "lower"] = Field(
        description='"raise" to a height, "hold" the load there on what has captured it, or "lower" it to a height.'
    )
    to: Height | None = optional(
        "raise, lower: the rise of the needed point then, since the start (default: raise to need.rise, lower to 0)."
    )
    time: Seconds | None = optional("hold: for how long.")
    leader: WrittenLeaderKeys = optional(
        "raise, lower: keys that replace those of [leader] in this stage, those of a variant too.", WrittenLeaderKeys()
    )

    def stage(self, need: float) -> Stage:
        """As the model has it, in a lift that is raised so far [m] where nothing else is said."""
        to = self.to if self.to is not None else need if self.do == "raise" else 0.0
        return Stage(self.do, to, self.time or 0.0, self.leader.model_dump(exclude_none=True))


class WrittenStart(Table):
    """[start]: the lift begins half-way, settled and caught, as for a crew that plans again from there."""

    rise: Rise = Field(description="How far the needed point has risen by then.")
