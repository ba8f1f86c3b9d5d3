"""One cow's page: two weeks at a glance."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from sentinel.flow.evaluation.attributes import herd_changes
from sentinel.flow.evaluation.known_until import known_of
from sentinel.flow.measures.milking.outcomes import outcomes
from sentinel.flow.model import DAY_S, HOUR_S, QUARTERS, Alert
from sentinel.flow.schedule.days import day_of, days_between
from sentinel.flow.tables import Tables
from sentinel.flow.views.parts.timeline import GLANCE_S, Mark, alert_marks, number, records, text
from sentinel.flow.views.parts.visits import Visit, rows_of, visit_of

MILK = ("milked", "incomplete")


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
    rows = rows_of(tables.visits, cow)
    how = outcomes(rows)
    visits = [visit_of(row, str(o or text(row["outcome"]))) for row, o in zip(records(rows), how, strict=True)]
    visits = [visit for visit in visits if visit.at <= at]
    now = _herd_row(tables, cow, at)
    until = known_of("visits", tables.farm.feeds, at)
    milked = [visit.at for visit in visits if visit.outcome == "milked"]
    since = (until - milked[-1]) / HOUR_S if milked and until is not None else None
    calved = number(now.get("calved_on"))
    tests = rows_of(tables.cow_tests, cow)
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


def _herd_row(tables: Tables, cow: str, at: int) -> Mapping[str, object]:
    """What the herd list says of a cow at a moment; empty if it never named her."""
    changes = herd_changes(tables)
    rows = changes[(changes["cow"] == cow).to_numpy(bool) & (changes["from"].to_numpy(np.int64) <= at)]
    if rows.empty:
        return {}
    values = {str(key): value for key, value in rows.iloc[-1].items()}
    listed = rows_of(tables.cows, cow)
    listed = listed[listed["from"].to_numpy(np.int64) <= at]
    calvings = listed["calved_on"].dropna()
    return values | ({"calved_on": calvings.iloc[-1]} if len(calvings) else {})


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
