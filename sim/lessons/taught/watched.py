"""A simulated lift as one of its stations sees it: its gap, its pin out, the drop with the lifter lost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sim.lessons.cast import Cast
from sim.model.devices import Device
from sim.model.motion import motion_of
from sim.model.units import INCH, Units
from sim.record.drops import drops_of
from sim.record.holding import interleave
from sim.record.measured import Measured
from sim.record.record import Record
from sim.record.series import PlaceSeries, over, total_length

WIDE: dict[Units, float] = {"us": INCH, "si": 0.025}  # what a crew calls a wide gap [m]
POINTS = 1201  # of a sawtooth
Array = NDArray[np.float64]


@dataclass(frozen=True)
class StationSeen:
    """What one station saw."""

    tables: dict[str, pd.DataFrame]
    facts: dict[str, float]


def watch(record: Record, station: str) -> StationSeen:
    """Gap, pins out and drops of one station, through time and against the rise of the needed point.

    Standing gap (caught, nobody at work) and the time that a device is open stay apart throughout.
    """
    measured = Measured(record)
    place = measured.places[station]
    gap = place.gap()
    since = measured.first_call
    once = np.unique(np.concatenate([[since], place.time[place.time >= since]]))
    times = np.repeat(once, 2)
    caught = interleave(place.flag_before(place.caught, once), place.flag_after(place.caught, once))
    line = pd.DataFrame(
        {"time_s": times, "rise_m": rise_at(measured, times), "gap_m": gap.both_sides_of(once), "standing": caught}
    ).iloc[1:]  # what was before the first call does not count
    out = place.open[:-1]
    began = place.time[:-1][out]
    pin_out = pd.DataFrame({"from_s": began, "rise_m": rise_at(measured, began), "out_s": np.diff(place.time)[out]})
    drop = drops(measured, station)
    wide = WIDE[measured.scenario.units]
    passing, standing = (over(gap, place.caught == flag, wide, since) for flag in (False, True))
    facts = {
        "line_m": float(place.demand.after.max()),
        "passing_over_s": total_length(passing),
        "standing_over_s": total_length(standing),
        "out_s": float(pin_out["out_s"].sum()),
        "duration_s": measured.end,
        "largest_passing_m": max(0.0, measured.largest_gap(place, "passing").value),
        "largest_standing_m": max(0.0, measured.largest_gap(place, "standing").value),
        "largest_drop_m": float(drop["drop_m"].max()),
        "largest_drop_pin_in_m": float(drop.loc[~drop["open"], "drop_m"].max()),
    }
    return StationSeen({"gap": line, "pin out": pin_out, "drop": drop}, facts)


def line_and_hold(place: PlaceSeries, began: float = 0.0) -> pd.DataFrame:
    """A place's line, what it holds of it (nothing while it is open) and the gap; times count from `began` [s]."""
    once = np.unique(place.time)
    out = interleave(place.flag_before(place.open, once), place.flag_after(place.open, once))
    line, held = place.demand.both_sides_of(once), place.captured.both_sides_of(once)
    columns = {"line_m": line, "held_m": np.where(out, np.nan, held), "gap_m": line - held, "open": out}
    return pd.DataFrame({"time_s": np.repeat(once, 2) - began, **columns}).iloc[1:]


def drops(measured: Measured, station: str) -> pd.DataFrame:
    """How far the lifting point would come down at every instant, the lifter lost; marked where the station is open."""
    scenario, place = measured.scenario, measured.places[station]
    side = next(s.side for s in scenario.stations if s.name == station)
    lifter = next(x for x in scenario.lifters if side in (x.side, "both"))
    found = drops_of(measured, lifter, lifter_holds=False)
    times, once = found.first.times, found.first.times[::2]
    opened = interleave(place.flag_before(place.open, once), place.flag_after(place.open, once))
    drop = {"drop_m": found.first.drop, "open": opened}
    table = pd.DataFrame({"time_s": times, "rise_m": rise_at(measured, times), **drop})
    return table[table["time_s"] >= measured.first_call].iloc[1:]


def rise_at(measured: Measured, times: Array) -> Array:
    """Rise of the needed point at the mean of the sides [m], ndarray of shape (n,)."""
    u = sum((s.just_after(times) for s in measured.sides.values()), np.zeros_like(times)) / len(measured.sides)
    return measured.motion.rise(measured.scenario.need.point, u)


def left_over(actors: Cast, devices: tuple[Device, ...], widest: float) -> pd.DataFrame:
    """What is left once all that can be caught is caught, wherever the load stops.

    Over the needed rise, and on until the line is a whole number of the widest spacings longer, so that every spacing
    has its whole teeth (less where the line does not get as long).
    """
    scenario, station = actors.scenario, actors.station
    motion = motion_of(scenario.load)
    line = motion.line(station.head, station.base)
    need = float(line.demand(motion.u_for_rise(scenario.need.point, scenario.need.rise)))
    longest = float(line.demand(min(line.last_u, 1e3)))
    demand = np.linspace(0.0, min(widest * np.ceil(need / widest - 1e-9), longest), POINTS)
    held = np.array([max(seated(d, station.slack, float(x)) for d in devices) for x in demand])
    rise = motion.rise(scenario.need.point, line.u_at(demand))
    return pd.DataFrame({"rise_m": rise, "demand_m": demand, "left_m": np.maximum(0.0, demand - held)})


def seated(device: Device, slack: float, demand: float) -> float:
    """What a device holds once it has been worked at, from the start to this demand in one go [m]."""
    start = device.at_start(slack)
    return max(start.captured, device.reach(start, demand))


def mean_left_over(left: pd.DataFrame, spacing: float) -> float:
    """The mean of what is left over the line's length, taken over whole spacings [m]."""
    demand, gap = left["demand_m"].to_numpy(), left["left_m"].to_numpy()
    whole = np.floor(demand[-1] / spacing + 1e-9) * spacing if spacing > 0 else demand[-1]
    keep = demand <= whole + 1e-12
    return float(gap[keep].mean()) if keep.sum() > 1 else float("nan")
