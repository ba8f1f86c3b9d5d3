"""The tables of a bundle, each one kind of thing over a span, as columns and rows of plain values.

Times are RFC 3339 UTC; a figure's unit stands in its column's name. Nothing is left out of a kind that fell within the
span, and nothing is taken from outside it but what an interval or a rolling mean needs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.measures.boxes.upkeep import HOURS_SINCE_CHORE, HOURS_SINCE_FILTER
from sentinel.flow.measures.milking.outcomes import gave_milk
from sentinel.flow.measures.tank.means import (
    TANK_BACTERIA_MEAN_K_ML,
    TANK_CELLS_MEAN_K_ML,
    TANK_CELLS_MONTHLY_MEAN_K_ML,
)
from sentinel.flow.model import HOUR_S, Alert, name_of
from sentinel.flow.reasons import in_english
from sentinel.flow.record.rule_version import CHANGED, EDITED
from sentinel.flow.rules import Rule
from sentinel.flow.tables import BOX_LOG, COW_TESTS, COWS, TANK, TIMES, VISITS, Table, Tables, stored_columns
from sentinel.flow.tuning.edit import changes_in
from sentinel.flow.views.parts.records import HISTORY_COLUMNS, rfc3339

BY_THE_LOG = "by the box's log"
"""Who did a chore that nobody recorded and a box's own log tells of."""

Cell = str | int | float | bool | None


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table: its name, its columns and its rows."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True, slots=True)
class Span:
    """From `begin` until before `end`, in UTC seconds."""

    begin: int
    end: int

    def has(self, at: int | None) -> bool:
        """Whether a moment lies in it."""
        return at is not None and self.begin <= at < self.end


@dataclass(frozen=True, slots=True)
class Record:
    """What a bundle is made of: the alerts and the log of the span, what was set aside in it, the rules.

    `tables` holds the rows of the span and those before it that an interval or a rolling mean needs.
    """

    span: Span
    alerts: tuple[Alert, ...]
    log: tuple[Logged, ...]
    aside: tuple[Mapping[str, Any], ...]
    tables: Tables
    rules: Mapping[str, Rule]


def incidents(record: Record) -> Sheet:
    """Every alert that stood at some time within the span, with its incident, its end and its answer."""
    columns = (
        "alert", "incident", "rule", "subject", "raised_at", "since", "over_at", "urgency", "text", "value", "unit",
        "answered_at", "answered_by", "finding", "note",
    )  # fmt: skip
    rows = []
    for one in record.alerts:
        ended = one.over_at is not None and one.over_at < record.span.begin
        if one.raised_at < record.span.end and not ended:
            unit = record.rules[one.rule].unit if one.rule in record.rules else ""
            rows.append((
                one.id, one.incident or one.id, one.rule, one.subject, rfc3339(one.raised_at), rfc3339(one.since),
                _time(one.over_at), one.urgency, one.text, one.value, unit, _time(one.answered_at),
                one.answered_by or None, one.finding or None, one.note or None,
            ))  # fmt: skip
    return Sheet("incidents", columns, tuple(rows))


def answers(record: Record) -> Sheet:
    """Everything that people said of alerts: answers, putting off, handing on."""
    rows = []
    for one in record.log:
        entry, body = one.entry, one.entry.body
        if entry.kind in ("answer", "put-off", "handed"):
            given = body.get("answered_at", entry.at)
            said = [_text(body.get(name)) for name in ("finding", "note", "to")]
            about = (entry.alert, entry.rule, entry.subject, entry.person)
            rows.append((one.seq, rfc3339(int(given)), entry.kind, *about, *said, _time(body.get("until"))))
    columns = ("entry", "at", "kind", "alert", "rule", "subject", "person", "finding", "note", "to", "until")
    return Sheet("answers", columns, tuple(rows))


def chores(record: Record) -> Sheet:
    """Each chore done within the span, by whom, and the hours since it was done before."""
    return _intervals(record, "chores", HOURS_SINCE_CHORE, "chore")


def filters(record: Record) -> Sheet:
    """Each change of a filter within the span, and the hours and milkings since the one before."""
    sheet = _intervals(record, "filters", HOURS_SINCE_FILTER, "box")
    visits = record.tables.visits
    through = visits[gave_milk(visits) & visits["box"].notna().to_numpy()]
    starts = {str(box): np.sort(own["start"].to_numpy(np.int64)) for box, own in through.groupby("box")}
    rows = []
    for row in sheet.rows:
        inside = None
        if row[4] is not None:
            done = _seconds(row[1])
            stretch = [done - round(float(row[4]) * HOUR_S), done]
            before, until = np.searchsorted(starts.get(str(row[0]), np.empty(0, np.int64)), stretch, side="right")
            inside = int(until - before)
        rows.append((*row, inside))
    return replace(sheet, columns=(*sheet.columns, "milkings_since_before"), rows=tuple(rows))


def _intervals(record: Record, name: str, measure: Measure, kind: str) -> Sheet:
    """When something was done, and how long after the time before, per subject of a measure of its resets."""
    frame = measure.compute(record.tables, kind, {}).frame
    begun = record.tables.farm.watched_since
    chore_said = _said_by(record.tables, kind)
    rows = []
    for subject, own in frame.groupby("subject", sort=True):
        moments = [int(at) for at in own["at"]]
        done = [at for at in moments if at != begun]
        for number, at in enumerate(done):
            if record.span.has(at):
                hours = round((at - done[number - 1]) / HOUR_S, 4) if number else None
                person, note = chore_said.get((name_of(str(subject)), at), (None, None))
                rows.append((name_of(str(subject)), rfc3339(at), person or BY_THE_LOG, note, hours))
    columns = (kind, "done_at", "by", "note", "hours_since_before")
    return Sheet(name, columns, tuple(rows))


def _said_by(tables: Tables, kind: str) -> dict[tuple[str, int], tuple[str | None, str | None]]:
    """Who said that a chore was done, and their note, by its name and moment."""
    said = {}
    for chore, place, at, person, note in tables.chores[["chore", "place", "at", "person", "note"]].to_numpy(object):
        if kind == "box" and chore != "filter":
            continue
        where = place or ""
        names = [where] if kind == "box" else [f"{chore}/{where}" if where else str(chore)]
        names += list(tables.farm.boxes) if kind == "box" and not where else []
        for name in names:
            said[(name, int(at))] = (_text(person), _text(note))
    return said


MEANS = (TANK_CELLS_MEAN_K_ML, TANK_CELLS_MONTHLY_MEAN_K_ML, TANK_BACTERIA_MEAN_K_ML)


def tank(record: Record) -> Sheet:
    """The tank's readings and results within the span, with the rolling means and the limits of the farm's rules."""
    frame = record.tables.tank
    means = {measure.name: _means(record, measure) for measure in MEANS if _limit(record, measure) is not None}
    own = [name for name in TANK.names if name not in TANK.key]
    limits = {name: _limit(record, measure_named(name)) for name in means}
    columns = ["tank", "at", *own]
    for name in means:
        columns += [name, name.replace("_k_ml", "_limit_k_ml")]
    rows = []
    for row in frame.to_dict("records"):
        at = int(row["at"])
        if record.span.has(at):
            cells = [row["tank"], rfc3339(at), *(_cell(row[name]) for name in own)]
            for name, of_test in means.items():
                mean = of_test.get((str(row["tank"]), at))
                cells += [mean, limits[name] if mean is not None else None]
            rows.append(tuple(cells))
    return Sheet("tank", tuple(columns), tuple(rows))


def _means(record: Record, measure: Measure) -> dict[tuple[str, int], float]:
    """A rolling mean at each test, by tank and moment, by the options of the rule on it."""
    rule = next(rule for rule in record.rules.values() if rule.measure == measure.name)
    frame = measure.compute(record.tables, "tank", measure.settings(rule.options)).frame
    known = frame[frame["value"].notna()]
    return {
        (name_of(str(subject)), int(at)): round(float(value), 1)
        for subject, at, value in zip(known["subject"], known["at"], known["value"], strict=True)
    }


def _limit(record: Record, measure: Measure) -> float | None:
    """The limit by the first rule on a mean, which is the bound that it raises over; None if no rule is on it."""
    rules = (rule for rule in record.rules.values() if rule.measure == measure.name)
    return next((rule.raise_over for rule in rules), None)


def set_aside(record: Record) -> Sheet:
    """What of the exports could not be read within the span and has not been read whole since, and why."""
    rows = [
        (str(one["feed"]), str(one["file"]), one["line"] or None, rfc3339(one["at"]), in_english(one["reason"]))
        for one in record.aside
        if record.span.has(one["at"])
    ]
    return Sheet("set-aside", ("feed", "file", "line", "read_at", "reason"), tuple(rows))


def rule_changes(record: Record) -> Sheet:
    """Each change of the settings within the span, by whom and why where that is kept."""
    rows = []
    for one in record.log:
        if one.entry.kind in (CHANGED, EDITED):
            body, entry = one.entry.body, one.entry
            lines = [str(line) for line in body.get("changes", ())]
            if entry.kind == EDITED:
                lines = [f"{entry.rule}: {change.key} {change.before} → {change.after}" for change in changes_in(body)]
            said = (_text(entry.person), _text(body.get("why")))
            rows += [(one.seq, rfc3339(entry.at), line, *said) for line in lines]
    return Sheet("rule-changes", ("entry", "at", "change", "by", "why"), tuple(rows))


def history(record: Record) -> Sheet:
    """The log of the span, an entry a row; `log.txt` has it with its chain."""
    rows = [
        (
            one.seq, rfc3339(one.entry.at), one.entry.kind, one.entry.alert, one.entry.rule or None,
            one.entry.subject or None, one.entry.person or None, _body(one.entry.body),
        )
        for one in record.log
    ]  # fmt: skip
    return Sheet("history", HISTORY_COLUMNS, tuple(rows))


def _body(body: Mapping[str, Any]) -> str:
    return "; ".join(f"{name}: {value}" for name, value in sorted(body.items()) if value not in (None, "", [], {}))


def _exported(table: Table) -> Callable[[Record], Sheet]:
    """A sheet of an exported table's rows within the span."""

    def sheet(record: Record) -> Sheet:
        frame: pd.DataFrame = getattr(record.tables, table.name)
        kinds = stored_columns(table)
        inside = frame[frame[table.happened].between(record.span.begin, record.span.end - 1)]
        columns = [_column(inside[name], kinds[name] in TIMES) for name in kinds]
        return Sheet(table.name.replace("_", "-"), tuple(kinds), tuple(zip(*columns, strict=True)))

    return sheet


KINDS: Mapping[str, Callable[[Record], Sheet]] = {
    "incidents": incidents,
    "answers": answers,
    "chores": chores,
    "filters": filters,
    "tank": tank,
    "set-aside": set_aside,
    "rule-changes": rule_changes,
    "history": history,
    "visits": _exported(VISITS),
    "box-log": _exported(BOX_LOG),
    "cows": _exported(COWS),
    "cow-tests": _exported(COW_TESTS),
}
"""Every kind that a bundle may hold, by the name of its files."""

USUAL = ("incidents", "answers", "chores", "filters", "tank", "set-aside", "rule-changes")
"""Those of a bundle of which nobody said otherwise."""


def sheets(record: Record, kinds: Iterable[str]) -> list[Sheet]:
    """The sheets of the kinds that are wanted."""
    return [KINDS[kind](record) for kind in kinds]


def _column(values: pd.Series, times: bool) -> list[Cell]:
    """A column's cells, as `_cell` gives them, and moments; of a year there are ten million."""
    known = values.notna().tolist()
    if times:
        return [rfc3339(int(one)) if is_known else None for one, is_known in zip(values.tolist(), known, strict=True)]
    if values.dtype == np.float64:
        return [
            (int(one) if one.is_integer() else one) if is_known else None
            for one, is_known in zip(values.tolist(), known, strict=True)
        ]
    return [_cell(one) if is_known else None for one, is_known in zip(values.tolist(), known, strict=True)]


def _time(at: Any) -> str | None:
    return None if at is None else rfc3339(int(at))


def _seconds(text: Cell) -> int:
    return int(datetime.fromisoformat(str(text)).timestamp())


def _text(value: Any) -> str | None:
    return None if value is None or value == "" or (isinstance(value, float) and np.isnan(value)) else str(value)


def _cell(value: Any) -> Cell:
    """A figure or text as it is written: whole numbers without a decimal point, nothing where nothing is known."""
    if value is None or (isinstance(value, float) and np.isnan(value)):
        return None
    if isinstance(value, float):
        return int(value) if value.is_integer() else value
    return value if isinstance(value, str | int | bool) else str(value)


def csv_cells(sheet: Sheet) -> Sequence[Sequence[str]]:
    """A sheet's rows as texts."""
    return [["" if cell is None else str(cell) for cell in row] for row in sheet.rows]
