"""A cow's visits as pages show them, each with its four quarters."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from sentinel.flow.model import QUARTERS
from sentinel.flow.tables import wide
from sentinel.flow.views.parts.timeline import number, text


@dataclass(frozen=True, slots=True)
class QuarterMilking:
    """One quarter at one milking: mS/cm at 25 °C, kg, and whether the cup came off early (None: not told)."""

    quarter: str
    conductivity: float | None
    milk_kg: float | None
    kicked_off: bool | None


@dataclass(frozen=True, slots=True)
class Visit:
    """One visit to a box. `outcome` as the export says, else as the milk tells.

    It is empty if neither does, and `unknown` if what the export says could not be read and the milk does not tell.
    """

    at: int
    box: str
    outcome: str
    milk_kg: float | None
    duration_s: float | None
    attach_s: float | None
    attempts: float | None
    quarters: tuple[QuarterMilking, ...]


def rows_of(frame: pd.DataFrame, cow: str) -> pd.DataFrame:
    """The rows of one cow."""
    return frame[(frame["cow"] == cow).to_numpy(bool)]


def visit_of(row: Mapping[str, Any], outcome: str) -> Visit:
    """One row of visits as the page shows it."""
    columns = {value: wide(value) for value in ("conductivity_mS_cm", "milk_kg", "kicked_off")}
    quarters = []
    for n, quarter in enumerate(QUARTERS):
        conductivity, milk, kicked = (number(row[columns[value][n]]) for value in columns)
        quarters.append(QuarterMilking(quarter, conductivity, milk, None if kicked is None else bool(kicked)))
    has = any(q.conductivity is not None or q.milk_kg is not None for q in quarters)
    return Visit(
        int(row["start"]),
        text(row["box"]),
        outcome,
        number(row["milk_kg"]),
        number(row["duration_s"]),
        number(row["attach_s"]),
        number(row["attempts"]),
        tuple(quarters) if has else (),
    )
