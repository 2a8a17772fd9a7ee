"""What a lift came to: every measure of `summary.json`, read from its record.

A measure is a function of `Measured` that gives back keys of the summary; they end in their unit.
"""

from __future__ import annotations

from operator import itemgetter
from typing import Any

import numpy as np

from sim.model.devices import EXACT
from sim.model.loads import fall_energy, lifter_force
from sim.model.scenario import Lifter
from sim.model.stops import first_largest, highest, settled_mean
from sim.record.drops import Drops, drops_of, looks_of, stops_of
from sim.record.gaps import at_station, hands_in_on_rams_alone, largest_gaps
from sim.record.measured import Measured
from sim.record.record import Record
from sim.record.stages import stage_records
from sim.record.what import LOSSES, Outcome, What

FORMAT = 1


def measure(record: Record, apart: Measured | None = None) -> dict[str, Any]:
    """Every measure of a lift, as `summary.json` has them; keys end in their unit. `apart`: the record, taken apart."""
    lift = apart or Measured(record)
    return {
        "format": FORMAT,
        "title": record.scenario.title,
        "variant": record.scenario.variant,
        "units": record.scenario.units,
        "seed": record.seed,
        "replication": record.replication,
        "fixed_values": record.fixed,
        "outcome": str(record.outcome),
        "reason": record.reason,
        **calls_and_holds(lift),
        **largest_gaps(lift),
        **largest_drops(lift),
        **levels(lift),
        **rises(lift),
        "ram_only_s": ram_only(lift),
        "hands_in_on_rams_alone_s": hands_in_on_rams_alone(lift),
        "stations": {name: at_station(lift, place) for name, place in lift.places.items()},
        "lifters": {lifter.name: work_of(lift, lifter, [lift]) for lifter in record.scenario.lifters},
        **fall(lift),
        "mishaps_that_never_came": never_came(record, lift),
        **(staged(record) if record.scenario.stages else {"stages": []}),
    }


def staged(record: Record) -> dict[str, Any]:
    """Every stage by itself, and what is asked of those that raise alone."""
    parts = [Measured(part) for part in stage_records(record)]
    raises = [part for part in parts if any(what in (What.CALLS, What.LEVELS) for what in part.words)]
    need = record.scenario.need
    reached = [
        part.motion.rise(need.point, sum(s.after.max() for s in part.sides.values()) / len(part.sides))
        for part in raises
    ]
    return {
        "stages": [stage_of(part, number) for number, part in enumerate(parts)],
        "overshoot_m": max(map(float, reached), default=record.scenario.start) - need.rise,
        "lifters": {x.name: work_of(parts[-1], x, raises) for x in record.scenario.lifters},
    }


def stage_of(lift: Measured, number: int) -> dict[str, Any]:
    """What one stage came to: keys as of the whole lift."""
    stage, ended = lift.scenario.stages[number], lift.leader.note[lift.leader.says(What.STAGE_ENDS)]
    last = {name: float(s.after[-1]) for name, s in lift.sides.items()}
    counted = calls_and_holds(lift)
    return {
        "do": stage.do,
        "to_m": None if stage.do == "hold" else stage.to,
        "outcome": ended[-1] if len(ended) else None,
        "calls": counted["calls"],
        "pumps": counted["pumps"],
        "duration_s": float(lift.instants[-1] - lift.instants[0]),
        "holds": counted["holds"],
        "hold_time_s": counted["hold_time_s"],
        **{key: gap for key, gap in largest_gaps(lift).items() if key.startswith("largest_")},
        **largest_drops(lift),
        "hands_in_on_rams_alone_s": hands_in_on_rams_alone(lift),
        "end_rise_m": float(lift.motion.rise(lift.scenario.need.point, sum(last.values()) / len(last))),
    }


def never_came(record: Record, lift: Measured) -> list[dict[str, Any]]:
    """The mishaps of the scenario whose call was never made, or whose lift was over before they were due."""
    if record.observed:  # a drill keeps to nobody's script
        return []
    calls, dropped = len(lift.call_times), record.outcome == Outcome.DROPPED
    return [
        {"kind": mishap.kind, "who": mishap.who, "call": mishap.call}
        for mishap in record.scenario.mishaps
        if mishap.call > calls or (mishap.kind in LOSSES and not dropped)
    ]


def calls_and_holds(lift: Measured) -> dict[str, Any]:
    """Calls, pumps, time, holds and whom they waited for."""
    holds = lift.holds()
    limit = lift.scenario.leader.gap_limit + EXACT
    calls_up = lift.calls_up
    over_limit = np.zeros(len(calls_up), dtype=bool)
    for place in lift.places.values():
        over_limit |= place.gap().just_after(calls_up) > limit
    waited: dict[str, float] = {}
    for _, seconds, station in holds:
        waited[station] = waited.get(station, 0.0) + seconds
    return {
        "calls": len(lift.call_times),
        "pumps": {x.name: len(lift.of_a_side((What.STROKES,), x.name)) for x in lift.scenario.lifters},
        "duration_s": lift.end,
        "holds": len(holds),
        "hold_time_s": sum(seconds for _, seconds, _ in holds),
        "waited_for_s": waited,
        "levelling_calls": int(lift.leader.says(What.LEVELS).sum()),
        "over_limit_calls": int(over_limit.sum()),
        "resets": int(lift.leader.says(What.RE_SETS).sum()),
    }


def largest_drops(lift: Measured) -> dict[str, Any]:
    """The largest drop if the pressure, or the whole lifter, had been lost; each if the station holds."""
    result = {}
    for key, lifter_holds in (("pressure_lost", True), ("lifter_lost", False)):
        result[f"largest_drop_{key}"] = worst_of(lift, [drops_of(lift, x, lifter_holds) for x in lift.scenario.lifters])
    return result


def worst_of(lift: Measured, sides: list[Drops]) -> dict[str, Any]:
    """The largest drop of the sides, and the largest if what would stop it did not hold."""
    worst = first_largest([largest_drop(lift, side) for side in sides], itemgetter("drop_m"))
    known = all(bool(side.first.known.all()) for side in sides)
    return worst | {"give_known": known, "total_m": worst["drop_m"]} | next_drop(lift, sides)


def largest_drop(lift: Measured, side: Drops) -> dict[str, Any]:
    """The largest drop of one side, and what would have stopped it."""
    first = side.first
    if not first.drop.size or first.drop.max() <= EXACT:
        none: dict[str, Any] = dict.fromkeys(("drop_m", "fall_m", "rest_m", "energy_J", "rise_m"), 0.0)
        nobody: dict[str, Any] = dict.fromkeys(("peak_N", "call", "time_s", "onto"))
        return {**none, **nobody, "side": side.lifter.side}
    worst = int(np.argmax(first.drop > first.drop.max() - EXACT))
    peak, at = float(first.peak[worst]), slice(worst, worst + 1)
    energy = fall_energy(lift.scenario.load, lift.motion, side.lifter.share, first.u[at], first.stop[at])
    return {
        "drop_m": float(first.drop[worst]),
        "fall_m": float(first.fall[worst]),
        "rest_m": float(first.rest[worst]),
        "peak_N": peak if np.isfinite(peak) else None,
        "side": side.lifter.side,
        "call": lift.call_at(first.times[worst]),
        "time_s": float(first.times[worst]),
        "energy_J": float(energy[0]),
        "onto": side.name(first.who[worst]),
        "rise_m": float(first.rise[worst]),  # of the head, just before
    }


def next_drop(lift: Measured, sides: list[Drops]) -> dict[str, Any]:
    """The largest drop of the lift if, at that instant, what would stop the side first did not hold."""
    found: list[dict[str, Any]] = []
    for side in sides:
        drop = np.where(side.second.held, side.second.drop, 0.0)
        if not drop.size or drop.max() <= EXACT:
            found.append({"next_drop_m": 0.0, **dict.fromkeys(("next_onto", "next_time_s", "next_call"))})
            continue
        worst = int(np.argmax(drop > drop.max() - EXACT))
        time = float(side.second.times[worst])
        onto = side.name(side.second.who[worst])
        found.append(
            {"next_drop_m": float(drop[worst]), "next_onto": onto, "next_time_s": time, "next_call": lift.call_at(time)}
        )
    known = all(bool((side.second.known.astype(bool) | ~side.second.held).all()) for side in sides)
    return first_largest(found, itemgetter("next_drop_m")) | {"next_give_known": known}


def ram_only(lift: Measured) -> float:
    """How long nothing but the rams held a raised side above its start, the sides added up [s].

    In a stretch from one instant to the next: from when the last that held it at first ceased to, until one began to.
    """
    total = 0.0
    for lifter in lift.scenario.lifters:
        stops, own = stops_of(lift, lifter)
        look, _ = looks_of(lift, lifter, lifter_holds=True)
        stops = stops.of(look.places, stops.rows(own[look]))
        once, raised = stops.times[::2], stops.u > EXACT
        first, then = stops.each[:, 1:-1:2], stops.each[:, 2::2]
        held, holds = first > EXACT, then > EXACT
        crosses = first / np.where(held != holds, first - then, np.inf)  # a share of the stretch
        ceased = np.where(held, np.where(then < 0, crosses, 1.0), 0.0).max(axis=0, initial=0.0)
        begins = np.where(holds, np.where(first < 0, crosses, 0.0), 1.0).min(axis=0, initial=1.0)
        up = raised[1:-1:2] | raised[2::2]
        total += float(np.sum((np.diff(once) * np.maximum(0.0, begins - ceased))[up]))
    return total


def levels(lift: Measured) -> dict[str, Any]:
    """How far the sides' heads were apart: the most, and at the end."""
    if len(lift.sides) < 2:
        return {"largest_level_difference_m": 0.0, "final_level_difference_m": 0.0}
    once = np.unique(np.concatenate([s.time for s in lift.sides.values()]))
    a, b = (lift.motion.rise(x.head, lift.sides[x.name].both_sides_of(once)) for x in lift.scenario.lifters)
    apart = np.abs(a - b)
    return {"largest_level_difference_m": float(apart.max()), "final_level_difference_m": float(apart[-1])}


def rises(lift: Measured) -> dict[str, Any]:
    """Ram travel, rise of the heads and of the needed point, what is left once the load settles."""
    last = {name: float(s.after[-1]) for name, s in lift.sides.items()}
    mean = sum(last.values()) / len(last)
    need = lift.scenario.need
    point = lift.motion.rise(need.point, mean)
    settled = lift.motion.rise(need.point, min(mean, settled_u(lift, last)))
    return {
        "ram_travel_m": {name: float(lift.columns.ram_travel_m[own[-1]]) for name, own in lift.columns.by_side.items()},
        "head_rise_m": {x.name: lift.motion.rise(x.head, last[x.name]) for x in lift.scenario.lifters},
        "needed_rise_m": need.rise,
        "point_rise_m": point,
        "settled_rise_m": settled,
        "overshoot_m": point - need.rise,
    }


def settled_u(lift: Measured, last: dict[str, float]) -> float:
    """Mean u once the load has come down onto its captures at the end [rad or m]."""
    held = {
        w.name: 0.0
        if lift.places[w.name].open[-1]
        else lift.motion.line(w.head, w.base).u_at(max(0.0, float(lift.places[w.name].captured.after[-1])))
        for w in lift.scenario.places
    }
    own = [
        min(last[x.name], float(highest(held[w.name] for w in lift.scenario.places if w.side == x.side)))
        for x in lift.scenario.lifters
    ]
    return float(settled_mean(own, [held[w.name] for w in lift.scenario.places if w.side == "both"]))


def work_of(lift: Measured, lifter: Lifter, raises: list[Measured]) -> dict[str, Any]:
    """What one lifter did and carried; its rise per pump is of the stages that raise."""
    end = float(lift.sides[lifter.name].after[-1])
    pumps = sum(len(part.of_a_side((What.STROKES,), lifter.name)) for part in raises)
    ends = [part.sides[lifter.name].after[[0, -1]].tolist() for part in raises]
    risen = sum(lift.motion.rise(lifter.head, last) - lift.motion.rise(lifter.head, first) for first, last in ends)
    return {
        "axial_start_N": lifter_force(lifter, lift.scenario.load, lift.motion, 0.0),
        "axial_end_N": lifter_force(lifter, lift.scenario.load, lift.motion, end),
        "rise_per_pump_m": risen / pumps if pumps else None,
    }


def fall(lift: Measured) -> dict[str, Any]:
    """Of a dropped load: how far it fell, with what energy, and who caught it."""
    fell = lift.columns.at(lift.columns.says(What.FALLS, What.FELL) & (lift.columns.side != ""))
    if not len(fell):
        return {}
    lost = lift.leader.at(lift.leader.says(*LOSSES)).at([-1])
    lifter = next(x for x in lift.scenario.lifters if x.name == fell.side[0])
    start, stop = float(fell.u[0]), float(fell.u[-1])
    return {
        "fall": {
            "loss": lost.what[0],
            "side": lifter.side,
            "call": int(lost.call[0]),
            "time_s": float(lost.time_s[0]),
            "fell_m": float(fell.rise_m[0] - fell.rise_m[-1]),
            "stopped_at_rise_m": float(fell.rise_m[-1]),
            "energy_J": fall_energy(lift.scenario.load, lift.motion, lifter.share, start, stop),
            "caught_by": lost.note[0],
        }
    }
