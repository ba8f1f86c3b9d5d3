"""One quarter's page: its milkings of two weeks against the cow's other quarters."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sentinel.flow.model import Alert
from sentinel.flow.tables import Tables
from sentinel.flow.views.parts.timeline import Mark, alert_marks, lately, records
from sentinel.flow.views.parts.visits import rows_of, visit_of


@dataclass(frozen=True, slots=True)
class QuarterPage:
    """Two weeks of one quarter against the cow's other quarters, the newest milking first."""

    cow: str
    quarter: str
    readings: tuple[QuarterReading, ...]
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class QuarterReading:
    """One reading: the quarter's own mS/cm and kg, the mean of the other quarters' of the milking, and the cup."""

    at: int
    box: str
    own: float | None
    others: float | None
    milk_kg: float | None
    others_kg: float | None
    kicked_off: bool | None


def quarter_page(cow: str, quarter: str, tables: Tables, alerts: Iterable[Alert], at: int) -> QuarterPage:
    """One quarter's page at `at`: its milkings of two weeks against the cow's other quarters."""
    rows = lately(rows_of(tables.visits, cow), at, "start")
    readings = []
    for row in records(rows):
        visit = visit_of(row, "")
        if not visit.quarters:
            continue
        own = next(q for q in visit.quarters if q.quarter == quarter)
        rest = [q for q in visit.quarters if q.quarter != quarter]
        others, kg = (_mean(getattr(q, name) for q in rest) for name in ("conductivity", "milk_kg"))
        readings.append(QuarterReading(visit.at, visit.box, own.conductivity, others, own.milk_kg, kg, own.kicked_off))
    return QuarterPage(cow, quarter, tuple(reversed(readings)), alert_marks(alerts, [f"quarter:{cow}/{quarter}"], at))


def _mean(values: Iterable[float | None]) -> float | None:
    """The mean of the known values; None without one."""
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if known else None
