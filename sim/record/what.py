"""Every word that the record has for what can happen, and the groups of them that are asked for together.

Each equals its text, so that tables, files and pages hold plain text, and a stored run is read as it was written. A
device that is not ours may bring a word of its own for a step of its work (`Step.doing`); all others stand here.
"""

from __future__ import annotations

from enum import StrEnum

from sim.model.devices import Task


class Outcome(StrEnum):
    """How a lift can come out."""

    RAISED = "raised"
    STOPPED = "stopped"
    NOT_REACHED = "not-reached"
    DROPPED = "dropped"


class What(StrEnum):
    """What a row of the record says has happened."""

    # what the leader says, and how the lift comes out
    CALLS = "calls"  # all lifters
    LEVELS = "levels"  # the low one alone
    HOLDS = "holds"
    UNCAPTURABLE = "uncapturable"  # a gap stays over the limit, and all that can be caught is
    RE_SETS = "re-sets"
    PRESSURE_LOST = "pressure-lost"
    LIFTER_LOST = "lifter-lost"
    RAISED = Outcome.RAISED
    STOPPED = Outcome.STOPPED
    NOT_REACHED = Outcome.NOT_REACHED
    DROPPED = Outcome.DROPPED

    # of sides and places alike
    STARTS = "starts"
    REACTS = "reacts"
    FREEZES = "freezes"  # someone called stop; the leader too
    RESUMES = "resumes"
    RESTS = "rests"  # a place: a stroke under it has ended; a side: it comes to rest as another one falls
    SETTLES = "settles"  # a spent lifter is let go: just before the load comes down,
    SETTLED = "settled"  # and just after
    IN_CONTACT = "in contact"  # packed up for another run
    FALLS = "falls"  # a loss: just before the load comes down,
    FELL = "fell"  # and just after

    # an operator
    STROKES = "strokes"
    RECOVERS = "recovers"
    READY = "ready"
    MISSES = "misses"  # the call
    LETS_GO = "lets go"

    # a place, and its catcher
    MOVES = "moves"  # a stroke under it begins
    WALKS = "walks"
    TURNS = "turns"
    MEETS = "meets"  # a collar on its way has met the load, and stays with it
    OVERTAKES = "overtakes"  # a collar on its way holds more than another device there from now on
    ENDS = "ends"  # a collar on its way has come to the end of its thread
    SEATS = "seats"
    SWAP = Task.SWAP
    REHOOK = Task.REHOOK
    CLICK = Task.CLICK
    PLACE = Task.PLACE
    DRIVE = Task.DRIVE
    CAPTURES = "captures"  # the work is done, and there is more to do
    CAUGHT = "caught"
    NOTHING_TO_CAPTURE = "nothing to capture"
    SAYS_CAUGHT = "says caught"  # and it may not be so


CALLS = (What.CALLS, What.LEVELS)  # what the leader says to make the lifters move
LOSSES = (What.PRESSURE_LOST, What.LIFTER_LOST)
CAPTURED = (What.CAUGHT, What.CAPTURES)  # a piece of work is done
SAID_CAUGHT = (What.CAUGHT, What.SAYS_CAUGHT, What.NOTHING_TO_CAPTURE)  # what the leader hears as caught
OPERATOR_READY = (What.READY, What.MISSES, What.IN_CONTACT)  # from here on the next call can be heard
