"""Alerts as they are now; what happened to them is in the log."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import fields
from typing import Any

from sentinel.edges.store.database import Store, fetch
from sentinel.flow.model import Alert
from sentinel.flow.reasons import from_json, to_json

LISTS = ("covered_by", "look_first", "caution")
"""The fields that are kept as a JSON list."""


def all_alerts(store: Store) -> list[Alert]:
    """Every alert, standing or over, in order of their number, as everywhere here."""
    return _alerts(store, "1")


def alert_with(store: Store, number: int | None) -> Alert | None:
    """The alert with this number."""
    alerts = _alerts(store, "id = ?", (number,))
    return alerts[0] if alerts else None


def alerts_with(store: Store, numbers: Iterable[int]) -> list[Alert]:
    """The alerts with these numbers, as far as there are any."""
    return _alerts(store, "id in (select value from json_each(?))", (json.dumps(sorted(set(numbers))),))


def standing_alerts(store: Store) -> list[Alert]:
    """The alerts that stand."""
    return _alerts(store, "over_at is null")


def unanswered_alerts(store: Store) -> list[Alert]:
    """The alerts that stand and that nobody has answered."""
    return _alerts(store, "over_at is null and answered_at is null")


def standing_or_ended_since(store: Store, at: int) -> list[Alert]:
    """The alerts that stand or ended at `at` or later."""
    return _alerts(store, "over_at is null or over_at >= ?", (at,))


def alerts_of_rule(store: Store, rule: str) -> list[Alert]:
    """Every alert of a rule."""
    return _alerts(store, "rule = ?", (rule,))


def alerts_on(store: Store, subjects: Sequence[str]) -> list[Alert]:
    """Every alert on one of these subjects."""
    return _alerts(store, f"subject in ({', '.join('?' * len(subjects))})", subjects)


def newest_alerts(store: Store) -> dict[tuple[str, str], Alert]:
    """The newest alert of each rule and subject."""
    newest = _alerts(store, "id in (select max(id) from alerts group by rule, subject)")
    return {(alert.rule, alert.subject): alert for alert in newest}


def newest_alert_id(store: Store) -> int:
    """The number of the newest alert, 0 if there is none."""
    return int(fetch(store, "select coalesce(max(id), 0) from alerts")[0][0])


def save_alerts(store: Store, alerts: Iterable[Alert]) -> None:
    """Write alerts as they are now."""
    names = [field.name for field in fields(Alert)]
    rows = []
    for alert in alerts:
        row = {name: getattr(alert, name) for name in names}
        row["over_why"] = to_json(alert.over_why)
        row["facts"] = json.dumps(dict(alert.facts), sort_keys=True)
        for name in LISTS:
            row[name] = json.dumps(list(row[name]), ensure_ascii=False)
        rows.append(row)
    marks = ", ".join(f":{name}" for name in names)
    with store.writing() as conn:
        conn.executemany(f"insert or replace into alerts ({', '.join(names)}) values ({marks})", rows)


def _alerts(store: Store, where: str, values: Sequence[Any] = ()) -> list[Alert]:
    return [_alert(row) for row in fetch(store, f"select * from alerts where {where} order by id", values)]


def _alert(row: sqlite3.Row) -> Alert:
    values = dict(row)
    values["over_why"] = from_json(values["over_why"])
    values["facts"] = json.loads(values["facts"])
    for name in LISTS:
        values[name] = tuple(json.loads(values[name]))
    return Alert(**values)
