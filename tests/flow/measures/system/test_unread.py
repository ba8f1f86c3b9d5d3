"""What could not be read of exports: one trouble for each feed and cause, however many files."""

from __future__ import annotations

import tracemalloc

import pandas as pd
from text_tables import lines, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.system.unread import cause_of
from sentinel.flow.reasons import Reason, as_said, several
from sentinel.flow.tables import Tables

MILK = Reason("at-place", place='"Milk"', why=Reason("not-a-number", what='"5,9x"'))
POUNDS = Reason("impossible", what='"Milk"', n=40, first="220", range="0–100 kg")
STAY = Reason("at-place", place='"Stay"', why=Reason("not-a-number", what='"-"'))
CUT = Reason("cells-missing", n=3, width=9)
REASONS = {"milk": MILK, "pounds": POUNDS, "stay": STAY, "cut": CUT}


def readings(text: str) -> pd.DataFrame:
    """The readings of a table of files, whose reasons are given by their words above."""
    files = table("files", text)
    given = [REASONS.get(str(one)) if one is not None else None for one in files["reason"]]
    files = files.assign(reason=pd.Series(given, dtype=object))
    return measure_named("rows_set_aside").compute(Tables(files=files), "unread", {}).frame


def test_many_files_with_one_cause_are_one_trouble() -> None:
    """Its value is of the file that lost most; what is said is of the newest, with how many others there are."""
    found = readings("""
        feed    file   at     rows_read  rows_set_aside  rows_in_part  reason
        visits  a.csv  06:00  20         2               0             milk
        tank    t.csv  06:30  9          0               0             -
        visits  b.csv  07:00  30         0               5             pounds
        visits  c.csv  08:00  0          1               0             milk
        visits  d.csv  09:00  10         1               3             stay
        visits  e.csv  09:30  10         0               0             -
        """)

    assert shown(found, "subject at value file more rows_read what") == lines("""
        subject             at     value  file   more  rows_read  what
        unread:visits/Milk  06:00  2      a.csv  -     20         2 rows left out
        unread:visits/Milk  07:00  5      b.csv  1     30         5 rows read only in part
        unread:visits/Milk  08:00  5      c.csv  2     -          none of it could be read
        unread:visits/Stay  09:00  4      d.csv  -     10         1 row left out, 3 rows read only in part
        """)
    assert str(found["reason"][1]).startswith('"Milk": 40 figures left out')


def test_it_is_over_when_all_its_files_were_read_again_and_whole() -> None:
    """One that is still lost keeps it, with its own figures; what is read again and is lost still counts once."""
    found = readings("""
        feed    file   at     rows_read  rows_set_aside  reason
        visits  a.csv  06:00  20         9               milk
        visits  b.csv  07:00  20         2               milk
        visits  b.csv  07:10  20         1               milk
        visits  a.csv  07:20  29         0               -
        visits  b.csv  07:30  21         0               -
        """)

    assert shown(found, "subject at value file more") == lines("""
        subject             at     value  file   more
        unread:visits/Milk  06:00  9      a.csv  -
        unread:visits/Milk  07:00  9      b.csv  1
        unread:visits/Milk  07:10  9      b.csv  1
        unread:visits/Milk  07:20  1      b.csv  -
        unread:visits/Milk  07:30  0      -      -
        """)


def test_it_has_passed_once_the_feed_has_been_whole_for_a_day() -> None:
    """By later files, two at least; a further bad one begins the day anew, and other feeds tell nothing of it."""
    found = readings("""
        feed    file   at       rows_read  rows_set_aside  reason
        visits  a.csv  06:00    118        2               milk
        visits  b.csv  07:00    118        0               -
        visits  c.csv  20:00    118        3               cut
        tank    t.csv  1d07:00  1          0               -
        tank    u.csv  2d07:00  1          0               -
        visits  d.csv  1d19:00  118        0               -
        visits  e.csv  1d21:00  118        0               -
        visits  f.csv  1d22:00  118        0               -
        herd    g.csv  06:00    0          4               stay
        herd    h.csv  1d07:00  90         0               -
        """)

    assert shown(found, "subject at value") == lines("""
        subject                      at       value
        unread:herd/Stay             06:00    4
        unread:visits/Milk           06:00    2
        unread:visits/Milk           1d21:00  0
        unread:visits/cells missing  20:00    3
        unread:visits/cells missing  1d21:00  0
        """)


def test_a_file_that_nobody_had_read_again_counts_for_a_week() -> None:
    """Where each file has a broken row the newest ones are what is told of."""
    found = readings("""
        feed    file   at       rows_read  rows_set_aside  reason
        visits  a.csv  06:00    118        9               milk
        visits  b.csv  3d06:00  118        2               milk
        visits  c.csv  7d06:00  118        1               milk
        """)

    assert shown(found, "at value more") == lines("at  value  more\n06:00  9  -\n3d06:00  9  1\n7d06:00  2  1")


def test_a_file_that_was_not_counted_cannot_be_told() -> None:
    """Until another of its cause is."""
    found = readings("""
        feed  file   at     rows_read  rows_set_aside  reason
        tank  t.csv  09:00  0          -               cut
        tank  u.csv  10:00  0          2               cut
        """)

    assert shown(found, "at value why") == lines("""
        at     value  why
        09:00  -      the rows of this file were not counted
        10:00  2      -
        """)


def test_what_a_reason_blames() -> None:
    """The column of the first of several, or the kind of reason; no title can be too long or break a line."""
    assert [cause_of(one) for one in (MILK, POUNDS, CUT, None)] == ["Milk", "Milk", "cells missing", "unknown"]
    assert cause_of(Reason("item", n=3, why=several([STAY, MILK]))) == "Stay"
    assert cause_of(as_said("no such cow")) == "as said"
    assert cause_of(Reason("at-place", place='"' + "x\n" * 90 + '"', why=CUT)) == "x\ufffd" * 30 + "…"


def test_a_long_reason_does_not_give_every_other_one_its_room() -> None:
    """Two hundred files with a reason, one of them of a hundred thousand characters, take no more than they are."""
    rows = [
        ["f", f"{n}.csv", f"{6 + n // 60:02}:{n % 60:02}", "1", "2", "x" * 100_000 if n == 7 else "y"]
        for n in range(200)
    ]
    files = table(
        "files", "feed  file  at  rows_read  rows_set_aside  reason\n" + "\n".join("  ".join(row) for row in rows)
    )
    tracemalloc.start()
    try:
        found = measure_named("rows_set_aside").compute(Tables(files=files), "unread", {}).frame
        taken = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()

    assert taken < 5_000_000
    assert found["reason"].map(len).max() == 100_000
