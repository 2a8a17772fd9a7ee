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
    LOWERED = "lowered"
    STUCK = "stuck"  # what it rests on cannot be freed


DONE = (Outcome.RAISED, Outcome.LOWERED)  # the load is where the last stage was to bring it
HELD = "held"  # how a stage that is a hold ends


class What(StrEnum):
    """What a row of the record says has happened."""

    # what the leader says, and how the lift comes out
    CALLS = "calls"  # all lifters
    LEVELS = "levels"  # the low one alone
    HOLDS = "holds"
    UNCAPTURABLE = "uncapturable"  # a gap stays over the limit, and all that can be caught is
    RE_SETS = "re-sets"
    STAGE_BEGINS = "stage begins"  # the note says its number and what it does
    STAGE_ENDS = "stage ends"  # the note says how
    CALLS_DOWN = "calls down"  # to free what it rests on, and to come down a step
    ROOM = "room"  # all called sides are clear: the devices are let down
    LOWERS = "lowers"  # all hands are out: the valves are opened
    RUNS_OUT = "runs out"  # a ram that stood packed up is brought back to where it stood before
    PRESSURE_LOST = "pressure-lost"
    LIFTER_LOST = "lifter-lost"
    RAISED = Outcome.RAISED
    STOPPED = Outcome.STOPPED
    NOT_REACHED = Outcome.NOT_REACHED
    DROPPED = Outcome.DROPPED
    LOWERED = Outcome.LOWERED
    STUCK = Outcome.STUCK

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
    FREES = "frees"  # the side is called down: from here on its gaps are made
    CLEAR = "clear"  # of what it rested on
    OPENS = "opens"  # the valve: the side comes down
    LANDS = "lands"  # on what holds it; the valve is still open

    # a place, and its catcher
    MOVES = "moves"  # a stroke under it begins
    WALKS = "walks"
    TURNS = "turns"
    MEETS = "meets"  # a collar on its way has met the load, and stays with it
    OVERTAKES = "overtakes"  # a device holds more than another there from now on, one of them a collar on its way
    ENDS = "ends"  # a collar on its way has come to the end of its thread
    SEATS = "seats"
    SLOWS = "slows"  # a catcher: what is left of what was begun takes longer from here on
    SWAP = Task.SWAP
    REHOOK = Task.REHOOK
    CLICK = Task.CLICK
    PLACE = Task.PLACE
    DRIVE = Task.DRIVE
    CAPTURES = "captures"  # the work is done, and there is more to do
    CAUGHT = "caught"
    TURNS_BACK = "turns back"
    LET_DOWN = "let down"  # a device, or a side, as far as it was to go
    NOTHING_TO_CAPTURE = "nothing to capture"
    SAYS_CAUGHT = "says caught"  # and it may not be so


CALLS = (What.CALLS, What.LEVELS, What.CALLS_DOWN)  # what the leader says to make the lifters move
LOSSES = (What.PRESSURE_LOST, What.LIFTER_LOST)
STANDS = (What.SETTLED, What.LANDS)  # the load has come down onto what holds this side
CAPTURED = (What.CAUGHT, What.CAPTURES)  # a piece of work is done
SAID_CAUGHT = (What.CAUGHT, What.SAYS_CAUGHT, What.NOTHING_TO_CAPTURE)  # what the leader hears as caught
OPERATOR_READY = (What.READY, What.MISSES, What.IN_CONTACT)  # from here on the next call can be heard
