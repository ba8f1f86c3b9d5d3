"""Hours since milking, the late share and the herd's milkings a day, by example and against a plain count."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import close_moments, tables_with
from text_tables import lines, moment, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.milking.outcomes import outcomes
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import FarmFacts, Tables

HOURS = measure_named("hours_since_milking")
SHARE = measure_named("late_share")
A_DAY = measure_named("milkings_per_cow_day")


def late_share(rows: Tables, **options: float) -> pd.DataFrame:
    """The late share's readings of the herd."""
    return SHARE.compute(rows, "herd", SHARE.settings(options)).frame


def test_only_a_whole_milking_resets() -> None:
    """Incomplete, failed and refused visits leave the time running; one that may have been a milking is marked."""
    visits = table(
        "visits",
        """
        cow  start    box  outcome
        7    06:00    1    milked
        7    09:00    2    incomplete
        7    10:00    2    failed
        7    11:00    2    refused
        7    12:00    2    -
        7    13:00    2    unknown
        7    15:30    2    milked
        10   08:00    1    milked
        9    08:00    1    failed
        """,
    )

    assert shown(HOURS.compute(Tables(visits=visits), "cow", {}).frame, "subject at box sure") == lines("""
        subject  at     box  sure
        cow:10   08:00  1    True
        cow:7    06:00  1    True
        cow:7    12:00  2    False
        cow:7    13:00  2    False
        cow:7    15:30  2    True
        """)


def test_late_share_steps() -> None:
    """The share changes at milkings and one second past each cow's limit; a crossing after the newest row is given."""
    visits = table(
        "visits",
        """
        cow  start    outcome
        7    00:00    milked
        9    01:00    milked
        10   02:00    milked
        7    12:00    milked
        9    15:30    milked
        7    23:00    milked
        """,
    )
    found = late_share(Tables(visits=visits))

    # 9 is over 14 h at 15:00:01 and milked at 15:30; 10 at 16:00:01 and never again; 9 once more at 1d05:30:01
    assert shown(found, "at value late cows")[:8] == lines("""
        at          value    late  cows
        00:00       0        0     1
        01:00       0        0     2
        02:00       0        0     3
        15:00:01    33.333   1     3
        15:30       0        0     3
        16:00:01    33.333   1     3
        1d05:30:01  66.667   2     3
        """)


def test_exactly_the_limit_is_not_late() -> None:
    """A cow milked exactly at her limit was never late; one second later she was."""
    on_time = table("visits", "cow  start  outcome\n 7  00:00  milked\n 7  14:00  milked")
    after = table("visits", "cow  start  outcome\n 7  00:00  milked\n 7  14:00:02  milked")

    on_time_share, after_share = late_share(Tables(visits=on_time)), late_share(Tables(visits=after))
    assert list(on_time_share[on_time_share["at"] < moment("20:00")]["value"]) == [0]
    assert shown(after_share[after_share["at"] < moment("20:00")], "at value") == lines("""
        at        value
        00:00     0
        14:00:01  100
        14:00:02  0
        """)


def test_a_cow_milked_once_a_day_has_her_own_limit() -> None:
    """A cow allowed one milking a day is late after 26 h, from the moment the herd list says so."""
    visits = table("visits", "cow  start  outcome\n 7  00:00  milked\n 9  00:00  milked")
    cows = table(
        "cows",
        """
        cow  from        status   milkings_allowed
        7    -1d00:00    milking  3
        9    -1d00:00    milking  3
        9    10:00       milking  1
        """,
    )

    assert shown(late_share(Tables(visits=visits, cows=cows)), "at late cows")[:4] == lines("""
        at          late  cows
        00:00       0     2
        14:00:01    1     2
        1d02:00:01  2     2
        """)


def test_cows_not_in_milk_do_not_count() -> None:
    """A cow that is dried off leaves the herd in milk at once, and one whose milk is withheld does not count."""
    visits = table("visits", "cow  start  outcome\n 7  00:00  milked\n 9  00:00  milked\n 10  00:00  milked")
    cows = table(
        "cows",
        """
        cow  from      status
        7    -1d00:00  milking
        9    -1d00:00  milking
        9    08:00     dry
        10   -1d00:00  withheld
        """,
    )

    assert shown(late_share(Tables(visits=visits, cows=cows)), "at late cows")[:4] == lines("""
        at        late  cows
        00:00     0     2
        08:00     0     1
        14:00:01  1     1
        """)


def test_a_cow_missing_from_a_whole_list_has_gone() -> None:
    """Where each herd list is whole, a cow that a newer list leaves out no longer counts."""
    visits = table("visits", "cow  start  outcome\n 7  01:00  milked\n 9  01:00  milked")
    cows = table("cows", "cow  from  status\n 7  00:00  milking\n 9  00:00  milking\n 7  06:00  milking")
    parts, whole = (Tables(visits=visits, cows=cows, farm=FarmFacts(whole_herd_lists=w)) for w in (False, True))

    assert list(late_share(parts)["cows"])[:2] == [2, 2]
    assert shown(late_share(whole), "at late cows")[:4] == lines("""
        at        late  cows
        01:00     0     2
        06:00     0     1
        15:00:01  1     1
        """)


def test_a_cow_in_milk_counts_for_21_days() -> None:
    """A cow the herd list keeps in milk counts until 21 days after her last milking, however few rows are read."""
    visits = table("visits", "cow  start  outcome\n 7  00:00  milked\n 9  20d00:00  milked")
    cows = table("cows", "cow  from  status\n 7  -1d00:00  milking\n 9  -1d00:00  milking")
    found = late_share(Tables(visits=visits, cows=cows))

    assert shown(found, "at late cows")[:6] == lines("""
        at           late  cows
        00:00        0     1
        14:00:01     1     1
        20d00:00     1     2
        20d14:00:01  2     2
        21d00:00     1     1
        """)
    assert SHARE.lookback_s > 21 * DAY_S


def test_without_a_herd_list_a_cow_counts_for_96_hours() -> None:
    """Without a herd list a cow leaves the count 96 h after her last milking; with no cow left it cannot be told."""
    visits = table("visits", "cow  start  outcome\n 7  00:00  milked\n 9  00:00  refused")

    assert shown(late_share(Tables(visits=visits)), "at value late cows why") == lines("""
        at        value  late  cows  why
        00:00     0      0     1     -
        14:00:01  100    1     1     -
        4d00:00   -      0     0     no cow is known to be in milk
        """)


def test_a_visit_that_may_have_been_a_milking_makes_no_cow_late() -> None:
    """How she left at 10:00 could not be read: she is late, if at all, from midnight on."""
    visits = table("visits", "cow  start  outcome\n 7  00:00  milked\n 7  10:00  unknown")

    assert shown(late_share(Tables(visits=visits)), "at late cows")[:3] == lines("""
        at          late  cows
        00:00       0     1
        1d00:00:01  1     1
        """)


@settings(max_examples=30, deadline=None)
@given(
    rows=tables_with("visits", "cows"),
    asked=st.lists(close_moments, min_size=1, max_size=6),
    late_after=st.sampled_from((3 * HOUR_S, 14 * HOUR_S)),
)
def test_late_share_against_a_plain_count(rows: Tables, asked: list[int], late_after: int) -> None:
    """At any moment the latest reading is what a plain count over the cows gives, and it never repeats itself."""
    found = late_share(rows, late_after=late_after)
    counts = list(zip(found["late"], found["cows"], strict=True))
    assert all(one != other for one, other in zip(counts[1:], counts, strict=False))
    for at in [*asked, *found["at"], *(found["at"] - 1)]:
        until = found[found["at"] <= at]
        latest = (until["late"].iloc[-1], until["cows"].iloc[-1]) if len(until) else (0, 0)
        assert latest == plain_count(rows, at, late_after, 26 * HOUR_S)


def plain_count(rows: Tables, at: int, late_after: int, late_after_once: int) -> tuple[int, int]:
    """How many cows are late, and how many are in milk, told cow by cow."""
    late = cows = 0
    for cow, mine in rows.visits.groupby("cow"):
        how = outcomes(mine)
        milked = (how == "milked") | pd.isna(how) | (mine["outcome"] == "unknown").to_numpy(bool)
        before = mine[(mine["start"] <= at) & milked]["start"]
        if before.empty:
            continue
        since = at - before.max()
        told = last_told(rows, str(cow), at)
        status = told.get("status")
        if status not in ("milking", None) or since >= (21 * DAY_S if status else 96 * HOUR_S):
            continue
        cows += 1
        late += since > (late_after_once if told.get("milkings_allowed") == 1 else late_after)
    return late, cows


def last_told(rows: Tables, cow: str, at: int) -> dict[str, Any]:
    """What the herd list last said of a cow."""
    lists = rows.cows[rows.cows["from"] <= at]
    mine = lists[lists["cow"] == cow].sort_values("from")
    if mine.empty:
        return {}
    if rows.farm.whole_herd_lists and mine["from"].max() < lists["from"].max():
        return {"status": "gone"}
    row = mine.iloc[-1]
    allowed = row["milkings_allowed"]
    return {"status": row["status"] or None, "milkings_allowed": None if math.isnan(allowed) else allowed}


def a_day(rows: Tables) -> pd.DataFrame:
    """The readings of the herd's milkings a day."""
    return A_DAY.compute(rows, "herd", {}).frame


def test_the_milkings_of_a_day_are_shared_among_the_cows_in_milk() -> None:
    """A milking counts for 24 h; incomplete, failed and refused visits do not; before a whole day nothing is told."""
    visits = table(
        "visits",
        """
        cow  start    outcome
        7    00:00    milked
        9    06:00    milked
        7    12:00    milked
        9    18:00    failed
        7    1d00:00  milked
        9    1d07:00  milked
        """,
    )

    assert shown(a_day(Tables(visits=visits)), "at value milkings_24h cows why")[:9] == lines("""
        at       value  milkings_24h  cows  why
        00:00    -      1             1     no visit from before the last 24 h is known
        06:00    -      2             2     no visit from before the last 24 h is known
        12:00    -      3             2     no visit from before the last 24 h is known
        1d00:00  1.5    3             2     -
        1d06:00  1      2             2     -
        1d07:00  1.5    3             2     -
        1d12:00  1      2             2     -
        1d18:00  1      2             2     -
        """)


def test_a_cow_that_is_dried_off_is_no_longer_shared_among() -> None:
    """Her milkings of before count on, as they were made."""
    visits = table("visits", "cow  start  outcome\n 7  00:00  milked\n 9  01:00  milked\n 7  1d00:00  milked")
    cows = table("cows", "cow  from  status\n 7  -1d00:00  milking\n 9  -1d00:00  milking\n 9  1d00:30  dry")

    assert shown(a_day(Tables(visits=visits, cows=cows)), "at value cows")[3:6] == lines("""
        1d00:00  1      2
        1d00:30  2      1
        1d01:00  1      1
        """)


def test_a_visit_that_may_have_been_a_milking_counts_as_one() -> None:
    """One whose outcome could not be read, and a row that could not be read; after a whole export nothing is told."""
    visits = table("visits", "cow  start  outcome\n 7  00:00  milked\n 7  12:00  unknown\n 7  1d06:00  milked")
    row = "feed  file  line  tab     begins   ends     number\nv     a     4     visits  1d00:00  1d02:00  2"

    known, one, all_of_it = (
        a_day(Tables(visits=visits, **more)).set_index("at")["value"][moment("1d06:00")]
        for more in ({}, {"unread": table("unread", row)}, {"unread": table("unread", row.replace("  4  ", "  0  "))})
    )
    assert (known, one) == (2, 4)
    assert math.isnan(all_of_it)


@settings(max_examples=25, deadline=None)
@given(rows=tables_with("visits", "cows"))
def test_milkings_a_day_against_a_plain_count(rows: Tables) -> None:
    """At every reading the milkings of a day are those that a plain count finds."""
    ended = outcomes(rows.visits)
    found = a_day(rows)
    milked = [
        int(start)
        for start, how, said in zip(rows.visits["start"], ended, rows.visits["outcome"], strict=True)
        if how == "milked" or said == "unknown" or pd.isna(how)
    ]

    for at, number in zip(found["at"], found["milkings_24h"], strict=True):
        assert number == sum(at - DAY_S < start <= at for start in milked)
