"""For those who write notebooks: a scenario, a lift, a comparison, a lesson, each in a line, as DataFrames.

`import sim` has these names; see there. Measures come as one row, nested ones with a dot (`largest_gap.gap_m`).
"""

from __future__ import annotations

from collections.abc import Iterable
from importlib.resources import files
from pathlib import Path

import pandas as pd

from sim.lessons import LESSONS, Computed
from sim.model.scenario import Scenario
from sim.record.measures import measure
from sim.record.record import Record
from sim.story.lift import simulate, simulate_fixed
from sim.written.reading import parse, read, variants


def load(path: Path | str, variant: str = "") -> Scenario:
    """A scenario from a file, or one that ships by its bare name ("trailer").

    Raises
    ------
    ScenarioError
        With everything that is wrong with it.
    """
    shipped = files("sim") / "examples" / f"{path}.toml"
    if isinstance(path, str) and not Path(path).suffix and not Path(path).exists() and shipped.is_file():
        return parse(shipped.read_text(encoding="utf-8"), f"{path}.toml", variant)
    return read(path, variant)


def run(scenario: Scenario, seed: int | None = None, replication: int = 0) -> Record:
    """One lift: at mean values, or with the people of a seed. `events` of what comes back is a DataFrame."""
    return simulate_fixed(scenario) if seed is None else simulate(scenario, seed, replication)


def compare(scenario: Scenario, seed: int | None = None) -> pd.DataFrame:
    """The measures of a scenario and of each of its variants, one row each, the same people in all."""
    table = rows(run(each, seed) for each in (scenario, *variants(scenario)))
    names = [name or "as written" for name in table["variant"]]
    return table.set_axis(pd.Index(names, name="variant")).drop(columns="variant")


def lesson(name: str, scenario: Scenario | None = None) -> Computed:
    """The numbers of a lesson, computed on a scenario (the trailer by default): DataFrames in `tables`."""
    return LESSONS[name].compute(scenario or load("trailer"))


def rows(records: Iterable[Record]) -> pd.DataFrame:
    """The measures of several lifts, one row each."""
    return pd.json_normalize([measure(record) for record in records], sep=".")
