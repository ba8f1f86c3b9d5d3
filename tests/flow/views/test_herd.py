"""The herd's page."""

from __future__ import annotations

from dataclasses import replace

import pytest
from text_tables import moment_text
from view_farm import AT, rows, snapshot

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


def page_of(tables: Tables, *rules: Rule) -> HerdPage:
    """The page at noon of the day after the first."""
    return herd_page(replace(snapshot(tables=tables), rules={rule.name: rule for rule in rules}))


def test_milkings_are_counted_per_cow_in_milk_day_by_day() -> None:
    """By the herd list as the day ended, with who was dried off on it; failed and refused visits are no milkings."""
    page = page_of(rows(visits=VISITS, cows=COWS))
    told = [
        (moment_text(d.begins), d.cows, d.milkings, d.per_cow, d.kg_per_cow and round(d.kg_per_cow, 1), d.whole)
        for d in page.days
    ]

    assert told == [
        ("1d00:00", 2, 1, 0.5, 5.5, False),
        ("00:00", 3, 4, pytest.approx(4 / 3), 11.0, True),
        ("-1d00:00", 3, 1, pytest.approx(1 / 3), 3.3, False),
    ]
    assert (page.median_kg, page.milked_24h, page.known_until) == (9.5, 2, AT)
    assert page.status == (("milking", 1), ("dry", 2), ("withheld", 1))


def test_who_is_not_listed_is_in_milk_on_the_days_she_is_milked() -> None:
    """So a farm without a list has its figures too, and is told no status."""
    page = page_of(rows(visits=VISITS))

    assert [(d.cows, d.milkings) for d in page.days] == [(1, 1), (3, 4), (1, 1)]
    assert page.status == ()


def test_how_many_are_late_is_what_the_farms_rule_reads() -> None:
    """The last reading up to which the visits are known, with the rule's bound; nothing where no rule asks."""
    tables = rows(visits=VISITS, cows=COWS)
    page = page_of(tables, LATE)

    assert page.late is not None
    assert (page.late.bound, page.late.points[-1][0] <= AT) == (10, True)
    assert page.late.points[-1][1] == pytest.approx(0.0)
    assert page_of(tables).late is None


def test_what_is_not_known_yet_is_not_told_as_none() -> None:
    """A day after the known-until is left out, and a farm whose feed gave nothing has no days at all."""
    late = page_of(rows(known="23:00", visits=VISITS, cows=COWS))
    assert [(moment_text(d.begins), d.milkings, d.whole) for d in late.days] == [
        ("00:00", 4, False), ("-1d00:00", 1, False),
    ]  # fmt: skip
    assert late.milked_24h == 3

    tables = rows(visits=VISITS)
    silent = tuple(replace(feed, known_until=None) for feed in tables.farm.feeds)
    page = page_of(replace(tables, farm=replace(tables.farm, feeds=silent)), LATE)
    assert (page.days, page.late, page.known_until, page.milked_24h) == ((), None, None, 0)
    assert page.pictures[0].sentences == ("No milking is known.",)


def test_the_chart_says_its_figures_in_words() -> None:
    """Of whole days only; those known in part are marked apart."""
    [picture] = page_of(rows(visits=VISITS, cows=COWS)).pictures

    assert picture.sentences == (
        "1.3 milkings per cow and day on average.",
        "Fewest 1.3 (Mon 3 Jun), most 1.3 (Mon 3 Jun).",
    )
    assert "known in part" in picture.svg
