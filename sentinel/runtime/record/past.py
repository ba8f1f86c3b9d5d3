"""What was known at a moment, put together again from the store, and why an alert came of it or none did."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from typing import Any

import pandas as pd

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import alert_with, alerts_of_incidents
from sentinel.edges.store.exports.as_known import as_known, bring_rows, row_sources
from sentinel.edges.store.history import settings_used, tick_by
from sentinel.edges.store.keeping import LET_GO_BEFORE
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.outbox import deliveries_of, notices_about, pushed_between
from sentinel.errors import UsageError
from sentinel.flow.evaluation.held_readings import Began, Beginnings
from sentinel.flow.model import HOUR_S, Alert, Problem, Subject
from sentinel.flow.notices.history import TELLING
from sentinel.flow.notices.plan import PUSHES
from sentinel.flow.reasons import Reason
from sentinel.flow.record.evidence import RowsBehind, Seen, seen
from sentinel.flow.record.rule_version import CHANGED, EDITED, RuleVersion, rule_version
from sentinel.flow.record.story import Story, came_entry, stood_at, story
from sentinel.flow.record.why import RowShown, Usual, Why, agree
from sentinel.flow.rules import Rule
from sentinel.flow.setup import Setup, read_setup
from sentinel.flow.tables import MEASURED, Tables, table_named
from sentinel.runtime.engine import Engine

Reader = Callable[[Mapping[str, str]], tuple[Setup | None, list[Problem]]]

LATER = 1 << 40
"""Later than any notice: only those that name an alert are asked for."""


@dataclass(frozen=True, slots=True)
class FarmThen:
    """A farm as it was known at a moment: its settings, rows, up to when each table was known, and the last file."""

    at: int
    setup: Setup
    tables: Tables
    known: Mapping[str, int | None]
    files_to: int
    settings: Sequence[tuple[int, Mapping[str, str]]]


def farm_then(store: Store, at: int, read: Reader = read_setup) -> FarmThen | Reason:
    """The farm as a tick at `at` saw it, or would have; or why that cannot be put together again."""
    if int(store.meta(LET_GO_BEFORE) or 0) > at:
        return Reason("past-let-go")
    tick = tick_by(store, at)
    if tick is None:
        return Reason("past-unread")
    used = settings_used(store)[: tick.settings_to]
    if not used:
        return Reason("past-no-settings")
    setup, problems = read(used[-1][1])
    if setup is None:
        return Reason("past-settings", detail=str(problems[0]))
    with closing(as_known(store, at, tick.files_to)) as past:
        engine = Engine(past, setup, tell=False)
        reach = engine.reach(at)
        for table in MEASURED:
            bring_rows(store, past, table, tick.files_to, reach[table.name] - table.kept_s)
        tables, known = engine.seen_at(at)
    return FarmThen(at, setup, tables, known, tick.files_to, used)


def why_alert(store: Store, number: int, read: Reader = read_setup) -> Why:
    """Why an alert came, as it last did, and what became of it; raises UsageError if there is none of that number."""
    alert = alert_with(store, number)
    if alert is None:
        raise UsageError(f"there is no alert {number}; `sentinel alerts --all` lists them")
    log = log_entries(store, alert=number)
    came = came_entry(log, number)
    at = alert.came if came is None else came.entry.at
    told_value = None if came is None else came.entry.body.get("value")
    then, rule, cannot = _then(store, at, alert.rule, read)
    saw = None if then is None or rule is None else _seen(then, rule, alert.subject, {})
    version = None if then is None or rule is None else _version(store, then, rule)
    rows, usual = ((), ()) if saw is None or then is None else _rows(store, then, saw)
    agrees = None if saw is None or came is None else agree(told_value, saw.value)
    became = _story(store, alert, then, at)
    return Why(
        at, alert.rule, alert.subject, alert, version, saw, cannot, rows, usual, became, None, told_value, agrees
    )


def why_not(store: Store, rule_name: str, subject: Subject, at: int, read: Reader = read_setup) -> Why:
    """What a rule saw of a subject at a moment, whether an alert stood or none did."""
    then, rule, cannot = _then(store, at, rule_name, read)
    stood = stood_at(log_entries(store, rule=rule_name), rule_name, subject, at)
    alert = alert_with(store, stood.alert) if stood else None
    if then is None or rule is None:
        return Why(at, rule_name, subject, alert, None, None, cannot, (), (), None, stood)
    begun: Beginnings = {}
    if stood is not None and alert is not None:
        begun = {subject: Began(stood.since, alert.facts.get("usual"))}
    saw = _seen(then, rule, subject, begun)
    rows, usual = _rows(store, then, saw)
    became = _story(store, alert, then, stood.came_at) if alert is not None and stood is not None else None
    return Why(at, rule_name, subject, alert, _version(store, then, rule), saw, None, rows, usual, became, stood)


def _then(store: Store, at: int, rule: str, read: Reader) -> tuple[FarmThen | None, Rule | None, Reason | None]:
    """The farm at a moment and the rule as it stood, or why they cannot be put together again."""
    then = farm_then(store, at, read)
    if isinstance(then, Reason):
        return None, None, then
    if rule not in then.setup.rules:
        return then, None, Reason("past-no-rule", name=rule, names=", ".join(then.setup.rules))
    return then, then.setup.rules[rule], None


def _seen(then: FarmThen, rule: Rule, subject: Subject, begun: Beginnings) -> Seen:
    return seen(rule, then.tables, then.known, then.at, subject, begun)


def _version(store: Store, then: FarmThen, rule: Rule) -> RuleVersion:
    edits = [*log_entries(store, kind=CHANGED), *log_entries(store, kind=EDITED)]
    return rule_version(rule, then.settings, sorted(edits, key=lambda one: one.seq))


def _story(store: Store, alert: Alert, then: FarmThen | None, at: int) -> Story:
    """What became of an alert that came at `at`."""
    together = alerts_of_incidents(store, {alert.incident}) if alert.incident else [alert]
    notices = notices_about(store, [one.id for one in together] or [alert.id], LATER)
    people, zone = ((), "UTC") if then is None else (then.setup.people, then.setup.farm.zone)
    pushed = pushed_between(store, at - HOUR_S, at - 1, PUSHES)
    log = log_entries(store, alert=alert.id)
    return story(alert, log, notices, deliveries_of(store, notices), people, zone, pushed, at, PUSHES, TELLING)


def _rows(store: Store, then: FarmThen, saw: Seen) -> tuple[tuple[RowShown, ...], tuple[Usual, ...]]:
    """The rows that it rested on with their files and lines, and how many told what is usual."""
    shown: list[RowShown] = []
    for behind in saw.rows:
        table = table_named(behind.table)
        sources = row_sources(store, table, behind.keys, then.files_to)
        frame = _frame(then.tables, behind)
        place = table.key.index(table.happened) if table.happened in table.key else None
        for key, stands in zip(behind.keys, sources, strict=True):
            at = int(key[place]) if place is not None else behind.end
            where = tuple((one.file, one.line) for one in stands) or _own_source(table.name, frame, key)
            shown.append(RowShown(table.name, at, _says(frame, table.key, key), where))
    usual = [Usual(one.table, one.before, one.before_from, one.begin - 1) for one in saw.rows if one.before]
    return tuple(sorted(shown, key=lambda row: (row.at, row.table))), tuple(usual)


def _frame(tables: Tables, behind: RowsBehind) -> pd.DataFrame:
    """The table's rows of the stretch, by their key."""
    table = table_named(behind.table)
    frame: pd.DataFrame = getattr(tables, table.name)
    inside = (frame[table.happened] >= behind.begin) & (frame[table.happened] <= behind.end)
    return frame[inside].set_index(list(table.key), drop=False)


def _own_source(table: str, frame: pd.DataFrame, key: Sequence[Any]) -> tuple[tuple[str, int | None], ...]:
    """Where a row of sentinel's own stands: a file that was read names itself, what people said is in the log."""
    if table == "files":
        return ((str(key[1]), None),)
    if table == "unread":
        return ((str(key[1]), int(key[2])),)
    return ()


def _says(frame: pd.DataFrame, names: Sequence[str], key: Sequence[Any]) -> tuple[tuple[str, Any], ...]:
    """What a row says, without what is missing in it."""
    if tuple(key) not in frame.index:
        return tuple(zip(names, key, strict=True))
    row = frame.loc[[tuple(key)]].iloc[0]
    values = {str(name): getattr(value, "item", lambda value=value: value)() for name, value in row.items()}
    return tuple((name, _plain(value)) for name, value in values.items() if not pd.isna(value))


def _plain(value: Any) -> Any:
    """A value as JSON has it."""
    return value if isinstance(value, int | float | str | bool) else str(value)
