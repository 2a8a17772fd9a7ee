"""The events of a stored run, read back. A person may have touched them: all that a record promises is looked for."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import numpy as np
import pandas as pd

from sim.model.scenario import Scenario
from sim.record.columns import COLUMNS, Columns, of_table, unguarded_table
from sim.record.record import LEADER

FLOATS = [name for name, kind in COLUMNS.items() if kind == "float64"]
OF_A_SIDE = ("u", "ram_travel_m", "rise_m")
OF_A_PLACE = ("demand_m", "captured_before_m", "captured_m", "open", "hands", "caught")


def events_of(data: bytes, scenario: Scenario, outcome: str) -> Columns:
    """A lift's events.

    Parameters
    ----------
    data : bytes
        What `events.csv` holds.
    scenario : Scenario
        The lift's.
    outcome : str
        How it came out: the record ends with that.

    Returns
    -------
    Columns
        As they were stored.

    Raises
    ------
    ValueError
        It is no whole record of this scenario: where, and what is wrong.
    """
    events = unguarded_table(_table(data)[list(COLUMNS)])
    _see(~np.isfinite(events["time_s"].to_numpy()), "its time is no figure")
    _see(np.diff(events["time_s"].to_numpy(), prepend=0.0) < 0, "its time is before that of the line above")
    _see(np.isinf(events[FLOATS].to_numpy()).any(axis=1), "a figure in it is infinite")
    lifters, places = [x.name for x in scenario.lifters], [x.name for x in scenario.places]
    _see_whose(events, "side", lifters, "lifter", OF_A_SIDE)
    _see_whose(events, "station", places, "station or lifter", OF_A_PLACE)
    said = events[(events["who"] == LEADER) & (events["what"] == outcome)]
    if said.empty:
        raise ValueError(f'it ends before the lift does: no line says "{outcome}"')
    return of_table(events)


def _table(data: bytes) -> pd.DataFrame:
    kinds: dict[str, Any] = COLUMNS
    empty = {name: [""] for name, kind in COLUMNS.items() if kind != "str"}
    head = data.partition(b"\n")[0].decode(errors="replace").strip().split(",")
    missing = [name for name in COLUMNS if name not in head]
    if missing:
        raise ValueError(f"its first line lacks {', '.join(missing)}")
    try:
        table = pd.read_csv(
            BytesIO(data), dtype=kinds, keep_default_na=False, na_values=empty, float_precision="round_trip"
        )
    except (ValueError, OverflowError) as error:
        raise ValueError(f"something in it is not of its column's kind: {error}") from None
    if table.empty:
        raise ValueError("only its first line is left")
    return table


def _see(wrong: Any, what: str) -> None:
    """None of the rows is wrong in this way."""
    at = np.flatnonzero(wrong)
    if at.size:
        raise ValueError(f"line {at[0] + 2}: {what}")


def _see_whose(events: pd.DataFrame, column: str, known: list[str], kind: str, figures: tuple[str, ...]) -> None:
    """Every row that is of somebody is of one whom the scenario knows, with all its figures; and nobody is missing."""
    named = (events[column] != "").to_numpy()
    strange = named & ~events[column].isin(known).to_numpy()
    if strange.any():
        _see(strange, f'"{events[column][strange].iloc[0]}" is no {kind} of the scenario')
    _see(named & events[list(figures)].isna().any(axis=1).to_numpy(), "a figure is missing")
    absent = [name for name in known if name not in set(events[column])]
    if absent:
        raise ValueError(f"it has no line of {', '.join(absent)}")
