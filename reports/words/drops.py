"""What is said of a drop, on pages and on the terminal: how far, onto what, if that holds, and if it does not."""

from __future__ import annotations

from typing import Any

from sim.check import at_least
from sim.model.sentences import Sentence, near, up

Summary = dict[str, Any]  # one of the two largest drops of a summary


def how_far(drop: Summary) -> Sentence:
    """The drop alone; "at least" where not all that gives is known; none reads none."""
    if drop["call"] is None:
        return Sentence("none")
    return at_least(drop["drop_m"], drop.get("give_known", True))


def if_it_does_not(drop: Summary) -> Sentence:
    """How far where what stops a side first does not hold; none reads none."""
    far, known = _fallback(drop)
    return at_least(far, known) if far > 0 else Sentence("none")


def _fallback(drop: Summary) -> tuple[float, bool]:
    """The most that it drops where what stops a side first does not hold [m]; and whether all that gives is known.

    Never less than where it holds: what lets go has given by then, though the next place may be as high and give less,
    or its give not be known.
    """
    known = drop.get("give_known", True) and drop.get("next_give_known", True)
    return max(drop["drop_m"], drop["next_drop_m"]), bool(known)


def if_it_holds(drop: Summary) -> Sentence:
    """What would have stopped it, and the most of the whole lift if what stops a side did not hold."""
    if drop["call"] is None:
        return Sentence("")
    if not drop["onto"]:
        return Sentence("to the start: no capture above it")
    further = f"onto the {drop['next_onto']}" if drop["next_onto"] else "back to the start"
    far, known = _fallback(drop)
    form = f"where one does not, {'up to' if known else 'at least'} {{far}} {{further}}"
    again = Sentence(form, far=up(far, "length"), further=further)
    return Sentence("onto the {onto}, if the station holds; {again}", onto=drop["onto"], again=again)


def in_full(drop: Summary) -> Sentence:
    """The whole of it in one line."""
    if drop["call"] is None:
        return Sentence("none")
    energy = near(drop["energy_J"], "energy")
    form = "{far} (call {call}, {energy}) {onto}"
    return Sentence(form, far=how_far(drop), call=drop["call"], energy=energy, onto=if_it_holds(drop))
