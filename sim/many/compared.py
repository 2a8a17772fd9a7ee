"""Several ways to make a lift, side by side on the same people: paired differences, and the people each way asks for.

Every way is simulated twice: with as many people as it asks for, and with the same number for all. For that number each
place has one catcher, who keeps up everything there (what the story then simulates one by one).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from sim.batch import why_not
from sim.many.blocks import blocks_of, simulate_all, together
from sim.many.judged import judged_gap, measures_of, over_gap_limit, values_of
from sim.many.statistics import Estimate, clopper_pearson, mean, paired, paired_chance
from sim.many.studied import JUDGED, plain
from sim.many.what_if import one_a_place, people
from sim.model.scenario import Scenario
from sim.record.what import DONE

FORMAT = 1
SIZE, SIZE_STORY = 500, 60  # replications of each way; of one that the story simulates


@dataclass(frozen=True)
class WayCompared:
    """One of the ways, with the people it asks for or with as many as the others."""

    name: str
    scenario: Scenario
    people: int
    told_by: str
    table: pd.DataFrame
    means: dict[str, Estimate]
    differences: dict[str, Estimate]  # from the first way, on the same people; empty for the first
    chance: Estimate  # of a gap over the limit
    over_gap: Estimate | None  # difference of the chance of a gap over the limit
    raised: float  # share of the lifts that got there
    median: int  # the replication that a picture of this way shows

    @property
    def n(self) -> int:
        """How many replications were simulated."""
        return len(self.table)

    def as_json(self) -> dict[str, Any]:
        """For machines to read."""
        return {
            "people": self.people, "replications": self.n, "told_by": self.told_by, "raised": self.raised,
            "means": {k: plain(v) for k, v in self.means.items()},
            "differences": {k: plain(v) for k, v in self.differences.items()},
            "chance_of_a_gap_over_the_limit": plain(self.chance),
            "difference_of_that": None if self.over_gap is None else plain(self.over_gap),
            "median_replication": self.median,
        }  # fmt: skip


@dataclass(frozen=True)
class Compared:
    """Every way, simulated twice."""

    seed: int
    as_asked: list[WayCompared]
    same_people: list[WayCompared]  # one catcher a place; a way that asks for no more is as it was

    def as_json(self) -> dict[str, Any]:
        """For machines to read: every way, as it asks and with the same people as the others."""
        return {
            "format": FORMAT, "seed": self.seed, "intervals": "95 %, of simulation error only",
            "as_asked": {way.name: way.as_json() for way in self.as_asked},
            "same_people": {way.name: way.as_json() for way in self.same_people},
        }  # fmt: skip


def compare(
    named: Sequence[tuple[str, Scenario]],
    n: int = 0,
    seed: int = 0,
    workers: int = 0,
    cluster: str = "",
    folder: Path | None = None,
    progress: Callable[[int, int], None] = lambda done, of: None,
) -> Compared:
    """Put several ways side by side.

    Parameters
    ----------
    named : sequence of (str, Scenario)
        The first is what the others are compared with.
    n : int
        Replications of each; 0: a usual number, fewer where the story simulates.
    seed, workers, cluster, folder
        As `study` takes them.
    progress : callable
        BlockResult how many replications of how many are done.

    Raises
    ------
    KeyboardInterrupt
        Stopped before all were simulated: a part of them is no comparison. What was simulated lies in the folder.
    """
    alone = [(name, one_a_place(s)) for name, s in named]
    fewer = [] if all(a == s for (_, a), (_, s) in zip(alone, named, strict=True)) else alone
    lifts = [*named, *fewer]
    groups = [blocks_of(s, seed, n or (SIZE_STORY if why_not(s) else SIZE)) for _, s in lifts]
    blocks = [b for group in groups for b in group]
    total, done = sum(b.rows for b in blocks), 0

    def on_done(more: int) -> None:
        nonlocal done
        done += more
        progress(done, total)

    simulated = simulate_all(blocks, workers, cluster, folder, on_done)
    if any(t is None for t in simulated):
        raise KeyboardInterrupt
    answers = iter(simulated)
    tables = [together([next(answers) for _ in group]) for group in groups]
    measures = next((measures_of(s) for _, s in named if s.stages), measures_of(named[0][1]))
    ways = [
        _way(name, s, table, tables[0 if k < len(named) else len(named)], list(measures))
        for k, ((name, s), table) in enumerate(zip(lifts, tables, strict=True))
    ]
    asked = ways[: len(named)]
    return Compared(seed, asked, ways[len(named) :] or asked)


def _way(
    name: str, scenario: Scenario, table: pd.DataFrame, first: pd.DataFrame, measures: Sequence[str]
) -> WayCompared:
    both = min(len(table), len(first))
    mine, theirs = table.iloc[:both], first.iloc[:both]
    why = why_not(scenario)
    others = table is not first
    measures = [m for m in measures if m == JUDGED or (m in table and m in first)]  # without stages no gap is made
    over = over_gap_limit(table, scenario)
    return WayCompared(
        name,
        scenario,
        people(scenario),
        f"the story, one by one: {why}" if why else "the batch",
        table,
        {m: mean(values_of(table, m)) for m in measures},
        {m: paired(values_of(theirs, m), values_of(mine, m)) for m in measures} if others else {},
        clopper_pearson(int(over.sum()), len(over)),
        paired_chance(over_gap_limit(theirs, scenario), over_gap_limit(mine, scenario)) if others else None,
        float(table["outcome"].isin(DONE).mean()),
        _median(table),
    )


def _median(table: pd.DataFrame) -> int:
    """The replication in the middle by its largest gap; of equal ones by time."""
    order = np.lexsort((table["duration_s"], judged_gap(table)))
    return int(table["replication"].iloc[order[(len(order) - 1) // 2]])
