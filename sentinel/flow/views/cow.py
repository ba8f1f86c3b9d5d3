"""One cow's page, and her quarters': two weeks at a glance."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.evaluation.attributes import herd_changes
from sentinel.flow.measures.outcomes import outcomes
from sentinel.flow.model import DAY_S, HOUR_S, QUARTERS, Alert
from sentinel.flow.tables import Tables, wide
from sentinel.flow.views.days import day_of, days_between
from sentinel.flow.views.known import known_of
from sentinel.flow.views.span import GLANCE_S, Mark, alert_marks, lately, number, records, text

MILK = ("milked", "incomplete")


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


@dataclass(frozen=True, slots=True)
class CowDay:
    """One day of a cow on the farm's calendar: from `begins`, how many milkings with how much milk, failures, refusals.

    A visit belongs to the day on which it began.
    """

    begins: int
    milkings: int
    milk_kg: float
    failed: int
    refused: int


@dataclass(frozen=True, slots=True)
class CowTest:
    """One milk recording: cells in thousands per ml, and kg of the day."""

    at: int
    cells_k_ml: float | None
    milk_kg: float | None


@dataclass(frozen=True, slots=True)
class CowPage:
    """Two weeks of one cow, the newest visit first.

    `since_milking_h` counts to `known_until` (None: nothing is known of the visits), as a visit after it may not have
    been told. `days_in_milk` counts from her last calving. `tests` are those of the last 400 days that are known.
    """

    cow: str
    known: bool
    group: str
    status: str
    lactation: int | None
    days_in_milk: int | None
    milkings_allowed: float | None
    known_until: int | None
    last_milked_at: int | None
    since_milking_h: float | None
    days: tuple[CowDay, ...]
    visits: tuple[Visit, ...]
    tests: tuple[CowTest, ...]
    marks: tuple[Mark, ...]


def cow_page(cow: str, tables: Tables, alerts: Iterable[Alert], zone: str, at: int) -> CowPage:
    """One cow's page at `at`; `known` is false if neither a visit nor a list ever named her."""
    mine = _rows_of(tables.visits, cow)
    how = outcomes(mine)
    visits = [_visit(row, str(o or text(row["outcome"]))) for row, o in zip(records(mine), how, strict=True)]
    visits = [visit for visit in visits if visit.at <= at]
    now = _herd_row(tables, cow, at)
    until = known_of("visits", tables.farm.feeds, at)
    milked = [visit.at for visit in visits if visit.outcome == "milked"]
    since = (until - milked[-1]) / HOUR_S if milked and until is not None else None
    calved = number(now.get("calved_on"))
    tests = _rows_of(tables.cow_tests, cow)
    recent = [visit for visit in visits if visit.at > at - GLANCE_S]
    subjects = (f"cow:{cow}", *(f"quarter:{cow}/{quarter}" for quarter in QUARTERS))
    lactation = number(now.get("lactation"))
    return CowPage(
        cow=cow,
        known=bool(visits or now or len(tests)),
        group=text(now.get("group")),
        status=text(now.get("status")),
        lactation=None if lactation is None else round(lactation),
        days_in_milk=None if calved is None else int((at - calved) // DAY_S),
        milkings_allowed=number(now.get("milkings_allowed")),
        known_until=until,
        last_milked_at=milked[-1] if milked else None,
        since_milking_h=None if since is None else max(0.0, since),
        days=_days(recent, zone, at),
        visits=tuple(reversed(recent)),
        tests=tuple(
            CowTest(int(row["at"]), number(row["cells_k_ml"]), number(row["milk_kg"]))
            for row in reversed(records(tests))
            if row["at"] <= at
        ),
        marks=alert_marks(alerts, subjects, at),
    )


def _rows_of(frame: pd.DataFrame, cow: str) -> pd.DataFrame:
    return frame[(frame["cow"] == cow).to_numpy(bool)]


def _herd_row(tables: Tables, cow: str, at: int) -> Mapping[str, object]:
    """What the herd list says of a cow at a moment; empty if it never named her."""
    changes = herd_changes(tables)
    mine = changes[(changes["cow"] == cow).to_numpy(bool) & (changes["from"].to_numpy(np.int64) <= at)]
    if mine.empty:
        return {}
    found = {str(key): value for key, value in mine.iloc[-1].items()}
    listed = _rows_of(tables.cows, cow)
    listed = listed[listed["from"].to_numpy(np.int64) <= at]
    calvings = listed["calved_on"].dropna()
    return found | ({"calved_on": calvings.iloc[-1]} if len(calvings) else {})


def _visit(row: Mapping[str, Any], outcome: str) -> Visit:
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


def _days(visits: Iterable[Visit], zone: str, at: int) -> tuple[CowDay, ...]:
    """The days of the last two weeks, the newest first; one without a visit is there with nothing in it."""
    by_day: dict[int, list[Visit]] = {day: [] for day in days_between(at - GLANCE_S, at, zone)}
    for visit in visits:
        if day_of(visit.at, zone) in by_day:
            by_day[day_of(visit.at, zone)].append(visit)
    return tuple(
        CowDay(
            day,
            sum(v.outcome in MILK for v in here),
            sum(v.milk_kg or 0.0 for v in here),
            sum(v.outcome == "failed" for v in here),
            sum(v.outcome == "refused" for v in here),
        )
        for day, here in sorted(by_day.items(), reverse=True)
    )


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
    mine = lately(_rows_of(tables.visits, cow), at, "start")
    readings = []
    for row in records(mine):
        visit = _visit(row, "")
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
