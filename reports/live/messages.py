"""What a page may say to the rehearsal: small messages, each of a known shape, nothing else."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

MOST_BYTES = 1024  # of one message
RATE, BURST = 20.0, 40.0  # messages a second that a page may send, and how many at once
Name = Annotated[str, Field(max_length=200)]


class Message(BaseModel):
    """What all have in common: no key that is not known, nothing changed on the way in."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class Beat(Message):
    """The page is there, and has heard the last time it was sent."""

    type: Literal["beat"]


class Press(Message):
    """What a person pressed: answered by its number, and not carried out once it is late."""

    id: int = Field(0, ge=0, le=2**53)
    by: float | None = Field(None, allow_inf_nan=False)  # by the server's clock [s]


class Start(Press):
    """The caller is ready: the lift's time begins."""

    type: Literal["start"]


class Call(Press):
    """The leader calls: all, or one lifter."""

    type: Literal["call"]
    side: Name = ""


class End(Press):
    """The leader judges that it is enough."""

    type: Literal["end"]


class StopMessage(Press):
    """The leader calls stop: everybody freezes."""

    type: Literal["stop"]


class Seen(Press):
    """What the leader saw, and where; everybody goes on."""

    type: Literal["seen"]
    what: Literal["slow", "missed", "short", "slack", "false-caught", "gap", "nothing"]
    where: Name = ""


class SurpriseMessage(Press):
    """The instructor brings in a surprise."""

    type: Literal["surprise"]
    kind: Literal["slow", "missed", "short", "false-caught"]
    who: Name


class Take(Press):
    """A watcher takes the caller's seat, which is free."""

    type: Literal["take"]


FromPage = Beat | Start | Call | End | StopMessage | Seen | SurpriseMessage | Take
_ADAPTER: TypeAdapter[FromPage] = TypeAdapter(Annotated[FromPage, Field(discriminator="type")])


def read(text: str) -> FromPage | None:
    """A message, or None for anything that is not one."""
    if len(text) > MOST_BYTES:
        return None
    try:
        return _ADAPTER.validate_json(text)
    except (ValidationError, ValueError, RecursionError):
        return None


class Allowance:
    """How many messages a page may still send: so many at once, so many a second."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self.clock = clock
        self.left, self.since = BURST, clock()

    def spend(self) -> bool:
        """One message; False: it was one too many."""
        now = self.clock()
        self.left, self.since = min(BURST, self.left + RATE * (now - self.since)), now
        self.left -= 1
        return self.left >= 0
