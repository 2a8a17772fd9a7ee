"""The stops of a check, for everything that is made of a lift: pages, sheets and pictures begin with them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reports.words.plain import count
from reports.words.sheet_sides import Said, gathered
from sim.check import check
from sim.model.scenario import Scenario


def stops_of(*scenarios: Scenario) -> list[Said]:
    """What stops these lifts by the check at mean values, left and right as one; of several ways, each way's own."""
    found: list[Said] = []
    for scenario in scenarios:
        for said in gathered(check(scenario).of_level("stop")):
            subject = f"{scenario.variant}: {said.subject}" if len(scenarios) > 1 and scenario.variant else said.subject
            found.append(Said(said.level, subject, said.what, said.source))
    return found


def stops_json(scenario: Scenario) -> list[dict[str, Any]]:
    """The same of one lift as plain data, one by one."""
    return [finding.as_json(scenario.units) for finding in check(scenario).of_level("stop")]


def do_not(stops: Sequence[Said]) -> str:
    """The headline; nothing where there is no stop, for nothing found promises nothing."""
    return f"Do not lift like this: {count(len(stops), 'stop')}" if stops else ""
