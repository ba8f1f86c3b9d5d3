"""The tables as frames: their types, and the rows that are known at a moment."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.derived import Derived
from sentinel.flow.model import QUARTERS
from sentinel.flow.tables.declare import Kind, Table
from sentinel.flow.tables.exported import (
    BOX_LOG,
    COW_TESTS,
    COWS,
    EXPORTED,
    MEASURED,
    QUARTER_ROWS,
    QUARTER_VALUES,
    TANK,
    VISITS,
)
from sentinel.flow.tables.facts import FarmFacts
from sentinel.flow.tables.own import CHORES, DELIVERIES, FILES, OWN, UNREAD

STORED = (*MEASURED, *OWN)
"""Every table with rows of its own."""

PER_COW = tuple(table.name for table in STORED if table.per_cow)
"""The names of those whose rows are readings of single cows."""

IN_BULK = tuple(table for table in STORED if table.in_bulk)
"""Those that a replay in bulk rests on."""


def table_named(name: str) -> Table:
    """The exported or own table of that name; raises KeyError if there is none."""
    for table in (*EXPORTED, *OWN):
        if table.name == name:
            return table
    raise KeyError(name)


def wide(value: str) -> list[str]:
    """The four wide columns of a quarter value, in the order of `QUARTERS`.

    >>> wide("milk_kg")
    ['lf_milk_kg', 'rf_milk_kg', 'lr_milk_kg', 'rr_milk_kg']
    """
    return [f"{quarter.lower()}_{value}" for quarter in QUARTERS]


_FRAME_TYPES = {
    "text": "object",
    "word": "object",
    "reason": "object",
    "time": "int64",
    "date": "float64",
    "moment": "float64",
    "number": "float64",
    "count": "float64",
    "flag": "float64",
}


def stored_columns(table: Table) -> dict[str, Kind]:
    """Column name to kind, as it is stored; `visits` carries its quarters as wide columns."""
    kinds = {c.name: c.kind for c in table.columns}
    if table is VISITS:
        kinds |= {name: QUARTER_ROWS.column(value).kind for value in QUARTER_VALUES for name in wide(value)}
    return kinds


def frame_types(table: Table) -> dict[str, str]:
    """Column name to NumPy type of the table's frame.

    Times are int64 UTC seconds; numbers, counts, flags and dates are float64 with NaN for missing; names and
    words are object columns of `str`, reasons of `Reason`, with None for missing.
    """
    return {name: _FRAME_TYPES[kind] for name, kind in stored_columns(table).items()}


def empty_frame(table: Table) -> pd.DataFrame:
    """A frame with the table's columns and types and no row."""
    return pd.DataFrame({name: np.empty(0, dtype=kind) for name, kind in frame_types(table).items()})


@dataclass(frozen=True, slots=True)
class Tables:
    """The rows known at a moment, as frames sorted by when they happened (then by key): one for each of `STORED`.

    `visits` holds the quarters as wide columns (see `wide`). Functions never change these frames. `derived` keeps what
    was worked out of them.
    """

    visits: pd.DataFrame = field(default_factory=lambda: empty_frame(VISITS))
    box_log: pd.DataFrame = field(default_factory=lambda: empty_frame(BOX_LOG))
    cows: pd.DataFrame = field(default_factory=lambda: empty_frame(COWS))
    tank: pd.DataFrame = field(default_factory=lambda: empty_frame(TANK))
    cow_tests: pd.DataFrame = field(default_factory=lambda: empty_frame(COW_TESTS))
    chores: pd.DataFrame = field(default_factory=lambda: empty_frame(CHORES))
    files: pd.DataFrame = field(default_factory=lambda: empty_frame(FILES))
    deliveries: pd.DataFrame = field(default_factory=lambda: empty_frame(DELIVERIES))
    unread: pd.DataFrame = field(default_factory=lambda: empty_frame(UNREAD))
    farm: FarmFacts = field(default_factory=FarmFacts)
    derived: Derived = field(default_factory=Derived, repr=False, compare=False)

    def of_cows(self, cows: Collection[str]) -> Tables:
        """The same with the readings of some cows only; the herd list stays whole."""
        rows_of_cows: dict[str, Any] = {}
        for name in PER_COW:
            frame: pd.DataFrame = getattr(self, name)
            rows_of_cows[name] = frame[frame["cow"].isin(cows).to_numpy(bool)].reset_index(drop=True)
        return replace(self, **rows_of_cows)
