"""The gaps of a lift, as `summary.json` has them: the largest, for how long, and where hands were in beside one."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.model.devices import EXACT
from sim.record.measured import KINDS, Measured, Peak
from sim.record.series import PlaceSeries, Stretch, flagged, less, over, total_length
from sim.record.what import CAPTURED


def largest_gaps(lift: Measured) -> dict[str, Any]:
    """The largest gap, passing, standing and made apart, and the time over the limit of the first two."""
    limit = lift.scenario.leader.gap_limit
    result: dict[str, Any] = {}
    for kind in KINDS:
        peaks = [lift.largest_gap(place, kind) for place in lift.places.values()]
        result[f"largest_{kind}_gap"] = gap_words(lift, max(peaks, key=lambda p: p.value, default=None))
        if kind != "made":
            result[f"{kind}_over_limit_s"] = total_length(
                stretch
                for place in lift.places.values()
                for stretch in less(
                    over(place.gap(), place.caught == (kind == "standing"), limit, lift.first_call), lift.made(place)
                )
            )
    largest = max((result[f"largest_{kind}_gap"] for kind in KINDS), key=lambda gap: gap["gap_m"])
    return {"largest_gap": largest, **result}


def gap_words(lift: Measured, peak: Peak | None) -> dict[str, Any]:
    """A gap as the summary holds it; none at all reads 0."""
    if peak is None or peak.value <= EXACT:
        return {"gap_m": 0.0, "station": None, "call": None, "time_s": None}
    return {"gap_m": peak.value, "station": peak.where, "call": lift.call_at(peak.time), "time_s": peak.time}


def hands_in_on_rams_alone(lift: Measured) -> float:
    """How long hands were in at a place while nothing else on a side of it held the load within the gap limit [s]."""
    limit, alone = lift.scenario.limits.gap, list[Stretch]()
    for lifter in lift.scenario.lifters:
        mine = [lift.places[where.name] for where in lift.could_stop(lifter, lifter_holds=True)]
        for place in mine:
            hands = flagged(place, place.hands)
            for other in mine if hands else ():
                if other is not place:
                    near = less([(0.0, lift.end)], over(other.gap(), ~other.open, limit, 0.0))
                    hands = less(hands, less(near, flagged(other, other.open)))
            alone += hands
    return total_length(alone)


def at_station(lift: Measured, place: PlaceSeries) -> dict[str, Any]:
    """What one station saw."""
    peaks = {kind: max(0.0, lift.largest_gap(place, kind).value) for kind in KINDS}
    return {
        "largest_gap_m": max(peaks.values()),
        **{f"largest_{kind}_gap_m": peak for kind, peak in peaks.items()},
        "captures": len(lift.at_a_place(CAPTURED, place.name)),
        "open_time_s": float(np.sum(np.diff(place.time)[place.open[:-1]])),
        "largest_open_m": largest_open(lift, place),
    }


def largest_open(lift: Measured, place: PlaceSeries) -> float:
    """How far the head had risen when the place was open: the most [m].

    What is let go for a re-set is open once the load has settled.
    """
    where = next(w for w in lift.scenario.places if w.name == place.name)
    lasted = place.open[:-1] & (np.diff(place.time) > 0)
    begins, ends = place.time[:-1][lasted], place.time[1:][lasted]
    if not ends.size:
        return 0.0
    sides = [lift.sides[x.name] for x in lift.scenario.lifters if where.side in (x.side, "both")]
    u = np.mean([np.concatenate([s.just_after(begins), s.just_before(ends)]) for s in sides], axis=0)
    return float(np.max(lift.motion.rise(where.head, u)))
