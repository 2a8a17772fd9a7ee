"""Operators who open their valves, let the sides down onto what holds them, and shut the valves again."""

from __future__ import annotations

import numpy as np

from sim.batch.catchers import load_stops
from sim.batch.down.standing import in_contact, lowest, rests
from sim.batch.moves import comes_to, runs_to
from sim.batch.parts.arrays import Array, Flags, These, on_grid
from sim.batch.parts.moment import captured
from sim.batch.resets import held_u
from sim.batch.scene import Scene
from sim.model.devices import EXACT

OPENS, LANDS, SHUTS = range(3)  # what an operator's next knot is


class Valves:
    """The operators of the called sides, from being told on until every valve is shut again."""

    def __init__(self, scene: Scene, called: Flags, to: float) -> None:
        now, people, call, shape = scene.now, scene.people, scene.call, called.shape
        self.to = to  # where a side is told to stop that nothing would hold [rad or m]
        self.next = np.full(shape, OPENS)
        self.goal = np.zeros(shape)  # where the ram, as it shortens, leaves the side [rad or m]
        self.told = np.full(shape, np.inf)  # when to stop; minus infinite: not yet; infinite: it lands [s]
        self.speed, self.close = np.zeros(shape), np.zeros(shape)  # [m/s], [s]
        for side, lifter in enumerate(scene.layout.lifters):
            person, name = lifter.operator, lifter.name
            missed = people.happens(name, "miss", person.miss, call)
            opens = called[side] if missed is None else called[side] & ~missed
            self.speed[side] = people.draw(name, "lowering", person.lowering, call)
            self.close[side] = people.draw(name, "close", person.close, call)
            reacted = on_grid(now.time + people.draw(name, "react", person.react, call))
            now.knot[side] = np.where(opens, reacted, np.inf)

    def starts(self, scene: Scene) -> Flags:
        """Whether a valve is opened at the next knot: (sides, n)."""
        return np.asarray(self.next == OPENS)

    def next_knot(self, scene: Scene, side: int, these: These) -> These:
        """A valve is opened, or a side lands, or its valve is shut; in which of these the side has been let down."""
        what = self.next[side][these]
        scene.now.knot[side][these[what == SHUTS]] = np.inf
        self._open(scene, side, these[what == OPENS])
        return self._land(scene, side, these[what == LANDS])

    def _open(self, scene: Scene, side: int, these: These) -> None:
        if not len(these):
            return
        layout, now = scene.layout, scene.now
        is_open = captured(layout, now, now.held)[1][:, these]
        held = np.any([~is_open[p] for p in layout.places_of[side]] or [np.zeros(len(these), dtype=bool)], axis=0)
        low = lowest(scene)[side][these]
        self.told[side][these] = np.where(held, np.inf, -np.inf)
        self._runs(scene, side, these, np.where(held, low, np.maximum(self.to, low)))

    def _runs(self, scene: Scene, side: int, these: These, goal: Array) -> None:
        """The ram shortens until the side is at `goal` (k,), or the mean of the sides meets what is in the middle."""
        now, line = scene.now, scene.layout.ram_lines[side]
        seconds = (line.demand(now.u[side][these]) - line.demand(goal)) / self.speed[side][these]
        self.goal[side][these], self.next[side][these] = goal, LANDS
        runs_to(scene, side, these, goal, on_grid(now.since[these] + seconds))
        self._meet(scene, these)

    def _meet(self, scene: Scene, these: These) -> None:
        """When each of the sides that are coming down comes to rest, as they do now."""
        now, layout = scene.now, scene.layout
        end = now.stroke_end[:, these]
        both = [p for p in range(len(layout.places)) if layout.is_both(p)]
        if both:
            held = np.where(captured(layout, now, now.held)[1], -np.inf, held_u(scene))[both][:, these].max(axis=0)
            rate, over = now.u_rate[:, these].sum(axis=0), now.u[:, these].sum(axis=0) - len(now.u) * held
            meets = np.maximum(now.since[these], on_grid(now.since[these] + over / -rate))
            end = np.minimum(end, np.where((rate < 0) & (held > -np.inf), meets, np.inf))
        comes_down = now.stroke_end[:, these] < np.inf
        now.knot[:, these] = np.where(comes_down, end, now.knot[:, these])

    def _land(self, scene: Scene, side: int, these: These) -> These:
        """The side is at rest where it is; let down, but where it was only then told to stop."""
        if not len(these):
            return these
        now, layout, line = scene.now, scene.layout, scene.layout.ram_lines[side]
        ended = now.stroke_end[side][these] <= now.since[these]
        u = np.where(ended, self.goal[side][these], now.u[side][these])
        now.u[side][these] = u
        for p in layout.places_of[side]:
            mean = sum(now.u[s][these] for s in layout.sides_of[p]) / len(layout.sides_of[p])
            now.demand[p][these], now.rate[p][these] = layout.lines[p].demand(mean), 0.0
        comes_to(scene, side, these, u)
        in_contact(scene, side, these)
        stands = these[(u <= EXACT) | rests(scene)[side][these]]
        for p in layout.places_of[side]:
            now.stands[p][stands] = True
        now.knot[side][these] = np.inf
        self._meet(scene, these)
        told = self.told[side][these]
        runs_on = these[told == -np.inf]
        if len(runs_on):
            self.told[side][runs_on] = now.since[runs_on]
            way = self.speed[side][runs_on] * self.close[side][runs_on]
            low = lowest(scene)[side][runs_on]
            u_on = line.u_at(np.maximum(0.0, line.demand(now.u[side][runs_on]) - way))
            self._runs(scene, side, runs_on, np.maximum(u_on, low))
        return self._is_let_down(scene, side, these[told > -np.inf])

    def _is_let_down(self, scene: Scene, side: int, these: These) -> These:
        """As far as it was to go: what is left open under it is caught; the valve is shut."""
        now, layout = scene.now, scene.layout
        told = np.where(np.isinf(self.told[side][these]), now.since[these], self.told[side][these])
        self.next[side][these] = SHUTS
        shut = np.maximum(now.since[these], told + self.close[side][these])
        now.knot[side][these] = on_grid(shut)
        now.made[side][these] = False
        for p in layout.places_of[side]:
            down = these[~now.made[np.ix_(np.array(layout.sides_of[p]), these)].any(axis=0)]
            for d in layout.devices_at[p]:
                now.caught[d][down] = False
            load_stops(scene, p, down)
        return these
