"""Invented herds for tests of how a herd is doing: as many cows as wanted, milked at the same hours of every day."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd
from text_tables import DAY_0

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import COW_TESTS, TANK, VISITS, FarmFacts, FeedFacts, Table, Tables, empty_frame, frame_types


def rows_of(table: Table, columns: dict[str, Any]) -> pd.DataFrame:
    """Rows of a table, in order; columns that are not given are missing."""
    frame = pd.DataFrame(columns, index=range(len(next(iter(columns.values())))))
    frame = frame.reindex(columns=list(empty_frame(table).columns)).astype(frame_types(table))
    order = list(dict.fromkeys((table.happened, *table.key)))
    return frame.sort_values(order, ignore_index=True)


def milkings(
    first: int,
    days: int,
    cows: int = 10,
    hours: Sequence[int] = (5, 13, 21),
    kg: float = 10.0,
    boxes: int = 2,
    **more: Any,
) -> pd.DataFrame:
    """Each cow is milked at each hour of each day from `first` on (counted from day 0), at a box by her number."""
    day, hour, cow = (
        a.ravel() for a in np.meshgrid(range(first, first + days), hours, range(1, cows + 1), indexing="ij")
    )
    given = {
        "cow": [str(n) for n in cow],
        "start": DAY_0 + day * DAY_S + hour * HOUR_S + cow * 60,
        "box": [str(1 + n % boxes) for n in cow],
        "outcome": ["milked"] * len(cow),
        "milk_kg": [kg] * len(cow),
        "duration_s": [360.0] * len(cow),
        "attach_s": [60.0] * len(cow),
    }
    return rows_of(VISITS, {**given, **{name: [value] * len(cow) for name, value in more.items()}})


def herd(*visits: pd.DataFrame, until: int, **frames: pd.DataFrame) -> Tables:
    """Tables with these visits, known until a moment."""
    every = pd.concat(visits, ignore_index=True).sort_values(["start", "cow"], ignore_index=True)
    facts = FarmFacts(boxes=("1", "2"), feeds=(FeedFacts("visits", ("visits",), "hourly", until),), zone="UTC")
    return Tables(visits=every.astype(frame_types(VISITS)), farm=facts, **frames)


def tank_tests(*results: tuple[int, float], tank: str = "1") -> pd.DataFrame:
    """Cells of a tank at moments."""
    at, cells = zip(*results, strict=True)
    return rows_of(TANK, {"tank": [tank] * len(at), "at": list(at), "cells_k_ml": list(cells)})


def cow_tests(*results: tuple[str, int, float]) -> pd.DataFrame:
    """Cells of cows at moments."""
    cow, at, cells = zip(*results, strict=True)
    return rows_of(COW_TESTS, {"cow": list(cow), "at": list(at), "cells_k_ml": list(cells)})
