"""One visit as the box that writes collections knows it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import pandas as pd

from sentinel.flow.model import QUARTERS
from sentinel.flow.tables import QUARTER_VALUES


class Quarter(NamedTuple):
    """One quarter at one visit; NaN where nothing was measured."""

    conductivity: float
    milk_kg: float
    kicked_off: bool
    teat_mm: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Record:
    """One visit with its four quarters; kilograms are rounded as a scale shows them."""

    start: int
    cow: str
    box: str
    outcome: str
    duration_s: int
    attach_s: float
    attempts: int
    milk_kg: float
    quarters: tuple[Quarter, ...]


def visit_records(visits: pd.DataFrame) -> list[Record]:
    """The rows of `visits` as records."""
    values = {
        name: visits[[f"{q.lower()}_{name}" for q in QUARTERS]].to_numpy(float).tolist() for name in QUARTER_VALUES
    }
    milk = visits["milk_kg"].fillna(0.0).tolist()
    columns = [visits[name].tolist() for name in ("start", "cow", "box", "outcome", "duration_s", "attach_s")]
    tries = visits["attempts"].fillna(0).astype(int).tolist()
    records = []
    for n, (start, cow, box, outcome, duration, attach) in enumerate(zip(*columns, strict=True)):
        quarters = tuple(
            Quarter(c, kg, off == 1.0, (x, y, z))
            for c, kg, off, x, y, z in zip(*(values[name][n] for name in QUARTER_VALUES), strict=True)
        )
        records.append(Record(start, cow, box, outcome, int(duration), attach, tries[n], milk[n], quarters))
    return records
