"""The sheet of a check: everything it found, and everything it reckoned."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sim.check.balance import PivotLoad
from sim.check.cribs import CribLoad
from sim.check.drops import Drop
from sim.check.estimates import Estimates
from sim.check.figures import as_json
from sim.check.findings import LEVELS, Finding, Level
from sim.check.ground import Foot
from sim.check.lifters import LifterLoad
from sim.check.plan import Plan, plan_json
from sim.check.stations import StationLoad
from sim.check.struts.buckling import Buckling
from sim.check.ties import TieLoad
from sim.model.cautions import CAUTION
from sim.model.scenario import Limits
from sim.model.sentences import Sentence, words
from sim.model.units import Units


@dataclass(frozen=True, slots=True)
class Sheet:
    """One lift, reckoned before anyone pumps."""

    need: Plan
    lifters: dict[str, LifterLoad]
    stations: dict[str, StationLoad]
    struts: dict[str, Buckling]  # by their stations; a crib has none
    ties: dict[str, TieLoad]  # by the station whose foot they hold
    cribs: dict[str, CribLoad]
    ground: dict[str, Foot]
    pivot: PivotLoad
    drops: dict[str, Drop]
    estimates: Estimates
    assumed: tuple[str | Sentence, ...]
    units: Units  # of the scenario
    limits: Limits  # what it is held against; the design factor is the least margin
    findings: tuple[Finding, ...]  # stops first, then cautions, then notes

    def of_level(self, level: Level) -> tuple[Finding, ...]:
        """The findings of one level."""
        return tuple(finding for finding in self.findings if finding.level == level)

    @property
    def stopped(self) -> bool:
        """Whether there is a stop among the findings."""
        return bool(self.of_level("stop"))

    def as_json(self) -> dict[str, Any]:
        """Plain data: keys end in their unit, null is not known."""
        names = ("lifters", "stations", "struts", "ties", "cribs", "ground", "pivot", "drops", "estimates")
        return {
            "stops": [each.as_json(self.units) for each in self.of_level("stop")],
            **readable(True),
            "limits_by_default": [name for name in self.limits.NAMES if self.limits.is_default(name)],
            "findings": [each.as_json(self.units) for each in self.findings],
            "need": plan_json(self.need, self.units),
            **{name: as_json(getattr(self, name)) for name in names},
            "assumed": [words(sentence, self.units) for sentence in self.assumed],
            "caution": CAUTION,
        }


def readable(is_it: bool) -> dict[str, bool]:
    """Whether the file could be read as a scenario, and no more; `valid`, its old name, stays for one version."""
    return {"readable": is_it, "valid": is_it}


def in_order(findings: list[Finding]) -> tuple[Finding, ...]:
    """Stops, cautions, notes; within a level as they were found."""
    return tuple(sorted(findings, key=lambda finding: LEVELS.index(finding.level)))
