"""Rows of a lesson's tables, by the setting of its sliders."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

Setting = Mapping[str, float]  # each slider's name and where it stands


def rows_of(table: pd.DataFrame, setting: Mapping[str, object]) -> pd.DataFrame:
    """The rows of one setting: in each of its columns what it says."""
    for column, value in setting.items():
        table = table[table[column] == value]
    return table


def row_of(table: pd.DataFrame, setting: Mapping[str, object]) -> pd.Series:
    """What one setting came to: the first of its rows."""
    return rows_of(table, setting).iloc[0]
