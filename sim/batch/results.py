"""One row a replication, the measures of `sim/record/measures.py` a column each."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sim.batch.lines.arrays import Array, Chosen
from sim.batch.lines.stretches import total_length
from sim.model.devices import EXACT
from sim.model.loads import fall_energy
from sim.record.what import Outcome

if TYPE_CHECKING:
    from sim.batch.lifts import Lifts
    from sim.batch.stand.drops import Drops

OUTCOMES = tuple(outcome.value for outcome in Outcome)  # `Lifts.outcome` is a place in it
Columns = dict[str, NDArray[Any]]


class Results:
    """The columns, filled as the lifts end."""

    def __init__(self, lifts: Lifts, n: int) -> None:
        self.n = n
        self.columns: Columns = {}
        self.by_call: list[NDArray[np.float32]] = []  # the largest gap since each call; NaN where the lift had ended
        self.ids = np.arange(n)
        self.lifts = lifts

    def _put(self, ids: Chosen, name: str, value: Any) -> None:
        value = np.asarray(value)
        if name not in self.columns:
            empty: Any = "" if value.dtype.kind in "OU" else 0
            kind = object if value.dtype.kind in "OU" else value.dtype
            self.columns[name] = np.full(self.n, empty, dtype=kind)
        self.columns[name][ids] = value

    def gap_by_call(self, lifts: Lifts) -> None:
        """The largest gap at any place since the last call."""
        if lifts.call == 0 or not lifts.places:
            return
        gaps = np.full(self.n, np.nan, dtype=np.float32)
        gaps[self.ids] = np.maximum(0.0, np.maximum.reduce([p.in_call for p in lifts.places]))
        self.by_call.append(gaps)

    def write(self, lifts: Lifts, these: Chosen) -> None:
        """Those that have ended."""
        ids = self.ids[these]
        put = partial(self._put, ids)
        put("outcome", np.array(OUTCOMES, dtype=object)[lifts.outcome[these]])
        put("calls", np.full(len(ids), lifts.call))
        put("duration_s", lifts.now[these])
        put("holds", lifts.holds[these])
        put("hold_time_s", lifts.hold_time[these])
        put("levelling_calls", lifts.levelling[these])
        put("over_limit_calls", lifts.over_limit[these])
        put("resets", lifts.resets[these])
        for n, place in enumerate(lifts.places):
            put(f"waited_for_s: {place.name}", lifts.waited[n, these])
            put(f"holds_for: {place.name}", lifts.held_for[n, these])
        self._gaps(lifts, these, ids)
        self._drops(lifts, these, ids)
        self._rises(lifts, these, ids)
        for side in lifts.sides:
            put(f"raised_at: {side.lifter.name}", side.raised_at[these])
        left = np.ones(len(self.ids), dtype=bool)
        left[these] = False
        self.ids = self.ids[left]

    def _gaps(self, lifts: Lifts, these: Chosen, ids: Chosen) -> None:
        put = partial(self._put, ids)
        best: dict[str, tuple[Array, ...]] = {}
        for sort in ("passing", "standing"):
            value, time, call, who = (
                np.full(len(ids), -np.inf),
                np.zeros(len(ids)),
                np.zeros(len(ids), dtype=int),
                np.full(len(ids), -1),
            )
            for n, place in enumerate(lifts.places):
                peaks = getattr(place, sort)
                mine = peaks.value[these] if lifts.call else np.full(len(ids), -np.inf)
                put(f"largest_{sort}_gap_m: {place.name}", np.maximum(0.0, mine))
                more = mine > value
                value, who = np.where(more, mine, value), np.where(more, n, who)
                time, call = np.where(more, peaks.time[these], time), np.where(more, peaks.call[these], call)
            none = value <= EXACT
            best[sort] = tuple(np.where(none, z, x) for x, z in ((value, 0.0), (time, np.nan), (call, -1), (who, -1)))
        passing, standing = best["passing"], best["standing"]
        larger = standing[0] > passing[0]
        best["largest"] = tuple(np.where(larger, s, p) for p, s in zip(passing, standing, strict=True))
        names = np.array([*(p.name for p in lifts.places), ""], dtype=object)
        for sort, key in (
            ("largest", "largest_gap"),
            ("passing", "largest_passing_gap"),
            ("standing", "largest_standing_gap"),
        ):
            value, time, call, who = best[sort]
            put(f"{key}_m", value)
            put(f"{key}_station", names[who.astype(int)])
            put(f"{key}_call", call.astype(int))
            put(f"{key}_time_s", time)
        for place in lifts.places:
            put(f"captures: {place.name}", place.captures[these])
            put(f"open_time_s: {place.name}", place.open_time[these])
            put(f"largest_open_m: {place.name}", place.largest_open[these])

    def _drops(self, lifts: Lifts, these: Chosen, ids: Chosen) -> None:
        for key, holds in (("drop_pressure_lost", True), ("drop_lifter_lost", False)):
            several = lifts.drops[holds]
            parts = [self._one_drop(lifts, d, these) for d in several]
            best = parts[0]
            for other in parts[1:]:
                more = other["m"] > best["m"]
                best = {name: np.where(more, other[name], best[name]) for name in best}
            for name, value in best.items():
                self._put(ids, f"{key}_{name}", value)

    def _one_drop(self, lifts: Lifts, drops: Drops, these: Chosen) -> dict[str, NDArray[Any]]:
        lifter, drop = drops.side.lifter, drops.drop[these]
        none = drop <= EXACT
        names = np.array([*(p.name for p in drops.places), ""], dtype=object)
        lower = lifts.motion.rise(lifter.head, drops.lower[these])
        energy = fall_energy(lifts.scenario.load, lifts.motion, lifter.share, drops.u[these], drops.stop[these])
        return {
            "m": np.where(none, 0.0, drop),
            "next_m": np.where(none, 0.0, lifts.motion.rise(lifter.head, drops.u[these]) - lower),
            "side": np.full(len(drop), lifter.side, dtype=object),
            "call": np.where(none, -1, drops.call[these]),
            "time_s": np.where(none, np.nan, drops.time[these]),
            "energy_J": np.where(none, 0.0, energy),
            "onto": np.where(none, "", names[drops.onto[these]]),
        }

    def _rises(self, lifts: Lifts, these: Chosen, ids: Chosen) -> None:
        put = partial(self._put, ids)
        put("largest_level_difference_m", lifts.level[these])
        heads = [lifts.motion.rise(s.lifter.head, s.u[these]) for s in lifts.sides]
        put("final_level_difference_m", np.abs(heads[0] - heads[-1]))
        for side, rise in zip(lifts.sides, heads, strict=True):
            put(f"pumps: {side.lifter.name}", side.pumps[these])
            put(f"ram_travel_m: {side.lifter.name}", side.earlier_travel[these] + side.travel[these])
            put(f"head_rise_m: {side.lifter.name}", rise)
        point = lifts.point_rise()[these]
        put("point_rise_m", point)
        put("settled_rise_m", lifts.settled_rise()[these])
        put("overshoot_m", point - lifts.scenario.need.rise)

    def finished(self) -> Columns:
        """All columns, once every lift has ended."""
        lifts, columns = self.lifts, self.columns
        for flag, name in ((False, "passing_over_limit_s"), (True, "standing_over_limit_s")):
            several = [p.over[flag] for p in lifts.places]
            columns[name] = total_length(several) if several else np.zeros(self.n)
        ram_only = np.zeros(self.n)
        for side in lifts.sides:
            raised_at = columns.pop(f"raised_at: {side.lifter.name}")
            own = [p for p in lifts.places if side in p.sides]
            if own:
                ram_only += total_length([p.opened for p in own], len(own), raised_at)
            else:
                ram_only += np.maximum(0.0, columns["duration_s"] - raised_at)
        columns["ram_only_s"] = ram_only
        return columns
