"""Which charts a page shows, drawn from the rows that are known."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from sentinel.flow.language import Words
from sentinel.flow.measures.boxes.failures.failures_beyond_chance import FAILURES_BEYOND_CHANCE
from sentinel.flow.model import DAY_S, HOUR_S, Alert, kind_of, name_of
from sentinel.flow.rules import Rule
from sentinel.flow.tables import Tables
from sentinel.flow.views.alert import pictures_of
from sentinel.flow.views.charts import (
    Picture,
    cells_chart,
    cow_chart,
    failures_chart,
    late_chart,
    quarter_chart,
    tank_chart,
    teats_chart,
)
from sentinel.flow.views.charts.failures import counted, teat_map
from sentinel.flow.views.charts.series import series_of
from sentinel.flow.views.cow import CowPage
from sentinel.flow.views.parts.cow_weeks import cow_weeks
from sentinel.flow.views.parts.late_cows import late_cows
from sentinel.flow.views.parts.snapshot import Snapshot
from sentinel.flow.views.parts.timeline import GLANCE_S
from sentinel.flow.views.quarter import quarter_page
from sentinel.flow.views.tank import TankPage, tank_page

BEFORE_S, AFTER_S = DAY_S, 6 * HOUR_S
"""A box's failures are counted up from a day before an alert's first to six hours past its end."""

TEATS_S = 12 * HOUR_S
"""A box's teat positions are those of the alert's own window, or of this long before its reading."""


@dataclass(frozen=True, slots=True)
class Rows:
    """What charts are drawn from: the rows, the rules, the alerts known, the farm's zone, the words and the moment."""

    tables: Tables
    rules: Mapping[str, Rule]
    alerts: tuple[Alert, ...]
    zone: str
    words: Words
    at: int


Draw = Callable[[Alert, Rows, int], Iterator[Picture]]
"""Draws what an alert shows of some rows, up to its end; nothing if its subject has no such chart."""


def rows_of(snapshot: Snapshot, alerts: tuple[Alert, ...]) -> Rows:
    """What charts are drawn from, of a snapshot and the alerts that belong on them."""
    return Rows(snapshot.tables, snapshot.rules, alerts, snapshot.farm.zone, snapshot.words, snapshot.at)


def alert_pictures(alert: Alert, rows: Rows) -> tuple[Picture, ...]:
    """The charts that show why an alert was raised; of one that is over, as things stood at its end."""
    ended = rows.at if alert.over_at is None else min(rows.at, alert.over_at + AFTER_S)
    shown = pictures_of(rows.rules.get(alert.rule), kind_of(alert.subject))
    return tuple(picture for chart in shown for picture in DRAWN[chart](alert, rows, ended))


def _quarter(alert: Alert, rows: Rows, ended: int) -> Iterator[Picture]:
    yield quarter_picture(name_of(alert.subject), rows, ended)


def _failures(alert: Alert, rows: Rows, ended: int) -> Iterator[Picture]:
    """None of all boxes at once."""
    if kind_of(alert.subject) == "box":
        first = min(int(alert.facts.get("first_at", alert.since)), alert.since)
        begin = max(first, ended - GLANCE_S) - BEFORE_S
        shown = counted(name_of(alert.subject), rows.tables, begin, ended)
        yield failures_chart(shown, rows.words, rows.zone, rows.at, [alert.raised_at])


def _teats(alert: Alert, rows: Rows, ended: int) -> Iterator[Picture]:
    """None of all boxes at once."""
    if kind_of(alert.subject) == "box":
        until = int(alert.facts.get("reading_at", ended))
        first = min(int(alert.facts.get("first_at", until - TEATS_S)), until - 1) - 1
        yield teats_chart(teat_map(name_of(alert.subject), rows.tables, first, until), rows.words, rows.at)


def _late(alert: Alert, rows: Rows, ended: int) -> Iterator[Picture]:
    """Only while it stands: who is late now."""
    if alert.standing:
        cow = name_of(alert.subject) if kind_of(alert.subject) == "cow" else ""
        yield late_chart(late_cows(rows.tables, rows.rules, rows.at), rows.words, rows.at, cow)


def _cow(alert: Alert, rows: Rows, ended: int) -> Iterator[Picture]:
    cow = name_of(alert.subject).partition("/")[0]
    yield cow_chart(cow_weeks(cow, rows.tables, rows.alerts, rows.rules, ended), rows.words, rows.zone)


def _tank(figure: str) -> Draw:
    """What draws one of the tank's figures."""

    def draw(alert: Alert, rows: Rows, ended: int) -> Iterator[Picture]:
        page = tank_page(name_of(alert.subject), rows.tables, rows.alerts, rows.rules, rows.at)
        yield tank_chart(page, figure, rows.words, rows.zone, rows.at)

    return draw


DRAWN: Mapping[str, Draw] = {
    "quarter": _quarter,
    "failures": _failures,
    "teats": _teats,
    "late": _late,
    "cow": _cow,
    "tank-cells": _tank("cells"),
    "tank-bacteria": _tank("bacteria"),
    "tank-temperature": _tank("temperature"),
}
"""What draws each chart of an alert."""


def cow_pictures(page: CowPage, rows: Rows) -> dict[str, Picture]:
    """A cow's `cells` at her last tests, and her `weeks`."""
    return {
        "cells": cells_chart(page.cow, page.tests, page.cells_bound_k_ml, rows.words),
        "weeks": cow_chart(page.weeks, rows.words, rows.zone),
    }


def quarter_picture(name: str, rows: Rows, at: int) -> Picture:
    """A quarter (`217/LF`) against the others up to a moment, with what the rule on quarters made of it."""
    cow, _, quarter = name.partition("/")
    subject = f"quarter:{name}"
    alerts = [alert for alert in rows.alerts if alert.subject == subject]
    rule = _quarter_rule(alerts, rows.rules)
    measured = series_of(rule, subject, rows.tables, at) if rule else None
    limit = None
    if measured is not None and measured.unit == "mS/cm":
        limit, measured = measured.bound, None
    return quarter_chart(
        quarter_page(cow, quarter, rows.tables, alerts, at),
        rows.words,
        rows.zone,
        at,
        measured,
        limit,
        [alert.raised_at for alert in alerts if rule is None or alert.rule == rule.name],
    )


def _quarter_rule(alerts: Iterable[Alert], rules: Mapping[str, Rule]) -> Rule | None:
    """The rule of the newest alert on a quarter, else the first rule on quarters whose measure has readings."""
    used = [rules[alert.rule] for alert in sorted(alerts, key=lambda a: -a.id) if alert.rule in rules]
    return next(iter([*used, *(rule for rule in rules.values() if rule.per == "quarter")]), None)


def quarter_pictures(cow: str, quarter: str, rows: Rows) -> tuple[Picture, ...]:
    """A quarter against the others."""
    return (quarter_picture(f"{cow}/{quarter}", rows, rows.at),)


def box_pictures(box: str, rows: Rows) -> tuple[Picture, ...]:
    """A box's failures of two weeks, and where it has seen the teats in the last twelve hours."""
    raised = [a.raised_at for a in rows.alerts if a.subject == f"box:{box}" and _about_failures(a, rows.rules)]
    whole = counted(box, rows.tables, rows.at - GLANCE_S, rows.at)
    return (
        failures_chart(whole, rows.words, rows.zone, rows.at, raised),
        teats_chart(teat_map(box, rows.tables, rows.at - TEATS_S, rows.at), rows.words, rows.at),
    )


def _about_failures(alert: Alert, rules: Mapping[str, Rule]) -> bool:
    return alert.rule in rules and rules[alert.rule].measure == FAILURES_BEYOND_CHANCE.name


def tank_pictures(page: TankPage, rows: Rows) -> tuple[Picture, ...]:
    """A tank's temperature, and its cells and bacteria where a laboratory told any."""
    figures = ["temperature"] if page.readings else []
    figures += [
        name for name in ("cells", "bacteria") if any(getattr(t, f"{name}_k_ml") is not None for t in page.tests)
    ]
    return tuple(tank_chart(page, figure, rows.words, rows.zone, rows.at) for figure in figures)
