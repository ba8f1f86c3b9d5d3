"""A rule's own examples, run: small tables in, what the rule must say about them out.

An example is decided by the same code as the farm's rows: its tables become frames, each table is known until its
newest row, as a feed is, and the rule is judged at the moment that the example counts its times back from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.evaluation.pace import pace_said
from sentinel.flow.evaluation.quiet import at_pace
from sentinel.flow.evaluation.verdicts import judge
from sentinel.flow.language import ENGLISH
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.model import DAY_S, HOUR_S, Problem, Source, State, Subject, Verdict, kind_of, name_of
from sentinel.flow.ordering import natural_key
from sentinel.flow.reasons import Reason
from sentinel.flow.rules.example_rows import TABLES, expectation, parse_ago, read_small_table
from sentinel.flow.rules.faults import Fault
from sentinel.flow.rules.quantities import format_quantity
from sentinel.flow.rules.rule import Rule
from sentinel.flow.subjects import kind_named
from sentinel.flow.tables import (
    EXPORTED,
    OWN,
    QUARTER_VALUES,
    TIMES,
    ChoreFacts,
    FarmFacts,
    FeedFacts,
    Table,
    Tables,
    empty_frame,
    frame_types,
)
from sentinel.flow.yaml.text import read_yaml

HERD_LIST_FROM_S = 300 * DAY_S
"""A herd list in an example that does not say from when it holds has held for so long."""

Row = dict[str, Any]


def example_tables(example: Mapping[str, Any], at: int) -> Tables:
    """The rows of an example as frames, its times counted back from `at` (UTC seconds)."""
    rows = {table.name: _rows(example, table, at) for table in (*EXPORTED, *OWN)}
    rows["visits"] = _with_quarters(rows["visits"], rows.pop("quarters"))
    frames: dict[str, Any] = {name: _frame(TABLES[name], some) for name, some in rows.items()}
    return Tables(**frames, farm=_farm(example, rows, at))


def example_known_until(example: Mapping[str, Any], at: int) -> dict[str, int | None]:
    """Up to when each table that the example gives is known, and each of its columns: its newest row; None without one.

    Visits and their quarters come in one export, so they share one moment. What sentinel writes itself (chores,
    files, deliveries) is known at once and bounds nothing.
    """
    known: dict[str, int | None] = {}
    for table in EXPORTED:
        if table.name in example:
            moments = [row[table.happened] for row in _rows(example, table, at)]
            known[table.name] = max(moments, default=None)
            small, _ = read_small_table(table, example[table.name])
            known |= {f"{table.name}.{name}": known[table.name] for row in small.rows for name in row}
    milkings = [known[name] for name in ("visits", "quarters") if known.get(name) is not None]
    for name in {"visits", "quarters"} & known.keys():
        known[name] = max((moment for moment in milkings if moment is not None), default=None)
    if "quarters" in known:
        known["visits"] = known["quarters"]
    return known


def run_examples(rule: Rule, measure: Measure, at: int) -> list[Problem]:
    """Every example of the rule that does not come out as it says, with its place and what came out instead."""
    problems = []
    for index, verdicts in enumerate(example_verdicts(rule, measure, at)):
        for message in _misses(rule.examples[index], verdicts, rule.unit):
            problems.append(Problem(_place(rule, index), f"examples.{index}: {message}"))
    return problems


def example_verdicts(rule: Rule, measure: Measure, at: int) -> Iterator[dict[str, Verdict]]:
    """What the rule says of each subject of each of its examples, in their order; by the name that the example has."""
    for example in rule.examples:
        judged = judge(rule, measure, example_tables(example, at), example_known_until(example, at), at)
        written = {_on_day(subject, at): subject for subject in expectation(example)[1]}
        yield {written.get(verdict.subject, verdict.subject): verdict for verdict in judged.verdicts}


def _on_day(subject: Subject, at: int) -> Subject:
    """A subject as an example writes it with the day in its name that is so long ago, if it has one."""
    if not kind_named(kind_of(subject)).dated:
        return subject
    day = ENGLISH.local(at - parse_ago(name_of(subject))).date()
    return f"{kind_of(subject)}:{day.isoformat()}"


def _misses(example: Mapping[str, Any], verdicts: Mapping[str, Verdict], unit: str) -> Iterator[str]:
    """What an example expects and did not get."""
    expected, subjects = expectation(example)
    wanted = {"raises": State.HOLDS, "quiet": State.CLEAR, "unknown": State.UNKNOWN}[expected]
    for subject in subjects:
        verdict = verdicts.get(subject)
        nothing_to_say = verdict is None and expected == "quiet"
        if nothing_to_say or (verdict is not None and verdict.state == wanted):
            if verdict and "urgency" in example and verdict.urgency != example["urgency"]:
                yield f"{subject} should be {example['urgency']}, but it is {verdict.urgency}"
            continue
        should = {"raises": "should be raised", "quiet": "should stay quiet", "unknown": "should be unknown"}[expected]
        yield f"{subject} {should}, but {_said(verdict, unit)}"
    for subject, verdict in verdicts.items():
        if verdict.state == State.HOLDS and subject not in subjects:
            yield f"{subject} is raised too ({_said(verdict, unit)}), which the example does not say"


def _said(verdict: Verdict | None, unit: str) -> str:
    """What the rule said, in a few words."""
    if verdict is None:
        return "the rule says nothing of it"
    if verdict.state == State.UNKNOWN:
        return f"the rule cannot tell: {verdict.why}"
    value = "not known" if verdict.value is None else format_quantity(verdict.value, unit)
    return f"the value is {value}, so the rule {'holds' if verdict.state == State.HOLDS else 'is clear'}"


def _place(rule: Rule, index: int) -> Source:
    """Where one example stands in the rule's file."""
    document, _ = read_yaml(rule.text, rule.source.name)
    inside = document.source((0, "examples", index))
    return Source(rule.source.name, rule.source.line + inside.line - 1, inside.column)


def _rows(example: Mapping[str, Any], table: Table, at: int) -> list[Row]:
    """The rows of one small table with their times as UTC seconds; columns it leaves out are missing."""
    if table.name not in example:
        return []
    small, faults = read_small_table(table, example[table.name])
    if faults:
        raise ValueError(_first(faults))
    times = {column.name for column in table.columns if column.kind in TIMES}
    rows = []
    for given in small.rows:
        row: Row = {column.name: None for column in table.columns}
        row |= {key: at - value if key in times and value is not None else value for key, value in given.items()}
        if table.name == "cows" and row["from"] is None:
            row["from"] = at - HERD_LIST_FROM_S
        rows.append(row)
    return rows


def _first(faults: list[Fault]) -> str:
    """The first fault in a sentence; examples of loaded rules have none."""
    return f"line {faults[0].lines}: {faults[0].message}"


def _with_quarters(visits: list[Row], quarters: list[Row]) -> list[Row]:
    """The visits with their quarters as wide columns; a quarter without a visit stands at one that was milked."""
    visit_by_key = {(row["cow"], row["start"]): dict(row) for row in visits}
    for row in quarters:
        visit = {"cow": row["cow"], "start": row["start"], "box": row["box"], "outcome": "milked"}
        visit = visit_by_key.setdefault((row["cow"], row["start"]), visit)
        visit |= {f"{row['quarter'].lower()}_{value}": row[value] for value in QUARTER_VALUES}
    return list(visit_by_key.values())


def _frame(table: Table, rows: list[Row]) -> pd.DataFrame:
    """Rows as the table's frame, sorted by when they happened, then by key."""
    if not rows:
        return empty_frame(table)
    types = frame_types(table)
    rows = sorted(rows, key=lambda row: (row[table.happened], *(natural_key(str(row[key])) for key in table.key)))
    columns: dict[str, pd.Series] = {}
    for name, kind in types.items():
        values = [row.get(name) for row in rows]
        columns[name] = _names(values) if kind == "object" else pd.Series(np.array(values, dtype=kind))
    return pd.DataFrame(columns)


def _names(values: list[Any]) -> pd.Series:
    """A column of names or reasons, None where there is none."""
    return pd.Series(
        [value if value is None or isinstance(value, Reason) else str(value) for value in values], dtype=object
    )


def _feed(feed: Row, since: int) -> FeedFacts:
    """A feed as an example has it."""
    facts = FeedFacts(
        feed["feed"],
        tuple((feed["tables"] or "").split(",")) if feed["tables"] else (),
        feed["pace"] or "hourly",
        feed["known_until"],
        since if feed["watched_since"] is None else feed["watched_since"],
    )
    return facts if feed["every_h"] is None else at_pace(facts, pace_said(round(HOUR_S * feed["every_h"])), {})


def _farm(example: Mapping[str, Any], rows: Mapping[str, list[Row]], at: int) -> FarmFacts:
    """What the farm is like: as the example says, else as its rows show. Watching begins at `at` if not said."""
    since = at - parse_ago(str(example.get("watched_since", "now")))
    boxes = example.get("boxes") or sorted(
        {row["box"] for name in ("visits", "box_log") for row in rows[name] if row["box"]}, key=natural_key
    )
    chores = _rows(example, TABLES["farm_chores"], at) or list(
        {(row["chore"], row["place"]): {**row, "event": None, "planned": False} for row in rows["chores"]}.values()
    )
    feeds = _rows(example, TABLES["feeds"], at)
    return FarmFacts(
        boxes=tuple(str(box) for box in boxes),
        chores=tuple(ChoreFacts(c["chore"], c["place"] or "", c["event"] or "", bool(c["planned"])) for c in chores),
        feeds=tuple(_feed(feed, since) for feed in feeds),
        watched_since=since,
        decided=tuple((row["rule"], row["until"]) for row in _rows(example, TABLES["decided"], at)),
    )
