"""How a rehearsal went: measured as any lift is, with what only a person's calling has, beside the rule's own lift.

A hold is needless for as long as the rule would have called already. Cadence is the time from call to call. A surprise
is noticed when the leader calls stop and names what it was and where.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from sim.model.devices import EXACT
from sim.record.measured import Measured
from sim.record.measures import measure
from sim.record.record import LEADER, Record
from sim.record.what import OPERATOR_READY, What
from sim.rehearsal.led import NOTHING, Rehearsal, Stop
from sim.rehearsal.surprises import Surprise, where

Stretch = tuple[float, float]
GAP = "gap"  # what was seen: a gap over the limit
SHOWS_AS = {
    "missed": [What.MISSES], "false-caught": [What.SAYS_CAUGHT], "short": [What.STROKES],
    "slow": [What.SLOWS, What.REACTS],
}  # fmt: skip  # by kind of surprise: what is first seen of it
KEPT = (
    "outcome", "calls", "duration_s", "holds", "hold_time_s", "over_limit_calls", "largest_gap", "largest_passing_gap",
    "largest_standing_gap", "largest_drop_pressure_lost", "largest_drop_lifter_lost", "largest_level_difference_m",
    "pumps", "point_rise_m", "settled_rise_m", "needed_rise_m", "overshoot_m",
)  # fmt: skip


def score(rehearsal: Rehearsal, seed: int, replication: int = 0, fixed: bool = False) -> dict[str, Any]:
    """The summary of a rehearsal that is over, as `summary.json` holds it."""
    own = rehearsal.record(seed, replication, fixed)
    rule = rehearsal.run_by_the_rule(seed, replication, fixed)
    by_the_rule = measure(rule)
    return {
        **measure(own),
        "kind": "rehearsal",
        "rehearsal": {
            **calling(own),
            **noticing(own, rehearsal.surprises, rehearsal.stops),
            "handed_over_s": rehearsal.handed_over,
            "by_the_rule": {**{key: by_the_rule[key] for key in KEPT}, **calling(rule)},
        },
    }


def calling(record: Record) -> dict[str, Any]:
    """How the calls were given: with what open, how evenly, and how long after the rule would have called."""
    lift = Measured(record)
    times = lift.call_times
    apart = np.diff(times)
    open_ = np.zeros(len(times), dtype=bool)
    for place in lift.places.values():
        open_ |= place.flag_after(place.open, times)
    stood = freezes(record)
    needless = [
        then - could - sum(overlap(s, (could, then)) for s in stood)
        for could, then in zip(earliest_calls(lift, stood), times[1:].tolist(), strict=True)
    ]
    return {
        "calls_with_a_station_open": int(open_.sum()),
        "interval_mean_s": float(apart.mean()) if apart.size else None,
        "interval_sd_s": float(apart.std(ddof=1)) if apart.size > 1 else None,
        "needless_hold_s": float(sum(max(0.0, n) for n in needless)),
        "stopped_s": float(sum(end - start for start, end in stood)),
    }


def earliest_calls(lift: Measured, stood: Sequence[Stretch]) -> list[float]:
    """After each call but the last, when the rule would have called again [s]."""
    rule = lift.scenario.leader
    ready = lift.time[lift.columns.says(*OPERATOR_READY)]
    found = []
    for this, then in pairwise(lift.call_times.tolist()):
        paced = this + rule.pace
        for start, end in stood:
            paced += end - start if this <= start < paced else 0.0
        look = max([paced, *ready[(ready > this - EXACT) & (ready <= then)].tolist()])
        if _waits(lift, look):
            until = [look, *lift.instants[(lift.instants > look) & (lift.instants < then)].tolist()]
            look = next((t for t in until if _all_caught(lift, t)), then) + rule.look
        found.append(min(look, then))
    return found


def freezes(record: Record) -> list[Stretch]:
    """When everybody stood frozen: from when to when [s]."""
    columns = record.columns
    starts = columns.time_s[columns.says(What.FREEZES) & (columns.who == LEADER)].tolist()
    ends = np.unique(columns.time_s[columns.says(What.RESUMES)]).tolist()
    last = float(columns.time_s[-1])
    return [(start, next((end for end in ends if end >= start), last)) for start in starts]


def overlap(a: Stretch, b: Stretch) -> float:
    """How long two stretches of time have in common [s]."""
    return max(0.0, min(a[1], b[1]) - max(a[0], b[0]))


def noticing(record: Record, surprises: Sequence[Surprise], stops: Sequence[Stop]) -> dict[str, Any]:
    """Which surprises came, which were noticed and how fast; and how often stop was called for none of them."""
    found, used = [], set()
    for surprise in surprises:
        since = onset(record, surprise)
        if since is None:
            continue
        places = where(record.scenario, surprise)
        hit = next(
            (s for s in stops if s.what == surprise.kind and s.where in places and s.time >= since and s not in used),
            None,
        )
        if hit:
            used.add(hit)
        found.append(
            {
                "kind": surprise.kind,
                "who": surprise.who,
                "where": places,
                "call": surprise.call,
                "time_s": since,
                "by_hand": surprise.by_hand,
                "noticed_after_s": None if hit is None else hit.time - since,
            }
        )
    lift = Measured(record)
    seen = [
        {
            "time_s": s.time,
            "stopped_s": s.seconds,
            "what": s.what,
            "where": s.where,
            "it_was_so": s in used or (s.what == GAP and _gap_seen(lift, s)),
        }
        for s in stops
    ]
    wrong = sum(not s["it_was_so"] and s["what"] != NOTHING for s in seen)
    return {"surprises": found, "stops": seen, "named_what_was_not": wrong}


def onset(record: Record, surprise: Surprise) -> float | None:
    """When a surprise could first be seen [s]; None: the lift did not come to it."""
    columns = record.columns
    if surprise.kind == "slack":
        return 0.0
    only_then = surprise.kind in ("missed", "false-caught")
    then = columns.call == surprise.call if only_then else columns.call >= surprise.call
    times = columns.time_s[columns.says(*SHOWS_AS[surprise.kind]) & (columns.who == surprise.who) & then]
    return float(times[0]) if len(times) else None


def _gap_seen(lift: Measured, stop: Stop) -> bool:
    """Whether a gap was over the limit when stop was called: at the place named, or at any if none was."""
    return any(_over(lift, name, stop.time) for name in lift.places if stop.where in ("", name))


def _waits(lift: Measured, time: float) -> bool:
    """Whether the rule, looking now, would wait: the rise is reached, or the look is refused."""
    at = np.array([time])
    u = [float(side.just_after(at)[0]) for side in lift.sides.values()]
    need = lift.scenario.need
    if lift.motion.rise(need.point, sum(u) / len(u)) >= need.rise - EXACT and not _all_caught(lift, time):
        return True
    if lift.scenario.leader.rule != "stop-until-caught":
        return False
    return any(
        bool(p.flag_after(p.open, at)[0]) or _hands(lift, name, time) or _over(lift, name, time)
        for name, p in lift.places.items()
    )


def _hands(lift: Measured, place: str, time: float) -> bool:
    return bool(lift.columns.hands[(lift.columns.station == place) & (lift.time <= time)][-1])


def _all_caught(lift: Measured, time: float) -> bool:
    at = np.array([time])
    return all(bool(p.flag_after(p.caught, at)[0]) for p in lift.places.values())


def _over(lift: Measured, place: str, time: float) -> bool:
    at = np.array([time])
    limit = lift.scenario.leader.gap_limit + EXACT
    return place in lift.places and bool(lift.places[place].gap().just_after(at)[0] > limit)
