"""The cadence a crew can keep: the fastest pace and gap limit whose risk stays under the one wanted.

Every pace, gap limit and rule of a grid is tried on the same people (common random numbers). A way to call counts where
the chance of a gap over `[limits] gap`, and that of a drop over `[limits] drop` with the lifter lost, both stay under
the wanted risk with 95 % confidence (one-sided Clopper-Pearson). Of the fastest of these, and of those that take no
longer (paired, 95 %, or by under 2 %), the one with the smallest gap limit is simulated again with people that it was
not chosen on, so that it is not the luckiest; where it fails there, the next one is.

Advice never loosens: a way with a larger gap limit than the file's own, or one that never holds where the file holds,
is tried and shown, and is no answer unless it is asked for (`looser`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from sim.batch import why_not
from sim.many.blocks import blocks_of, simulate_all, together
from sim.many.judged import judged_gap, over_gap_limit
from sim.many.statistics import Estimate, mean, paired, upper_chance
from sim.many.what_if import improvements
from sim.model.devices import EXACT
from sim.model.motion import motion_of
from sim.model.scenario import Scenario
from sim.model.units import INCH
from sim.record.series import Array
from sim.record.what import DONE

RISK = 0.05
SIZE, SIZE_STORY = 500, 100  # replications of each way to call; fewer where the story simulates
FRESH = 2000  # of the winner again
SAME_TIME = 1.02  # times that differ by less are the same: ours
FRESH_FIRST = 2**30  # people that nothing was chosen on
PACES = (0.0, 6.0, 8.0, 10.0, 12.0, 15.0)  # [s]; 0: as soon as all are ready
LIMITS = {"us": [INCH * x for x in (0.125, 0.25, 0.375, 0.5, 0.75, 1.0)],
          "si": [0.003, 0.006, 0.01, 0.013, 0.02, 0.025]}  # [m]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Way:
    """One way to call, and what came of it."""

    rule: str
    pace: float  # [s]
    gap_limit: float | None  # [m]; None under keep-pace
    n: int
    time: Estimate  # mean [s]
    gap: float  # 95th percentile of the largest gap, passing or standing [m]
    over_gap: float  # share with a gap over the limit
    over_drop: float
    not_raised: float
    gap_risk: float  # what the chance of a gap over the limit is under, with 95 % confidence
    drop_risk: float
    between_calls: float  # mean time from call to call [s]

    def within(self, risk: float) -> bool:
        """Whether both risks stay under the wanted one, and the lift gets there."""
        return self.gap_risk <= risk and self.drop_risk <= risk and self.not_raised == 0


@dataclass(frozen=True, slots=True)
class Busy:
    """How long one catcher needs for what one call gives, at mean values."""

    station: str
    catcher: str
    device: str
    seconds: float  # from the load's start, or its stop, until caught again [s]
    from_stop: bool  # counted from the stop: nothing can be done while the load moves
    cycle: float  # the shortest time from call to call at which this catcher keeps up [s]
    utilisation: float  # of the time from call to call that the crew's operators could keep


@dataclass(frozen=True)
class Cadence:
    """The answer, and the whole grid it was chosen from."""

    scenario: Scenario
    seed: int
    risk: float
    ways: list[Way]
    best: Way | None  # simulated again with fresh people; None: no way to call meets the risk
    busy: list[Busy]  # the bottleneck first
    keeps_up_from: float  # under keep-pace: the shortest time from call to call at which chasing keeps up [s]
    operators: float  # the shortest time from call to call that the operators can keep [s]
    would_meet: list[str]  # where nothing does: single changes with which the best way tried would
    told_by: str
    wanted: int  # ways of the grid; more than `ways` if it was stopped early
    looser: bool  # whether a way that is looser than the file's own may be the answer

    @property
    def frontier(self) -> list[Way]:
        """The ways that no other beats in both time and gap, the fastest first."""
        found: list[Way] = []
        for way in sorted(self.ways, key=lambda w: (w.time.value, w.gap)):
            if not found or way.gap < found[-1].gap - EXACT:
                found.append(way)
        return found

    def as_json(self) -> dict[str, Any]:
        """For machines to read."""
        return {
            "format": 1, "title": self.scenario.title, "variant": self.scenario.variant, "seed": self.seed,
            "risk": self.risk, "told_by": self.told_by,
            "ways_wanted": self.wanted, "best": None if self.best is None else asdict(self.best),
            "ways": [asdict(w) for w in self.ways], "frontier": [asdict(w) for w in self.frontier],
            "catchers": [asdict(b) for b in self.busy], "keeps_up_from_s": self.keeps_up_from,
            "operators_cycle_s": self.operators, "would_meet": self.would_meet, "looser": self.looser,
        }  # fmt: skip


def cadence(
    scenario: Scenario,
    risk: float = RISK,
    seed: int = 0,
    *,
    paces: tuple[float, ...] = PACES,
    limits: tuple[float, ...] = (),
    n: int = 0,
    looser: bool = False,
    workers: int = 0,
    cluster: str = "",
    folder: Path | None = None,
    progress: Callable[[int, int], None] = lambda done, of: None,
) -> Cadence:
    """Try every way to call, and find the fastest that keeps within the limits.

    Parameters
    ----------
    scenario : Scenario
        Whose crew.
    risk : float
        The chance that may remain, above 0 and below 1.
    seed : int
        Whose people.
    paces, limits : tuples of float
        Of the grid [s], [m]; no limits: a usual set in the scenario's units.
    n : int
        Replications of each way; 0: a usual number.
    looser : bool
        Whether the answer may have a larger gap limit than the file's own, or never hold where the file does.
    workers, cluster, folder, progress
        As `study` takes them.

    Raises
    ------
    KeyboardInterrupt
        Interrupted before the first way was tried.
    """
    n = n or (SIZE_STORY if why_not(scenario) else SIZE)
    n = max(n, _least(risk))
    own = scenario.leader.gap_limit
    usual = sorted({own, *(x for x in LIMITS[scenario.units] if abs(x - own) > EXACT)})
    grid = list(_grid(scenario, paces, limits or tuple(usual)))
    groups = [blocks_of(s, seed, n) for s in grid]
    total, done = n * len(grid), 0

    def on_done(more: int) -> None:
        nonlocal done
        done += more
        progress(done, total)

    answers = iter(simulate_all([b for g in groups for b in g], workers, cluster, folder, on_done))
    ways, tried, times = [], [], []
    for s, group in zip(grid, groups, strict=True):
        parts = [next(answers) for _ in group]
        if all(p is not None for p in parts):
            table = together(parts)
            ways.append(_way(s, table))
            times.append(table["duration_s"].to_numpy(dtype=np.float64))
            tried.append(s)
    if not ways:
        raise KeyboardInterrupt
    allowed = [k for k, way in enumerate(ways) if way.within(risk) and (looser or not is_looser(way, scenario))]
    beyond = [way for way in ways if way.within(risk) and is_looser(way, scenario)]
    order = _in_order(allowed, ways, times)
    best = _confirmed(order, tried, risk, seed, max(FRESH, n) if not why_not(scenario) else n, workers, cluster)
    busy, operators = _busy(scenario)
    answered = best is not None or (bool(beyond) and not looser)  # by a way that is said, if not advised
    return Cadence(
        scenario, seed, risk, ways, best, busy, max([operators, *(b.cycle for b in busy)]), operators,
        [] if answered else _would_meet(ways, tried, risk, seed, n, workers, cluster),
        "the story, one by one" if why_not(scenario) else "the batch", len(grid), looser,
    )  # fmt: skip


def _least(risk: float) -> int:
    """How few replications could show a risk this small at all: none of them may go over."""
    return int(np.ceil(np.log(0.05) / np.log1p(-risk)))


def _grid(scenario: Scenario, paces: tuple[float, ...], limits: tuple[float, ...]) -> Any:
    for pace in paces:
        for limit in limits:
            leader = replace(scenario.leader, rule="stop-until-caught", pace=pace, gap_limit=limit)
            yield replace(scenario, leader=leader)
        yield replace(scenario, leader=replace(scenario.leader, rule="keep-pace", pace=pace))


def _way(scenario: Scenario, table: pd.DataFrame) -> Way:
    rule, limits, n = scenario.leader, scenario.limits, len(table)
    gap = int(over_gap_limit(table, scenario).sum())
    drop = int((table["drop_lifter_lost_m"] > limits.drop + EXACT).sum())
    return Way(
        rule.rule,
        rule.pace,
        rule.gap_limit if rule.rule == "stop-until-caught" else None,
        n,
        mean(table["duration_s"].to_numpy()),
        float(np.quantile(judged_gap(table), 0.95, method="inverted_cdf")),
        gap / n,
        drop / n,
        float((~table["outcome"].isin(DONE)).mean()),
        upper_chance(gap, n),
        upper_chance(drop, n),
        float(table["duration_s"].sum() / max(1, table["calls"].sum())),
    )


def is_looser(way: Way, scenario: Scenario) -> bool:
    """Whether a way lets a larger gap stand at a call than the file's own leader would."""
    own = scenario.leader
    if own.rule == "keep-pace":
        return False
    return way.gap_limit is None or way.gap_limit > own.gap_limit + EXACT


def _in_order(allowed: list[int], ways: list[Way], times: list[Array]) -> list[int]:
    """The numbers of the ways in the order of choice: of those that take no longer than the fastest, the closest."""
    left, order = sorted(allowed, key=lambda k: ways[k].time.value), []
    while left:
        fastest = left[0]
        alike = [k for k in left if _no_longer(times[k], times[fastest])]
        closest = min(alike, key=lambda k: _closeness(ways[k]))
        order.append(closest)
        left.remove(closest)
    return order


def _no_longer(mine: Array, fastest: Array) -> bool:
    """Whether a way takes no longer than the fastest, on the same people: by under 2 %, or no more than by chance."""
    if mine is fastest or mine.mean() <= SAME_TIME * fastest.mean():
        return True
    return paired(fastest, mine).low <= 0


def _closeness(way: Way) -> tuple[float, float, float]:
    """The smaller limit first, then the smaller gap, then the longer pace, which asks less of the crew."""
    return float("inf") if way.gap_limit is None else way.gap_limit, way.gap, -way.pace


def _confirmed(
    order: list[int], tried: list[Scenario], risk: float, seed: int, n: int, workers: int, cluster: str
) -> Way | None:
    """The first way in the order of choice that keeps within the risk also with people that it was not chosen on."""
    for k in order:
        parts = simulate_all(blocks_of(tried[k], seed, n, FRESH_FIRST), workers, cluster)
        again = _way(tried[k], together(parts))
        if again.within(risk):
            return again
    return None


def _would_meet(
    ways: list[Way], tried: list[Scenario], risk: float, seed: int, n: int, workers: int, cluster: str
) -> list[str]:
    """Single changes with which the way that came nearest would meet the risk."""
    nearest = min(range(len(ways)), key=lambda k: max(ways[k].gap_risk, ways[k].drop_risk, ways[k].not_raised))
    found = []
    for change, s in improvements(tried[nearest]):
        if _way(s, together(simulate_all(blocks_of(s, seed, n), 1 if n <= SIZE else workers, cluster))).within(risk):
            found.append(change)
    return found


# --- who is the bottleneck


def _busy(scenario: Scenario) -> tuple[list[Busy], float]:
    """What each catcher needs for one call, and what the operators need, at mean values."""
    motion = motion_of(scenario.load)
    middle = max(0.0, motion.u_for_rise(scenario.need.point, scenario.need.rise) / 2)
    strokes = scenario.leader.strokes
    moving = max(strokes * (x.operator.stroke.mean + x.operator.recover.mean) for x in scenario.lifters)
    longest = max(x.operator.react.mean for x in scenario.lifters) + moving
    last_recover = min(x.operator.recover.mean for x in scenario.lifters)
    given = [_given(scenario, motion, side, middle) for side in ("left", "right")]
    found = []
    for where in scenario.places:
        line = motion.line(where.head, where.base)
        of = {"left": given[0], "right": given[1], "both": (given[0] + given[1]) / 2}[where.side]
        demand = line.demand(middle + of) - line.demand(middle)
        for device, catcher in zip(where.capture, where.catchers, strict=True):
            seconds = device.seconds_a_call(demand)
            from_stop = device.chases != "with"
            cycle = seconds + (moving - last_recover if from_stop else 0.0)
            found.append(Busy(where.name, catcher, device.name, seconds, from_stop, cycle, cycle / longest))
    return sorted(found, key=lambda b: -b.cycle), longest


def _given(scenario: Scenario, motion: Any, side: str, middle: float) -> float:
    """How far one call moves a side [rad or m]; a lifter that is not there moves nothing."""
    from sim.model.loads import lifter_force
    from sim.model.pump import ram_travel

    for lifter in scenario.lifters:
        if lifter.side == side:
            line = motion.line(lifter.head, lifter.base)
            force = lifter_force(lifter, scenario.load, motion, middle) if lifter.pump else 0.0
            one = ram_travel(lifter, 0.0, force, 0.0, lifter.operator.fill.mean)
            return float(line.u_at(line.demand(middle) + scenario.leader.strokes * one)) - middle
    return next((_given(scenario, motion, x.side, middle) for x in scenario.lifters), 0.0)
