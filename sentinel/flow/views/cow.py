"""One cow's page: whether she is ill, and what speaks for it, in four weeks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sentinel.flow.evaluation.attributes import herd_changes
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.facts import BASELINE
from sentinel.flow.measures.cells.cow_cells import COW_CELLS_K_ML
from sentinel.flow.measures.cells.recording import LIMIT
from sentinel.flow.measures.cells.recording_high_cows import RECORDING_HIGH_COWS
from sentinel.flow.model import DAY_S, HOUR_S, Alert, name_of
from sentinel.flow.rules import Rule
from sentinel.flow.schedule.days import day_of, days_between
from sentinel.flow.tables import IN_MILK, Tables
from sentinel.flow.views.parts.bounds import bound_for, option_of
from sentinel.flow.views.parts.cow_weeks import GAVE, WEEKS_S, CowWeeks, cow_weeks, visits_of
from sentinel.flow.views.parts.listed_cows import OnList, on_lists
from sentinel.flow.views.parts.timeline import Mark, number, records, text
from sentinel.flow.views.parts.udder import Udder, udder_of, with_alerts
from sentinel.flow.views.parts.visits import Visit, rows_of

WAITS_H = 48
"""Past so many hours nothing is told of the milk that waits: a full udder makes less (our choice, no source)."""


@dataclass(frozen=True, slots=True)
class CowDay:
    """One day of a cow on the farm's calendar: from `begins`, how many milkings with how much milk, and what else.

    A visit belongs to the day on which it began. `let_go`: she was not due, or not admitted.
    """

    begins: int
    milkings: int
    milk_kg: float
    failed: int
    let_go: int


@dataclass(frozen=True, slots=True)
class CowTest:
    """One milk recording: cells in thousands per ml, and kg of the day."""

    at: int
    cells_k_ml: float | None
    milk_kg: float | None


@dataclass(frozen=True, slots=True)
class CowPage:
    """Four weeks of one cow, the newest visit, day and test first.

    `since_milking_h` counts to `known_until` (None: nothing is known of the visits), as a visit after it may not have
    been told. `waiting_kg`: about how much milk she has for the box, None where it cannot be told. `since_then`: how
    often she came in vain since, by outcome. `days_in_milk` counts from her last calving, `status_since` from when
    the herd list has her as `status`. `tests` are those of the last 400 days that are known. `cells_bound_k_ml` is the
    rule's for her at the newest, `on_lists` the alerts on a recording that list her.
    `udder`: None where no quarter was read lately.
    """

    cow: str
    known: bool
    group: str
    status: str
    status_since: int | None
    lactation: int | None
    days_in_milk: int | None
    milkings_allowed: float | None
    known_until: int | None
    last_milked_at: int | None
    since_milking_h: float | None
    waiting_kg: float | None
    since_then: Mapping[str, int]
    udder: Udder | None
    weeks: CowWeeks
    days: tuple[CowDay, ...]
    tests: tuple[CowTest, ...]
    cells_bound_k_ml: float | None
    on_lists: tuple[OnList, ...] = ()

    @property
    def standing(self) -> tuple[Mark, ...]:
        """The alerts that stand on her or on a quarter of hers."""
        return tuple(mark for mark in self.weeks.marks if mark.ends is None)


def cow_page(
    cow: str,
    tables: Tables,
    alerts: Iterable[Alert],
    zone: str,
    at: int,
    rules: Mapping[str, Rule] | None = None,
    standing: Iterable[Alert] = (),
) -> CowPage:
    """One cow's page at `at`; `known` is false if neither a visit nor a list ever named her.

    `alerts` are hers and her quarters', `standing` all that stand: some may list her.
    """
    visits, alerts, rules = visits_of(cow, tables, at), list(alerts), rules or {}
    weeks = cow_weeks(cow, tables, alerts, rules, at, visits)
    now = _herd_row(tables, cow, at)
    milked = [visit.at for visit in visits if visit.outcome == "milked"]
    until = weeks.known_until
    since = max(0.0, (until - milked[-1]) / HOUR_S) if milked and until is not None else None
    after = [visit for visit in visits if milked and visit.at > milked[-1]]
    calved, lactation, status = number(now.get("calved_on")), number(now.get("lactation")), text(now.get("status"))
    since_status = number(now.get("status_since"))
    recorded = tuple(
        CowTest(int(row["at"]), number(row["cells_k_ml"]), number(row["milk_kg"]))
        for row in reversed(records(rows_of(tables.cow_tests, cow)))
        if row["at"] <= at
    )
    tested_at = recorded[0].at if recorded else at
    bound = bound_for(COW_CELLS_K_ML.name, f"cow:{cow}", rules, tables, tested_at)
    limit = option_of(RECORDING_HIGH_COWS, LIMIT, rules)
    udder = udder_of(cow, visits, tables, at)
    stand = {name_of(mark.subject).partition("/")[2]: mark.alert for mark in weeks.marks[::-1] if mark.ends is None}
    return CowPage(
        cow=cow,
        known=bool(visits or now or recorded),
        group=text(now.get("group")),
        status=status,
        status_since=None if since_status is None else int(since_status),
        lactation=None if lactation is None else round(lactation),
        days_in_milk=None if calved is None else int((at - calved) // DAY_S),
        milkings_allowed=number(now.get("milkings_allowed")),
        known_until=until,
        last_milked_at=milked[-1] if milked else None,
        since_milking_h=since,
        waiting_kg=waiting_kg(weeks, since, after) if status in ("", *IN_MILK) else None,
        since_then=Counter(
            visit.outcome for visit in after if visit.outcome in ("incomplete", "failed", "not_admitted")
        ),
        udder=with_alerts(udder, stand, _usual_at_raise(cow, alerts, rules)) if udder else None,
        weeks=weeks,
        days=_days(weeks.visits, zone, at),
        tests=recorded,
        cells_bound_k_ml=bound[0] if bound else limit,
        on_lists=on_lists(f"cow:{cow}", standing),
    )


def _usual_at_raise(cow: str, alerts: Iterable[Alert], rules: Mapping[str, Rule]) -> dict[str, float]:
    """The conductivity in mS/cm that was usual for a quarter when an alert that stands on it was raised, by quarter."""
    on_conductivity = {name for name, rule in rules.items() if measure_named(rule.measure).usual == BASELINE.name}
    return {
        name_of(alert.subject).partition("/")[2]: float(alert.facts["usual"])
        for alert in alerts
        if alert.standing and alert.rule in on_conductivity and alert.subject.startswith(f"quarter:{cow}/")
        if "usual" in alert.facts
    }


def waiting_kg(weeks: CowWeeks, since_h: float | None, after: Sequence[Visit]) -> float | None:
    """About how many kg of milk wait in her udder: her kg an hour before her last whole milking x hours since.

    Her kg an hour are those of two days. Less what visits `after` that milking took, which are too little to tell her
    rate from. None without her rate, past 48 h, or where a visit since gave milk that was not weighed.
    """
    begins = after[0].at if after else weeks.at + 1
    rates = [one.kg_a_day for one in weeks.yields if one.kg_a_day is not None and one.at < begins]
    taken = [visit.milk_kg for visit in after if visit.outcome in GAVE]
    if since_h is None or since_h > WAITS_H or not rates or None in taken:
        return None
    return max(0.0, rates[-1] / 24.0 * since_h - sum(kg or 0.0 for kg in taken))


def _herd_row(tables: Tables, cow: str, at: int) -> Mapping[str, object]:
    """What the herd list says of a cow at a moment; empty if it never named her."""
    changes = herd_changes(tables)
    rows = changes[(changes["cow"] == cow).to_numpy(bool) & (changes["from"].to_numpy(np.int64) <= at)]
    if rows.empty:
        return {}
    values = {str(key): value for key, value in rows.iloc[-1].items()}
    others = np.flatnonzero((rows["status"] != values["status"]).to_numpy(bool))
    begins = rows["from"].to_numpy(np.int64)[others[-1] + 1 if len(others) else 0]
    listed = rows_of(tables.cows, cow)
    listed = listed[listed["from"].to_numpy(np.int64) <= at]
    calvings = listed["calved_on"].dropna()
    return values | {"status_since": begins} | ({"calved_on": calvings.iloc[-1]} if len(calvings) else {})


def _days(visits: Iterable[Visit], zone: str, at: int) -> tuple[CowDay, ...]:
    """The days of the four weeks, the newest first; one without a visit is there with nothing in it."""
    by_day: dict[int, list[Visit]] = {day: [] for day in days_between(at - WEEKS_S, at, zone)}
    for visit in visits:
        if day_of(visit.at, zone) in by_day:
            by_day[day_of(visit.at, zone)].append(visit)
    return tuple(
        CowDay(
            day,
            sum(v.outcome in GAVE for v in here),
            sum(v.milk_kg or 0.0 for v in here),
            sum(v.outcome == "failed" for v in here),
            sum(v.outcome in ("not_due", "not_admitted") for v in here),
        )
        for day, here in sorted(by_day.items(), reverse=True)
    )
