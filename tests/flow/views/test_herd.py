"""The herd's page."""

from __future__ import annotations

from dataclasses import replace

import pytest
from flow.herd.herd_rows import herd, milkings, tank_tests
from text_tables import moment, moment_text
from view_farm import AT, alert, rows, snapshot

from sentinel.flow.herd.figures import Averages
from sentinel.flow.herd.history import HerdPast
from sentinel.flow.rules import Rule
from sentinel.flow.tables import Tables
from sentinel.flow.views.herd import HerdPage, herd_page

VISITS = """
cow  start     box  outcome     milk_kg
1    -1d06:00  1    milked      10
1    00:30     1    milked      12
2    08:00     1    milked      8
1    09:00     2    failed      -
1    16:00     2    incomplete  4
3    20:00     2    milked      9
1    1d06:00   1    milked      11
2    1d07:00   1    refused     -
"""
COWS = """
cow  from      status
1    -1d00:00  milking
2    -1d00:00  milking
2    1d00:00   dry
3    -1d00:00  withheld
4    -1d00:00  dry
5    -1d00:00  -
"""
LATE = Rule(name="late-share", measure="late_share", per="herd", unit="%", raise_over=10)


def page_of(tables: Tables, *rules: Rule, past: HerdPast | None = None, at: int = AT) -> HerdPage:
    """The page at noon of the day after the first."""
    farm = replace(snapshot(tables=tables), at=at, rules={rule.name: rule for rule in rules})
    return herd_page(farm, past or HerdPast())


def test_days_are_those_of_the_farms_calendar_counted_as_the_rule_counts() -> None:
    """A broken off milking is none and its milk counts; who is withheld or dry is not in milk, as the rule has it."""
    page = page_of(rows(visits=VISITS, cows=COWS))
    told = [
        (moment_text(d.begins), d.cows, d.milkings, d.per_cow, d.kg_per_cow and round(d.kg_per_cow, 1), d.whole)
        for d in page.days
    ]

    assert told == [
        ("1d00:00", 1, 1, 1.0, 11.0, False),
        ("00:00", 2, 3, 1.5, 16.5, True),
        ("-1d00:00", 1, 1, 1.0, 10.0, False),
    ]
    assert page.known_until == AT
    assert page.status == (("milking", 1), ("dry", 2), ("withheld", 1))


def test_without_a_list_who_is_milked_is_in_milk() -> None:
    """So a farm without a list has its figures too, and is told no status."""
    page = page_of(rows(visits=VISITS))

    assert [(d.cows, d.milkings) for d in page.days] == [(3, 1), (3, 3), (1, 1)]
    assert page.status == ()


def test_what_is_not_known_yet_is_not_told_as_none() -> None:
    """A day after the known-until is left out; a farm whose feed gave nothing, or nothing yet, has no figures."""
    late = page_of(rows(known="23:00", visits=VISITS, cows=COWS))
    assert [(moment_text(d.begins), d.milkings, d.whole) for d in late.days] == [
        ("00:00", 3, False), ("-1d00:00", 1, False),
    ]  # fmt: skip

    tables = rows(visits=VISITS)
    silent = tuple(replace(feed, known_until=None) for feed in tables.farm.feeds)
    for nothing in (replace(tables, farm=replace(tables.farm, feeds=silent)), rows(), rows("-9d00:00", visits=VISITS)):
        page = page_of(nothing, LATE)
        assert (page.days, page.figures, page.boxes, page.known_until) == ((), None, (), None)


def test_the_figures_are_of_the_24_hours_that_are_known_and_a_year_before_is_handed_in() -> None:
    """With the bound of the farm's own rule, the boxes of the farm, and the late cows that stand behind the share."""
    until = moment("20d12:00")
    tables = herd(milkings(0, 21), until=until)
    year = Averages(9.0, 2.0, 18.0, 3.0, 4.0)
    page = page_of(tables, LATE, past=HerdPast(year_before=year), at=until + 600)

    assert page.figures is not None
    assert (page.figures.until, page.figures.days, page.figures.late_bound) == (until, 14, 10)
    assert (page.figures.per_cow.now, page.figures.per_cow.year_before) == (pytest.approx(3.0), 2.0)
    assert [box.box for box in page.boxes] == ["1", "2"]
    assert (page.late.cows, len(page.days), page.days[0].whole) == ((), 14, False)


def test_cells_come_from_the_past_that_is_handed_in_and_what_stands_from_the_alerts() -> None:
    """Those in memory reach back four months only."""
    past = HerdPast(tank_tests((moment("-200d08:00"), 300.0)))
    farm = snapshot([alert(1, "cow:7"), alert(2, "cow:8", over_at=5)], tables=rows(visits=VISITS))
    page = herd_page(farm, past)

    assert [round(month.tank.mean_k_ml or 0) for month in page.cells.months][:1] == [300]
    assert [one.alert.id for one in page.watched] == [1]
