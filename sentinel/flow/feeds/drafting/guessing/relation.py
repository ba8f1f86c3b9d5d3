"""A finding between columns: that one is a field of a table, or that it is not."""

from __future__ import annotations

from dataclasses import dataclass

SURE = 6.0


@dataclass(frozen=True, slots=True)
class Relation:
    """Which column is which field of a table, by so many log odds; `unit` if it tells that."""

    table: str
    field: str
    title: str
    weight: float
    unit: str = ""
