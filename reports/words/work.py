"""What people do at a device, in words: a line a kind for the call sheet, one a step for the timeline and drawing."""

from __future__ import annotations

from typing import NamedTuple

from sim.record.what import What

KINDS = {
    "collar": "turn it up with the load",
    "pin": "move it up once the load is still",
    "chain": "hook it up, link by link",
    "strap": "ratchet it up once the load is still",
    "crib": "add timber, then wedges",
}  # by `Device.kind`


class Doing(NamedTuple):
    """One thing that a catcher does."""

    block: str  # how the timeline shows it: a kind of `reports.lift.timeline.KINDS`
    does: str  # on the timeline
    doing: str  # on the drawing


STEPS: dict[str, Doing] = {
    What.TURNS: Doing("work", "turns the collar", "turning the collar up"),
    What.MEETS: Doing("follow", "stays with the load", "staying with the load"),
    What.ENDS: Doing("follow", "is at the end of its thread", "at the end of the thread"),
    What.SEATS: Doing("seat", "seats it", "seating the collar"),
    What.SWAP: Doing("work", "swaps the pin", "moving the pin up"),
    What.REHOOK: Doing("work", "hooks the chain over", "hooking the chain up"),
    What.CLICK: Doing("work", "clicks the strap up", "ratcheting"),
    What.PLACE: Doing("work", "places a piece", "placing timber"),
    What.DRIVE: Doing("seat", "drives the wedges", "driving wedges"),
}  # by the record's word for it: `Step.doing` of a device that works in steps

# On the way down, while room is made: what is said of the same step, and of those that there are only then.
STEPS_DOWN: dict[str, Doing] = {
    What.TURNS_BACK: Doing("makes", "turns the collar back", "turning the collar back"),
    What.SWAP: Doing("makes", "moves the pin down", "moving the pin down"),
    What.REHOOK: Doing("makes", "hooks the chain lower", "hooking the chain lower"),
    What.CLICK: Doing("makes", "lets the strap out", "letting the strap out"),
    What.PLACE: Doing("makes", "takes timber off, or puts a piece back", "taking timber off"),
    What.DRIVE: Doing("makes", "draws or drives the wedges", "at the wedges"),
}
DOWN = {
    "collar": "turn it back",
    "pin": "pin out, and in at a hole further down",
    "chain": "unhook it, and hook it on lower",
    "strap": "let it out, click by click",
    "crib": "draw the wedges, take timber off, drive wedges again",
}  # by `Device.kind`: how it is let down once the load is clear of it
HANDS_AT = ("pin", "chain", "crib")  # hands are in while one of these is let down
