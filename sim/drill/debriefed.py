"""A debrief, whole: the drills as they went, the crew's own times, the drills against the plan, what to call by."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from sim.drill.against import Predicted, Trend, against, trends
from sim.drill.crew import DrilledCrew, crew_of
from sim.drill.drilled import Drill, drilled
from sim.drill.log.lines import Log, read_log
from sim.drill.written import fitted, with_crew
from sim.many.cadence import Way, cadence
from sim.model.scenario import Scenario

FORMAT = 1
WAYS = 300  # replications of each way to call


@dataclass(frozen=True)
class Debrief:
    """Everything that is said about one or more drills of one plan."""

    scenario: Scenario
    file: str  # the scenario's own file, by name
    drills: list[Drill]
    crew: DrilledCrew
    predicted: list[Predicted]  # empty: not asked
    trends: list[Trend]
    advice: Way | None  # the fastest way to call that the fitted crew can keep within the limits
    asked_advice: bool

    def as_json(self) -> dict[str, Any]:
        """For machines to read; keys end in their unit."""
        return {
            "format": FORMAT,
            "kind": "drill",
            "title": self.scenario.title,
            "variant": self.scenario.variant,
            "units": self.scenario.units,
            "outcome": "drilled" if len(self.drills) > 1 else self.drills[0].summary["outcome"],
            "computed": "times observed; gaps, drops and rises computed from the plan's rise a stroke",
            "drills": [{**_lift(d.summary), "drill": d.as_json()} for d in self.drills],
            "crew": [k.as_json() for k in self.crew.known],
            "lines": [_line(line) for line in self.crew.lines],
            "plan_kept": self.crew.unknown,
            "against_plan": [p.as_json() for p in self.predicted],
            "trends": [t.as_json() for t in self.trends],
            "cadence_with_this_crew": None if self.advice is None else asdict(self.advice),
        }


def _lift(summary: dict[str, Any]) -> dict[str, Any]:
    """The measures of a drill: no seed made it."""
    return {k: v for k, v in summary.items() if k not in ("seed", "replication", "fixed_values", "format", "title")}


def _line(line: Any) -> dict[str, Any]:
    return {
        "device": line.device, "count": line.count, "tells": line.apart, "plan_react_and_seat_s": line.plan_intercept,
        "intercept_s": line.intercept[0], "intercept_interval_s": list(line.intercept[1:]),
        "slope_s_per_m": line.slope[0], "slope_interval_s_per_m": list(line.slope[1:]),
    }  # fmt: skip


def read_logs(files: Sequence[Path]) -> list[Log]:
    """The logs in these files."""
    return [read_log(file) for file in files]


def debrief(
    logs: Sequence[Log],
    scenario: Scenario,
    file: str = "scenario.toml",
    *,
    one_drill: bool = False,
    plan: bool = True,
    seed: int = 0,
    progress: Callable[[int, int], None] = lambda done, of: None,
) -> Debrief:
    """Debrief drills of a plan.

    Parameters
    ----------
    logs : sequence of Log
        One a drill, in the order they were held; with `one_drill` all of one drill, by several observers.
    scenario : Scenario
        The plan.
    file : str
        Its file, by name.
    one_drill : bool
        Whether the logs are of one drill.
    plan : bool
        Whether to simulate the plan many times over, and to seek the cadence of the fitted crew: some seconds.
    seed : int
        Whose people the plan's are.
    progress : callable
        Given how much of the search is done.
    """
    groups = [list(logs)] if one_drill else [[log] for log in logs]
    drills = [drilled(group, scenario) for group in groups]
    crew = crew_of(drills, scenario)
    predicted = against(replace(scenario, stages=(), start=0.0), drills, seed) if plan else []
    advice = None
    if plan and crew.fitted:
        own = fitted(scenario, crew, file, len(drills))
        advice = cadence(own, seed=seed, n=WAYS, workers=1, progress=progress).best
    return Debrief(scenario, file, drills, crew, predicted, trends(drills), advice, plan and bool(crew.fitted))


def text_with_crew(found: Debrief) -> str:
    """The scenario with the crew's own times, as text."""
    return with_crew(found.scenario, found.crew, found.file, len(found.drills))
