"""The cycle of the story (`sim/story/lift.py`) for many lifts at once, each replication k equal to the story's to 1e-9.

How a call is computed
----------------------
All lifts of a batch are at the same call, each at a time of its own. A call goes through five steps:

1. The leader looks (`lifts.py`): who holds waits until all is caught, who has raised the load ends, the others call.
2. The call goes out (`strokes.py`). The times of a call are drawn when it is made, so every stroke is known then: when
   it starts and ends, and where it leaves the side. That is the call's plan, a row of knots for each operator.
3. Time passes (`happens.py`): each lift is taken from one thing that happens in it to the next: a knot of a plan
   (`moves.py`), or what a catcher was at is done (`catchers.py`; how they look for work: `looking.py`). Between two of
   them all runs evenly (`parts/moment.py`), and where a line bends on its way is closed form (`parts/bends.py`): a
   collar meets the load at room / (climb - rate).
4. Every such instant is kept (`timeline.py`): time, u of the sides, and of each place demand, what it holds,
   open, caught. A call leaves arrays of (instants, sides or places, lifts).
5. From these alone the call is measured (`measured/so_far.py`). Largest gaps are the largest over instants; a gap's
   time over the limit is worked out from one instant to the next (`measured/gaps.py`). A drop is a plain function of u,
   the stop and which place (`measured/falling.py`), and dear: about how large it is, to within a
   hundredth, is fitted (`measured/likely.py`), and it is worked out at the few instants that may then be the largest
   (`measured/ranked.py`). Lifts that have ended are written down (`measured/results.py`) and left out of the arrays.

A job of several stages goes through them lift by lift: at the same call one lift may still be raised, another come down
(`leading.py`). A lowering call is barrier after barrier (`down/`): its people are the same, what they do is another.

A worked example
----------------
The lift of the design: 10 mm a stroke in 1 s after 0.5 s, a collar that reacts in 0.25 s, climbs 4 mm/s and seats in
0.5 s; two replications, in the second of which the operator takes 2 s for the stroke. Call 1 goes out at 0 in both. The
plan is start 0.5, 0.5; end 1.5, 2.5; ready 2.0, 3.0. Time passes, the two side by side:

    instant   time [s]      what                          demand [mm]    held [mm]
    0         0.00  0.00    the call                        0    0        0    0
    1         0.50  0.50    the ram begins to move          0    0        0    0
    2         0.75  0.75    the collar begins to turn       2.5  1.25     0    0
    3         1.50  2.50    the ram stops                  10   10        3    7
    4         2.00  3.00    operator ready: the look       10   10        5    9
    5         3.25  3.25    the collar meets it            10   10       10   10
    6         3.75  3.75    seated: caught                 10   10       10   10

At the look the gaps are 5 and 1 mm, over the limit of 0: both hold. The gap is the largest at instant 3: 7 and 3 mm. So
is the drop: the load would come down from u = 10 mm onto what the collar holds there.

Arrays are of shape (..., n): the last axis is the lifts, or of shape (k,) for some of them.

What it does not know
---------------------
Mishaps break in on people (`why_not` says so), a kind of device whose work is not in `parts/works.py`, and a crib whose
pieces are swapped, for that hangs on the order of a pile. The story simulates those. All else it knows: several devices
at a place, and people who keep up several, walking between them.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sim.batch.alike import times_that_differ
from sim.batch.lifts import Lifts
from sim.batch.measured.results import Columns, Results
from sim.batch.parts.people import BatchPeople
from sim.batch.parts.works import knows
from sim.model.chance import BLOCK
from sim.model.scenario import Scenario

__all__ = ["BLOCK", "Columns", "lifts_of", "simulate_replications", "why_not"]


def why_not(scenario: Scenario) -> str:
    """Why the story has to simulate this scenario one by one; empty where the batch covers it."""
    if scenario.mishaps:
        return "a mishap breaks in on the people"
    devices = [device for place in scenario.places for device in place.capture]
    unknown = dict.fromkeys(device.kind for device in devices if not knows(device))
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
        A column each, as `measured/results.py` names them, with its unit at the end [m, s, J].
    """
    return lifts_of(scenario, seed, first, n).finished()


def lifts_of(scenario: Scenario, seed: int, first: int, n: int, alike: Sequence[Scenario] = ()) -> Results:
    """The same lifts before their columns are read, with the largest gap of each call beside them.

    `alike` are other ways of the same lift, which differ in people's times only (`alike.py`): n rows more for each.
    """
    ways = (scenario, *alike)
    people = BatchPeople(seed, first, n, len(ways), times_that_differ(ways))
    with np.errstate(divide="ignore", invalid="ignore"):  # lifts that something does not happen to are worked out too
        return Lifts(scenario, people, n * len(ways)).run()
