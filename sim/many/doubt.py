"""The second doubt of a study: what its answers hang on that no number of replications would make smaller.

What the file marks as assumed is simulated at its low and at its high, one value at a time, and then all at once the
way that makes the lift slow, fast, its gaps large or small, by what the single ends have shown; on the same people as
the lift as written. Where nothing is marked, everyone a fifth slower and a fifth faster stands in. Other crews are a
doubt of their own: people differ, not only calls.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import pandas as pd

from sim.batch import why_not
from sim.many.doubted import Answers, Assumption, AtOnce, Doubt
from sim.many.judged import judged_gap, over_gap_limit
from sim.many.what_if import all_times, another_crew
from sim.model.devices import EXACT
from sim.model.errors import Refused, ScenarioError
from sim.model.scenario import Range, Scenario
from sim.record.what import DONE
from sim.written.reading import with_values

EACH, EACH_SIMULATED = 1000, 100  # replications of each end; where the story simulates them
CREWS, CREW_SIZE = 20, 500
SLOWER, FASTER = 1.2, 0.8
STAND_IN = Range("everyone's times", "a fifth shorter", "a fifth longer", "as written")
AT_ONCE = {  # what all at once is simulated for: the answer, and whether it is to be large
    "slowest": ("duration_s", True),
    "fastest": ("duration_s", False),
    "largest gap": ("largest_gap_m", True),
    "smallest gap": ("largest_gap_m", False),
}

Simulate = Callable[[Mapping[str, tuple[Scenario, int]]], dict[str, pd.DataFrame]]


# --- answers


def events(scenario: Scenario, table: pd.DataFrame) -> dict[str, tuple[float | None, Any]]:
    """What may come about, its limit, and in which replications it did."""
    gap, drop = scenario.limits.gap, scenario.limits.drop

    def over(column: str, limit: float) -> Any:
        return (table[column] > limit + EXACT).to_numpy()

    return {
        "a gap over the limit": (gap, over_gap_limit(table, scenario)),
        "a gap over the limit left after capture": (gap, over("largest_standing_gap_m", gap)),
        "a drop over the limit, lifter lost": (drop, over("drop_lifter_lost_m", drop)),
        "a drop over the limit, pressure lost": (drop, over("drop_pressure_lost_m", drop)),
        "a call with a gap over the leader's limit": (
            scenario.leader.gap_limit,
            (table["over_limit_calls"] > 0).to_numpy(),
        ),
        "a stage not reached" if scenario.stages else "not raised": (
            None,
            (~table["outcome"].isin(DONE)).to_numpy(),
        ),
    }


def answers_of(scenario: Scenario, table: pd.DataFrame) -> Answers:
    """The answers that a study gives ranges of; the limits are those of this scenario."""
    means = {"duration_s": float(table["duration_s"].mean()), "largest_gap_m": float(judged_gap(table).mean())}
    return means | {name: float(happened.mean()) for name, (_, happened) in events(scenario, table).items()}


# --- what is simulated for it


@dataclass(frozen=True, slots=True)
class Asked:
    """The ends that are to be simulated, before they are."""

    ranges: tuple[Range, ...]  # those that count in this lift
    ends: dict[tuple[str, str], Scenario]  # (path, "low" or "high"); none where that is the lift as written
    idle: tuple[str, ...] = ()


def assumed_ways(scenario: Scenario) -> Asked:
    """The lift with each value that is marked at its low and at its high, one at a time.

    Raises
    ------
    Refused
        The scenario was changed since it was read, and its ranges are of what was read.
    """
    if not scenario.ranges:
        everyone = {"low": all_times(scenario, FASTER), "high": all_times(scenario, SLOWER)}
        return Asked((STAND_IN,), {(STAND_IN.path, end): lift for end, lift in everyone.items()})
    own = _bare(scenario)
    if _bare(with_values(scenario, {})) != own:
        what = f'"{scenario.title}" was changed since it was read, and what it marks as assumed is of the file'
        raise Refused(what, "write the change into the file, or study replace(scenario, ranges=())")
    ends: dict[tuple[str, str], Scenario] = {}
    count, idle = [], []
    for each in scenario.ranges:
        lifts = {end: _bare(with_values(scenario, {each.path: getattr(each, end)})) for end in ("low", "high")}
        differ = {(each.path, end): lift for end, lift in lifts.items() if lift != own}
        ends |= differ
        if differ:
            count.append(each)
        else:
            idle.append(each.path)
    return Asked(tuple(count), ends, tuple(idle))


def _bare(scenario: Scenario) -> Scenario:
    """The lift alone, without the file and what was said of it."""
    return replace(scenario, title="", text="", assumed=(), ranges=(), crew_sd=0.0, variants=())


@dataclass(frozen=True, slots=True)
class DoubtPlan:
    """Everything that is simulated for the second doubt."""

    scenario: Scenario
    asked: Asked
    n: int
    crew_n: int
    crews: dict[str, Scenario]

    @property
    def ways(self) -> dict[str, tuple[Scenario, int]]:
        """What is simulated first, by name."""
        ends = {f"{end}: {path}": (lift, self.n) for (path, end), lift in self.asked.ends.items()}
        return ends | {name: (lift, self.crew_n) for name, lift in self.crews.items()}

    @property
    def later(self) -> int:
        """How many replications all at once may take at the most."""
        return len(AT_ONCE) * self.n if len(self.asked.ranges) > 1 else 0


def plan_of(scenario: Scenario, n: int, seed: int, crew_sd: float) -> DoubtPlan:
    """What is to be simulated beside a study of n replications."""
    asked = assumed_ways(scenario)
    slow = any(map(why_not, (scenario, *asked.ends.values())))
    crew_n = min(n, EACH_SIMULATED if why_not(scenario) else CREW_SIZE)
    lift = _bare(scenario)
    crews = {f"crew {k}": another_crew(lift, crew_sd, seed, k) for k in range(CREWS)} if crew_sd > 0 else {}
    return DoubtPlan(scenario, asked, min(n, EACH_SIMULATED if slow else EACH), crew_n, crews)


def doubt_of(
    plan: DoubtPlan, table: pd.DataFrame, simulated: Mapping[str, pd.DataFrame], simulate: Simulate | None
) -> Doubt:
    """The second doubt, from what was simulated for it.

    Parameters
    ----------
    plan : Plan
        What was asked.
    table : DataFrame
        The lift as written, a row a replication.
    simulated : mapping of str to DataFrame
        The ways of the plan; those missing were not simulated any more, and `simulate` is None then.
    simulate : callable or None
        Simulates further ways, so many replications of each; None: stopped, nothing further is simulated.
    """
    scenario, n = plan.scenario, plan.n
    as_written = answers_of(scenario, table.iloc[:n])
    values, left_out = [], []
    for each in plan.asked.ranges:
        both = []
        for end in ("low", "high"):
            lift = plan.asked.ends.get((each.path, end))
            way = simulated.get(f"{end}: {each.path}")
            both.append(as_written if lift is None else None if way is None else answers_of(lift, way))
        low, high = both
        if low is None or high is None:
            left_out.append(each.path)
        else:
            values.append(Assumption(each.path, str(each.low), str(each.high), low, high))
    at_once: list[AtOnce] = []
    why = ""
    if len(plan.asked.ranges) > 1:
        at_once, why = _at_once(plan, as_written, values, simulate)
    crews = tuple(answers_of(scenario, simulated[name]) for name in plan.crews if name in simulated)
    return Doubt(
        n, bool(scenario.ranges), as_written, tuple(values), tuple(at_once), why, plan.asked.idle, tuple(left_out),
        plan.crew_n if crews else 0, crews,
    )  # fmt: skip


def _at_once(
    plan: DoubtPlan, as_written: Answers, values: list[Assumption], simulate: Simulate | None
) -> tuple[list[AtOnce], str]:
    """All values at once, each at the end that its single runs point to; and why what is missing is."""
    stopped = "stopped before all at once was simulated"
    if simulate is None:
        return [], stopped
    ranges = {each.path: each for each in plan.asked.ranges}
    lifts: dict[str, Scenario] = {}
    whys: list[str] = []
    wanted = {what: dict(_pointed(as_written, values, *AT_ONCE[what])) for what in AT_ONCE}
    for what, ends in wanted.items():
        same = next((other for other in lifts if wanted[other] == ends), None)
        if len(ends) < 2 or same is not None:
            continue  # one value alone has been simulated
        try:
            written = {path: getattr(ranges[path], end) for path, end in ends.items()}
            lifts[what] = _bare(with_values(plan.scenario, written))
        except ScenarioError as wrong:
            first = wrong.problems[0]
            whys.append(f"{what}: {first.place}: {first.what}")
    simulated = simulate({what: (lift, plan.n) for what, lift in lifts.items()})
    found = []
    for what, ends in wanted.items():
        source = next((each for each in lifts if wanted[each] == ends), "")
        if source in simulated:
            said = {path: str(getattr(ranges[path], end)) for path, end in ends.items()}
            found.append(AtOnce(what, said, answers_of(lifts[source], simulated[source])))
    if set(lifts) - set(simulated):
        whys.append(stopped)
    return found, "; ".join(dict.fromkeys(whys))


def _pointed(as_written: Answers, values: list[Assumption], answer: str, large: bool) -> Iterator[tuple[str, str]]:
    """The end of each value that makes an answer large, or small; of those for which one does."""
    sign = 1.0 if large else -1.0
    for bar in values:
        gain = {
            "low": sign * (bar.at_low[answer] - as_written[answer]),
            "high": sign * (bar.at_high[answer] - as_written[answer]),
        }
        end = max(gain, key=lambda each: gain[each])
        if gain[end] > 0:
            yield bar.path, end
