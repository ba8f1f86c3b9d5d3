"""Values from the store as columns of a frame with their declared types, and a row as the alert it is."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from typing import Any

import numpy as np

from sentinel.flow.model import Alert


def column_of(values: Sequence[Any], kind: str, texts: dict[str, str]) -> np.ndarray:
    """A column with its declared type; None becomes NaN in a number column. Of `texts` that are alike one is kept."""
    if kind == "object":
        column = np.empty(len(values), dtype=object)
        column[:] = [texts.setdefault(value, value) for value in values]
        return column
    return np.array(values, dtype=kind)


def alert_of(row: sqlite3.Row) -> Alert:
    """An alert from its row."""
    values = dict(row)
    values["facts"] = json.loads(values["facts"])
    for name in ("covered_by", "look_first", "caution"):
        values[name] = tuple(json.loads(values[name]))
    return Alert(**values)
