"""Values from the store as columns of a frame with their declared types, and a row as the alert it is."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from functools import cache
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.model import Alert
from sentinel.flow.reasons import from_json
from sentinel.flow.tables import Table, frame_types

AT_ONCE = 5000
"""So many rows are fetched at once on their way into a frame: as Python objects they take ten times the memory."""

MANY = 20_000
"""Of so many rows a frame's columns stay apart, as they were read."""


def column_of(values: Sequence[Any], kind: str, texts: dict[str, Any]) -> np.ndarray:
    """A column with its declared type; None becomes NaN in a number column. Of `texts` that are alike one is kept."""
    if kind == "object":
        column = np.empty(len(values), dtype=object)
        column[:] = [texts.setdefault(value, value) for value in values]
        return column
    return np.array(values, dtype=kind)


def alert_of(row: sqlite3.Row) -> Alert:
    """An alert from its row."""
    values = dict(row)
    values["over_why"] = from_json(values["over_why"])
    values["facts"] = json.loads(values["facts"])
    for name in ("covered_by", "look_first", "caution"):
        values[name] = tuple(json.loads(values[name]))
    return Alert(**values)


def frame_of(conn: sqlite3.Connection, table: Table, where: str, values: Sequence[Any]) -> pd.DataFrame:
    """The table's rows of which `where` holds as a frame with its declared types, in order of time, then key."""
    types = frame_types(table)
    names = ", ".join(f'"{name}"' for name in types)
    order = ", ".join(f'"{c}"' for c in dict.fromkeys((table.happened, *table.key)))
    texts: dict[str, Any] = {}
    reasons = {column.name: cache(from_json) for column in table.columns if column.kind == "reason"}
    cursor = conn.cursor()
    cursor.row_factory = None
    rest = f'from "{table.name}" where {where}'
    rows = cursor.execute(f"select {names} {rest} order by {order}", values).fetchmany(AT_ONCE)
    many = len(rows)
    if many == AT_ONCE:  # whole columns are made once: pieces put together would take the memory twice
        many = int(conn.execute(f"select count(*) {rest}", values).fetchone()[0])
    data = {name: np.empty(many, dtype=kind) for name, kind in types.items()}
    begin = 0
    while rows:
        for (name, kind), column in zip(types.items(), zip(*rows, strict=True), strict=True):
            values = [value and reasons[name](value) for value in column] if name in reasons else column
            data[name][begin : begin + len(rows)] = column_of(values, kind, texts)
        begin += len(rows)
        rows = cursor.fetchmany(AT_ONCE)
    series = {name: pd.Series(column, dtype=column.dtype, copy=False) for name, column in data.items()}
    return pd.DataFrame(series, copy=many < MANY)  # pandas would put the columns together, into a second whole
