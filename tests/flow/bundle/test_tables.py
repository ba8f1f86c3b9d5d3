"""The tables of a bundle: each kind over its span, with intervals, rolling means and limits."""

from __future__ import annotations

from dataclasses import replace

import pytest
from text_tables import DAY_0, moment, table

from sentinel.flow.alerts.chain import START, chained
from sentinel.flow.bundle.tables import BY_THE_LOG, KINDS, USUAL, Record, Sheet, Span, csv_cells, sheets
from sentinel.flow.model import DAY_S, Alert, Entry
from sentinel.flow.reasons import Reason
from sentinel.flow.rules import load_rules
from sentinel.flow.tables import ChoreFacts, FarmFacts, Tables

RULES, PROBLEMS = load_rules(
    """
- rule: tank-cells
  measure: tank_cells_mean_k_ml
  raise_over: 400 k/ml
  urgency: round
  say: "{tank}"
- rule: late-cow
  measure: hours_since_milking
  raise_over: 14 h
  urgency: now
  say: "{cow}"
""",
    "rules.yaml",
)
VISITS = """
cow  start    box  outcome
1    1d02:00  1    milked
2    1d03:00  1    milked
3    1d03:30  1    refused
4    1d05:00  2    milked
"""
BOX_LOG = """
box  at       event
1    1d01:00  filter_changed
1    1d04:00  filter_changed
2    20:00    filter_changed
"""
CHORES = """
chore   place  at       person  note
filter  2      1d06:00  Marit   torn
wire    east   1d07:00  Marit   -
wire    east   12:00    Joren   -
"""
TANK = """
tank  at        temperature_C  litres  cells_k_ml  bacteria_k_ml
1     -60d08:00  -             -       100         -
1     -30d08:00  -             -       400         -
1     -1d08:00   -             -       1600        -
1     1d08:00    4             900     100         -
1     1d09:00    3.5           -       -           -
"""
SPAN = Span(moment("1d00:00"), moment("2d00:00"))


def record(**changed: object) -> Record:
    """A day of a small farm."""
    assert PROBLEMS == []
    chores = (
        ChoreFacts("filter", "1", "filter_changed"),
        ChoreFacts("filter", "2", "filter_changed"),
        ChoreFacts("wire", "east"),
    )
    tables = Tables(
        visits=table("visits", VISITS),
        box_log=table("box_log", BOX_LOG),
        chores=table("chores", CHORES),
        tank=table("tank", TANK),
        farm=FarmFacts(boxes=("1", "2"), chores=chores, watched_since=DAY_0 - 90 * DAY_S, zone="UTC"),
    )
    at = SPAN.begin
    alerts = (
        Alert(1, "late-cow", "cow:1", at - 500, at - 600, "now", "Cow 1", over_at=at - 100),
        Alert(
            2,
            "late-cow",
            "cow:2",
            at - 500,
            at - 600,
            "now",
            "Cow 2",
            14.5,
            over_at=at + 100,
            answered_at=at,
            answered_by="Marit",
        ),
        Alert(3, "gone-rule", "cow:3", SPAN.end, SPAN.end, "now", "Cow 3"),
    )
    said = {"finding": "seen to", "note": "=1+1", "answered_at": at - 5}
    entries = [
        Entry(at, "answer", 2, "late-cow", "cow:2", "Marit", said),
        Entry(at + 1, "rules-changed", person="Anna", body={"changes": ["late: a", "late: b"], "why": "heat"}),
        Entry(
            at + 2, "rule-edited", rule="late", person="Joren", body={"key": "lasting", "before": "1 h", "after": "2 h"}
        ),
    ]
    aside = (
        {"feed": "milkings", "file": "a.csv", "line": 3, "at": at, "reason": Reason("not-a-time", what="x")},
        {"feed": "milkings", "file": "b.csv", "line": 0, "at": at - 1, "reason": None},
    )
    whole = Record(SPAN, alerts, tuple(chained(entries, START, 0)), aside, tables, {rule.name: rule for rule in RULES})
    return replace(whole, **changed)  # type: ignore[arg-type]


def rows(kind: str, *columns: str) -> list[tuple[object, ...]]:
    """Some columns of a kind."""
    sheet = KINDS[kind](record())
    places = [sheet.columns.index(column) for column in columns]
    return [tuple(row[place] for place in places) for row in sheet.rows]


def test_alerts_that_stood_within_the_span_are_there_with_their_answers() -> None:
    """Not one that was over before, nor one that came after; the unit comes from the rule."""
    assert rows("incidents", "alert", "value", "unit", "answered_by") == [(2, 14.5, "h", "Marit")]
    assert rows("answers", "alert", "person", "finding", "note") == [(2, "Marit", "seen to", "=1+1")]


def test_a_chore_has_the_hours_since_it_was_done_before() -> None:
    """Also where that was before the span; who recorded it, or that a box's log did."""
    assert rows("chores", "chore", "by", "hours_since_before") == [
        ("filter/1", BY_THE_LOG, None),
        ("filter/1", BY_THE_LOG, 3.0),
        ("filter/2", "Marit", 10.0),
        ("wire/east", "Marit", 19.0),
    ]


def test_a_filter_has_the_milkings_since_the_change_before() -> None:
    """Those at its box that gave milk, after the change before and up to this one."""
    assert rows("filters", "box", "by", "hours_since_before", "milkings_since_before") == [
        ("1", BY_THE_LOG, None, None),
        ("1", BY_THE_LOG, 3.0, 2),
        ("2", "Marit", 10.0, 1),
    ]


def test_the_tank_has_its_rolling_mean_and_the_limit() -> None:
    """By hand: the fourth root of 100 x 400 x 1600 x 100 is 282.8 (k/ml); a reading without a test has none."""
    assert rows("tank", "cells_k_ml", "tank_cells_mean_k_ml", "tank_cells_mean_limit_k_ml") == [
        (100, pytest.approx(282.8), 400.0),
        (None, None, None),
    ]


def test_what_was_set_aside_and_which_rules_changed() -> None:
    """Of the span alone; each changed line a row, with who and why."""
    assert rows("set-aside", "file", "line", "reason") == [("a.csv", 3, "x is not a time")]
    assert rows("rule-changes", "change", "by", "why") == [
        ("late: a", "Anna", "heat"),
        ("late: b", "Anna", "heat"),
        ("late: lasting 1 h → 2 h", "Joren", None),
    ]


def test_rows_of_exports_are_those_of_the_span() -> None:
    """With times in UTC and whole numbers as such."""
    assert len(KINDS["visits"](record()).rows) == 4
    assert len(KINDS["box-log"](record()).rows) == 2
    [first, *_] = rows("tank", "at", "litres")
    assert str(first[0]).endswith("Z") and first[1] == 900


def test_every_kind_makes_a_sheet_whose_rows_fit_its_columns() -> None:
    """Also of an empty farm, and as texts."""
    for whole in (record(), record(tables=Tables(), alerts=(), log=(), aside=(), rules={})):
        for sheet in sheets(whole, KINDS):
            assert isinstance(sheet, Sheet) and sheet.columns
            assert all(len(row) == len(sheet.columns) for row in (*sheet.rows, *csv_cells(sheet)))
    assert set(USUAL) <= set(KINDS)
