"""The sheet before the first call: what a crew goes through aloud, in the trade's order, with blanks to write in.

Common practice, put in our words. Nothing on it is ticked beforehand, and nothing on it says that a lift may begin.
"""

from __future__ import annotations

from collections.abc import Iterator

from sim.model.scenario import Lifter, Scenario, Station

SOURCE = "Common practice; the qualified people on scene decide what else belongs on it"


def first_call(scenario: Scenario) -> Iterator[tuple[str, int]]:
    """What is gone through, and how many blanks there are to write in."""
    hinged = scenario.load.motion == "hinged"
    if hinged:
        yield "The pivot is held against moving ahead, back and sideways, by", 1
    else:
        yield "The load is held against moving sideways, by", 1
    yield "What could roll or swing under the load, or with it: found, and dealt with by", 1
    lifters = " and ".join(x.name for x in scenario.lifters)
    stands: list[Lifter | Station] = [*scenario.lifters, *scenario.stations]
    yield f"Feet of {lifters}: on plates or timber that does not rock, seen by", 1
    if ties := [x.name for x in stands if x.tie is not None]:
        yield f"Ties of {', '.join(ties)}: made fast to something that is not lifted, seen by", 1
    if scenario.load.take_up:
        yield "Suspension or packing: bound, or its slack known and taken up first; slack", 1
    else:
        yield "Suspension: bound, or none; slack that will be taken up first", 1
    yield "Nothing lashes the lifting end to what stays down, seen by", 1
    if len(scenario.lifters) > 1:
        yield "Both sides stand at the same angle, measured: left, right", 2
    yield "Hands, feet and heads are out from under the load, called by", 1
    yield "The word that stops everybody, said aloud and answered by all", 1
    yield "Who watches the pivot, and who the feet", 2
    for lifter in scenario.lifters:
        yield f"Who pumps at the {lifter.name}", 1
    for catcher in dict.fromkeys(name for place in scenario.places for name in place.catchers):
        yield f"Who keeps up {catcher}", 1
    yield "Who may call", 1
