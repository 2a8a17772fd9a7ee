"""A block of lifts: some replications of one scenario, and what simulating them gave."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from sim.model.scenario import Scenario

FORMAT = 1  # of what lies on disk


@dataclass(frozen=True, slots=True)
class Block:
    """Some replications of one scenario."""

    scenario: Scenario
    seed: int
    first: int
    n: int
    by_call: bool = False  # whether the largest gap of each call is wanted too
    alike: tuple[Scenario, ...] = ()  # other ways of the same lift, simulated in the same pass: n rows more for each

    @property
    def rows(self) -> int:
        """How many lifts are simulated in all."""
        return self.n * (1 + len(self.alike))

    @property
    def key(self) -> str:
        """What it is known by, on disk and on a cluster: the same for the same people in the same lift."""
        said = repr((FORMAT, self.scenario, self.seed, self.first, self.n, self.by_call, self.alike))
        return f"{self.first:09}-{hashlib.sha256(said.encode()).hexdigest()[:24]}"


@dataclass(frozen=True, slots=True)
class BlockResult:
    """A block's rows, one a replication; if asked for, the largest gap of each call: (calls, n), NaN after the end."""

    table: pd.DataFrame | None
    by_call: np.ndarray[Any, np.dtype[np.float32]] | None = None
    n: int = 0
    path: Path | None = None  # where the rows lie, if they are not here

    def rows(self) -> pd.DataFrame:
        """The rows, read from disk if they lie there."""
        if self.table is not None:
            return self.table
        assert self.path is not None
        return pd.read_parquet(self.path)
