"""The herd's days: milkings and cows as the rule counts them, and all of the milk."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from strategies import tables_with
from text_tables import moment, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.milking.herd_days import HerdDay, all_milk, herd_days
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import Tables

A_DAY = measure_named("milkings_per_cow_day")
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
UNREAD = """
feed    file   line  tab     begins  ends   number
visits  a.csv  {line}     visits  10:00   11:00  3
"""


def day_of(tables: Tables, begins: str, ends: str, until: str = "2d00:00") -> HerdDay:
    """One day of the herd."""
    [day] = herd_days(tables, [(moment(begins), moment(ends))], moment(until))
    return day


def test_a_milking_that_was_broken_off_is_none_and_its_milk_is_counted() -> None:
    """As the rule counts; it is a try all the same, as one that failed is; a refused visit is neither."""
    day = day_of(Tables(visits=table("visits", VISITS)), "00:00", "1d00:00")

    assert (day.cows, day.milkings, day.milk_kg) == (3, 3, 33.0)
    assert (day.tries, day.broken_off, day.failed, day.unfinished_pct) == (5, 1, 1, 40.0)
    assert (day.per_cow, day.kg_per_cow, day.whole) == (1.0, 11.0, True)


def test_days_that_are_not_known_as_a_whole_say_so_or_are_left_out() -> None:
    """One before the first visit, one past the known-until, and those that hold one of the two."""
    tables = Tables(visits=table("visits", VISITS))
    edges = [(moment(f"{n}d00:00"), moment(f"{n + 1}d00:00")) for n in (-2, -1, 0, 1, 2)]
    days = herd_days(tables, edges, moment("1d12:00"))

    assert [(day.begins, day.milkings, day.whole) for day in days] == [
        (moment("-1d00:00"), 1, False), (moment("00:00"), 3, True), (moment("1d00:00"), 1, False),
    ]  # fmt: skip
    assert herd_days(Tables(), edges, moment("1d12:00")) == ()


def test_what_could_not_be_read_may_have_been_milked_and_an_unread_export_leaves_the_day_unknown() -> None:
    """Three visits that were set aside are three milkings, as the rule has it; of a whole file nobody knows."""
    visits = table("visits", VISITS)
    aside = Tables(visits=visits, unread=table("unread", UNREAD.format(line=7)))
    missing = Tables(visits=visits, unread=table("unread", UNREAD.format(line=0)))

    assert day_of(aside, "00:00", "1d00:00").milkings == 6
    assert (day_of(missing, "00:00", "1d00:00").whole, day_of(missing, "1d00:00", "2d00:00").whole) == (False, True)


def test_milk_that_was_hardly_weighed_is_not_told() -> None:
    """A sum with many holes is no sum; one hole in forty is one."""
    assert all_milk(np.array([10.0, np.nan]), 2) is None
    assert all_milk(np.array([10.0] * 39 + [np.nan]), 40) == 390.0
    assert all_milk(np.array([]), 0) == 0.0


@settings(max_examples=40, deadline=None)
@given(tables_with("visits", "cows"))
def test_page_and_rule_never_differ(rows: Tables) -> None:
    """Whatever the visits and the herd list: of the 24 h up to any reading the two say the same."""
    frame = A_DAY.compute(rows, "herd", {}).frame
    for at, value in zip(frame["at"], frame["value"], strict=True):
        days = herd_days(rows, [(int(at) + 1 - DAY_S, int(at) + 1)], int(at))
        if np.isfinite(value):
            assert days[0].per_cow == value
