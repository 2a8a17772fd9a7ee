"""What the crew waits to hear from the caller, in words: on the one large button, and in the line over it."""

from __future__ import annotations

from sim.rehearsal.led import Rehearsal
from sim.rehearsal.person_led import CALL, DOWN, GO_ON, ROOM, UP

WORDS = {CALL: "Call", UP: "Up", ROOM: "Room", DOWN: "Down", GO_ON: "Go on"}  # on the button
WAITS = {
    CALL: "raise: the crew waits for a call",
    UP: "down: the crew waits for “up”, to raise the load clear of what it rests on",
    ROOM: "down: it is clear; the crew waits for “room”, and then puts hands in",
    DOWN: "down: all hands are out; the crew waits for “down”, to open the valves",
    GO_ON: "held: the load stands on what was captured; go on when you like",
}
HIGH_ENOUGH = "High enough"
END = "End the lift"


def asked(rehearsal: Rehearsal) -> dict[str, str]:
    """The word that is due, what is waited for, and what ending says; a lift of one stage has nothing but its calls."""
    lift, stages = rehearsal.lift, rehearsal.scenario.stages
    if not stages:
        return {"asks": CALL, "word": WORDS[CALL], "waits": "", "end": END}
    under_way = "" if rehearsal.over else rehearsal.lift.under_way
    return {
        "asks": lift.asks,
        "word": WORDS.get(lift.asks, "Wait"),
        "waits": WAITS.get(lift.asks, under_way),
        "end": HIGH_ENOUGH if lift.asks == CALL and lift.more_to_come else END,
    }
