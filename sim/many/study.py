"""Many lifts of one scenario: how they come out, how sure that is, who the crew waits for, and what would help.

Two kinds of doubt are kept apart. Every interval is of simulation error only: more replications make it smaller. What
the lift and its people are really like is another matter (`doubt.py`): beside the answer stands its range over what is
assumed, and over other crews. No number of replications makes that smaller.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from sim.batch import why_not
from sim.many.block import Block, BlockResult
from sim.many.blocks import blocks_of, blocks_of_several, of_each, simulate_all, together
from sim.many.doubt import EACH_SIMULATED, doubt_of, events, plan_of
from sim.many.judged import judged_gap, measures_of, over_gap_limit, values_of
from sim.many.statistics import clopper_pearson, mean, paired, paired_chance, quantile, size_for_chance
from sim.many.studied import Help, HowOften, Named, Spread, Study, Waited
from sim.many.what_if import improvements
from sim.model.scenario import Scenario

PILOT = 500
PILOT_FIRST = 2**31  # the pilot's people are not the study's
HELPS = 1000  # replications for what would help
QUANTILES = (0.05, 0.25, 0.5, 0.75, 0.95)


def size_for(
    scenario: Scenario,
    seed: int,
    within: float,
    workers: int = 0,
    progress: Callable[[int, int], None] = lambda done, of: None,
) -> int:
    """How many replications give the chance of a gap over the limit to within so much: a pilot fixes it, once.

    Raises
    ------
    KeyboardInterrupt
        Interrupted before the pilot was simulated.
    """
    done = 0

    def on_done(more: int) -> None:
        nonlocal done
        done += more
        progress(done, PILOT)

    simulated = simulate_all(blocks_of(scenario, seed, PILOT, PILOT_FIRST), workers, on_done=on_done)
    if any(t is None for t in simulated):
        raise KeyboardInterrupt  # half a pilot fixes nothing
    pilot = together(simulated)
    return max(PILOT, size_for_chance(over_gap_limit(pilot, scenario), within))


def study(
    scenario: Scenario,
    n: int = 10_000,
    seed: int = 0,
    *,
    workers: int = 0,
    cluster: str = "",
    folder: Path | None = None,
    crew_sd: float | None = None,
    helps: bool = True,
    progress: Callable[[int, int], None] = lambda done, of: None,
) -> Study:
    """Simulate a scenario many times and answer from it.

    Parameters
    ----------
    scenario : Scenario
        Which lift.
    n, seed : int
        How many replications, of whose people.
    workers, cluster, folder
        As `simulate_all` takes them.
    crew_sd : float
        How much people differ from each other: the sd of each person's factor; 0: not asked. None: as the
        scenario has it.
    helps : bool
        Whether to ask what would help, and over slower and faster people.
    progress : callable
        BlockResult how many replications of how many are done.

    Raises
    ------
    KeyboardInterrupt
        Stopped before anything was finished. Stopped later, what is finished is answered from (`n` below `wanted`).
    """
    crew_sd = scenario.crew_sd if crew_sd is None else crew_sd
    mine = blocks_of(scenario, seed, n, by_call=True)
    plan = plan_of(scenario, n, seed, crew_sd) if helps else None
    ways = _helping(scenario, n) | plan.ways if plan else {}
    groups = blocks_of_several(ways, seed)
    total = sum(b.rows for b in mine) + sum(many for _, many in ways.values()) + (plan.later if plan else 0)
    done = 0

    def on_done(more: int) -> None:
        nonlocal done
        done += more
        progress(done, total)

    def several(
        of: dict[tuple[str, ...], list[Block]], simulated: Sequence[BlockResult | None]
    ) -> dict[str, pd.DataFrame]:
        answers = iter(simulated)
        found: dict[str, pd.DataFrame] = {}
        for names, some in of.items():
            found |= of_each(names, [next(answers) for _ in some])
        return found

    def simulate(more: Mapping[str, tuple[Scenario, int]]) -> dict[str, pd.DataFrame]:
        further = blocks_of_several(more, seed)
        try:
            return several(further, simulate_all(_flat(further), workers, cluster, folder, on_done))
        except KeyboardInterrupt:
            return {}

    simulated = simulate_all([*mine, *_flat(groups)], workers, cluster, folder, on_done)
    table, others = together(simulated[: len(mine)]), several(groups, simulated[len(mine) :])
    doubt = None
    if plan and len(table) == n:
        stopped = any(each is None for each in simulated)
        doubt = doubt_of(plan, table, others, None if stopped else simulate)
    else:
        others = {}
    why = why_not(scenario)
    return Study(
        scenario=scenario,
        seed=seed,
        wanted=n,
        table=table,
        by_call=simulated[0].by_call if simulated[0] is not None else None,
        told_by=f"the story, one by one: {why}" if why else "the batch",
        crew_sd=crew_sd,
        outcomes={str(k): clopper_pearson(int(v), len(table)) for k, v in table["outcome"].value_counts().items() if v},
        spreads={name: spread(values_of(table, name)) for name in measures_of(scenario)},
        chances=chances(scenario, table),
        waited=waited_for(scenario, table),
        helps=_helps(scenario, table, others),
        named=_named(table),
        doubt=doubt,
    )


def _flat(groups: Mapping[tuple[str, ...], Sequence[Block]]) -> list[Block]:
    return [block for some in groups.values() for block in some]


def _helping(scenario: Scenario, n: int) -> dict[str, tuple[Scenario, int]]:
    """The lifts with one thing better, and how many replications of each."""
    n = min(n, EACH_SIMULATED if why_not(scenario) else HELPS)
    return {f"help: {change}": (lift, n) for change, lift in improvements(scenario)}


def spread(values: Any) -> Spread:
    """One measure: mean, sd and quantiles with their intervals."""
    quantiles = {q: quantile(values, q) for q in QUANTILES}
    sd = float(np.std(values, ddof=1)) if len(values) > 1 else 0.0
    return Spread(mean(values), sd, quantiles, float(values.min()), float(values.max()))


def chances(scenario: Scenario, table: pd.DataFrame) -> list[HowOften]:
    """The chance of each thing that may come about."""
    found = []
    for name, (limit, happened) in events(scenario, table).items():
        count = int(happened.sum())
        found.append(HowOften(name, limit, count, clopper_pearson(count, len(table))))
    return found


def waited_for(scenario: Scenario, table: pd.DataFrame) -> list[Waited]:
    """The critical catcher first."""
    names = [w.name for w in scenario.places]
    held = {name: float(table[f"holds_for: {name}"].sum()) for name in names}
    time = {name: float(table[f"waited_for_s: {name}"].sum()) for name in names}
    holds, seconds, calls = sum(held.values()), sum(time.values()), float(table["calls"].sum())
    found = [
        Waited(x, held[x] / max(holds, 1.0), time[x] / seconds if seconds else 0.0, held[x] / max(calls, 1.0))
        for x in names
    ]
    return sorted(found, key=lambda w: -w.hold_time)


def _helps(scenario: Scenario, table: pd.DataFrame, other: dict[str, pd.DataFrame]) -> list[Help]:
    found = []
    for name, t in other.items():
        if name.startswith("help: "):
            same = table.iloc[: len(t)]
            found.append(
                Help(
                    name.removeprefix("help: "),
                    paired(same["duration_s"].to_numpy(), t["duration_s"].to_numpy()),
                    paired(judged_gap(same), judged_gap(t)),
                    paired_chance(over_gap_limit(same, scenario), over_gap_limit(t, scenario)),
                )
            )
    return sorted(found, key=lambda h: h.time.value)


def _named(table: pd.DataFrame) -> list[Named]:
    """The worst, the median and the best by their largest gap; of equal ones by time."""
    gaps, times = judged_gap(table), values_of(table, "duration_s")
    order = np.lexsort((times, gaps))
    places = {"worst": len(order) - 1, "median": (len(order) - 1) // 2, "best": 0}
    return [
        Named(which, int(table["replication"].iloc[k]), float(gaps[k]), float(times[k]))
        for which, k in ((which, order[at]) for which, at in places.items())
    ]
