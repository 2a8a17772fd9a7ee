"""Operators who raise sides clear of what they rest on, by whole strokes, one at a time, until they rest on nothing.

How many it takes is seen only as they go: what holds one side in the middle hangs on where the other is.
"""

from __future__ import annotations

import numpy as np

from sim.batch.down.standing import rests
from sim.batch.moves import comes_to, runs_to
from sim.batch.parts.arrays import Array, Flags, These, on_grid
from sim.batch.scene import Scene
from sim.batch.strokes import pumps_at, stroke_from
from sim.model.devices import EXACT

STARTS, ENDS, RECOVERED = range(3)  # what an operator's next knot is: of a stroke, and the recovery after it


class Freeing:
    """The operators of the sides that rest on something, from the call on until all of them are clear."""

    def __init__(self, scene: Scene, called: Flags) -> None:
        now, self.shape = scene.now, called.shape
        self.next = np.full(self.shape, STARTS)
        self.to = np.zeros(self.shape)  # where the stroke under way leaves the side [rad or m]
        self.before = np.zeros(self.shape)  # ram travel before it [m]
        self.rested = np.zeros(self.shape, dtype=bool)  # on something still, as the last stroke ended
        self.stuck = np.zeros(self.shape, dtype=bool)  # pumped, and nothing moved
        self.pumps = [pumps_at(scene.people, x, scene.call, self.shape[1]) for x in scene.layout.lifters]
        now.knot = np.where(called & rests(scene), on_grid(now.time + [react for *_, react in self.pumps]), np.inf)

    def starts(self, scene: Scene) -> Flags:
        """Whether a first stroke starts at the next knot: (sides, n)."""
        return np.asarray(self.next == STARTS)

    def next_knot(self, scene: Scene, side: int, these: These) -> These:
        """A stroke starts, or ends, or its operator has recovered; nobody waits for word of it."""
        what = self.next[side][these]
        self._ends(scene, side, these[what == ENDS])
        again = self._recovers(scene, side, these[what == RECOVERED])
        self._strokes(scene, side, np.concatenate([these[what == STARTS], again]))
        return these[:0]

    def _strokes(self, scene: Scene, side: int, these: These) -> None:
        if not len(these):
            return
        now, (stroke, _, fill, _) = scene.now, self.pumps[side]
        self.before[side][these] = scene.rams.travel[side][these]
        to = stroke_from(scene.layout, scene.rams, side, these, now.u[side][these], fill[these])
        scene.rams.pumps[side][these] += 1
        for place in scene.layout.places_of[side]:
            now.stands[place][these] = False
        self._comes_next(scene, side, these, ENDS, stroke)
        self.to[side][these] = to
        runs_to(scene, side, these, to, now.knot[side][these])

    def _ends(self, scene: Scene, side: int, these: These) -> None:
        if len(these):
            comes_to(scene, side, these, self.to[side][these])
            self.rested[side][these] = rests(scene)[side][these]
            self._comes_next(scene, side, these, RECOVERED, self.pumps[side][1])

    def _recovers(self, scene: Scene, side: int, these: These) -> These:
        """Clear, or nothing has moved: done. Gives back where another stroke is made at once."""
        if not len(these):
            return these
        rested = self.rested[side][these]
        gained = scene.rams.travel[side][these] > self.before[side][these] + EXACT
        self.stuck[side][these] = rested & ~gained
        scene.now.knot[side][these] = np.inf
        again: These = these[rested & gained]
        return again

    def _comes_next(self, scene: Scene, side: int, these: These, what: int, seconds: Array) -> None:
        self.next[side][these] = what
        scene.now.knot[side][these] = on_grid(scene.now.since[these] + seconds[these])
