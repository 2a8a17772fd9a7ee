"""The lift that the checks look at: how far each side goes, and where it would come to rest at every instant."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from sim.model.motion import Motion, motion_of
from sim.model.scenario import Lifter, Point, Scenario, Stage, Station
from sim.record.drops import Drops, drops_of
from sim.record.measured import Measured
from sim.record.record import Record
from sim.record.series import Array
from sim.record.stages import stage_records
from sim.story.lift import simulate_fixed
from sim.written.stages import heights, stage_place

STEPS = 200  # from the start to where a side goes, both ends included


class Descent(NamedTuple):
    """A stage that lowers the load: which it is, counted from 1, and how it went."""

    number: int
    stage: Stage
    lift: Measured

    @property
    def subject(self) -> str:
        """What it is called."""
        return stage_place(self.number)

    def begins(self, lifter: Lifter) -> float:
        """Where a side then is [rad or m]."""
        return float(self.lift.sides[lifter.name].after[0])

    def ends(self, lifter: Lifter) -> float:
        """Where it has come to [rad or m]."""
        return float(self.lift.sides[lifter.name].after[-1])


@dataclass(frozen=True)
class Course:
    """One lift, swept: how it went at mean values (or as recorded), and every place on the way."""

    scenario: Scenario
    record: Record
    apart: Measured | None = None  # the same record, taken apart already

    @cached_property
    def motion(self) -> Motion:
        """How the load moves."""
        return motion_of(self.scenario.load)

    @cached_property
    def measured(self) -> Measured:
        """The record, taken apart."""
        return self.apart or Measured(self.record)

    @cached_property
    def need(self) -> float:
        """Where u is when the needed point has risen far enough [rad or m]."""
        need = self.scenario.need
        return self.motion.u_for_rise(need.point, need.rise)

    @cached_property
    def highest(self) -> float:
        """Where u is at the highest rise that is asked for, by the need, a stage or the start [rad or m]."""
        return self.motion.u_for_rise(self.scenario.need.point, max(rise for _, rise in heights(self.scenario)))

    @cached_property
    def descents(self) -> tuple[Descent, ...]:
        """The stages that lower and were begun."""
        parts = stage_records(self.record) if self.scenario.stages else []
        begun = enumerate(zip(self.scenario.stages, parts, strict=False), 1)
        return tuple(Descent(n, stage, Measured(part)) for n, (stage, part) in begun if stage.do == "lower")

    @cached_property
    def tops(self) -> dict[str, float]:
        """How far each side goes, by its lifter's name: as high as is asked for at least [rad or m]."""
        return {name: max(self.highest, float(s.after.max())) for name, s in self.measured.sides.items()}

    @cached_property
    def drops(self) -> dict[str, Drops]:
        """What would come of each lifter's loss, at every instant; by the lifter's name."""
        return {x.name: drops_of(self.measured, x, lifter_holds=False) for x in self.scenario.lifters}

    @cached_property
    def pressure_drops(self) -> dict[str, Drops]:
        """The same for the loss of its pressure."""
        return {x.name: drops_of(self.measured, x, lifter_holds=True) for x in self.scenario.lifters}

    def sweep(self, lifter: Lifter) -> Array:
        """Values of u of a side, from the start to the furthest it goes: shape (STEPS,) [rad or m]."""
        return np.linspace(0.0, self.tops[lifter.name], STEPS)

    def lifters_of(self, station: Lifter | Station) -> list[Lifter]:
        """The lifters whose loss the station would meet."""
        return [x for x in self.scenario.lifters if station.side in (x.side, "both")]

    def direction(self, head: Point, base: Point, u: Array) -> tuple[Array, Array, Array]:
        """Unit vector from a base to a head that has moved: its x, y and z, shape (n,) each."""
        x, y, z = self.motion.moved(head, u)
        along, across, up = x - base[0], np.full_like(u, y - base[1]), z - base[2]
        length = np.sqrt(along**2 + across**2 + up**2)
        return along / length, across / length, up / length


def course_of(scenario: Scenario, record: Record | None = None, apart: Measured | None = None) -> Course:
    """The course of a lift: of its record, or without one of the lift simulated at mean values.

    Parameters
    ----------
    scenario : Scenario
        The lift.
    record : Record, optional
        How it went. Without one everyone keeps to the mean times, and no mishap happens.
    apart : Measured, optional
        That record, taken apart already.

    Returns
    -------
    Course
        Swept.
    """
    return Course(scenario, record or simulate_fixed(replace(scenario, mishaps=())), apart)
