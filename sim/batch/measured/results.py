"""One row a replication, the measures of `sim/record/measures.py` a column each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.batch.measured.drops import DropsSoFar
from sim.batch.measured.falling import Falling
from sim.batch.measured.gaps import MADE, PASSING, STANDING, GapsSoFar
from sim.batch.measured.so_far import SoFar
from sim.batch.parts.arrays import Array, Flags, These, Whole, of_some, those
from sim.batch.parts.layout import Layout
from sim.batch.parts.moment import Moment
from sim.batch.resets import settled_u
from sim.batch.scene import Scene
from sim.model.devices import EXACT
from sim.model.loads import fall_energy

OUTCOMES = ("raised", "stopped", "not-reached", "lowered", "stuck")
RAISED, STOPPED, NOT_REACHED, LOWERED, STUCK = range(5)
GOES_ON = -1
Columns = dict[str, NDArray[Any]]


@dataclass(slots=True)
class Tally:
    """What the leader of each of n lifts counts."""

    outcome: Whole  # (n,) GOES_ON, or which of OUTCOMES
    hold_begun: Array  # (n,) of the hold under way; not a number: none [s]
    last_settled: Array  # (n,) rise of the needed point at the last re-set [m]
    holds: Whole  # (n,)
    hold_time: Array  # (n,) [s]
    levelling: Whole  # (n,)
    over_limit: Whole  # (n,) calls made with a gap over the limit
    resets: Whole  # (n,)
    waited: Array  # (places, n) how long holds waited for each place [s],
    held_for: Whole  # (places, n) and how many did
    stage: Whole  # (n,) the number of the stage, from 0 on
    came: Whole  # (n,) how the last raise or lower has come out, one of OUTCOMES
    last_call: Array  # (n,) when it went out [s]
    highest: Array  # (sides, n) u in this stage [rad or m]
    raises: Flags  # (n,) a call to raise was made in this stage
    most: Array  # (n,) how far the needed point had risen in the stages that raise, at the most [m]

    @classmethod
    def of(cls, n: int, places: int, sides: int, start: float) -> Tally:
        """Nothing yet, the needed point at `start` [m]."""
        none = np.zeros(n, dtype=np.int64)
        return cls(
            np.full(n, GOES_ON), np.full(n, np.nan), np.full(n, -np.inf), none, np.zeros(n), none.copy(), none.copy(),
            none.copy(), np.zeros((places, n)), np.zeros((places, n), dtype=np.int64),
            none.copy(), np.full(n, RAISED), np.full(n, -np.inf), np.zeros((sides, n)), np.zeros(n, bool),
            np.full(n, start),
        )  # fmt: skip

    def close_holds(self, calls: Array, now: Moment) -> None:
        """A hold ends with the call (n,) [s]; it waited for the place that was caught last."""
        these = those(~np.isnan(self.hold_begun))
        lasted = calls[these] - self.hold_begun[these]
        self.holds[these] += 1
        self.hold_time[these] += lasted
        place = now.caught_place[these]
        self.waited[place, these] += lasted
        self.held_for[place, these] += 1
        self.hold_begun[these] = np.nan


class Results:
    """The columns, filled as the lifts end; what is measured of those that go on meanwhile."""

    def __init__(self, layout: Layout, n: int) -> None:
        self.n, self.layout = n, layout
        self.columns: Columns = {}
        self.by_call: list[NDArray[np.float32]] = []  # the largest gap since each call; NaN where the lift had ended
        self.ids = np.arange(n)  # of those that go on
        self.so_far = SoFar.of(layout, n)
        self._sorts = {PASSING: "passing", STANDING: "standing"} | ({MADE: "made"} if layout.scenario.stages else {})

    def measure(self, scene: Scene, tally: Tally, at: Array) -> None:
        """Take what a call has come to, up to the next one or to the end, `at` (n,) [s]."""
        next_call = np.where(tally.outcome == GOES_ON, at, np.inf)
        largest = self.so_far.see(scene.timeline.window(), scene.call, next_call)
        if scene.call > 0 and self.layout.places:
            gaps = np.full(self.n, np.nan, dtype=np.float32)
            gaps[self.ids] = largest
            self.by_call.append(gaps)
        scene.timeline.goes_on()

    def write(self, scene: Scene, tally: Tally, at: Array, these: These) -> None:
        """Write down those that have ended, `at` (n,) [s], and leave them out."""
        names = [place.name for place in self.layout.places]
        ended = of_some(tally, these)
        columns: dict[str, Any] = {
            "outcome": np.array(OUTCOMES, dtype=object)[ended.outcome],
            "calls": np.full(len(these), scene.call),
            "duration_s": at[these],
            "holds": ended.holds,
            "hold_time_s": ended.hold_time,
            "levelling_calls": ended.levelling,
            "over_limit_calls": ended.over_limit,
            "resets": ended.resets,
            **{f"waited_for_s: {name}": ended.waited[p] for p, name in enumerate(names)},
            **{f"holds_for: {name}": ended.held_for[p] for p, name in enumerate(names)},
            **_gap_columns(self._sorts, names, of_some(self.so_far.gaps, these)),
            **{f"captures: {name}": scene.now.captures[p, these] for p, name in enumerate(names)},
            **_rise_columns(scene, these),
        }
        if self.layout.scenario.stages:
            columns["overshoot_m"] = ended.most - self.layout.scenario.need.rise
        for key, losses in self.so_far.losses.items():
            drops = self.so_far.drops[key]
            each = [_drop_columns(x.falling, of_some(d, these)) for x, (d, _) in zip(losses, drops, strict=True)]
            best = each[0]
            for other in each[1:]:
                more = other["m"] > best["m"] + EXACT
                best = {name: np.where(more, other[name], best[name]) for name in best}
            columns |= {f"{key}_{name}": value for name, value in best.items()}
            columns[f"{key}_next_m"] = np.max([d.drop[these] for _, d in drops], axis=0)
        for name, value in columns.items():
            text = value.dtype.kind in "OU"
            column = self.columns.setdefault(name, np.full(self.n, "" if text else 0, object if text else value.dtype))
            column[self.ids[these]] = value
        others = np.delete(np.arange(len(self.ids)), these)
        self.ids, self.so_far = self.ids[others], self.so_far.of_these(others)

    def finished(self) -> Columns:
        """All columns, once every lift has ended."""
        return self.columns


def _gap_columns(sorts: dict[int, str], names: list[str], gaps: GapsSoFar) -> dict[str, Any]:
    """The largest gaps: of each place, of each sort, and of all."""
    k = np.arange(gaps.level.shape[0])
    value = gaps.value
    columns: dict[str, Any] = {}
    best: dict[str, tuple[NDArray[Any], ...]] = {}
    for sort, word in sorts.items():
        columns |= {f"largest_{word}_gap_m: {name}": np.maximum(0.0, value[sort, p]) for p, name in enumerate(names)}
        most = value[sort] > value[sort].max(axis=0, initial=0.0) - EXACT  # of several alike the first in the file
        who = most.argmax(axis=0) if names else np.zeros(len(k), dtype=np.int64)
        largest = value[sort, who, k] if names else np.zeros(len(k))
        none = largest <= EXACT
        at = (gaps.time[sort, who, k], gaps.call[sort, who, k]) if names else (largest, who)
        best[f"largest_{word}_gap"] = tuple(
            np.where(none, nothing, x) for x, nothing in ((largest, 0.0), (at[0], np.nan), (at[1], -1), (who, -1))
        )
    whole = best["largest_passing_gap"]
    for word in list(sorts.values())[1:]:
        larger = best[f"largest_{word}_gap"][0] > whole[0]
        whole = tuple(np.where(larger, x, y) for x, y in zip(best[f"largest_{word}_gap"], whole, strict=True))
    best["largest_gap"] = whole
    called = np.array([*names, ""], dtype=object)
    for key, (largest, time, call, who) in best.items():
        columns |= {f"{key}_m": largest, f"{key}_station": called[who], f"{key}_call": call, f"{key}_time_s": time}
    columns |= {f"open_time_s: {name}": gaps.open_time[p] for p, name in enumerate(names)}
    columns |= {f"largest_open_m: {name}": gaps.largest_open[p] for p, name in enumerate(names)}
    return columns | {
        "passing_over_limit_s": gaps.over[PASSING],
        "standing_over_limit_s": gaps.over[STANDING],
        "ram_only_s": gaps.rams_only,
        "hands_in_on_rams_alone_s": gaps.hands,
        "largest_level_difference_m": gaps.level,
    }


def _drop_columns(falling: Falling, drops: DropsSoFar) -> dict[str, Any]:
    """The largest drop of one side."""
    lifter, layout, none = falling.layout.lifters[falling.side], falling.layout, drops.drop <= EXACT
    names = np.array([*(layout.places[p].name for p in falling.places), ""], dtype=object)
    energy = fall_energy(layout.scenario.load, layout.motion, lifter.share, drops.u, drops.stop)
    return {
        "m": np.where(none, 0.0, drops.drop),
        "side": np.full(len(none), lifter.side, dtype=object),
        "call": np.where(none, -1, drops.call),
        "time_s": np.where(none, np.nan, drops.time),
        "energy_J": np.where(none, 0.0, energy),
        "onto": np.where(none, "", names[drops.onto]),
    }


def _rise_columns(scene: Scene, these: These) -> dict[str, Any]:
    """Ram travel, rise of the heads and of the needed point, what is left once the load settles."""
    layout, rams, need = scene.layout, scene.rams, scene.layout.scenario.need
    heads = [layout.motion.rise(x.head, scene.now.u[side, these]) for side, x in enumerate(layout.lifters)]
    point = layout.motion.rise(need.point, scene.now.mean_u[these])
    columns: dict[str, Any] = {
        "final_level_difference_m": np.abs(heads[0] - heads[-1]),
        "point_rise_m": point,
        "settled_rise_m": layout.motion.rise(need.point, settled_u(scene)[these]),
        "overshoot_m": point - need.rise,
    }
    for side, lifter in enumerate(layout.lifters):
        columns |= {
            f"pumps: {lifter.name}": rams.pumps[side, these],
            f"ram_travel_m: {lifter.name}": rams.earlier[side, these] + rams.travel[side, these],
            f"head_rise_m: {lifter.name}": heads[side],
        }
    return columns
