"""What a lift came to, read from its record.

Nothing here knows how the record was made: a told lift, a rehearsal and an observed drill are measured alike.
What it takes from the scenario is geometry (where the heads are, which side a place is on) and the limits.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from sim.devices import EXACT
from sim.holding import Holding, both_sides_of, stops_at
from sim.loads import fall_energy, lifter_force
from sim.motion import motion_of
from sim.record import LEADER, Record
from sim.scenario import Lifter, Scenario
from sim.series import Array, PlaceSeries, over, place_series, side_series, total_length
from sim.stops import highest, settled_mean

FORMAT = 1
CALLS = ("calls", "levels")
CAPTURED = ("caught", "captures")


def measure(record: Record, between: bool = True) -> dict[str, Any]:
    """Every measure of a lift, as `summary.json` holds them; keys end in their unit.

    `between` false looks for drops at the events of the record only, as a batch of lifts does.
    """
    lift = Measured(record, between)
    return {
        "format": FORMAT,
        "title": record.scenario.title,
        "variant": record.scenario.variant,
        "units": record.scenario.units,
        "seed": record.seed,
        "replication": record.replication,
        "fixed_values": record.fixed,
        "outcome": record.outcome,
        "reason": record.reason,
        **lift.calls_and_holds(),
        **lift.gaps(),
        **lift.drops(),
        **lift.levels(),
        **lift.rises(),
        "ram_only_s": lift.ram_only(),
        "stations": {name: lift.station(place) for name, place in lift.places.items()},
        "lifters": {lifter.name: lift.lifter(lifter) for lifter in record.scenario.lifters},
        **lift.fall(),
    }


@dataclass(frozen=True)
class Peak:
    """The largest of something: how much, when, and where."""

    value: float
    time: float
    where: str


class Measured:
    """One record, taken apart once for all the measures."""

    def __init__(self, record: Record, between: bool = True) -> None:
        self.between = between  # drops are looked for between events too, not only at them
        self.scenario: Scenario = record.scenario
        self.events: pd.DataFrame = record.events
        self.motion = motion_of(self.scenario.load)
        self.places = place_series(self.events)
        self.sides = side_series(self.events)
        self.leader = self.events[self.events["who"] == LEADER]
        self.call_times = self.leader.loc[self.leader["what"].isin(CALLS), "time_s"].to_numpy(dtype=np.float64)
        self.end = float(self.events["time_s"].iloc[-1])
        self.first_call = float(self.call_times[0]) if len(self.call_times) else self.end

    def call_at(self, time: float) -> int:
        """How many calls had been made by then."""
        return int(np.searchsorted(self.call_times, time, side="right"))

    # --- calls and holds

    def calls_and_holds(self) -> dict[str, Any]:
        """Calls, pumps, time, holds and whom they waited for."""
        holds = self.holds()
        strokes = self.events[self.events["what"] == "strokes"]["side"].value_counts()
        limit = self.scenario.leader.gap_limit + EXACT
        over_limit = np.zeros(len(self.call_times), dtype=bool)
        for place in self.places.values():
            over_limit |= place.gap().just_after(self.call_times) > limit
        waited: dict[str, float] = {}
        for _, seconds, station in holds:
            waited[station] = waited.get(station, 0.0) + seconds
        return {
            "calls": len(self.call_times),
            "pumps": {x.name: int(strokes.get(x.name, 0)) for x in self.scenario.lifters},
            "duration_s": self.end,
            "holds": len(holds),
            "hold_time_s": sum(seconds for _, seconds, _ in holds),
            "waited_for_s": waited,
            "levelling_calls": int((self.leader["what"] == "levels").sum()),
            "over_limit_calls": int(over_limit.sum()),
            "resets": int((self.leader["what"] == "re-sets").sum()),
        }

    def holds(self) -> list[tuple[float, float, str]]:
        """Each hold: when it began, how long it lasted, and the station that was caught last."""
        found = []
        begun: float | None = None
        caught = self.events[self.events["what"].isin(["caught", "says caught", "nothing to capture"])]
        for time, what in zip(self.leader["time_s"], self.leader["what"], strict=True):
            if what == "holds":
                begun = time if begun is None else begun
            elif what in CALLS and begun is not None:
                during = caught[(caught["time_s"] > begun) & (caught["time_s"] <= time)]
                whom = str(during["station"].iloc[-1]) if len(during) else "not known"
                found.append((float(begun), float(time - begun), whom))
                begun = None
        return found

    # --- gaps

    def gaps(self) -> dict[str, Any]:
        """The largest gap, passing and standing apart, and the time over the limit of each."""
        limit = self.scenario.leader.gap_limit
        result: dict[str, Any] = {}
        for key, standing in (("passing", False), ("standing", True)):
            peaks = [self.largest_gap(place, standing) for place in self.places.values()]
            result[f"largest_{key}_gap"] = self.gap_words(max(peaks, key=lambda p: p.value, default=None))
            stretches = [
                stretch
                for place in self.places.values()
                for stretch in over(place.gap(), place.caught == standing, limit, self.first_call)
            ]
            result[f"{key}_over_limit_s"] = total_length(stretches)
        both = [result["largest_passing_gap"], result["largest_standing_gap"]]
        largest = max(both, key=lambda gap: gap["gap_m"])
        return {"largest_gap": largest, **result}

    def largest_gap(self, place: PlaceSeries, standing: bool) -> Peak:
        """The largest passing, or standing, gap at a place from the first call on."""
        gap, since = place.gap(), np.array([self.first_call])
        caught_before = np.concatenate([place.caught[:1], place.caught[:-1]])
        late = place.time >= self.first_call
        times = np.concatenate([since, place.time[late], place.time[late]])
        values = np.concatenate([gap.just_after(since), gap.before[late], gap.after[late]])
        caught = np.concatenate([place.flag_after(place.caught, since), caught_before[late], place.caught[late]])
        keep = caught == standing
        if not keep.any() or not self.call_times.size:
            return Peak(0.0, self.first_call, place.name)
        return first_peak(values[keep], times[keep], place.name)

    def gap_words(self, peak: Peak | None) -> dict[str, Any]:
        """A gap as the summary holds it; none at all reads 0."""
        if peak is None or peak.value <= EXACT:
            return {"gap_m": 0.0, "station": None, "call": None, "time_s": None}
        return {"gap_m": peak.value, "station": peak.where, "call": self.call_at(peak.time), "time_s": peak.time}

    # --- drops

    def drops(self) -> dict[str, Any]:
        """The largest drop if the pressure, or the whole lifter, had been lost; each if the station holds."""
        result = {}
        for key, lifter_holds in (("pressure_lost", True), ("lifter_lost", False)):
            peaks = [self.largest_drop(lifter, lifter_holds) for lifter in self.scenario.lifters]
            result[f"largest_drop_{key}"] = max(peaks, key=lambda drop: drop["drop_m"])
        return result

    def largest_drop(self, lifter: Lifter, lifter_holds: bool) -> dict[str, Any]:
        """The largest drop of one side, and what would have stopped it."""
        times, u, stop, names = self.stops_through_time(lifter, lifter_holds)
        drop = self.motion.rise(lifter.head, u) - self.motion.rise(lifter.head, stop)
        if not drop.size or drop.max() <= EXACT:
            return {
                "drop_m": 0.0, "side": lifter.side, "call": None, "time_s": None, "energy_J": 0.0, "onto": None,
                "rise_m": 0.0, "next_drop_m": 0.0, "next_onto": None,
            }  # fmt: skip
        worst = int(np.argmax(drop > drop.max() - EXACT))
        at, side = divmod(worst, 2)
        _, _, lower, lower_names = self.stops_through_time(lifter, lifter_holds, times[::2][at : at + 1], names[worst])
        next_drop = self.motion.rise(lifter.head, u[worst]) - self.motion.rise(lifter.head, lower[side])
        energy = fall_energy(self.scenario.load, self.motion, lifter.share, u, stop)[worst]
        return {
            "drop_m": float(drop[worst]),
            "side": lifter.side,
            "call": self.call_at(times[worst]),
            "time_s": float(times[worst]),
            "energy_J": float(energy),
            "onto": names[worst],
            "rise_m": float(self.motion.rise(lifter.head, u[worst])),  # of the head, just before
            "next_drop_m": float(next_drop),  # if that one does not hold
            "next_onto": lower_names[side],
        }

    def stops_through_time(
        self, lifter: Lifter, lifter_holds: bool, once: Array | None = None, without: str | None = None
    ) -> tuple[Array, Array, Array, list[str | None]]:
        """Where a side is and where it would be stopped (`without` one place), before and after each instant.

        Instants are those given (`once`), or all of the record and those between that matter.

        Returns
        -------
        times, u, stop : ndarrays of shape (n,)
            [s], and [rad or m].
        names : list of n
            The place that would stop it; None where nothing above the start would.
        """
        held_by = [w for w in self.scenario.places if w.side in (lifter.side, "both")]
        held_by = [w for w in held_by if w.name != without and (lifter_holds or not isinstance(w, Lifter))]
        mine = self.sides[lifter.name]
        other = next((s for name, s in self.sides.items() if name != lifter.name), None)
        between = self.between and once is None
        if once is None:
            once = np.unique(self.events["time_s"].to_numpy(dtype=np.float64))
        holds = [Holding(w, self.places[w.name], self.motion.line(w.head, w.base)) for w in held_by]
        times, u, stop, who = stops_at(mine, other, holds, once, between)
        return times, u, stop, [None if n < 0 else held_by[n].name for n in who]

    def ram_only(self) -> float:
        """Seconds with nothing but the rams holding a raised side, the sides added up."""
        total = 0.0
        for lifter in self.scenario.lifters:
            own = [self.places[w.name] for w in self.scenario.places if w.side in (lifter.side, "both")]
            once = np.unique(self.events["time_s"].to_numpy(dtype=np.float64))
            raised = self.sides[lifter.name].just_before(once[1:]) > 0
            nothing = np.all([p.flag_after(p.open, once[:-1]) for p in own], axis=0) if own else raised
            total += float(np.sum(np.diff(once)[nothing & raised]))
        return total

    # --- level, rise

    def levels(self) -> dict[str, Any]:
        """How far the sides' heads were apart: the most, and at the end."""
        if len(self.sides) < 2:
            return {"largest_level_difference_m": 0.0, "final_level_difference_m": 0.0}
        once = np.unique(np.concatenate([s.time for s in self.sides.values()]))
        a, b = (self.motion.rise(x.head, both_sides_of(self.sides[x.name], once)) for x in self.scenario.lifters)
        apart = np.abs(a - b)
        return {"largest_level_difference_m": float(apart.max()), "final_level_difference_m": float(apart[-1])}

    def rises(self) -> dict[str, Any]:
        """Ram travel, rise of the heads and of the needed point, what is left once the load settles."""
        travel = side_series(self.events, "ram_travel_m")
        last = {name: float(s.after[-1]) for name, s in self.sides.items()}
        mean = sum(last.values()) / len(last)
        need = self.scenario.need
        point = self.motion.rise(need.point, mean)
        settled = self.motion.rise(need.point, min(mean, self.settled_u(last)))
        return {
            "ram_travel_m": {name: float(s.after[-1]) for name, s in travel.items()},
            "head_rise_m": {x.name: self.motion.rise(x.head, last[x.name]) for x in self.scenario.lifters},
            "needed_rise_m": need.rise,
            "point_rise_m": point,
            "settled_rise_m": settled,
            "overshoot_m": point - need.rise,
        }

    def settled_u(self, last: dict[str, float]) -> float:
        """Mean u once the load has come down onto its captures at the end."""
        held = {
            w.name: 0.0
            if self.places[w.name].open[-1]
            else self.motion.line(w.head, w.base).u_at(max(0.0, float(self.places[w.name].captured.after[-1])))
            for w in self.scenario.places
        }
        own = [
            min(last[x.name], float(highest(held[w.name] for w in self.scenario.places if w.side == x.side)))
            for x in self.scenario.lifters
        ]
        return float(settled_mean(own, [held[w.name] for w in self.scenario.places if w.side == "both"]))

    # --- one by one

    def station(self, place: PlaceSeries) -> dict[str, Any]:
        """What one station saw."""
        own = self.events[self.events["station"] == place.name]
        peaks = [self.largest_gap(place, standing) for standing in (False, True)]
        return {
            "largest_gap_m": max(0.0, *(p.value for p in peaks)),
            "largest_passing_gap_m": max(0.0, peaks[0].value),
            "largest_standing_gap_m": max(0.0, peaks[1].value),
            "captures": int(own["what"].isin(CAPTURED).sum()),
            "open_time_s": float(np.sum(np.diff(place.time)[place.open[:-1]])),
            "largest_open_m": self.largest_open(place),
        }

    def largest_open(self, place: PlaceSeries) -> float:
        """How far the head had risen when the place was open: the most [m]."""
        where = next(w for w in self.scenario.places if w.name == place.name)
        ends = np.concatenate([place.time[:-1][place.open[:-1]], place.time[1:][place.open[:-1]]])
        if not ends.size:
            return 0.0
        sides = [x for x in self.scenario.lifters if where.side in (x.side, "both")]
        u = sum((self.sides[x.name].just_before(ends) for x in sides), np.zeros_like(ends)) / len(sides)
        return float(np.max(self.motion.rise(where.head, u)))

    def lifter(self, lifter: Lifter) -> dict[str, Any]:
        """What one lifter did and carried."""
        end = float(self.sides[lifter.name].after[-1])
        pumps = int(((self.events["what"] == "strokes") & (self.events["side"] == lifter.name)).sum())
        rise = self.motion.rise(lifter.head, end)
        return {
            "axial_start_N": lifter_force(lifter, self.scenario.load, self.motion, 0.0),
            "axial_end_N": lifter_force(lifter, self.scenario.load, self.motion, end),
            "rise_per_pump_m": rise / pumps if pumps else None,
        }

    def fall(self) -> dict[str, Any]:
        """Of a dropped load: how far it fell, with what energy, and who caught it."""
        fell = self.events[self.events["what"].isin(["falls", "fell"]) & (self.events["side"] != "")]
        if fell.empty:
            return {}
        lost = self.leader[self.leader["what"].isin(["pressure-lost", "lifter-lost"])].iloc[-1]
        lifter = next(x for x in self.scenario.lifters if x.name == fell["side"].iloc[0])
        start, stop = float(fell["u"].iloc[0]), float(fell["u"].iloc[-1])
        return {
            "fall": {
                "loss": str(lost["what"]),
                "side": lifter.side,
                "call": int(lost["call"]),
                "time_s": float(lost["time_s"]),
                "fell_m": float(fell["rise_m"].iloc[0] - fell["rise_m"].iloc[-1]),
                "stopped_at_rise_m": float(fell["rise_m"].iloc[-1]),
                "energy_J": fall_energy(self.scenario.load, self.motion, lifter.share, start, stop),
                "caught_by": str(lost["note"]),
            }
        }


def first_peak(values: Array, times: Array, where: str) -> Peak:
    """The largest value, at the first time that it is reached."""
    reached = times[values > values.max() - EXACT]
    return Peak(float(values.max()), float(reached.min()), where)
