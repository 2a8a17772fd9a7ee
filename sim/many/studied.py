"""What a study found: each measure with its spread, each chance with its interval, and who was waited for."""

from __future__ import annotations

import shlex
from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from sim.many.doubted import Doubt, listed
from sim.many.statistics import Estimate
from sim.model.scenario import Scenario

FORMAT = 1

MEASURES = {  # column: what it is called, and its dimension
    "largest_gap_m": ("largest gap", "length"),
    "largest_passing_gap_m": ("largest gap while being captured", "length"),
    "largest_standing_gap_m": ("largest gap left after capture", "length"),
    "drop_lifter_lost_m": ("largest drop, lifter lost, if the station holds", "length"),
    "drop_lifter_lost_next_m": ("lifter lost, otherwise: to the next stop or the start", "length"),
    "drop_pressure_lost_m": ("largest drop, pressure lost, if the station holds", "length"),
    "drop_pressure_lost_next_m": ("pressure lost, otherwise: to the next stop or the start", "length"),
    "duration_s": ("time", "time"),
    "hold_time_s": ("time in holds", "time"),
    "holds": ("holds", "count"),
    "calls": ("calls", "count"),
    "over_limit_calls": ("calls over the limit", "count"),
    "passing_over_limit_s": ("over the limit while being captured", "time"),
    "standing_over_limit_s": ("over the limit, left after capture", "time"),
    "ram_only_s": ("nothing but a ram holding a side", "time"),
    "largest_level_difference_m": ("largest level difference", "length"),
    "settled_rise_m": ("rise once settled", "length"),
    "overshoot_m": ("raised more than needed", "length"),
}
JUDGED = "judged_gap_m"  # no column: the larger of passing and standing (`judged.py`)
STAGED = {  # of a lift with stages, before the others
    JUDGED: ("largest gap, passing or standing", "length"),
    "largest_made_gap_m": ("largest gap made on the way down", "length"),
}


@dataclass(frozen=True, slots=True)
class Spread:
    """One measure over all replications."""

    mean: Estimate
    sd: float
    quantiles: dict[float, Estimate]
    smallest: float
    largest: float


@dataclass(frozen=True, slots=True)
class HowOften:
    """How often something comes about."""

    name: str
    limit: float | None  # [m], where there is one
    happened: int
    chance: Estimate


@dataclass(frozen=True, slots=True)
class Waited:
    """Whom the crew waits for."""

    station: str
    holds: float  # share of all holds
    hold_time: float  # share of all time in holds
    calls: float  # share of all calls that were held for it


@dataclass(frozen=True, slots=True)
class Help:
    """What one change would do, on the same people."""

    change: str
    time: Estimate  # mean difference [s]
    gap: Estimate  # mean difference of the largest gap [m]
    over: Estimate  # difference of the chance of a gap over the limit


@dataclass(frozen=True, slots=True)
class Named:
    """One replication, to be simulated as a full lift."""

    which: str
    replication: int
    gap: float
    time: float


@dataclass(frozen=True)
class Study:
    """All of a study's answers."""

    scenario: Scenario
    seed: int
    wanted: int
    table: pd.DataFrame
    by_call: Any  # (calls, n) largest gap of each call, of the first block's replications; None if not kept
    told_by: str
    crew_sd: float
    outcomes: dict[str, Estimate]
    spreads: dict[str, Spread]
    chances: list[HowOften]
    waited: list[Waited]
    helps: list[Help] = field(default_factory=list)
    named: list[Named] = field(default_factory=list)
    doubt: Doubt | None = None  # None: not asked, or stopped before

    @property
    def n(self) -> int:
        """How many replications were simulated."""
        return len(self.table)

    def command(self, named: Named, file: str = "FILE") -> str:
        """What simulates a replication as a full lift."""
        variant = f" --variant {shlex.quote(self.scenario.variant)}" if self.scenario.variant else ""
        return f"liftcadence run {shlex.quote(file)}{variant} --seed {self.seed} --replication {named.replication}"

    def as_json(self) -> dict[str, Any]:
        """For machines to read; keys end in their unit."""
        return {
            "format": FORMAT,
            "title": self.scenario.title,
            "variant": self.scenario.variant,
            "seed": self.seed,
            "replications": self.n,
            "replications_wanted": self.wanted,
            "told_by": self.told_by,
            "intervals": "95 %, of simulation error only",
            "outcomes": {k: plain(v) for k, v in self.outcomes.items()},
            "measures": {
                k: {
                    "mean": plain(s.mean), "sd": s.sd, "smallest": s.smallest, "largest": s.largest,
                    "quantiles": {f"{q:g}": plain(e) for q, e in s.quantiles.items()},
                }
                for k, s in self.spreads.items()
            },
            "chances": [{**asdict(c), "chance": plain(c.chance), **self._over(c.name)} for c in self.chances],
            "waited_for": [asdict(w) for w in self.waited],
            "would_help": [
                {"change": h.change, "time_s": plain(h.time), "largest_gap_m": plain(h.gap), "chance": plain(h.over)}
                for h in self.helps
            ],
            "assumed": self.doubt.as_json() if self.doubt else None,
            "told_in_full_by": [{**asdict(x), "command": self.command(x)} for x in self.named],
        }  # fmt: skip

    def _over(self, answer: str) -> dict[str, list[float] | None]:
        """The ranges of a chance, beside its interval."""
        both = (self.doubt.over_assumed(answer), self.doubt.over_crews(answer)) if self.doubt else (None, None)
        return dict(zip(("over_assumed", "over_crews"), map(listed, both), strict=True))


def plain(estimate: Estimate) -> dict[str, float | None]:
    """An estimate for machines to read; what is not known is null."""
    ends = {"value": estimate.value, "low": estimate.low, "high": estimate.high}
    return {k: v if np.isfinite(v) else None for k, v in ends.items()}
