"""The same cycle as the story (`sim/story/lift.py`) for many replications at once: numpy arrays over replications.

One pass a call: the strokes of a call are known when it goes out, each catcher is then taken from one thing that is
due to the next in closed form, and the leader looks. Replication k here is replication k of the story, to 1e-9: tests
hold the two equal for every scenario that ships and for lifts drawn at random. Start with `lifts.py`.

Arrays are of shape (n,), a number for each lift that still goes on; where some of these are asked for (`these`: `ALL`,
or their places), what is given and given back is of shape (k,), in the same order. Lengths are in m, times in s, u in
rad or m, as in the story.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sim.batch.alike import times_that_differ
from sim.batch.crew.people import People
from sim.batch.crew.works import WORKS
from sim.batch.lifts import Lifts
from sim.batch.results import Columns, Results
from sim.model.chance import BLOCK
from sim.model.scenario import Scenario

__all__ = ["BLOCK", "Columns", "lifts_of", "simulate_replications", "why_not"]


def why_not(scenario: Scenario) -> str:
    """Why the story has to simulate this scenario one by one; empty where the batch covers it."""
    if scenario.mishaps:
        return "a mishap breaks in on the people"
    names = [c for place in scenario.places for c in place.catchers]
    shared = sorted({name for name in names if names.count(name) > 1})
    if shared:
        return f"{' and '.join(shared)} has several devices to keep up"
    devices = [device for place in scenario.places for device in place.capture]
    unknown = dict.fromkeys(d.kind for d in devices if d.chases is None and type(d) not in WORKS)
    return f"it does not know the work at a {' and a '.join(unknown)}" if unknown else ""


def simulate_replications(scenario: Scenario, seed: int, first: int, n: int) -> Columns:
    """Simulate replications `first` to `first + n` of a seed, all within one block; one row each.

    Parameters
    ----------
    scenario : Scenario
        One that `why_not` has nothing against.
    seed, first, n : int
        Which people.

    Returns
    -------
    dict of str to ndarray of shape (n,)
        A column each, as `results.py` names them, with its unit at the end [m, s, J].
    """
    return lifts_of(scenario, seed, first, n).finished()


def lifts_of(scenario: Scenario, seed: int, first: int, n: int, alike: Sequence[Scenario] = ()) -> Results:
    """The same lifts before their columns are read, with the largest gap of each call beside them.

    `alike` are other ways of the same lift, which differ in people's times only (`alike.py`): n rows more for each.
    """
    ways = (scenario, *alike)
    people = People(seed, first, n, len(ways), times_that_differ(ways))
    with np.errstate(divide="ignore", invalid="ignore"):  # lifts that something does not happen to are worked out too
        return Lifts(scenario, people, n * len(ways)).run()
