"""What the file says of what holds the pivot against a push, and what it leaves open.

Either is said beside the push; nothing here says that it holds.
"""

from __future__ import annotations

from sim.model.scenario import Pivot
from sim.model.sentences import Sentence, down

CHOCK_IT = "Chock it both ways"
HELD = {
    "chocked": "it is chocked both ways",
    "chocked-ahead": "it is chocked ahead only",
    "chocked-behind": "it is chocked behind only",
    "brakes": "its brakes alone hold it",
}


def held_so_far(pivot: Pivot) -> Sentence:
    """What is known of what holds the pivot, what is not, and what to do where that is not chocks both ways."""
    held = HELD.get(pivot.held or "")
    if held is None:
        form = "what holds the pivot against it, at each of its two contacts, is not known. {do}"
        return Sentence(form, do=CHOCK_IT)
    more = "" if pivot.held == "chocked" else f". {CHOCK_IT}"
    if pivot.holds is None:
        form = "{held}, how much that holds at each of its two contacts is not known{more}"
        return Sentence(form, held=held, more=more)
    form = "{held}, by the file up to {most} at each of its two contacts; how they share the push is not known{more}"
    return Sentence(form, held=held, most=down(pivot.holds, "force"), more=more)


def what_is_not_given(pivot: Pivot) -> str:
    """The source of such a finding: what the file would have to say next."""
    if pivot.held is None:
        return "statics; what holds it is not in the file"
    return f"statics; `{'holds' if pivot.holds is None else 'track'}` is not in the file"
