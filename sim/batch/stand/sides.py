"""The sides of many lifts at once: one call's strokes, as knots between which everything runs evenly."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.batch.crew.people import People
from sim.batch.lines.arrays import ALL, Array, Chosen, Flags, at, chosen, keep, none, on_grid
from sim.model.loads import lifter_force
from sim.model.motion import Line, Motion
from sim.model.pump import ram_travel
from sim.model.scenario import Lifter, Scenario


@dataclass(slots=True)
class Stroke:
    """One stroke of a call: when it starts and ends, and where it leaves the side. Never (infinite) for the others."""

    start: Array
    end: Array
    u_start: Array
    u_end: Array


class Side:
    """One side of the load and its lifter."""

    arrays = ("u", "base_u", "travel", "earlier_travel", "contact", "free", "pumps", "ready", "raised_at")

    def __init__(self, lifter: Lifter, line: Line, scenario: Scenario, n: int) -> None:
        self.lifter, self.line, self.scenario = lifter, line, scenario
        self.u = np.zeros(n)  # once this call's strokes are over,
        self.base_u = np.zeros(n)  # and before them
        self.travel = np.zeros(n)  # of this run of the ram [m]
        self.earlier_travel = np.zeros(n)
        self.contact = np.zeros(n)  # demand of the lifter's line at the start of this run [m]
        self.free = np.full(n, scenario.load.take_up)  # ram travel that raises nothing [m]
        self.pumps = np.zeros(n, dtype=np.int64)
        self.ready = np.zeros(n)  # when the operator is
        self.raised_at = np.full(n, np.inf)  # start of the first stroke that raised it
        self.moves: Chosen = np.empty(0, dtype=np.int64)  # who moves in this call
        self.strokes: list[Stroke] = []

    def answer(self, called: Flags, call: int, now: Array, people: People, motion: Motion) -> None:
        """One call: react, then stroke after stroke, each from where the one before left the side."""
        name, person = self.lifter.name, self.lifter.operator
        missed = people.happens(name, "miss", person.miss, call)
        self.moves = these = chosen(called if missed is None else called & ~missed)
        self.strokes = []
        self.base_u = self.u.copy()
        self.ready = now.copy()
        if none(these):
            return
        stroke = at(people.draw(name, "stroke", person.stroke, call), these)
        recover = at(people.draw(name, "recover", person.recover, call), these)
        fill = at(people.draw(name, "fill", person.fill, call), these)
        t = on_grid(now[these] + at(people.draw(name, "react", person.react, call), these))
        for n in range(self.scenario.leader.strokes):
            u = self.u[these].copy()
            u_end = self._stroke(these, u, fill, motion)
            end = on_grid(t + stroke)
            self.strokes.append(Stroke(*(self._spread(these, x) for x in (t, end, u, u_end))))
            if n == 0:
                self._note_raised(these, t, u_end)
            t = on_grid(end + recover)
        if self.scenario.leader.strokes > 1:
            for stroke_made in self.strokes[1:]:
                self._note_raised(these, stroke_made.start[these], stroke_made.u_end[these])
        self.pumps[these] += self.scenario.leader.strokes
        self.ready[these] = t

    def _stroke(self, these: Chosen, u: Array, fill: float | Array, motion: Motion) -> Array:
        """Where one stroke leaves the side."""
        lifter, travel, free = self.lifter, self.travel[these], self.free[these]
        force = np.zeros_like(u) if lifter.pump is None else lifter_force(lifter, self.scenario.load, motion, u)
        fills = np.broadcast_to(np.asarray(fill), u.shape)
        made: Any = ram_travel(lifter, free, force, travel, fills)  # type: ignore[arg-type]
        travel_end = travel + made
        moves = travel_end > free
        u_end = np.where(
            moves, np.maximum(u, self.line.u_at(self.contact[these] + np.maximum(travel_end - free, 0.0))), u
        )
        if these is ALL:
            self.travel, self.u = travel_end, u_end
        else:
            self.travel[these], self.u[these] = travel_end, u_end
        return u_end

    def _note_raised(self, these: Chosen, start: Array, u_end: Array) -> None:
        if np.isinf(self.raised_at[these]).any():
            self.raised_at[these] = np.where(u_end > 0, np.minimum(self.raised_at[these], start), self.raised_at[these])

    def _spread(self, these: Chosen, value: Array) -> Array:
        if these is ALL:
            return value
        spread = np.full(len(self.u), np.inf)
        spread[these] = value
        return spread

    def can_move(self, motion: Motion) -> Flags:
        """Whether a full stroke would move this lifter at all."""
        if self.lifter.pump is None:
            return np.ones(len(self.u), dtype=bool)
        force = lifter_force(self.lifter, self.scenario.load, motion, self.u)
        moved = ram_travel(self.lifter, self.free, force, self.travel, np.ones_like(self.u))  # type: ignore[arg-type]
        return moved > 1e-9

    def u_at(self, these: Chosen, time: Array) -> Array:
        """Where the side is at a time since the last call [rad or m]."""
        u = self.base_u[these].copy()
        for stroke in self.strokes:
            start = stroke.start[these]
            moves = start < time
            if not moves.any():
                break  # nor does any later one
            end, u_start, u_end = stroke.end[these], stroke.u_start[these], stroke.u_end[these]
            over = end <= time
            if over.all():
                u = u_end.copy()
            else:
                there = u_start + (time - start) / (end - start) * (u_end - u_start)
                u = np.where(over, u_end, np.where(moves, there, u))
        return u

    def keep(self, mask: Chosen) -> None:
        """Leave out the lifts that have ended."""
        keep(self, self.arrays, mask)
        self.strokes = []
